//! What cannot be right in a record, whoever wrote it.

use crate::application::{ApplicationRecord, Became};
use crate::settle::rate_applied;
use crate::task::TaskRecord;
use problem::{Problem, Problems};
use property::Property;
use quantity::{Area, AreaUnit};

/// Ground outside the property of less than this share of the treated ground is the seam of two drawings.
const SEAM: f64 = 1e-6;

/// Areas that differ by less than this share agree: what measuring on the ground can hold.
const MEASURING: f64 = 1e-3;

/// Rates that differ by less than this share agree: amounts are written in few digits.
const ROUNDING: f64 = 0.02;

/// Everything that cannot be right in a record. Errors are slips that must be corrected before it is kept;
/// warnings are kept with it. What was done against a label is neither: [`crate::breaches`] tells it.
///
/// `property` is the mapped property; without it nobody knows what lies outside.
pub fn check(record: &ApplicationRecord, property: Option<&Property>) -> Problems {
    let mut problems = Problems::new();
    problems.extend(crate::plausible::seen(record));
    problems.extend(crate::poured_out::in_record(record));
    times(record, &mut problems);
    if record.tasks.is_empty() {
        problems.push(
            Problem::warning("record::no-task", "nothing was carried out")
                .expected("at least one task that was")
                .mend("keep it only if the visit was in fact broken off")
                .at("task"),
        );
    }
    for (index, task) in record.tasks.iter().enumerate() {
        let at = format!("task[{}]", index + 1);
        if record.tasks[..index].iter().any(|earlier| earlier.id == task.id) {
            problems.push(
                Problem::error("record::task-twice", format!("two tasks are called `{}`", task.id))
                    .mend("give each task a name of its own")
                    .at(format!("{at}.id")),
            );
        }
        areas(task, &at, &mut problems);
        rates(task, &at, &mut problems);
        if !task.was_put_down() {
            problems.push(
                Problem::warning("record::nothing-put-down", format!("nothing of task `{}` was put down", task.id))
                    .expected("amounts above nothing, or a task that was not done")
                    .mend(
                        "leave it so where the mix was made and all of it was left over: it counts as no application; \
                         where nothing was mixed, write `not_done = true`",
                    )
                    .at(&at),
            );
        }
        tanks(task, &at, &mut problems);
        if let Some(property) = property {
            outside(record, task, property, &at, &mut problems);
        }
    }
    for (index, leftover) in record.leftover.value().into_iter().flatten().enumerate() {
        let at = format!("leftover[{}]", index + 1);
        if record.task(&leftover.task).is_none() {
            problems.push(unknown_task(&leftover.task).at(format!("{at}.task")));
        }
        let tanks = record.task(&leftover.task).map_or(0, |task| task.tanks.len());
        if leftover.tank.is_some_and(|number| number == 0 || number > tanks) {
            problems.push(
                Problem::error("record::unknown-tank", format!("task `{}` has no such tank", leftover.task))
                    .expected(format!("the number of one of its `{tanks}` tanks, from 1"))
                    .at(format!("{at}.tank")),
            );
        }
        if let Some(Became::Applied(task)) = leftover.became.value()
            && record.task(task).is_none()
        {
            problems.push(unknown_task(task).at(format!("{at}.became")));
        }
    }
    problems
}

fn unknown_task(task: &str) -> Problem {
    Problem::error("record::unknown-task", format!("the record has no task `{task}`")).mend("name a task of the record")
}

fn times(record: &ApplicationRecord, problems: &mut Problems) {
    let (started, ended) = (record.started.value(), record.ended.value());
    if let Some(started) = started
        && started.local.date() != record.date
    {
        problems.push(
            Problem::warning(
                "record::other-day",
                format!("the work began on `{}`, and the record is of `{}`", started.local.date(), record.date),
            )
            .expected("one day for both")
            .mend("correct the date of the record, or the start")
            .at("started"),
        );
    }
    for (task, tank) in record.tasks.iter().flat_map(|task| task.tanks.iter().enumerate().map(move |tank| (task, tank)))
    {
        let (number, filled, emptied) = (tank.0 + 1, tank.1.filled_at.value(), tank.1.emptied_at.value());
        if let (Some(filled), Some(emptied)) = (filled, emptied)
            && emptied.instant() < filled.instant()
        {
            problems.push(
                Problem::warning(
                    "record::tank-time",
                    format!("tank `{number}` of task `{}` was emptied at `{emptied}`, before it was filled", task.id),
                )
                .expected(format!("a time after `{filled}`"))
                .mend("exchange the two, or correct the one that is wrong")
                .at("ended"),
            );
        }
        if let Some(emptied) = emptied
            && (started.is_some_and(|started| emptied.instant() < started.instant())
                || ended.is_some_and(|ended| emptied.instant() > ended.instant()))
        {
            problems.push(
                Problem::warning(
                    "record::tank-time",
                    format!("tank `{number}` of task `{}` was emptied at `{emptied}`, outside the work", task.id),
                )
                .expected("a time between start and end")
                .mend("correct the time of the tank, or those of the work")
                .at("ended"),
            );
        }
        let Some(filled) = filled else { continue };
        let early = started.is_some_and(|started| filled.instant() < started.instant());
        let late = ended.is_some_and(|ended| filled.instant() > ended.instant());
        // The first tank may be mixed before the spraying begins.
        if late || (early && number > 1) {
            problems.push(
                Problem::warning(
                    "record::tank-time",
                    format!("tank `{number}` of task `{}` was filled at `{filled}`, outside the work", task.id),
                )
                .expected("a time between start and end")
                .mend("correct the time of the tank, or those of the work")
                .at("ended"),
            );
        }
    }
}

fn areas(task: &TaskRecord, at: &str, problems: &mut Problems) {
    let drawn = task.region().area();
    if task.zones.is_empty() || (drawn.ratio(task.ground) - 1.0).abs() <= MEASURING {
        return;
    }
    problems.push(
        Problem::warning(
            "record::area-differs",
            format!(
                "the ground drawn for task `{}` is {} and its area is told as {}",
                task.id,
                words(drawn),
                words(task.ground)
            ),
        )
        .expected("one area for both")
        .mend("draw the ground as treated")
        .at(format!("{at}.ground")),
    );
}

/// Rates that are not what amount and area (spray, places) come to.
fn rates(task: &TaskRecord, at: &str, problems: &mut Problems) {
    for (index, product) in task.products.iter().enumerate() {
        let Some(told) = product.rate.value() else { continue };
        let Some(applied) = rate_applied(told, product.amount, task) else { continue };
        if told.ratio(&applied).is_some_and(|times| (times - 1.0).abs() <= ROUNDING) {
            continue;
        }
        problems.push(
            Problem::warning(
                "record::rate-differs",
                format!(
                    "the rate of {} in task `{}` is told as `{told}`, and what was put down comes to `{applied}`",
                    product.name, task.id
                ),
            )
            .expected("one rate for both: what was put down, over what it was put down on")
            .mend("write the rate that was in fact applied, or correct the amount or the area")
            .at(format!("{at}.product[{}].rate", index + 1)),
        );
    }
}

/// Tanks that do not fit their task: other products, or another area than was treated.
fn tanks(task: &TaskRecord, at: &str, problems: &mut Problems) {
    let mut covered = Area::ZERO;
    let mut is_told = !task.tanks.is_empty();
    for (index, tank) in task.tanks.iter().enumerate() {
        let Some(filled) = &tank.filled else { continue };
        if filled.products.len() != task.products.len() {
            problems.push(
                Problem::error(
                    "record::tank-products",
                    format!(
                        "tank `{}` of task `{}` holds `{}` amounts of `{}` products",
                        index + 1,
                        task.id,
                        filled.products.len(),
                        task.products.len()
                    ),
                )
                .expected("one amount for each product of the task")
                .mend("add the amount that is missing, or the product")
                .at(format!("{at}.tank[{}]", index + 1)),
            );
        }
        match filled.covered.value() {
            Some(area) => covered += *area,
            None => is_told = false,
        }
    }
    let apart = (covered.ratio(task.area()) - 1.0).abs();
    if is_told && apart > crate::STOP_BEYOND {
        problems.push(
            Problem::warning(
                "record::tanks-area",
                format!(
                    "the tanks of task `{}` covered {} together, and {} was treated",
                    task.id,
                    words(covered),
                    words(task.area())
                ),
            )
            .expected("tanks that add up to the area treated, within ten per cent")
            .mend("write what each tank covered, and draw the ground as treated")
            .at(format!("{at}.tank")),
        );
    }
    let planned = task.tanks.iter().filter(|tank| tank.planned.is_some()).count();
    let filled = task.tanks.iter().filter(|tank| tank.filled.is_some()).count();
    if planned > 0 && planned != filled {
        problems.push(
            Problem::warning(
                "record::tank-count",
                format!("`{filled}` tanks were filled for task `{}`, and `{planned}` were planned", task.id),
            )
            .expected("as many tanks as planned, or ground to match")
            .mend("look whether all the ground was treated, and how much lies on it")
            .at(format!("{at}.tank")),
        );
    }
}

fn outside(record: &ApplicationRecord, task: &TaskRecord, property: &Property, at: &str, problems: &mut Problems) {
    let Some(ground) = crate::ground::laid_on(&task.region(), &record.plane(), property.plane()) else { return };
    let beyond = ground.difference(property.boundary()).area();
    if beyond.ratio(ground.area()) > SEAM {
        problems.push(
            Problem::warning(
                "record::outside-property",
                format!("{} of the ground of task `{}` lie outside the property", words(beyond), task.id),
            )
            .expected("ground within the boundary of the map")
            .mend("draw it again; if it is true, tell the neighbour, and write it under `unexpected`")
            .at(format!("{at}.ground")),
        );
    }
}

fn words(area: Area) -> String {
    format!("`{}`", area.show(AreaUnit::SquareFoot))
}
