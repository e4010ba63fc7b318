//! The reasons against hours, each with its hours, readings and sentence.

use crate::hours::{clock, hours_shown};
use serde_json::{Value, json};
use treatment::{Hour, HourReason, Visit};

/// Reasons in the order in which they come first, refusing ones before cautions.
pub(super) fn reasons(visit: &Visit) -> Vec<Value> {
    let hours = hours_shown(visit);
    let mut groups: Vec<(&HourReason, Vec<(&Hour, &HourReason)>)> = Vec::new();
    for hour in &hours {
        for reason in &hour.reasons {
            let same = |held: &HourReason| {
                (&held.text, &held.clause, held.status) == (&reason.text, &reason.clause, reason.status)
            };
            match groups.iter_mut().find(|(held, _)| same(held)) {
                Some((_, found)) => found.push((hour, reason)),
                None => groups.push((reason, vec![(hour, reason)])),
            }
        }
    }
    groups.sort_by_key(|(reason, _)| std::cmp::Reverse(reason.status));
    groups
        .into_iter()
        .map(|(reason, found)| {
            let readings = readings(&found);
            json!({
                "status": reason.status.word(),
                "text": super::capital(&reason.text),
                "readings": readings,
                "origin": reason.origin.word(),
                "clause": super::clause(reason.clause.as_deref(), reason.page),
            })
        })
        .collect()
}

/// `11:00, 12:00: 13 mph against 10 mph`: hours with one reading stand together.
fn readings(found: &[(&Hour, &HourReason)]) -> Vec<Value> {
    let mut groups: Vec<(&str, Vec<String>)> = Vec::new();
    for (hour, reason) in found {
        match groups.iter_mut().find(|(detail, _)| *detail == reason.detail) {
            Some((_, hours)) => hours.push(clock(hour.start)),
            None => groups.push((&reason.detail, vec![clock(hour.start)])),
        }
    }
    groups.into_iter().map(|(detail, hours)| json!([hours.join(", "), detail])).collect()
}
