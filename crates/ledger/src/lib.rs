//! What was done, kept: an append-only chain of entries per account, in SQLite or PostgreSQL.
//!
//! A [`Ledger`] is one database. It holds accounts (one business each); a [`Book`] is one account
//! seen by one person. A book keeps *things* (a client, a property, an application record …) as
//! *entries*: each version of a thing is a new entry, nothing is changed or removed, and a draft that
//! is given up gets an entry that says so. Each entry carries the hash of the one before it, so that
//! [`Book::verify`] finds any change, gap or reordering.
//!
//! Both databases behave alike and pass the same tests. Several servers may share one PostgreSQL:
//! appends to one account wait for each other in the database, and nothing lives in the process.
//!
//! The body of an entry is a JSON text that this crate keeps byte for byte and does not understand;
//! what it lists and searches by stands beside it in [`Indexed`].
//!
//! This crate must not know: what is lawful, what a body means, the clock (times come with the entry).

pub mod access;
mod actor;
mod backup;
mod book;
mod database;
mod digest;
mod entry;
mod error;
mod export;
mod identity;
mod kind;
mod location;
mod private;
mod request_key;
mod schema;
mod store;
pub mod trade;
mod turn;

pub use actor::Actor;
pub use backup::Integrity;
pub use book::{Attachment, Book, Cursor, Filter, Finding, Head, Listing, Order, Page, Progress, Verification};
pub use digest::Digest;
pub use entry::{Appended, Entry, Expected, Indexed, Labels, NewEntry};
pub use error::LedgerError;
pub use export::NOT_EXPORTED;
pub use identity::{AccountId, ThingId};
pub use kind::Kind;
pub use location::Location;
pub use request_key::RequestKey;
pub use store::{Account, Ledger};
