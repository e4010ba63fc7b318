//! The reasons against hours: one line each, with its hours and its sentence.

use crate::Units;
use crate::hours::hours_shown;
use crate::words::{capital, plain};
use jiff::ToSpan as _;
use serde_json::{Value, json};
use treatment::{Hour, HourReason, Origin, Visit};

/// Reasons in the order in which they come first, refusing ones before cautions.
pub(super) fn reasons(visit: &Visit, units: Units) -> Vec<Value> {
    let hours = hours_shown(visit);
    let mut groups: Vec<(&HourReason, Vec<usize>)> = Vec::new();
    for (index, hour) in hours.iter().enumerate() {
        for reason in &hour.reasons {
            let same = |held: &HourReason| {
                (&held.text, &held.clause, held.status) == (&reason.text, &reason.clause, reason.status)
            };
            match groups.iter_mut().find(|(held, _)| same(held)) {
                Some((_, found)) => found.push(index),
                None => groups.push((reason, vec![index])),
            }
        }
    }
    groups.sort_by_key(|(reason, _)| std::cmp::Reverse(reason.status));
    groups
        .into_iter()
        .map(|(reason, found)| {
            json!({
                "status": reason.status.word(),
                "text": capital(&plain(visit, &reason.text)),
                "hours": stretches(&hours, &found, units),
                "origin": (reason.origin != Origin::Label).then(|| reason.origin.word()),
                "clause": super::clause(reason.clause.as_deref(), reason.page),
            })
        })
        .collect()
}

/// `5 am–7 am, 8 pm–9 pm`: hours that follow one another are one stretch.
fn stretches(hours: &[&Hour], found: &[usize], units: Units) -> String {
    let end = |index: usize| {
        let start = hours[index].start;
        start.checked_add(1.hour()).unwrap_or(start)
    };
    let mut all: Vec<(usize, usize)> = Vec::new();
    for index in found {
        match all.last_mut() {
            Some((_, last)) if *last == *index || end(*last) == hours[*index].start => *last = *index,
            _ => all.push((*index, *index)),
        }
    }
    let words: Vec<String> = all
        .into_iter()
        .map(|(first, last)| format!("{}–{}", units.hour(hours[first].start), units.hour(end(last))))
        .collect();
    words.join(", ")
}
