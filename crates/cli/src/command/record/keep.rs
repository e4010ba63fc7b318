//! `tussock record VISIT`: the record of a planned visit.

use super::Common;
use super::leftover::{left_mix, place_words};
use super::place::{rules, standing_words, today};
use crate::command::desk::tell_kept;
use crate::command::plan::read_and_plan_from;
use crate::command::stock;
use crate::console::{complain, remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use exchange::record_json::write_record;
use jiff::Timestamp;
use ledger::trade::{HeldRecord, Keeping, PlannedVisit, RecordLinks, VisitParties};
use ledger::{Expected, RequestKey, ThingId};
use problem::{Problem, Problems, Severity};
use quantity::AreaUnit;
use record::{ApplicationRecord, check_tanks, leftover_places};
use std::fmt::Write as _;
use std::path::Path;
use treatment::Status;

/// Carries the command out.
pub(super) fn run(visit: &Path, actual: Option<&Path>, common: &Common) -> CommandResult {
    let desk = common.books.open()?;
    let planned = read_and_plan_from(visit, &desk, true)?;
    complain(&planned.warnings);
    if planned.visit.verdict() == Status::Refused {
        remark("the plan of this visit is refused; what was done is kept all the same, and says so");
    }
    let parties = desk.ask(desk.book.parties_of(&planned))?;
    let record = as_done(&planned, actual, &parties)?;
    let links = RecordLinks {
        client: parties.client.as_ref().map(|client| client.thing),
        property: parties.property.as_ref().map(|property| property.thing),
    };
    let place = planned.place(&parties)?;
    // What was done is kept: that it should not have been is told, not refused.
    let people = match &place {
        Some(place) => told(desk.ask(desk.book.authority_of(&record, place))?),
        None => Problems::new(),
    };
    let keeping =
        Keeping { thing: ThingId::fresh(), expected: Expected::New, reason: None, recorded_at: Timestamp::now() };
    let key = RequestKey::of_words(&write_record(&record))?;
    let kept = desk.ask(desk.book.keep_record(&record, links, keeping, key))?;
    let mut to_tell = kept.warnings();
    to_tell.extend(people);
    if !common.json {
        say(&words(&record));
        say(&leftover_words(&planned, &record));
        say(&stock::words(&kept.stock));
        let entry = &kept.appended.entry;
        let held = HeldRecord { thing: entry.thing, version: entry.version, indexed: entry.indexed.clone(), record };
        say(&standing_words(&held, place.as_ref(), &rules()?, today()));
    }
    tell_kept(&kept.appended, &to_tell, common.json);
    Ok(Outcome::Done)
}

/// The record as planned, and what differed.
fn as_done(
    planned: &PlannedVisit,
    actual: Option<&Path>,
    parties: &VisitParties,
) -> Result<ApplicationRecord, Problems> {
    let differed = match actual {
        None => None,
        Some(file) => Some((file.display().to_string(), read_text(file, "what differed from the plan (TOML)")?)),
    };
    let differed = differed.as_ref().map(|(file, text)| (file.as_str(), text.as_str()));
    let (record, warnings) = planned.record(parties, differed)?;
    complain(&warnings);
    Ok(record)
}

/// Where a leftover of which nobody has said what became of it may go.
fn leftover_words(planned: &PlannedVisit, record: &ApplicationRecord) -> String {
    let mut out = String::new();
    for left in record.leftover.value().into_iter().flatten().filter(|left| left.became.is_absent()) {
        let Some(mix) = left_mix(left) else { continue };
        let places = leftover_places(&planned.request, record, &mix);
        out.push_str(&place_words(&mix, &places));
    }
    out
}

/// Problems as things to look at.
pub(super) fn told(problems: Problems) -> Problems {
    problems.into_iter().map(|problem| Problem { severity: Severity::Warning, ..problem }).collect()
}

/// What was done, the checks of the tanks, what differed, what was against a label.
fn words(record: &ApplicationRecord) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{} on {}", record.name, record.date);
    let leftovers = record.leftover.value().map_or(&[][..], Vec::as_slice);
    for task in &record.tasks {
        let products: Vec<&str> = task.products.iter().map(|product| product.name.as_str()).collect();
        let _ = writeln!(out, "  {}: {} on {}", task.id, products.join(", "), task.area().show(AreaUnit::SquareFoot));
        for check in check_tanks(task, leftovers) {
            let _ = writeln!(out, "    tank {}: {check}", check.number);
        }
    }
    for difference in &record.provenance.differences {
        let _ = writeln!(
            out,
            "  differed: {}: planned {}, done {}",
            difference.subject, difference.planned, difference.done
        );
    }
    for breach in &record.breaches {
        let _ = writeln!(out, "  {}: against the label {}: {}", breach.task, breach.label, breach.text);
    }
    for what in &record.not_judged {
        let _ = writeln!(out, "  not judged: {what}");
    }
    out
}
