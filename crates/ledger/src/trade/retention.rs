//! How long a record is kept when its versions, and those of its property, differ in what rules ask by.

use super::records::{HeldRecord, held};
use crate::{Book, LedgerError};
use exchange::kept::{Kept as _, Property};
use jiff::civil::Date;
use jurisdiction::{Circumstances, Jurisdiction, Kept, RuleSet};
use record::{Discarding, circumstances, discarding};

impl Book {
    /// The day and the rule of the version that keeps a record longest, where one still does. An amendment shortens
    /// nothing: each version is kept as long as its own day, products and ground ask, by the rules of every place where its
    /// property was ever kept as lying.
    pub(super) async fn kept_by_a_version<'r>(
        &self,
        record: &HeldRecord,
        now: &Circumstances,
        rules: &'r RuleSet,
        today: Date,
    ) -> Result<Option<(Date, Kept<'r>)>, LedgerError> {
        let mut longest: Option<(Date, Kept<'r>)> = None;
        for version in self.versions(record.thing).await? {
            let version = held(&version)?;
            let mut places = self.places_kept(&version).await?;
            places.push(now.place.clone());
            for place in places {
                let asked = circumstances(&version.record, &place, now.work, &now.conditions);
                let Discarding::Forbidden(kept) = discarding(rules, &asked, today) else { continue };
                if longest.as_ref().is_none_or(|(_, other)| kept.until > other.until) {
                    longest = Some((version.record.date, kept));
                }
            }
        }
        Ok(longest)
    }

    /// Where the property of a record lies, by every version of it: which of them was right is not known here.
    async fn places_kept(&self, record: &HeldRecord) -> Result<Vec<Jurisdiction>, LedgerError> {
        let properties = if let Some(property) = record.indexed.property {
            vec![property]
        } else {
            let called = self.things_titled::<Property>(&record.record.property.name).await?;
            called.into_iter().map(|property| property.thing).collect()
        };
        let mut places = Vec::new();
        for property in properties {
            for version in self.versions(property).await?.iter().filter(|version| !version.discards) {
                let place = Property::read(&version.body)?.jurisdiction.map(|text| text.place().clone());
                places.extend(place.filter(|place| !places.contains(place)));
            }
        }
        Ok(places)
    }
}
