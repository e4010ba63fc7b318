//! A visit request whose parts stand in the books.

use super::OfKind;
use crate::{Book, LedgerError};
use exchange::kept::{Equipment, Label, Property};
use std::collections::{BTreeMap, BTreeSet};

/// How a visit request names something that the books keep: `books:property/Alder Bend`,
/// `books:label/brackwater-sc`, `books:equipment/hand pump`, `books:survey/Alder Bend/grasshopper 2026-07-06`,
/// `books:history`.
pub const BOOKS: &str = "books:";

/// The texts that visit requests may name out of the books.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    texts: BTreeMap<String, String>,
}

impl Shelf {
    /// A shelf with one property on it.
    pub(super) fn of_property(title: &str, map: &str) -> Self {
        Self { texts: BTreeMap::from([(key("property", title), map.to_owned())]) }
    }

    /// Puts a text on it under a kind and a name.
    pub(super) fn put_text(&mut self, kind: &str, title: &str, text: String) {
        self.texts.insert(key(kind, title), text);
    }

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
    /// Everything that a visit request names out of this book; and where it names something that is not
    /// there, the names of what is.
    ///
    /// # Errors
    /// The database fails.
    pub async fn shelf(&self, request: &str) -> Result<Shelf, LedgerError> {
        let mut shelf = Shelf::default();
        for name in named(request) {
            match name.split_once('/') {
                Some(("property", title)) => {
                    self.put::<Property>(&mut shelf, "property", title, |held| (held.name, held.map.0)).await?;
                }
                Some(("label", title)) => {
                    self.put::<Label>(&mut shelf, "label", title, |held| (held.id, held.label.0)).await?;
                }
                Some(("equipment", title)) => {
                    self.put::<Equipment>(&mut shelf, "equipment", title, |held| (held.name, held.equipment.0)).await?;
                }
                Some(("survey", named)) => self.put_surveys(&mut shelf, named).await?,
                _ => {}
            }
        }
        Ok(shelf)
    }

    async fn put<T: OfKind>(
        &self,
        shelf: &mut Shelf,
        kind: &str,
        title: &str,
        text: impl Fn(T) -> (String, String),
    ) -> Result<(), LedgerError> {
        let mut found = self.things_titled::<T>(title).await?;
        if found.is_empty() {
            // Other letters, or a wrong name: then every name there is helps.
            found = self.things::<T>().await?;
        }
        for held in found {
            let (title, text) = text(held.document);
            shelf.texts.insert(key(kind, &title), text);
        }
        Ok(())
    }
}

fn key(kind: &str, title: &str) -> String {
    format!("{kind}/{title}").to_lowercase()
}

/// What a request names as `books:…`, up to the quotation mark or the end of the line behind it.
fn named(request: &str) -> BTreeSet<&str> {
    let names = request.split(BOOKS).skip(1);
    names.filter_map(|rest| rest.split(['"', '\'', '\n', '\r']).next()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_end_at_their_quotation_mark() {
        let request = "property = \"books:property/Alder Bend\"\nlabels = ['books:label/a', \"books:label/b\"]\n";
        let names: Vec<&str> = named(request).into_iter().collect();
        assert_eq!(names, ["label/a", "label/b", "property/Alder Bend"]);
        assert!(named("history = \"unknown\"").is_empty());
    }
}
