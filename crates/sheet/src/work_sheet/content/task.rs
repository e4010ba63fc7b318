//! The tasks: what to measure, how to mix it, what is left of the year.

use crate::Units;
use crate::number::{duration, exact, fixed, measured};
use serde_json::{Value, json};
use std::fmt::Write as _;
use treatment::{Batch, Task, TaskProduct, Visit};

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
    let mut ground = units.area(task.ground);
    if task.wall.is_positive() {
        let _ = write!(
            ground,
            " of ground and {} of wall, {} in all",
            units.area(task.wall),
            units.area(task.ground + task.wall)
        );
    }
    let _ = write!(ground, ", against {}", task.product.pest);
    lines.push(("Treats", ground));
    for product in task.products() {
        product_lines(product, &mut lines);
    }
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
        "loads": task.loads(),
        "mixture": !task.partners.is_empty(),
        "steps": steps,
    })
}

fn product_lines(product: &TaskProduct, lines: &mut Vec<(&str, String)>) {
    let registration =
        product.registration_number.as_ref().map_or_else(String::new, |number| format!(", reg. no. {number}"));
    lines
        .push(("Product", format!("{}{registration}; label {}, use {}", product.name, product.label, product.use_row)));
    let mut rate = format!("{} ({})", product.rate.show(), product.rate_origin.word());
    if product.rate_after_rounding.value() != product.rate.value() {
        let _ = write!(rate, "; {} after rounding to the measure", product.rate_after_rounding.show());
    }
    if let Some(per_area) = &product.area_rate {
        let _ = write!(rate, "; comes to {}", per_area.show());
    }
    lines.push(("Rate", rate));
    lines.push((
        "Product needed",
        format!(
            "{} by calculation, {} as measured on a measure marked every {}",
            exact(product.amount, product.graduation),
            measured(product.measured, product.graduation),
            first_part(&measured(product.graduation, product.graduation))
        ),
    ));
}

fn first_part(both: &str) -> &str {
    both.split(" (").next().unwrap_or(both)
}

/// One row for each product of each tank; equal tanks may share their rows.
fn tanks(task: &Task, units: Units, number: &mut usize) -> Vec<Value> {
    let mut rows = Vec::new();
    let mut start = 0;
    let alike = |a: usize, b: usize| {
        task.products().all(|product| product.batches.get(a).is_some_and(|one| product.batches.get(b) == Some(one)))
    };
    while start < task.loads() {
        let same = (start..task.loads()).take_while(|index| alike(start, *index)).count();
        let run = if same > ROWS { same } else { 1 };
        let first = *number + 1;
        *number += run;
        let name = if run == 1 { first.to_string() } else { format!("{first} to {}, each", *number) };
        for (place, product) in task.products().enumerate() {
            let Some(batch) = product.batches.get(start) else { continue };
            rows.push(tank(batch, product, units, (place == 0).then_some(&name)));
        }
        start += run;
    }
    rows
}

/// `name` is that of the tank, on the row of its first product.
fn tank(batch: &Batch, product: &TaskProduct, units: Units, name: Option<&String>) -> Value {
    let both = measured(batch.measured, product.graduation);
    let (first, second) = both.split_once(" (").unwrap_or((&both, ""));
    json!({
        "number": name,
        "product": product.name,
        "spray": name.and(batch.spray).map(|spray| units.spray_both(spray)),
        "measure": first,
        "other": second.trim_end_matches(')'),
        "exact": exact(batch.product, product.graduation),
        "covers": name.map(|_| units.area(batch.covers)),
    })
}

/// What the year still allows, place by place.
pub(super) fn remaining(visit: &Visit) -> Vec<Value> {
    let of = |task: &Task, product: &TaskProduct| -> Vec<Value> {
        product
            .remaining
            .iter()
            .map(|left| {
                json!({
                    "place": left.place,
                    "task": task.id,
                    "product": product.name,
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
    visit.tasks.iter().flat_map(|task| task.products().flat_map(move |product| of(task, product))).collect()
}

/// When each product may be applied again, by its label's interval.
pub(super) fn repeats(visit: &Visit) -> Vec<Value> {
    let of = |task: &Task, product: &TaskProduct| -> Option<Value> {
        let before = product
            .days_since_previous
            .map_or_else(String::new, |days| format!("last treated {days} days before this visit"));
        let repeat = product
            .earliest_repeat
            .map_or_else(String::new, |date| format!("not again before {} ({date})", super::long_date(date)));
        let parts: Vec<String> = [before, repeat].into_iter().filter(|part| !part.is_empty()).collect();
        let place = if task.partners.is_empty() { task.id.clone() } else { format!("{}, {}", task.id, product.name) };
        (!parts.is_empty()).then(|| json!([place, parts.join("; ")]))
    };
    visit.tasks.iter().flat_map(|task| task.products().filter_map(move |product| of(task, product))).collect()
}
