//! The ledger from outside, on both databases.

mod access;
mod books;
mod support;
