//! `tussock record sheet`: what was applied, for those who live there.

use super::Common;
use super::place::place_of;
use crate::care::REMINDER;
use crate::command::papers::{points, read_business, read_client};
use crate::command::plan::{Look, listed, wrapped};
use crate::command::quote::dated_name;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::OutFolder;
use business::{Advice, Facts, Treatment, demands};
use exchange::applied_json::{AppliedJson, write_applied};
use exchange::books_json::write_answer;
use jurisdiction::CONFIRM_LOCAL_LAW;
use ledger::trade::applied_of;
use problem::{Problem, Problems};
use std::path::{Path, PathBuf};

/// Carries the command out.
pub(super) fn run(
    name: &str,
    (business_file, client_file): (&Path, &Path),
    out: Option<&Path>,
    look: Look,
    common: &Common,
) -> CommandResult {
    let (business, rules, client) = read_papers(business_file, client_file)?;
    let desk = common.books.open_existing()?;
    let held = desk.ask(desk.book.meant_record(name))?;
    if let Some(of_record) = held.record.client.value().filter(|name| **name != client.name) {
        let other = Problem::warning(
            "papers::other-client",
            format!("the record names `{of_record}` as the client, and this sheet goes to `{}`", client.name),
        )
        .expected("the client of the record")
        .mend("name the file of that client with `--client`, or amend the record where it is wrong");
        complain(&other.into());
    }
    let place = place_of(&desk, &held, None)?;
    let place = place.as_ref().or(client.place.as_ref()).unwrap_or(&business.place);
    let map = desk.ask(desk.book.map_of(&held))?;
    let told = applied_of(&held.record, map.as_ref());
    let care = desk.ask(desk.book.care_after(&held.record, Some(place)));
    let (told, care) = match (told, care) {
        (Ok(told), Ok((care, doubts))) => {
            complain(&doubts);
            (told, care)
        }
        (told, care) => {
            let mut problems = Problems::new();
            told.err().into_iter().chain(care.err()).for_each(|found| problems.extend(found));
            return Err(problems.into());
        }
    };
    let treatment = Treatment::done(&told, Advice::of_labels(care));
    let circumstances = held.circumstances(place);
    let facts = Facts { restricted_use: circumstances.restricted_use, ground: circumstances.ground };
    let demanded = demands(&rules, &treatment, &business, &client, facts);
    let offset = held.record.ended.value().map_or(jiff::tz::Offset::UTC, |moment| moment.offset);
    let answer = AppliedJson::new(&treatment, &business, &demanded, offset);

    let default_out = || (!common.json).then(|| Path::new("out").join(dated_name(held.record.date, &held.record.name)));
    let folder: Option<PathBuf> = out.map(Path::to_owned).or_else(default_out);
    let written = folder
        .map(|folder| -> Result<OutFolder, Problems> {
            let set = || sheet::client_sheet_pdf(&treatment, &business, &client, &demanded, None, &look.options());
            let pdf = look.has_pdf().then(set).transpose()?;
            let mut out = OutFolder::new(folder);
            match pdf {
                Some(pdf) => out.write("applied-sheet.pdf", "what was applied, for those who live there", &pdf)?,
                None => out.without("applied-sheet.pdf")?,
            }
            let json = write_applied(&treatment, &business, &demanded, offset);
            out.write("applied.json", "the same as data", json.as_bytes())?;
            Ok(out)
        })
        .transpose()?;
    if common.json {
        say(&write_answer(&answer));
    } else {
        say(&words(&treatment, &answer));
        if let Some(written) = written {
            say(&listed(&written));
        }
    }
    Ok(Outcome::Done)
}

/// Both files, everything wrong in them told at once.
fn read_papers(
    business_file: &Path,
    client_file: &Path,
) -> Result<(business::Business, jurisdiction::RuleSet, business::Client), Problems> {
    match (read_business(business_file), read_client(client_file)) {
        (Ok((business, rules, warnings)), Ok((client, found))) => {
            complain(&warnings);
            complain(&found);
            Ok((business, rules, client))
        }
        (business, client) => {
            let mut problems = Problems::new();
            business.err().into_iter().chain(client.err()).for_each(|found| problems.extend(found));
            Err(problems)
        }
    }
}

fn words(treatment: &Treatment, answer: &AppliedJson) -> String {
    let mut text = format!("{}: what was applied\n", treatment.visit);
    let place = |place: &business::TreatedPlace| {
        let against =
            if place.pests.is_empty() { String::new() } else { format!(" against {}", place.pests.join(", ")) };
        format!("{}: {}{against}", place.places.join(", "), place.products.join(" and "))
    };
    text.push_str(&points(treatment.places.iter().map(place)));
    if !treatment.misapplied.is_empty() {
        text.push_str("\nNot done as the label says: tell them first\n");
        text.push_str(&points(treatment.misapplied.iter().cloned()));
    }
    text.push_str("\nKeep people and pets off\n");
    let mut until = treatment.advice.keep_off_conditions.clone();
    until.extend(treatment.keep_off_until().map(|time| format!("not before {}", time.strftime("%Y-%m-%d %H:%M"))));
    if until.is_empty() {
        until.push("the labels say nothing: ask before anyone returns".to_owned());
    }
    text.push_str(&points(until));
    if let Some(time) = treatment.no_water_until() {
        text.push_str("\nWater\n");
        text.push_str(&points([format!("none before {}", time.strftime("%Y-%m-%d %H:%M"))]));
    }
    if !treatment.advice.afterwards.is_empty() {
        text.push_str("\nClippings, grazing, harvest, seeding\n");
        text.push_str(&points(treatment.advice.afterwards.iter().map(|sentence| format!("“{}”", sentence.text))));
    }
    if !answer.lacking.is_empty() {
        text.push_str("\nLacking, write it in by hand\n");
        text.push_str(&points(answer.lacking.iter().cloned()));
    }
    text.push('\n');
    text.push_str(&wrapped("", CONFIRM_LOCAL_LAW));
    text.push_str(&wrapped("", REMINDER));
    text
}
