//! A whole account as a folder of open formats, out and in again.
//!
//! The folder holds `manifest.json` (whose book it is, how much there is, the hash of each file),
//! `entries.jsonl` (one entry a line, in order, every field as it is kept), `attachments/` (each file
//! under its SHA-256) and `README.txt` for whoever finds it.

mod read;
mod wire;
mod write;
