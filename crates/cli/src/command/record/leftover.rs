//! `tussock record leftover`: where the rest of a mix may go, before anything is kept.

use crate::care::REMINDER;
use crate::command::desk::BooksPlace;
use crate::command::plan::{planned_request, read_and_plan_from, wrapped};
use crate::console::{complain, remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use exchange::as_applied_file::record_as_applied;
use exchange::leftover_json::{OTHERWISE, write_leftover};
use problem::{Place, Problem, Problems};
use quantity::{AreaUnit, Volume, VolumeUnit};
use record::{
    Actual, ActualLeftover, ActualTask, ApplicationRecord, Left, Leftover, LeftoverMix, LeftoverPlace, LeftoverUse,
    Parties, apply, from_visit, leftover_places, rinsate_advice, rinsate_rule,
};
use std::fmt::Write as _;
use std::path::Path;
use treatment::{Status, Visit, VisitRequest};

/// What is asked of a visit.
pub(super) struct Asked<'a> {
    /// Spray left.
    pub(super) left: Volume,
    /// The task for which it was mixed.
    pub(super) task: Option<&'a str>,
    /// Rinse water of the sprayer.
    pub(super) rinsate: Option<Volume>,
    /// The next mix of the same product.
    pub(super) next_mix: Option<Volume>,
}

/// Carries the command out.
pub(super) fn run(
    file: &Path,
    actual: Option<&Path>,
    asked: &Asked<'_>,
    books: &BooksPlace,
    json: bool,
) -> CommandResult {
    let (request, visit) = planned(file, books)?;
    if visit.verdict() == Status::Refused {
        remark("the plan of this visit is refused; what is in the tank must go somewhere lawful all the same");
    }
    let done = so_far(&request, &visit, actual)?;
    let (record, mix) = with_leftover(&done, asked)?;
    let places = leftover_places(&request, &record, &mix);
    let rinsate = rinsate_words(&record, &mix, asked);
    if json {
        say(&write_leftover(&mix, &places, &rinsate));
    } else {
        let mut out = place_words(&mix, &places);
        out.push_str("\nRinsate\n");
        for line in &rinsate {
            out.push_str(&wrapped("  ", line));
        }
        out.push('\n');
        out.push_str(&wrapped("", OTHERWISE));
        out.push_str(&wrapped("", REMINDER));
        say(&out);
    }
    Ok(if places.is_empty() { Outcome::Refused } else { Outcome::Done })
}

/// The visit as planned, with the past of the books where any are named.
fn planned(file: &Path, books: &BooksPlace) -> Result<(VisitRequest, Visit), crate::outcome::Failure> {
    let (request, visit, warnings) = match books.open_if_named()? {
        None => planned_request(file)?,
        Some(desk) => {
            let planned = read_and_plan_from(file, &desk, true)?;
            (planned.request, planned.visit, planned.warnings)
        }
    };
    complain(&warnings);
    Ok((request, visit))
}

/// What was done so far: as planned, but for what differed.
fn so_far(request: &VisitRequest, visit: &Visit, actual: Option<&Path>) -> Result<ApplicationRecord, Problems> {
    let planned = from_visit(visit, request, &Parties::default());
    let Some(file) = actual else { return Ok(planned) };
    let text = read_text(file, "what differed from the plan (TOML)")?;
    let file = file.display().to_string();
    let (record, warnings) = record_as_applied(&file, &text, &planned, visit.offset, &request.equipment)?;
    complain(&warnings);
    Ok(record)
}

/// The record with the leftover in it, and the mix that is left.
fn with_leftover(done: &ApplicationRecord, asked: &Asked<'_>) -> Result<(ApplicationRecord, LeftoverMix), Problems> {
    let is_sprayed = |task: &&record::TaskRecord| task.carrier.value().is_some();
    let last = || done.tasks.iter().rev().find(is_sprayed).map(|task| task.id.as_str());
    let Some(task) = asked.task.or_else(last) else {
        return Err(Problem::error("record::nothing-mixed", "no task of the visit is sprayed")
            .expected("a task with a mix in the tank")
            .mend("put dry product back into its container")
            .into());
    };
    if !asked.left.is_positive() {
        return Err(Problem::error("record::nothing-left", "nothing is left")
            .expected("a volume above zero, such as `0.8 gal`")
            .at("--left")
            .into());
    }
    let left = ActualLeftover { left: Left::Spray(asked.left), became: LeftoverUse::NotSaid };
    let told = ActualTask { task: task.to_owned(), leftover: Some(left), ..ActualTask::default() };
    let record = apply(done, &Actual { tasks: vec![told], ..Actual::default() }).map_err(at_arguments)?;
    let mix = record.leftover.value().into_iter().flatten().find(|left| left.task == task).and_then(left_mix);
    match mix {
        Some(mix) => Ok((record, mix)),
        None => Err(Problem::error("record::nothing-mixed", format!("task `{task}` has no mix in the tank")).into()),
    }
}

/// Problems of the fields of an as-applied file, as those of the arguments that stand for them.
fn at_arguments(problems: Problems) -> Problems {
    let placed = |problem: Problem| {
        let argument = if problem.code == "as-applied::unknown-task" { "--task" } else { "--left" };
        Problem { place: Place::default(), ..problem }.at(argument)
    };
    problems.into_iter().map(placed).collect()
}

/// The mix of a leftover; `None` for dry product.
pub(super) fn left_mix(left: &Leftover) -> Option<LeftoverMix> {
    Some(LeftoverMix { task: left.task.clone(), spray: left.spray?, products: left.products.clone() })
}

/// The places that may take a mix, in words.
pub(super) fn place_words(mix: &LeftoverMix, places: &[LeftoverPlace]) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "  left over of {}: {}", mix.task, mix.spray.show(VolumeUnit::UsGallon));
    for place in places {
        let share = if place.takes_all() { "all of it" } else { "a part of it" };
        let area = place.allowed.show(AreaUnit::SquareFoot);
        let _ = writeln!(out, "    {} may take {share} ({area} may be treated)", place.place);
    }
    if places.is_empty() {
        let _ = writeln!(out, "    no place of this property may take it; keep it labelled, and never pour it out");
    }
    out
}

/// What becomes of rinse water, for each product of the mix.
fn rinsate_words(record: &ApplicationRecord, mix: &LeftoverMix, asked: &Asked<'_>) -> Vec<String> {
    let products = record.task(&mix.task).map_or(&[][..], |task| &task.products);
    let words = |name: &str| match asked.rinsate {
        Some(rinsate) => rinsate_advice(name, rinsate, asked.next_mix),
        None => rinsate_rule(name),
    };
    products.iter().map(|product| words(&product.name)).collect()
}
