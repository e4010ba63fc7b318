//! What the records of the books put down, laid out on one plane.

use super::HeldRecord;
use crate::{Book, Filter, LedgerError};
use exchange::kept;
use exchange::totals_json::{CountedRecord, CountedTotals};
use geometry::{GeoPosition, LocalPlane};
use jiff::civil::Date;
use problem::Problem;
use property::Property;
use record::{ApplicationRecord, Totals, beyond, totals};
use std::collections::BTreeMap;

/// Records to be counted, with what the books know of their properties.
#[derive(Debug, Clone, Default)]
pub struct Counted {
    /// The records, by day.
    records: Vec<HeldRecord>,
    /// Their things as text.
    things: Vec<String>,
    /// The kept maps, by the name of the property.
    maps: BTreeMap<String, Property>,
    /// Since when all applications of each property are in the books.
    complete_since: Vec<(String, Option<Date>)>,
}

/// Totals on a plane.
#[derive(Debug, Clone)]
pub struct LaidTotals<'a> {
    /// Where they come from.
    counted: &'a Counted,
    /// The totals.
    pub totals: Totals,
    /// The plane on which they are laid out.
    pub plane: LocalPlane,
    /// The first and the last day.
    days: (Date, Date),
}

impl Book {
    /// The records that a filter finds, to be counted.
    ///
    /// # Errors
    /// The database fails; a body is no record.
    pub async fn counted(&self, filter: &Filter) -> Result<Counted, LedgerError> {
        let records = self.records(filter).await?;
        let things = records.iter().map(|held| held.thing.to_string()).collect();
        let mut kept: BTreeMap<String, Option<kept::Property>> = BTreeMap::new();
        for held in &records {
            let name = &held.record.property.name;
            if !kept.contains_key(name) {
                kept.insert(name.clone(), self.kept_property_of(held).await?);
            }
        }
        let since = |property: &kept::Property| property.complete_since.map(kept::Day::date);
        let complete_since =
            kept.iter().map(|(name, property)| (name.clone(), property.as_ref().and_then(since))).collect();
        let map = |(name, property): (String, Option<kept::Property>)| Some((name, property?.mapped().ok()?));
        let maps = kept.into_iter().filter_map(map).collect();
        Ok(Counted { records, things, maps, complete_since })
    }
}

impl Counted {
    /// What they put down on the days from the first to the last, or what of it lies over one point; `None` where
    /// there is no record and no point.
    ///
    /// What was put down on walls and on places that are not drawn is told for a point as well: it may lie there.
    ///
    /// # Errors
    /// `record::far-apart` where no one plane shows them all.
    pub fn totals(&self, at: Option<GeoPosition>, days: (Date, Date)) -> Result<Option<LaidTotals<'_>>, Problem> {
        let records: Vec<&ApplicationRecord> = self.records.iter().map(|held| &held.record).collect();
        let Some(plane) = at.map(LocalPlane::around).or_else(|| records.last().map(|record| record.plane())) else {
            return Ok(None);
        };
        if let Some(far) = beyond(records.iter().copied(), &plane).first() {
            let found = format!("the records of `{}` lie more than 10 km from others", far.property.name);
            return Err(Problem::error("record::far-apart", found)
                .expected("records of one neighbourhood: one plane shows no more without distortion")
                .mend("name one property, or a point of it"));
        }
        let mut found = totals(records.iter().copied(), &plane, days);
        if let Some(at) = at {
            let here = found.at(plane.to_plane(at)).cloned();
            found.places = here.into_iter().collect();
        }
        Ok(Some(LaidTotals { counted: self, totals: found, plane, days }))
    }
}

impl LaidTotals<'_> {
    /// Tells them with the records from which they come, as one of the writers of outside formats does.
    pub fn told<T>(&self, write: impl FnOnce(&CountedTotals<'_>) -> T) -> T {
        let Counted { records, things, maps, complete_since } = self.counted;
        let records: Vec<CountedRecord<'_>> = records
            .iter()
            .zip(things)
            .map(|(held, thing)| CountedRecord {
                thing,
                record: &held.record,
                map: maps.get(&held.record.property.name),
            })
            .collect();
        write(&CountedTotals {
            totals: &self.totals,
            plane: &self.plane,
            days: self.days,
            records: &records,
            complete_since,
        })
    }
}
