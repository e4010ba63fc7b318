//! What the records of the books put down, laid out on one plane.

use super::{Held, HeldRecord};
use crate::{Book, Filter, LedgerError};
use exchange::kept;
use exchange::totals_json::{CountedRecord, CountedTotals};
use geometry::{GeoPosition, LocalPlane};
use jiff::civil::Date;
use problem::Problem;
use property::Property;
use quantity::{Area, AreaUnit};
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
    /// Whether the records of one client alone are among them.
    of_one_client: bool,
    /// The property on whose ground alone is counted.
    on: Option<Lot>,
}

/// The ground of one property, and the records that were made on it.
#[derive(Debug, Clone)]
struct Lot {
    map: Property,
    /// Of each record, whether it belongs to the property; others count where they lie on its ground.
    own: Vec<bool>,
}

/// Less ground than this is where two drawings touch: half a square foot, as a plan's past counts it.
fn touch() -> Area {
    Area::new(0.05, AreaUnit::SquareMetre)
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
    /// Of each record, whether it counts.
    counts: Vec<bool>,
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
        Ok(Counted { records, things, maps, complete_since, of_one_client: filter.client.is_some(), on: None })
    }

    /// All that lies on a property, to be counted: what belongs to it, and what other records put down on its ground,
    /// whatever they belong to. Days are as the filter says.
    ///
    /// # Errors
    /// The database fails; a body is no record; the map cannot be read.
    pub async fn counted_on(&self, property: &Held<kept::Property>, days: &Filter) -> Result<Counted, LedgerError> {
        let map = property.document.mapped()?;
        // Where its own lie is not asked: a map may have been drawn anew since.
        let near = Filter { near: record::reach(&map), ..days.clone() };
        let mut found = self.counted(&near).await?;
        let linked = self.counted(&Filter { property: Some(property.thing), ..days.clone() }).await?;
        for (held, thing) in linked.records.into_iter().zip(linked.things) {
            if !found.things.contains(&thing) {
                found.records.push(held);
                found.things.push(thing);
            }
        }
        found.maps.extend(linked.maps);
        let name = &property.document.name;
        let is_own = |held: &HeldRecord| match held.indexed.property {
            Some(thing) => thing == property.thing,
            None => held.record.property.name == *name,
        };
        let own = found.records.iter().map(is_own).collect();
        found.complete_since = vec![(name.clone(), property.document.complete_since.map(kept::Day::date))];
        found.on = Some(Lot { map, own });
        Ok(found)
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
        let of_lot = self.on.as_ref().filter(|_| !records.is_empty()).map(|lot| *lot.map.plane());
        let around = at.filter(|_| of_lot.is_none()).map(LocalPlane::around);
        let Some(plane) = of_lot.or(around).or_else(|| records.last().map(|record| record.plane())) else {
            return Ok(None);
        };
        if let Some(far) = beyond(records.iter().copied(), &plane).first() {
            let found = format!("the records of `{}` lie more than 10 km from others", far.property.name);
            return Err(Problem::error("record::far-apart", found)
                .expected("records of one neighbourhood: one plane shows no more without distortion")
                .mend("name one property, or a point of it"));
        }
        let mut found = totals(records.iter().copied(), &plane, days);
        let mut counts = vec![true; records.len()];
        if let Some(lot) = &self.on {
            counts = lot.keep(&mut found);
            if at.is_none() && !counts.contains(&true) {
                return Ok(None);
            }
        }
        if let Some(at) = at {
            let here = found.at(plane.to_plane(at)).cloned();
            found.places = here.into_iter().collect();
        }
        Ok(Some(LaidTotals { counted: self, totals: found, plane, days, counts }))
    }
}

impl Lot {
    /// Leaves of totals what lies on the lot, and tells which of the records count. Ground of its own records counts
    /// whole.
    fn keep(&self, found: &mut Totals) -> Vec<bool> {
        let is_own = |record: usize| self.own.get(record).copied().unwrap_or_default();
        let mut counts = self.own.clone();
        found.off_ground.retain(|off| is_own(off.record));
        for mut place in std::mem::take(&mut found.places) {
            if !place.layers.iter().any(|layer| is_own(layer.record)) {
                let (common, _) = place.ground.cut(self.map.boundary());
                if common.area() < touch() {
                    continue;
                }
                place.area = common.area();
                place.ground = common;
            }
            for layer in &place.layers {
                counts[layer.record] = true;
            }
            found.places.push(place);
        }
        counts
    }
}

impl LaidTotals<'_> {
    /// Tells them with the records from which they come, as one of the writers of outside formats does.
    pub fn told<T>(&self, write: impl FnOnce(&CountedTotals<'_>) -> T) -> T {
        let Counted { records, things, maps, complete_since, of_one_client, on: _ } = self.counted;
        // Records that do not count are not told, and the layers name those that are by their new places.
        let mut told: Vec<CountedRecord<'_>> = Vec::new();
        let mut places = Vec::new();
        for ((held, thing), counts) in records.iter().zip(things).zip(&self.counts) {
            places.push(told.len());
            if *counts {
                told.push(CountedRecord { thing, record: &held.record, map: maps.get(&held.record.property.name) });
            }
        }
        let records = told;
        let mut totals = self.totals.clone();
        let layers = totals.places.iter_mut().flat_map(|place| &mut place.layers).map(|layer| &mut layer.record);
        for record in layers.chain(totals.off_ground.iter_mut().map(|off| &mut off.record)) {
            *record = places.get(*record).copied().unwrap_or_default();
        }
        write(&CountedTotals {
            totals: &totals,
            of_one_client: *of_one_client,
            plane: &self.plane,
            days: self.days,
            records: &records,
            complete_since,
        })
    }
}
