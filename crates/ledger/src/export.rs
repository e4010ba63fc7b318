//! A whole account as a folder of open formats, out and in again.
//!
//! The folder holds `manifest.json` (whose book it is, how much there is, the hash of each file),
//! `entries.jsonl` (one entry a line, in order, every field as it is kept), `attachments/` (each file
//! under its SHA-256) and `README.txt` for whoever finds it.

mod read;
mod wire;
mod write;

/// What an export of an account leaves out: it is of the server and of the whole ledger, and a backup holds it.
pub const NOT_EXPORTED: &str = "sign-ins with their passwords and second factors, sessions, the audit trail, and what \
earlier requests asked for";
