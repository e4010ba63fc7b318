//! The ledger from outside, on both databases.

mod books;
mod damage;
mod exports;
mod opening;
mod support;
mod trade;
