//! What was done, kept: an append-only chain of entries, in SQLite or PostgreSQL.

pub mod trade;
