//! Notices, re-entry, counts, leftovers, breaches, and where the record came from.

use super::amount::{AmountJson, number};
use super::fact::{FactJson, fact_of};
use super::moment;
use super::reading::Reading;
use quantity::{Area, AreaUnit, Duration, DurationUnit, Volume, VolumeUnit};
use record::{Became, Breach, Difference, Leftover, NoticeGiven, PlannedVisit, ReEntry, TargetCounts};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A notice given, or a sign put up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NoticeGivenJson {
    /// To whom, or where the sign stood.
    pub to: String,
    /// How.
    pub how: String,
    /// When, RFC 3339.
    pub given: FactJson<String>,
}

impl From<&NoticeGiven> for NoticeGivenJson {
    fn from(notice: &NoticeGiven) -> Self {
        Self { to: notice.to.clone(), how: notice.how.clone(), given: moment::moment_fact(&notice.given) }
    }
}

impl NoticeGivenJson {
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<NoticeGiven> {
        let given = self.given.read(|text| reading.moment(&format!("{path}.given.recorded"), &text))?;
        Some(NoticeGiven { to: self.to, how: self.how, given })
    }
}

/// When people and pets may come back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReEntryJson {
    /// Not before, RFC 3339; null while the end of the application is not recorded.
    pub not_before: Option<String>,
    /// So long after the end at least, minutes, when a label states a time.
    pub at_least_min: Option<f64>,
    /// And not before this is so as well.
    pub conditions: Vec<String>,
}

impl From<&ReEntry> for ReEntryJson {
    fn from(re_entry: &ReEntry) -> Self {
        Self {
            not_before: re_entry.not_before.map(moment::text),
            at_least_min: re_entry.at_least.map(|time| number(time.to(DurationUnit::Minute))),
            conditions: re_entry.conditions.clone(),
        }
    }
}

impl ReEntryJson {
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<ReEntry> {
        let not_before = match self.not_before {
            None => Some(None),
            Some(text) => reading.moment(&format!("{path}.not_before"), &text).map(Some),
        };
        let at_least = match self.at_least_min {
            None => Some(None),
            Some(value) => reading
                .not_below_nothing(&format!("{path}.at_least_min"), value)
                .map(|value| Some(Duration::new(value, DurationUnit::Minute))),
        };
        Some(ReEntry { not_before: not_before?, at_least: at_least?, conditions: self.conditions })
    }
}

/// Counts of the target pest before the application.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TargetCountsJson {
    /// The pest.
    pub pest: String,
    /// One count a station.
    pub counts: Vec<u32>,
    /// The area that one count covers, square metres.
    pub count_area_m2: Option<f64>,
}

impl From<&TargetCounts> for TargetCountsJson {
    fn from(counts: &TargetCounts) -> Self {
        Self {
            pest: counts.pest.clone(),
            counts: counts.counts.clone(),
            count_area_m2: counts.count_area.map(|area| number(area.to(AreaUnit::SquareMetre))),
        }
    }
}

impl TargetCountsJson {
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<TargetCounts> {
        let count_area = match self.count_area_m2 {
            None => None,
            Some(value) => {
                let value = reading.not_below_nothing(&format!("{path}.count_area_m2"), value)?;
                Some(Area::new(value, AreaUnit::SquareMetre))
            }
        };
        Some(TargetCounts { pest: self.pest, counts: self.counts, count_area })
    }
}

/// Mix or product that was made ready and not put down on its task's ground.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeftoverJson {
    /// The task for which it was made.
    pub task: String,
    /// The tank in which it was left, from 1; left out for the last that was filled, and for dry products of all loads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tank: Option<usize>,
    /// Spray left, litres; null for dry products.
    pub spray_l: Option<f64>,
    /// Product in it, in the order of the task's products.
    pub products: Vec<AmountJson>,
    /// What became of it.
    pub became: FactJson<BecameJson>,
}

/// What became of a leftover.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BecameJson {
    /// It was put down as this further task of the record.
    AppliedAsTask(String),
    /// It is kept for the next use: where and how, in words.
    Kept(String),
    /// It was taken to a disposal programme: which, in words.
    HandedIn(String),
    /// Anything else, in words.
    Other(String),
}

impl From<&Leftover> for LeftoverJson {
    fn from(leftover: &Leftover) -> Self {
        Self {
            task: leftover.task.clone(),
            tank: leftover.tank,
            spray_l: leftover.spray.map(|spray| number(spray.to(VolumeUnit::Litre))),
            products: leftover.products.iter().map(|amount| (*amount).into()).collect(),
            became: fact_of(&leftover.became, |became| match became {
                Became::Applied(task) => BecameJson::AppliedAsTask(task.clone()),
                Became::Kept(words) => BecameJson::Kept(words.clone()),
                Became::HandedIn(words) => BecameJson::HandedIn(words.clone()),
                Became::Other(words) => BecameJson::Other(words.clone()),
            }),
        }
    }
}

impl LeftoverJson {
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<Leftover> {
        let spray = match self.spray_l {
            None => None,
            Some(value) => {
                let value = reading.not_below_nothing(&format!("{path}.spray_l"), value)?;
                Some(Volume::new(value, VolumeUnit::Litre))
            }
        };
        let became = self.became.plain();
        Some(Leftover {
            task: self.task,
            tank: self.tank,
            spray,
            products: AmountJson::read_all(self.products, &format!("{path}.products"), reading)?,
            became: became.map(|became| match became {
                BecameJson::AppliedAsTask(task) => Became::Applied(task),
                BecameJson::Kept(words) => Became::Kept(words),
                BecameJson::HandedIn(words) => Became::HandedIn(words),
                BecameJson::Other(words) => Became::Other(words),
            }),
        })
    }
}

/// Something done against a label.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BreachJson {
    /// Stable code of the rule.
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

impl From<&Breach> for BreachJson {
    fn from(breach: &Breach) -> Self {
        let Breach { rule, task, label, text, clause, page } = breach.clone();
        Self { rule, task, label, text, clause, page }
    }
}

impl BreachJson {
    pub(super) fn into_breach(self) -> Breach {
        let Self { rule, task, label, text, clause, page } = self;
        Breach { rule, task, label, text, clause, page }
    }
}

/// The planned visit behind a record.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedVisitJson {
    /// What it was called.
    pub name: String,
    /// The date planned, ISO 8601.
    pub date: String,
    /// By what it is found where visits are kept.
    pub reference: Option<String>,
}

impl From<&PlannedVisit> for PlannedVisitJson {
    fn from(visit: &PlannedVisit) -> Self {
        Self { name: visit.name.clone(), date: visit.date.to_string(), reference: visit.reference.clone() }
    }
}

/// Something that was done otherwise than planned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DifferenceJson {
    /// What differed.
    pub subject: String,
    /// As planned, in words.
    pub planned: String,
    /// As done, in words.
    pub done: String,
}

impl From<&Difference> for DifferenceJson {
    fn from(difference: &Difference) -> Self {
        let Difference { subject, planned, done } = difference.clone();
        Self { subject, planned, done }
    }
}

impl DifferenceJson {
    pub(super) fn into_difference(self) -> Difference {
        let Self { subject, planned, done } = self;
        Difference { subject, planned, done }
    }
}
