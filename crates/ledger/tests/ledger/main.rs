//! The ledger from outside, on both databases.

mod access;
mod books;
mod damage;
mod exports;
mod opening;
mod second_factor;
mod record_sheet;
mod support;
mod trade;
