//! The ledger from outside, on both databases.

mod access;
mod books;
mod damage;
mod exports;
mod support;
mod trade;
