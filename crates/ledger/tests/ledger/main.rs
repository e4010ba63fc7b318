//! The ledger from outside, on both databases.

mod addresses;
mod books;
mod damage;
mod exports;
mod support;
