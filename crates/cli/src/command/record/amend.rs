//! `tussock record amend`: a new version on top of the earlier ones.

use super::Common;
use super::keep::told;
use super::place::place_of;
use crate::command::desk::tell_kept;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use exchange::as_applied_file::record_as_applied;
use exchange::record_json::{parse_record, write_record};
use jiff::Timestamp;
use jiff::tz::Offset;
use ledger::trade::{Keeping, RecordLinks};
use ledger::{Expected, RequestKey};
use problem::{Problem, Problems};
use record::{ApplicationRecord, overfilled};
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
            let offset = offset(&held.record, clock)?;
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

/// The clock of the place: as said, or as a time of the record says.
fn offset(record: &ApplicationRecord, clock: Option<&str>) -> Result<Offset, Problems> {
    if let Some(text) = clock {
        return read_offset(text).ok_or_else(|| {
            Problem::error("record::clock", format!("`{text}` is no offset from universal time"))
                .expected("hours and minutes, such as `-05:00`")
                .into()
        });
    }
    let known = record.started.value().or(record.ended.value()).map(|moment| moment.offset);
    known.ok_or_else(|| {
        Problem::error("record::no-clock", "the record has no time that tells the clock of the place")
            .expected("the offset from universal time")
            .mend("name it, such as `--clock=-05:00`")
            .into()
    })
}

/// Hours and minutes from universal time, such as `-05:00`.
fn read_offset(text: &str) -> Option<Offset> {
    let (sign, rest) = match text.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, text.strip_prefix('+').unwrap_or(text)),
    };
    let (hours, minutes) = rest.split_once(':')?;
    let number = |text: &str, most: i32| {
        text.parse::<i32>().ok().filter(|number| text.len() == 2 && (0..=most).contains(number))
    };
    Offset::from_seconds(sign * (number(hours, 23)? * 3600 + number(minutes, 59)? * 60)).ok()
}
