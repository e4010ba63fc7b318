//! The tasks: what to measure, how to mix it, what is left of the year.

use crate::Units;
use crate::number::{duration, exact, fixed, measured};
use crate::words::{capital, place};
use quantity::counted;
use serde_json::{Value, json};
use sprayer::{MixAction, MixOrigin};
use std::fmt::Write as _;
use treatment::{Batch, Task, TaskProduct, Visit};

/// The product with its registration number, where every task has it alone in the tank.
pub(super) fn common_product(visit: &Visit) -> Option<String> {
    let (first, others) = visit.tasks.split_first()?;
    let same = |task: &Task| {
        task.partners.is_empty()
            && (&task.product.label, &task.product.name) == (&first.product.label, &first.product.name)
    };
    (first.partners.is_empty() && others.iter().all(same)).then(|| named(&first.product))
}

/// A product with its registration number, its signal word and what it holds.
pub(super) fn named(product: &TaskProduct) -> String {
    let mut text = product.name.clone();
    if let Some(number) = &product.registration_number {
        let _ = write!(text, ", reg. no. {number}");
    }
    if !product.signal_word.printed().is_empty() {
        let _ = write!(text, ", signal word {}", product.signal_word.printed());
    }
    for ingredient in &product.active_ingredients {
        let _ = write!(text, "; {}", ingredient.name);
        if let Some(group) = &ingredient.group {
            let _ = write!(text, " (group {group})");
        }
    }
    text
}

/// Every task in the order of work; tanks are numbered through the visit.
pub(super) fn tasks(visit: &Visit, units: Units) -> Vec<Value> {
    let mut number = 0;
    let has_common = common_product(visit).is_some();
    visit.tasks.iter().map(|task| of(task, units, has_common, &mut number)).collect()
}

fn of(task: &Task, units: Units, has_common: bool, number: &mut usize) -> Value {
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
    let mut lines: Vec<(&str, String)> = Vec::new();
    for product in task.products() {
        if !has_common {
            lines.push(("Product", named(product)));
        }
        lines.push(("Rate", rate(product)));
        if !task.partners.is_empty() {
            lines.push(("In all", in_all(product)));
        }
    }
    let mut equipment = task.equipment.clone();
    if let Some(output) = task.output {
        let _ = write!(equipment, ", calibrated at {}", units.output(output));
        if let Some(variation) = task.output_variation {
            let _ = write!(equipment, " (runs vary by {} %)", fixed(variation * 100.0, 1));
        }
    }
    if let Some(spray) = task.spray {
        let _ = write!(equipment, "; {} of spray", units.spray_both(spray));
    }
    if task.partners.is_empty() {
        let _ = write!(equipment, "; {}", in_all(&task.product));
    }
    let _ = write!(equipment, "; {}", duration(task.duration));
    lines.push(("With", equipment));
    let doing: Vec<Value> = lines.into_iter().map(|(head, text)| json!([head, text])).collect();
    json!({
        "id": task.id,
        "method": task.method.word().replace('-', " "),
        "ground": ground,
        "sprayed": task.spray.is_some(),
        "lines": doing,
        "tanks": tanks(task, units, number),
        "mixture": !task.partners.is_empty(),
        "mixing": mixing(task),
    })
}

fn in_all(product: &TaskProduct) -> String {
    let mark = measured(product.graduation, product.graduation);
    let mark = mark.split(" (").next().unwrap_or(&mark);
    format!("{} of product, marks every {mark}", measured(product.measured, product.graduation))
}

fn rate(product: &TaskProduct) -> String {
    let mut rate = format!("{} ({}), use {}", product.rate.show(), product.rate_origin.word(), product.use_row);
    if product.rate_as_measured.show() != product.rate.show() {
        let _ = write!(rate, "; {} as measured", product.rate_as_measured.show());
    }
    if let Some(per_area) = &product.area_rate {
        let _ = write!(rate, "; comes to {}", per_area.show());
    }
    rate
}

/// The steps for one tank, and apart from them the label's own words where they tell the same order.
fn mixing(task: &Task) -> Value {
    let alone = task.partners.is_empty();
    let mut label = None;
    let mut steps: Vec<Value> = Vec::new();
    for step in &task.mixing {
        let words = match &step.action {
            MixAction::FollowLabel(words) if alone => {
                label = Some(words.clone());
                continue;
            }
            MixAction::FillHalf => "about half the water of the tank, clean",
            MixAction::Add if alone => "the product as in the table for this tank",
            MixAction::TopUp => "water to the tank mark of the table",
            action => action.words(),
        };
        let partner = if alone { None } else { step.partner.as_ref() };
        let by_label = step.origin == MixOrigin::Label;
        steps.push(json!({ "words": capital(words), "partner": partner, "by_label": by_label }));
    }
    json!({ "label": label, "steps": steps })
}

/// One row for each product of each run of equal tanks.
fn tanks(task: &Task, units: Units, number: &mut usize) -> Vec<Value> {
    let mut rows = Vec::new();
    let mut start = 0;
    let alike = |a: usize, b: usize| {
        task.products().all(|product| product.batches.get(a).is_some_and(|one| product.batches.get(b) == Some(one)))
    };
    while start < task.loads() {
        let run = (start..task.loads()).take_while(|index| alike(start, *index)).count().max(1);
        let first = *number + 1;
        *number += run;
        let name = if run == 1 { first.to_string() } else { format!("{first}–{}, each", *number) };
        for (place, product) in task.products().enumerate() {
            let Some(batch) = product.batches.get(start) else { continue };
            rows.push(tank(batch, product, units, (place == 0).then_some((&name, run))));
        }
        start += run;
    }
    rows
}

/// `run` has the numbers of the tanks and how many they are, on the row of their first product.
fn tank(batch: &Batch, product: &TaskProduct, units: Units, run: Option<(&String, usize)>) -> Value {
    let both = measured(batch.measured, product.graduation);
    let (first, second) = both.split_once(" (").unwrap_or((&both, ""));
    json!({
        "number": run.map(|(name, _)| name),
        "count": run.map_or(0, |(_, count)| count),
        "product": product.name,
        "spray": run.and(batch.spray).map(|spray| units.spray_both(spray)),
        "measure": first,
        "other": second.trim_end_matches(')'),
        "exact": exact(batch.product, product.graduation),
        "covers": run.map(|_| units.area(batch.covers)),
    })
}

/// What the year still allows and when, place by place, and the sentences that limit it, each once.
pub(super) fn remaining(visit: &Visit, units: Units) -> Value {
    let mut limits: Vec<String> = Vec::new();
    let mut rows: Vec<Value> = Vec::new();
    for task in &visit.tasks {
        for product in task.products() {
            let next = product.next_lawful.or(product.earliest_repeat).map(|date| units.long_date(date));
            let before = product
                .days_since_previous
                .map(|days| format!("last treated {} before this visit", counted(days, "day", "days")));
            let name = (!task.partners.is_empty()).then_some(&product.name);
            for left in &product.remaining {
                let limit = format!(
                    "{}, {} until {}{}",
                    capital(&left.limit),
                    left.cap.show(),
                    units.date(left.window_ends),
                    super::clause(left.clause.as_deref(), None)
                        .map_or_else(String::new, |clause| format!(": {clause}"))
                );
                if !limits.contains(&limit) {
                    limits.push(limit.clone());
                }
                let mark = limits.iter().position(|held| *held == limit).unwrap_or(0) + 1;
                rows.push(json!({
                    "place": place(visit, &left.place),
                    "product": name,
                    "left": left.left.show(),
                    "total": left.total.show(),
                    "mark": mark.to_string(),
                    "at_lowest": left.more_at_lowest,
                    "lowest": left.lowest_rate.show(),
                    "at_todays": left.more_at_todays,
                    "next": next,
                    "before": before,
                }));
            }
            if product.remaining.is_empty() && (next.is_some() || before.is_some()) {
                rows.push(json!({
                    "place": task.id, "product": name, "left": null, "next": next, "before": before,
                }));
            }
        }
    }
    json!({ "limits": limits, "rows": rows })
}
