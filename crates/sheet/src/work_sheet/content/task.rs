//! The tasks: what to measure, how to mix it, what is left of the year.

use crate::Units;
use crate::number::{duration, exact, fixed, measured};
use serde_json::{Value, json};
use std::fmt::Write as _;
use treatment::{Batch, Task, Visit};

/// A run of equal tanks longer than this is one row.
const ROWS: usize = 12;

/// Every task in the order of work; tanks are numbered through the visit.
pub(super) fn tasks(visit: &Visit, units: Units) -> Vec<Value> {
    let mut number = 0;
    visit.tasks.iter().map(|task| of(task, units, &mut number)).collect()
}

fn of(task: &Task, units: Units, number: &mut usize) -> Value {
    let sprayed = task.spray.is_some();
    let mut lines: Vec<(&str, String)> = Vec::new();
    let registration =
        task.registration_number.as_ref().map_or_else(String::new, |number| format!(", reg. no. {number}"));
    lines.push(("Product", format!("{}{registration}; label {}, use {}", task.product, task.label, task.use_row)));
    let mut ground = units.area(task.ground);
    if task.wall.is_positive() {
        let _ = write!(
            ground,
            " of ground and {} of wall, {} in all",
            units.area(task.wall),
            units.area(task.ground + task.wall)
        );
    }
    let _ = write!(ground, ", against {}", task.pest);
    lines.push(("Treats", ground));
    let mut rate = format!("{} ({})", task.rate.show(), task.rate_origin.word());
    if task.rate_after_rounding.value() != task.rate.value() {
        let _ = write!(rate, "; {} after rounding to the measure", task.rate_after_rounding.show());
    }
    if let Some(per_area) = &task.area_rate {
        let _ = write!(rate, "; comes to {}", per_area.show());
    }
    lines.push(("Rate", rate));
    lines.push((
        "Product needed",
        format!(
            "{} by calculation, {} as measured on a measure marked every {}",
            exact(task.product_amount, task.graduation),
            measured(task.measured_amount, task.graduation),
            first_part(&measured(task.graduation, task.graduation))
        ),
    ));
    let mut equipment = task.equipment.clone();
    if let Some(output) = task.output {
        let _ = write!(equipment, ", calibrated at {}", units.output(output));
        if let Some(variation) = task.output_variation {
            let _ = write!(equipment, ", runs vary by {} %", fixed(variation * 100.0, 1));
        }
    }
    let spray = task.spray.map_or_else(String::new, |spray| format!("; {} of spray", units.spray_both(spray)));
    let _ = write!(equipment, "{spray}; {}", duration(task.duration));
    lines.push(("Equipment", equipment));
    let full = task.full_load.filter(|full| !task.batches.contains(full)).map(|full| {
        let spray = full.spray.map_or_else(String::new, |spray| format!(" ({})", units.spray(spray)));
        format!("No load is filled up; a full one{spray} would take {}.", measured(full.measured, task.graduation))
    });
    let steps: Vec<Value> = task
        .mixing
        .iter()
        .map(|step| {
            let by_label = step.origin == sprayer::MixOrigin::Label;
            json!({ "words": super::capital(step.action.words()), "partner": step.partner, "by_label": by_label })
        })
        .collect();
    let doing: Vec<Value> = lines.into_iter().map(|(head, text)| json!([head, text])).collect();
    json!({
        "id": task.id,
        "method": task.method.word().replace('-', " "),
        "sprayed": sprayed,
        "lines": doing,
        "tanks": tanks(task, units, number),
        "full": full,
        "steps": steps,
    })
}

fn first_part(both: &str) -> &str {
    both.split(" (").next().unwrap_or(both)
}

fn tanks(task: &Task, units: Units, number: &mut usize) -> Vec<Value> {
    let mut rows = Vec::new();
    let mut start = 0;
    while start < task.batches.len() {
        let same = task.batches[start..].iter().take_while(|batch| **batch == task.batches[start]).count();
        let run = if same > ROWS { same } else { 1 };
        let first = *number + 1;
        *number += run;
        let name = if run == 1 { first.to_string() } else { format!("{first} to {}, each", *number) };
        rows.push(tank(&task.batches[start], task, units, &name));
        start += run;
    }
    rows
}

fn tank(batch: &Batch, task: &Task, units: Units, name: &str) -> Value {
    let both = measured(batch.measured, task.graduation);
    let (first, second) = both.split_once(" (").unwrap_or((&both, ""));
    json!({
        "number": name,
        "spray": batch.spray.map(|spray| units.spray_both(spray)),
        "measure": first,
        "other": second.trim_end_matches(')'),
        "exact": exact(batch.product, task.graduation),
        "covers": units.area(batch.covers),
    })
}

/// What the year still allows, place by place.
pub(super) fn remaining(visit: &Visit) -> Vec<Value> {
    let of = |task: &Task| -> Vec<Value> {
        task.remaining
            .iter()
            .map(|left| {
                json!({
                    "place": left.place,
                    "task": task.id,
                    "limit": left.limit,
                    "clause": super::clause(left.clause.as_deref(), None),
                    "total": left.total.show(),
                    "cap": left.cap.show(),
                    "left": left.left.show(),
                    "at_lowest": left.more_at_lowest,
                    "lowest": left.lowest_rate.show(),
                    "at_todays": left.more_at_todays,
                    "ends": left.window_ends.to_string(),
                })
            })
            .collect()
    };
    visit.tasks.iter().flat_map(of).collect()
}

/// When each task may be repeated.
pub(super) fn repeats(visit: &Visit) -> Vec<Value> {
    visit
        .tasks
        .iter()
        .filter(|task| task.earliest_repeat.is_some() || task.days_since_previous.is_some())
        .map(|task| {
            let before = task
                .days_since_previous
                .map_or_else(String::new, |days| format!("last treated {days} days before this visit"));
            let repeat = task
                .earliest_repeat
                .map_or_else(String::new, |date| format!("not again before {} ({date})", super::long_date(date)));
            let parts: Vec<String> = [before, repeat].into_iter().filter(|part| !part.is_empty()).collect();
            json!([task.id, parts.join("; ")])
        })
        .collect()
}
