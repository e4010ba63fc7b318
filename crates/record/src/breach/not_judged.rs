//! What of a record nobody could hold against a label, and why: silence about it would read as praise.

use super::{Ground, Judge};
use crate::application::{ApplicationRecord, Observed};
use crate::fact::Fact;
use label::{Label, Requirements};
use std::collections::BTreeMap;
use treatment::History;

/// What of a record could not be held against the labels, a sentence each without its full stop: products whose label
/// is not in hand, what the map or the past would tell, and weather that a label limits and nobody recorded.
///
/// Only binding sentences of labels count.
pub fn not_judged(record: &ApplicationRecord, labels: &[Label], on: Option<Ground<'_>>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    // One sentence for all tasks of which it is true.
    let mut of_tasks: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    let mut tell = |what: String, task| {
        let tasks = of_tasks.entry(what).or_default();
        if !tasks.contains(&task) {
            tasks.push(task);
        }
    };
    for task in &record.tasks {
        for product in &task.products {
            let id = &product.label;
            let Some(label) = labels.iter().find(|label| label.id == *id) else {
                tell(format!("{} by its label `{id}`, which is not in hand", product.name), &task.id);
                continue;
            };
            let judge = Judge { task, product, label };
            let Some(row) = judge.row() else { continue };
            let required = label::requirements(label, row);
            if matches!(product.rate, Fact::Absent) {
                tell(
                    format!("{} by the rates of its label, since the rate as applied is not recorded", product.name),
                    &task.id,
                );
            }
            for what in not_seen(&required, record) {
                tell(what, &task.id);
            }
            let has_distances =
                required.buffers.iter().any(|buffer| buffer.clause.strength == label::Strength::Mandatory);
            if on.is_some() && has_distances && task.region().is_empty() {
                tell("distances from features of the map, since the places are not drawn".to_owned(), &task.id);
            }
            if on.is_some_and(|on| matches!(on.past, History::Unknown)) && has_limits_over_time(&required) {
                tell("limits over time, since the past of the ground is not known".to_owned(), &task.id);
            }
        }
    }
    found.extend(of_tasks.into_iter().map(|(what, tasks)| format!("{}: {what}", tasks.join(", "))));
    if on.is_none() {
        found.push(format!(
            "distances, sites on the map and limits over time, since no map of `{}` is in hand",
            record.property.name
        ));
    }
    found
}

fn has_limits_over_time(required: &Requirements) -> bool {
    !required.caps.is_empty()
        || !required.maximum_applications.is_empty()
        || required.minimum_interval_days.mandatory.is_some()
}

/// Weather that a label limits and nobody recorded.
fn not_seen(required: &Requirements, record: &ApplicationRecord) -> Vec<String> {
    let limits_wind = required.wind.at_least.mandatory.is_some() || required.wind.at_most.mandatory.is_some();
    let limits_air =
        required.temperature.at_least.mandatory.is_some() || required.temperature.at_most.mandatory.is_some();
    let missing = |seen: &Observed, when: &str| {
        let wind = limits_wind && matches!(seen.wind, Fact::Absent);
        let gusts = required.gusts_at_most.mandatory.is_some() && matches!(seen.gust, Fact::Absent);
        let air = limits_air && matches!(seen.temperature, Fact::Absent);
        let each = [(wind, "wind"), (gusts, "gusts"), (air, "air temperature")];
        let names: Vec<&str> = each.iter().filter(|(is_missing, _)| *is_missing).map(|(_, name)| *name).collect();
        (!names.is_empty()).then(|| format!("{} {when}, since it is not recorded", names.join(", ")))
    };
    let seen = [(&record.weather_at_start, "at the start"), (&record.weather_at_end, "at the end")];
    seen.into_iter().filter_map(|(seen, when)| missing(seen, when)).collect()
}
