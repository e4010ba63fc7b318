//! Which kept visits are recorded.

use super::records::held;
use crate::{Book, Entry, Filter, Kind, LedgerError, ThingId};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// A record of a visit, as a list tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct RecordOfVisit {
    /// The day of the work.
    pub date: Date,
    /// The record.
    pub thing: ThingId,
}

impl Book {
    /// The records of kept visits, by visit, the first day first: those that name it as the visit that was carried out.
    /// They are looked for among those that are called as the visit is; a visit that is called otherwise since, on its
    /// property.
    ///
    /// `client` narrows the records to those of a client.
    ///
    /// # Errors
    /// The database fails; a body is no record.
    pub async fn records_of_visits(
        &self,
        visits: &[Entry],
        client: Option<ThingId>,
    ) -> Result<BTreeMap<ThingId, Vec<RecordOfVisit>>, LedgerError> {
        let mut look = self.look().await?;
        let mut records = BTreeMap::new();
        for visit in visits.iter().filter(|entry| entry.kind == Kind::Visit) {
            let name = visit.thing.to_string();
            let mut own = Vec::new();
            for filter in places(visit) {
                let filter = Filter { client, ..filter };
                for found in self.all_holding(&mut look, &filter, &name).await? {
                    let record = held(&found)?.record;
                    // Another place of the record may hold the name.
                    if record.provenance.visit.is_some_and(|planned| planned.reference.as_deref() == Some(&*name)) {
                        own.push(RecordOfVisit { date: record.date, thing: found.thing });
                    }
                }
                if !own.is_empty() {
                    break;
                }
            }
            if !own.is_empty() {
                own.sort_unstable();
                records.insert(visit.thing, own);
            }
        }
        Ok(records)
    }
}

/// Where records of a visit are looked for, one after the other.
fn places(visit: &Entry) -> Vec<Filter> {
    let records = Filter::of(Kind::Record);
    let titled = Filter { titled: Some(vec![visit.indexed.title.clone()]), ..records.clone() };
    let on_property = visit.indexed.property.map(|property| Filter { property: Some(property), ..records });
    std::iter::once(titled).chain(on_property).collect()
}
