//! A visit request whose parts stand in the books.

use crate::{Book, LedgerError};
use exchange::kept::{Equipment, Label, Property};
use std::collections::BTreeMap;

/// How a visit request names something that the books keep: `books:property/Alder Bend`,
/// `books:label/brackwater-sc`, `books:equipment/hand pump`, `books:history`.
pub const BOOKS: &str = "books:";

/// The texts that visit requests may name out of the books.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    texts: BTreeMap<String, String>,
}

impl Shelf {
    /// The text of a name that begins with [`BOOKS`]; `None` for any other name, which is a file's.
    ///
    /// # Errors
    /// In words why the books have no such text.
    pub fn text(&self, name: &str) -> Option<Result<String, String>> {
        let wanted = name.strip_prefix(BOOKS)?;
        // What was applied before comes from the records themselves.
        if wanted == "history" {
            return Some(Ok(format!("format = \"{}\"\n", exchange::history_file::FORMAT)));
        }
        Some(self.texts.get(&wanted.to_lowercase()).cloned().ok_or_else(|| {
            let kind = wanted.split('/').next().unwrap_or_default();
            let known: Vec<&str> =
                self.texts.keys().filter(|key| key.split('/').next() == Some(kind)).map(String::as_str).collect();
            if known.is_empty() {
                "the books keep nothing of that kind".to_owned()
            } else {
                format!("the books keep {}", known.join(", "))
            }
        }))
    }
}

impl Book {
    /// Everything that visit requests may name out of this book.
    ///
    /// # Errors
    /// The database fails.
    pub async fn shelf(&self) -> Result<Shelf, LedgerError> {
        let mut texts = BTreeMap::new();
        let mut keep = |kind: &str, name: &str, text: String| {
            texts.insert(format!("{kind}/{name}").to_lowercase(), text);
        };
        for property in self.things::<Property>().await? {
            keep("property", &property.document.name, property.document.map.0);
        }
        for label in self.things::<Label>().await? {
            keep("label", &label.document.id, label.document.label.0);
        }
        for equipment in self.things::<Equipment>().await? {
            keep("equipment", &equipment.document.name, equipment.document.equipment.0);
        }
        Ok(Shelf { texts })
    }
}
