//! `tussock record amend`: a new version on top of the earlier ones.

use super::Common;
use super::keep::told;
use super::place::place_of;
use crate::command::desk::tell_kept;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use exchange::as_applied_file::{clock_of, record_as_applied};
use exchange::record_json::{parse_record, write_record};
use jiff::Timestamp;
use ledger::trade::{Keeping, RecordLinks};
use ledger::{Expected, RequestKey};
use problem::Problems;
use record::overfilled;
use std::path::Path;

/// Carries the command out.
pub(super) fn run(
    name: &str,
    actual: Option<&Path>,
    document: Option<&Path>,
    reason: &str,
    clock: Option<&str>,
    common: &Common,
) -> CommandResult {
    let desk = common.books.open_existing()?;
    let held = desk.ask(desk.book.meant_record(name))?;
    let mut warnings = Problems::new();
    let amended = match (actual, document) {
        (Some(file), _) => {
            let text = read_text(file, "what differed (TOML)")?;
            let offset = clock_of(&held.record, clock)?;
            let file = file.display().to_string();
            let (record, found) =
                record_as_applied(&file, &text, &held.record, offset, &desk.ask(desk.book.sprayers())?)?;
            warnings = found;
            record
        }
        (None, Some(file)) => {
            parse_record(&file.display().to_string(), &read_text(file, "an application record (JSON)")?)?
        }
        (None, None) => held.record.clone(),
    };
    let mut found = record::check(&amended, None);
    let links = RecordLinks { client: held.indexed.client, property: held.indexed.property };
    let surroundings = desk.ask(desk.book.surroundings_of(&amended, links))?;
    found.extend(overfilled(&amended, &surroundings.sprayers));
    if found.has_errors() {
        return Err(found.into());
    }
    warnings.extend_untold(found);
    complain(&warnings);
    let (amended, unjudged) = desk.ask(desk.book.judged(amended, Some(held.thing), &surroundings))?;
    complain(&unjudged);
    let keeping = Keeping {
        thing: held.thing,
        expected: Expected::Version(held.version),
        reason: Some(reason.to_owned()),
        recorded_at: Timestamp::now(),
    };
    // The same amendment of the same version again is the same request.
    let key = RequestKey::of_words(&format!("{} {} {}", held.thing, held.version, write_record(&amended)))?;
    let kept = desk.ask(desk.book.keep_record(&amended, links, keeping, key))?;
    let mut to_tell = kept.warnings();
    if let Some(place) = place_of(&desk, &held, None)? {
        to_tell.extend(told(desk.ask(desk.book.authority_of(&amended, &place))?));
    }
    if !common.json {
        for breach in &amended.breaches {
            say(&format!("{}: against the label {}: {}\n", breach.task, breach.label, breach.text));
        }
    }
    tell_kept(&kept.appended, &to_tell, common.json);
    Ok(Outcome::Done)
}
