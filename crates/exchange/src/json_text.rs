//! JSON as text, ended by a new line; keys in the order of the fields, the same bytes on every run.
//!
//! The wire types of this crate are plain structures of texts, numbers and lists, for which
//! writing into memory cannot fail; a map with keys that are no texts would.

use serde::Serialize;

/// The document as text, indented.
pub(crate) fn pretty<T: Serialize>(document: &T) -> String {
    let mut text = serde_json::to_string_pretty(document).unwrap_or_else(|_| "null".to_owned());
    text.push('\n');
    text
}

/// The document as text without blanks, for long lists of coordinates.
pub(crate) fn compact<T: Serialize>(document: &T) -> String {
    let mut text = serde_json::to_string(document).unwrap_or_else(|_| "null".to_owned());
    text.push('\n');
    text
}
