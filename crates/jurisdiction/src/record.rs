//! What a record must say: who demands it, by when, and what one record lacks.

use crate::{Binding, Circumstances, CompleteBy, Demand, Known, RecordField, RuleSet};
use jiff::civil::{Date, DateTime, Time};
use std::collections::BTreeSet;

/// What all rules that bind an application demand of its record.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordDemands<'r> {
    /// Each demand once, in the order of a record.
    pub fields: Vec<RequiredField<'r>>,
}

/// A demand on a record, and the rules that make it.
#[derive(Debug, Clone, PartialEq)]
pub struct RequiredField<'r> {
    /// One of these is enough.
    pub any_of: BTreeSet<RecordField>,
    /// Who demands it, and by when as far as the rule says.
    pub demanded_by: Vec<(Binding<'r>, Option<CompleteBy>)>,
}

impl<'r> RequiredField<'r> {
    /// The strictest moment by which it must be recorded for an application that ended at `ended`, and the
    /// rule that sets it; `None` when no rule known sets one.
    pub fn by(&self, ended: DateTime) -> Option<(DateTime, Binding<'r>)> {
        self.demanded_by
            .iter()
            .filter_map(|(binding, by)| Some((by.as_ref()?.moment(ended), *binding)))
            .min_by_key(|(moment, _)| *moment)
    }
}

/// What a record has of a field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Presence {
    /// It is recorded.
    Recorded,
    /// It is said that there is nothing to record: nobody supervised, nothing was disposed of.
    DoesNotArise,
    /// It is missing.
    Absent,
}

/// Something that a record lacks.
#[derive(Debug, Clone, PartialEq)]
pub struct Lacking<'r> {
    /// One of these is enough.
    pub any_of: BTreeSet<RecordField>,
    /// The rules that demand it.
    pub demanded_by: Vec<Binding<'r>>,
    /// By when, and the rule that says so; `None` when no rule known sets a time.
    pub by: Option<(DateTime, Binding<'r>)>,
}

impl Lacking<'_> {
    /// Whether the moment by which it was to be recorded has passed when `today` begins, on the clock of the place.
    /// What no rule known sets a time for is never overdue.
    pub fn is_overdue(&self, today: Date) -> bool {
        self.by.is_some_and(|(moment, _)| moment <= today.to_datetime(Time::midnight()))
    }
}

impl<'r> RecordDemands<'r> {
    /// What a record lacks; `has` tells what it has of a field, `ended` is the end of the application.
    pub fn lacking(&self, has: impl Fn(RecordField) -> Presence, ended: DateTime) -> Vec<Lacking<'r>> {
        self.fields
            .iter()
            .filter(|field| field.any_of.iter().all(|field| has(*field) == Presence::Absent))
            .map(|field| Lacking {
                any_of: field.any_of.clone(),
                demanded_by: field.demanded_by.iter().map(|(binding, _)| *binding).collect(),
                by: field.by(ended),
            })
            .collect()
    }
}

/// What the record of an application must say, by all rules known that bind it.
pub fn record_demands<'r>(rules: &'r RuleSet, circumstances: &Circumstances) -> Known<RecordDemands<'r>> {
    let mut fields: Vec<RequiredField<'r>> = Vec::new();
    for binding in rules.binding_on(circumstances) {
        let Demand::Record(record) = &binding.rule.demand else { continue };
        for any_of in record.fields() {
            let demand = (binding, record.complete_by);
            match fields.iter_mut().find(|field| field.any_of == *any_of) {
                // A rule may name a field twice; it demands it once.
                Some(field) if field.demanded_by.contains(&demand) => {}
                Some(field) => field.demanded_by.push(demand),
                None => fields.push(RequiredField { any_of: any_of.clone(), demanded_by: vec![demand] }),
            }
        }
    }
    fields.sort_by(|one, other| one.any_of.cmp(&other.any_of));
    Known::of(fields).demanded().map_or(Known::NoRuleKnown, |fields| Known::Demanded(RecordDemands { fields }))
}
