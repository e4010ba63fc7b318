//! The ledger from outside, on both databases.

mod access;
mod books;
mod damage;
mod exports;
mod opening;
mod record_sheet;
mod second_factor;
mod support;
mod trade;
