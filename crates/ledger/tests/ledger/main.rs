//! The ledger from outside, on both databases.

mod books;
mod support;
