//! A record as planned, and what differed: the record as done.

use crate::actual::{Actual, ActualTank, ActualTask};
use crate::application::{ApplicationRecord, Difference, Observed};
use crate::difference::differences;
use crate::fact::Fact;
use crate::from_visit::without_seams;
use crate::left_over::{LeftOvers, is_nothing};
use crate::settle::settle;
use crate::task::{Fill, ProductRecord, Tank, TankTold, TaskRecord, TreatedZone};
use problem::{Problem, Problems};
use quantity::Amount;
use std::cmp::Ordering;
use treatment::ZoneKind;

/// The record as done: what differed, applied to the record as planned. The list of differences stands in
/// its [`crate::Provenance`].
///
/// # Errors
/// Names that lead nowhere and amounts that cannot be: `as-applied::unknown-task`, `::task-twice`,
/// `::unknown-label`, `::tank-number`, `::tank-twice`, `::tank-untold`, `::contradiction`, `::amount-kind`,
/// `::leftover-too-much`, `::not-sprayed`, each placed at its field of an as-applied file; all at once.
pub fn apply(planned: &ApplicationRecord, actual: &Actual) -> Result<ApplicationRecord, Problems> {
    let mut problems = Problems::new();
    let mut record = planned.clone();
    record.date = actual.date.unwrap_or(record.date);
    set_facts(&mut record, actual);
    let mut left = LeftOvers::kept_in(planned, actual.nothing_left_over);
    let mut not_done = Vec::new();
    for (index, differs) in actual.tasks.iter().enumerate() {
        let at = format!("task[{}]", index + 1);
        if actual.tasks[..index].iter().any(|earlier| earlier.task == differs.task) {
            problems.push(
                Problem::error("as-applied::task-twice", format!("task `{}` is told twice", differs.task))
                    .expected("one entry for each task that differed")
                    .mend("put both together")
                    .at(format!("{at}.id")),
            );
            continue;
        }
        let Some(task) = record.tasks.iter_mut().find(|task| task.id == differs.task) else {
            let known: Vec<String> = planned.tasks.iter().map(|task| format!("`{}`", task.id)).collect();
            problems.push(
                Problem::error("as-applied::unknown-task", format!("the visit has no task `{}`", differs.task))
                    .expected(format!("one of {}", known.join(", ")))
                    .mend("write the task as the visit calls it")
                    .at(format!("{at}.id")),
            );
            continue;
        };
        if differs.not_done {
            if *differs != (ActualTask { task: differs.task.clone(), not_done: true, ..ActualTask::default() }) {
                problems.push(contradiction(&format!("task `{}` was not carried out", differs.task)).at(at));
            }
            left.not_done(&differs.task);
            not_done.push(differs.task.clone());
            continue;
        }
        change_task(task, differs, &at, &mut problems);
        left.told_of(task, differs, &at, &mut problems);
    }
    for (index, differs) in actual.tasks.iter().enumerate() {
        if left.put_down_no_more(&differs.task) && !differs.not_done {
            let words =
                format!("task `{}` put down what was left, which is now told to have been otherwise", differs.task);
            problems.push(contradiction(&words).at(format!("task[{}]", index + 1)));
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    record.tasks.retain(|task| !not_done.contains(&task.id));
    left.into_record(&mut record);
    settle(&mut record);
    let found: Vec<Difference> = differences(planned, &record);
    // An amendment finds again what differed before it.
    let earlier = &mut record.provenance.differences;
    for difference in found {
        if !earlier.contains(&difference) {
            earlier.push(difference);
        }
    }
    Ok(record)
}

fn set_facts(record: &mut ApplicationRecord, actual: &Actual) {
    set(&mut record.started, &actual.started);
    set(&mut record.ended, &actual.ended);
    set_observed(&mut record.weather_at_start, &actual.weather_at_start);
    set_observed(&mut record.weather_at_end, &actual.weather_at_end);
    set(&mut record.client, &actual.client);
    set(&mut record.client_address, &actual.client_address);
    set(&mut record.location, &actual.location);
    set(&mut record.applicator, &actual.applicator);
    set(&mut record.certification_number, &actual.certification_number);
    set(&mut record.supervisor, &actual.supervisor);
    set(&mut record.noncertified_applicator, &actual.noncertified_applicator);
    set(&mut record.notices, &actual.notices);
    set(&mut record.target_counts, &actual.target_counts);
    set(&mut record.unexpected, &actual.unexpected);
    set(&mut record.disposal, &actual.disposal);
}

fn set<T: Clone>(held: &mut Fact<T>, said: &Fact<T>) {
    if !said.is_absent() {
        held.clone_from(said);
    }
}

fn set_observed(held: &mut Observed, said: &Observed) {
    set(&mut held.wind_from, &said.wind_from);
    set(&mut held.wind, &said.wind);
    set(&mut held.gust, &said.gust);
    set(&mut held.temperature, &said.temperature);
    set(&mut held.remarks, &said.remarks);
}

fn change_task(task: &mut TaskRecord, differs: &ActualTask, at: &str, problems: &mut Problems) {
    if let Some(ground) = &differs.ground {
        // One piece as treated takes the place of the zones planned; its kind is the largest zone's.
        let kind = task
            .zones
            .iter()
            .max_by(|one, other| one.ground.area().partial_cmp(&other.ground.area()).unwrap_or(Ordering::Equal))
            .map_or(ZoneKind::Turf, |zone| zone.kind);
        let ground = without_seams(ground);
        task.ground = ground.area();
        task.zones = vec![TreatedZone { id: format!("{}-as-treated", task.id), kind, ground }];
    }
    task.wall = differs.wall.unwrap_or(task.wall);
    if let Some(places) = differs.places {
        task.places = Fact::Recorded(places);
    }
    set(&mut task.equipment, &differs.equipment);
    for (index, (label, lots)) in differs.lots.iter().enumerate() {
        match product_of(&task.products, label) {
            Some(product) => set(&mut task.products[product].lots, lots),
            None => problems.push(unknown_label(task, label).at(format!("{at}.lot[{}].label", index + 1))),
        }
    }
    for (index, tank) in differs.tanks.iter().enumerate() {
        let at = format!("{at}.tank[{}]", index + 1);
        if differs.tanks[..index].iter().any(|earlier| earlier.number == tank.number) {
            problems.push(
                Problem::error("as-applied::tank-twice", format!("tank `{}` is told twice", tank.number))
                    .expected("one entry for each tank that differed")
                    .mend("put both together, or correct a number")
                    .at(format!("{at}.number")),
            );
            continue;
        }
        change_tank(task, tank, &at, problems);
    }
}

fn change_tank(task: &mut TaskRecord, differs: &ActualTank, at: &str, problems: &mut Problems) {
    let count = task.tanks.len();
    if differs.number == 0 || differs.number > count + 1 {
        problems.push(
            Problem::error("as-applied::tank-number", format!("task `{}` has no tank `{}`", task.id, differs.number))
                .expected(format!("1 to {count}, or {} for a tank more than planned", count + 1))
                .mend("count the tanks of this task alone, in the order filled")
                .at(format!("{at}.number")),
        );
        return;
    }
    // That nothing was left of it goes without saying, and may be said.
    let leftover = differs.leftover.clone().filter(is_nothing);
    if differs.not_filled
        && *differs != (ActualTank { number: differs.number, not_filled: true, leftover, ..ActualTank::default() })
    {
        problems.push(contradiction(&format!("tank `{}` was not filled", differs.number)).at(at));
    }
    // Of a tank that the plan did not have nothing is known but what is told here.
    if differs.number > count {
        let is_untold = |product: &&ProductRecord| !differs.products.iter().any(|(label, _)| *label == product.label);
        let untold: Vec<String> =
            task.products.iter().filter(is_untold).map(|product| format!("`{}`", product.label)).collect();
        let without_spray = task.carrier.value().is_some() && differs.spray.is_none();
        if !untold.is_empty() || without_spray {
            problems.push(
                Problem::error(
                    "as-applied::tank-untold",
                    format!("tank `{}` was not planned, and its filling is not told whole", differs.number),
                )
                .expected("the spray, where there is any, and the amount of each product")
                .mend("write what was filled, or correct the number")
                .at(at),
            );
        }
    }
    let mut fill = match task.tanks.get(differs.number - 1) {
        Some(tank) => tank.filled.clone().or_else(|| tank.planned.clone()),
        None => None,
    }
    .unwrap_or_else(|| Fill {
        spray: None,
        products: task.products.iter().map(|product| product.amount.scaled(0.0)).collect(),
        covered: Fact::Absent,
    });
    if let Some(spray) = differs.spray {
        if task.carrier.value().is_none() {
            problems.push(not_sprayed(task).at(format!("{at}.spray")));
        }
        fill.spray = Some(spray);
    }
    for (index, (label, amount)) in differs.products.iter().enumerate() {
        let at = format!("{at}.product[{}]", index + 1);
        put_amount(&task.products, task, &mut fill.products, label, *amount, &at, problems);
    }
    if let Some(covered) = differs.covered {
        fill.covered = Fact::Recorded(covered);
    }
    if differs.number > count {
        task.tanks.push(Tank {
            planned: None,
            filled: None,
            filled_at: Fact::Absent,
            emptied_at: Fact::Absent,
            weather: Observed::default(),
            carried_over: Fact::Absent,
            told: TankTold::Filling,
        });
    }
    let tank = &mut task.tanks[differs.number - 1];
    tank.filled = (!differs.not_filled).then_some(fill);
    set(&mut tank.filled_at, &differs.filled_at);
    set(&mut tank.emptied_at, &differs.emptied_at);
    set_observed(&mut tank.weather, &differs.weather);
    carry_over(task, differs, at, problems);
    let tank = &mut task.tanks[differs.number - 1];
    // An amendment does not take back what was said before it.
    let told = if differs.covered.is_some() { TankTold::Covered } else { TankTold::Filling };
    tank.told = tank.told.max(told);
}

/// What stayed in a tank under the next mix, no more than was in it.
fn carry_over(task: &mut TaskRecord, differs: &ActualTank, at: &str, problems: &mut Problems) {
    let Some(stayed) = differs.carried_over.value() else {
        return set(&mut task.tanks[differs.number - 1].carried_over, &differs.carried_over);
    };
    let at = format!("{at}.carried_over");
    let Some(spray) = task.tanks[differs.number - 1].filled.as_ref().and_then(|fill| fill.spray) else {
        problems.push(not_sprayed(task).at(at));
        return;
    };
    if *stayed > spray {
        problems.push(
            Problem::error("as-applied::leftover-too-much", "more stayed in the tank than it held")
                .expected(format!("at most {}", spray.show(quantity::VolumeUnit::Litre)))
                .mend("correct the spray that stayed, or the fill of the tank")
                .at(at),
        );
        return;
    }
    task.tanks[differs.number - 1].carried_over = Fact::Recorded(*stayed);
}

/// Puts the amount of one label in its place among a task's products.
pub(crate) fn put_amount(
    products: &[ProductRecord],
    task: &TaskRecord,
    amounts: &mut [Amount],
    label: &str,
    amount: Amount,
    at: &str,
    problems: &mut Problems,
) {
    let Some(index) = product_of(products, label) else {
        problems.push(unknown_label(task, label).at(format!("{at}.label")));
        return;
    };
    match amounts.get_mut(index) {
        Some(held) if held.checked_add(amount).is_some() => *held = amount,
        _ => problems.push(
            Problem::error(
                "as-applied::amount-kind",
                format!("`{label}` was planned by {} and is told by {}", kind(products[index].amount), kind(amount)),
            )
            .expected(format!("an amount by {}", kind(products[index].amount)))
            .mend("an ounce of weight is `oz (weight)`, a fluid ounce `fl oz`")
            .at(format!("{at}.amount")),
        ),
    }
}

const fn kind(amount: Amount) -> &'static str {
    match amount {
        Amount::Volume(_) => "volume",
        Amount::Mass(_) => "weight",
    }
}

pub(crate) fn product_of(products: &[ProductRecord], label: &str) -> Option<usize> {
    products.iter().position(|product| product.label == label)
}

fn contradiction(said: &str) -> Problem {
    Problem::error("as-applied::contradiction", format!("{said}, and yet more is told of it"))
        .expected("one of the two")
        .mend("delete what was not, or take back that it was not")
}

fn unknown_label(task: &TaskRecord, label: &str) -> Problem {
    let known: Vec<String> = task.products.iter().map(|product| format!("`{}`", product.label)).collect();
    Problem::error("as-applied::unknown-label", format!("task `{}` puts down no `{label}`", task.id))
        .expected(format!("one of {}", known.join(", ")))
        .mend("name the label as the visit does; another product is another application")
}

pub(crate) fn not_sprayed(task: &TaskRecord) -> Problem {
    Problem::error("as-applied::not-sprayed", format!("task `{}` is done dry, without spray", task.id))
        .expected("amounts of product only")
        .mend("take the spray out")
}
