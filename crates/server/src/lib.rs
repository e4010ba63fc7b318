//! The HTTP interface: routes with a permission each, sign-in and roles, transport and its safeguards.
//!
//! [`serve`] opens a ledger and answers until it is told to stop. On loopback no sign-in is needed and
//! whoever asks is the owner of the one account; on every other address it refuses to start without TLS
//! and an owner's sign-in. Nothing of the business lives in the process: several servers may share one
//! PostgreSQL.
//!
//! This crate must not know: any rule of the trade. It asks the rooms below.

pub mod app;
pub mod http;
pub mod log;
pub mod pages;
pub mod routes;
mod running;
mod settings;
pub mod tls;

pub use running::{Running, ToldToEnd, serve};
pub use settings::{Settings, Transport};
