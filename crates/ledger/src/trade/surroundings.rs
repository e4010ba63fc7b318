//! What the books keep round a record, looked up at once.

use super::sprayers::called_alone;
use super::things::held;
use super::{Held, OfKind, RecordLinks};
use crate::{Book, Entry, Filter, Kind, LedgerError};
use exchange::kept::{Equipment, Label, Property};
use record::ApplicationRecord;
use sprayer::Sprayer;
use std::collections::BTreeSet;

/// What the books keep round a record: what it is held against.
#[derive(Debug, Clone, PartialEq)]
pub struct Surroundings {
    /// The sprayers and spreaders that the books keep, as [`Book::sprayers`] tells them.
    pub sprayers: Vec<Sprayer>,
    /// The labels that the record used, of each the one that the books keep.
    pub labels: Vec<label::Label>,
    /// The properties that may be the record's: the one that it belongs to, or those that are called as it says.
    pub properties: Vec<Held<Property>>,
}

impl Book {
    /// What the books keep round a record that belongs to these things.
    ///
    /// # Errors
    /// The database fails; what is kept cannot be read.
    pub async fn surroundings_of(
        &self,
        record: &ApplicationRecord,
        links: RecordLinks,
    ) -> Result<Surroundings, LedgerError> {
        let used = labels_used(record);
        let titled = |titles: Vec<String>, kind| Filter { titled: Some(titles), ..Filter::of(kind) };
        let mut wanted = vec![Filter::of(Kind::Equipment), titled(used.iter().cloned().collect(), Kind::Label)];
        if links.property.is_none() {
            wanted.push(titled(vec![record.property.name.clone()], Kind::Property));
        }
        // In one look, since each is a way to the database and back.
        let found = self.all_of(&wanted).await?;
        let linked = match links.property {
            Some(property) => match self.newest(property).await {
                Ok(entry) => Some(entry).filter(|entry| !entry.discards),
                Err(LedgerError::UnknownThing { .. }) => None,
                Err(error) => return Err(error),
            },
            None => None,
        };
        let mut labels = Vec::new();
        for id in &used {
            if let Some(kept) = read::<Label>(&found, |entry| entry.indexed.title == *id)?.pop() {
                labels.push(kept.document.parsed()?);
            }
        }
        let properties = match &linked {
            Some(entry) => read(std::slice::from_ref(entry), |_| true)?,
            None => read(&found, |entry| entry.indexed.title == record.property.name)?,
        };
        let equipment = read::<Equipment>(&found, |_| true)?;
        Ok(Surroundings { sprayers: called_alone(&equipment)?, labels, properties })
    }
}

/// The labels that a record used.
pub(super) fn labels_used(record: &ApplicationRecord) -> BTreeSet<String> {
    record.tasks.iter().flat_map(|task| &task.products).map(|product| product.label.clone()).collect()
}

fn read<T: OfKind>(entries: &[Entry], is_meant: impl Fn(&Entry) -> bool) -> Result<Vec<Held<T>>, LedgerError> {
    entries.iter().filter(|entry| entry.kind == T::KIND && is_meant(entry)).map(held).collect()
}
