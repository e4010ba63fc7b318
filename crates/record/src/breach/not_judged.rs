//! What of a record nobody could hold against a label, and why: silence about it would read as praise.

use super::{Ground, Judge};
use crate::application::{ApplicationRecord, Breach, Observed};
use crate::fact::Fact;
use label::{Label, Requirements};
use std::collections::BTreeMap;
use treatment::{History, reaches_back, reaches_back_over_interval, reaches_back_over_windows};

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
            if let Some(on) = on
                && has_limits_over_time(&required)
                && !reaches_back(on.past, &required, record.date)
            {
                let what = match on.past {
                    History::Known { complete_since: Some(since), .. } => format!(
                        "limits over time that count days before {since}, since what was applied before is not known"
                    ),
                    _ => "limits over time, since the past of the ground is not known".to_owned(),
                };
                tell(what, &task.id);
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

/// Whether the past reaches back as far as the limit over time counts that a breach passed, so that nothing before it
/// could change what it says; `None` where the task, the label or its use is not known, or the limit is none over time.
pub fn past_is_whole(record: &ApplicationRecord, breach: &Breach, labels: &[Label], past: &History) -> Option<bool> {
    let task = record.task(&breach.task)?;
    let product = task.products.iter().find(|product| product.label == breach.label)?;
    let label = labels.iter().find(|known| known.id == breach.label)?;
    let judge = Judge { task, product, label };
    let required = label::requirements(label, judge.row()?);
    match breach.rule.as_str() {
        "breach::interval" => Some(reaches_back_over_interval(past, &required, record.date)),
        "breach::cap" | "breach::applications" => Some(reaches_back_over_windows(past, &required, record.date)),
        _ => None,
    }
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
