//! The record of an application: what was done at one property on one day.

use crate::fact::Fact;
use crate::task::TaskRecord;
use geometry::{GeoPosition, LocalPlane};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use quantity::{Area, Bearing, Duration, DurationUnit, Speed, Temperature};
use std::collections::BTreeSet;
use std::fmt;

/// What was done at one property on one day, as plain data. It is a record of the truth: what was done
/// against a label is kept all the same and says so ([`ApplicationRecord::breaches`]).
#[derive(Debug, Clone, PartialEq)]
pub struct ApplicationRecord {
    /// What it is called: the name of its visit.
    pub name: String,
    /// For whom it was applied.
    pub client: Fact<String>,
    /// The client's address.
    pub client_address: Fact<String>,
    /// The place of the application in words: an address, or where on it.
    pub location: Fact<String>,
    /// The mapped property.
    pub property: PropertyReference,
    /// The day of the application.
    pub date: Date,
    /// When it began.
    pub started: Fact<Moment>,
    /// When it ended.
    pub ended: Fact<Moment>,
    /// What was done, in the order done.
    pub tasks: Vec<TaskRecord>,
    /// The weather seen at the start.
    pub weather_at_start: Observed,
    /// The weather seen at the end.
    pub weather_at_end: Observed,
    /// Who applied it.
    pub applicator: Fact<String>,
    /// The number of the certificate of who applied or answers for it.
    pub certification_number: Fact<String>,
    /// The certified applicator who supervised.
    pub supervisor: Fact<String>,
    /// The noncertified applicator who applied under supervision.
    pub noncertified_applicator: Fact<String>,
    /// Notices given and signs put up.
    pub notices: Fact<Vec<NoticeGiven>>,
    /// When people and pets may come back.
    pub re_entry: Fact<ReEntry>,
    /// Counts of the target pest.
    pub target_counts: Fact<TargetCounts>,
    /// Spills, exposure, drift, and what was done about it.
    pub unexpected: Fact<String>,
    /// What was disposed of, and how.
    pub disposal: Fact<String>,
    /// Mix or product that was made ready and not put down on the tasks' ground.
    pub leftover: Fact<Vec<Leftover>>,
    /// What of it was against a label, as far as that was shown.
    pub breaches: Vec<Breach>,
    /// What could not be held against a label, and why; a sentence each, without its full stop.
    pub not_judged: Vec<String>,
    /// Where it came from, and what differed from the plan.
    pub provenance: Provenance,
}

impl ApplicationRecord {
    /// The plane in which its ground lies.
    pub fn plane(&self) -> LocalPlane {
        LocalPlane::around(self.property.origin)
    }

    /// How many sentences of labels, or rules without one, it passed: one that several tasks passed counts once.
    pub fn sentences_passed(&self) -> usize {
        let passed: BTreeSet<_> = self.breaches.iter().map(|one| (&one.label, &one.rule, &one.clause)).collect();
        passed.len()
    }

    /// The task of a name.
    pub fn task(&self, id: &str) -> Option<&TaskRecord> {
        self.tasks.iter().find(|task| task.id == id)
    }
}

/// The mapped property on which it was done.
#[derive(Debug, Clone, PartialEq)]
pub struct PropertyReference {
    /// What the property is called.
    pub name: String,
    /// Where the plane of its map touches the earth: all ground of the record lies in that plane.
    pub origin: GeoPosition,
}

/// A time on the clock of the place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moment {
    /// As the clock shows it.
    pub local: DateTime,
    /// How far that clock is from universal time.
    pub offset: Offset,
}

impl Moment {
    /// The instant; the end of time, or its beginning, where the calendar ends.
    pub fn instant(self) -> Timestamp {
        self.offset.to_timestamp(self.local).unwrap_or(if self.local.year() > 0 {
            Timestamp::MAX
        } else {
            Timestamp::MIN
        })
    }

    /// So much later, to the minute, rounded up.
    #[must_use]
    pub fn later(self, by: Duration) -> Self {
        let minutes = by.to(DurationUnit::Minute).ceil() as i64;
        let local = self.local.checked_add(jiff::SignedDuration::from_mins(minutes)).unwrap_or(DateTime::MAX);
        Self { local, ..self }
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {:02}:{:02}", self.local.date(), self.local.hour(), self.local.minute())
    }
}

/// The weather as somebody saw or measured it on the spot.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Observed {
    /// Where the wind came from; does not arise in a calm.
    pub wind_from: Fact<Bearing>,
    /// Wind speed.
    pub wind: Fact<Speed>,
    /// Gusts.
    pub gust: Fact<Speed>,
    /// Air temperature.
    pub temperature: Fact<Temperature>,
    /// Anything else of the weather, in words.
    pub remarks: Fact<String>,
}

/// A notice given, or a sign put up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoticeGiven {
    /// To whom, or where the sign stood.
    pub to: String,
    /// How: by telephone, by letter, by sign.
    pub how: String,
    /// When.
    pub given: Fact<Moment>,
}

/// When people and pets may come back.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReEntry {
    /// Not before; `None` while the end of the application is not recorded.
    pub not_before: Option<Moment>,
    /// So long after the end at least, when a label states a time.
    pub at_least: Option<Duration>,
    /// And not before this is so as well, such as `the spray has dried`.
    pub conditions: Vec<String>,
}

/// Counts of the target pest before the application.
#[derive(Debug, Clone, PartialEq)]
pub struct TargetCounts {
    /// The pest.
    pub pest: String,
    /// One count a station.
    pub counts: Vec<u32>,
    /// The area that one count covers.
    pub count_area: Option<Area>,
}

/// Mix or product that was made ready and not put down on its task's ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Leftover {
    /// The task for which it was made.
    pub task: String,
    /// The tank in which it was left, from 1; `None` for the last that was filled, and for dry products of all loads.
    pub tank: Option<usize>,
    /// Spray left; `None` for dry products.
    pub spray: Option<quantity::Volume>,
    /// Product in it, in the order of the task's products.
    pub products: Vec<quantity::Amount>,
    /// What became of it.
    pub became: Fact<Became>,
}

/// What became of a leftover.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Became {
    /// It was put down as this further task of the record.
    Applied(String),
    /// It is kept for the next use: where and how, in words.
    Kept(String),
    /// It was taken to a disposal programme: which, in words.
    HandedIn(String),
    /// Anything else, in words.
    Other(String),
}

/// Something done against a label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Breach {
    /// Stable code of the rule, such as `breach::maximum-single`.
    pub rule: String,
    /// The task.
    pub task: String,
    /// The label.
    pub label: String,
    /// The sentence a person reads.
    pub text: String,
    /// The sentence of the label.
    pub clause: String,
    /// Its page.
    pub page: Option<u32>,
}

impl Breach {
    /// Whether it rests on what lay there before.
    pub fn is_of_the_past(&self) -> bool {
        ["breach::cap", "breach::applications", "breach::interval"].contains(&self.rule.as_str())
    }
}

/// Where a record came from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Provenance {
    /// The planned visit; `None` for what was done without a plan.
    pub visit: Option<PlannedVisit>,
    /// What differed from it.
    pub differences: Vec<Difference>,
}

/// The planned visit behind a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlannedVisit {
    /// What it was called.
    pub name: String,
    /// The date planned.
    pub date: Date,
    /// By what it is found where visits are kept.
    pub reference: Option<String>,
}

/// Something that was done otherwise than planned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What differed, such as `task lawn, tank 3, Brackwater 1 SC`.
    pub subject: String,
    /// As planned, in words.
    pub planned: String,
    /// As done, in words.
    pub done: String,
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_moment_is_an_instant_by_its_offset() {
        let moment = Moment { local: date(2026, 7, 7).at(8, 39, 0, 0), offset: jiff::tz::offset(-5) };
        assert_eq!(moment.instant().to_string(), "2026-07-07T13:39:00Z");
        let later = moment.later(Duration::new(2.01, DurationUnit::Hour));
        assert_eq!(later.to_string(), "2026-07-07 10:40");
    }
}
