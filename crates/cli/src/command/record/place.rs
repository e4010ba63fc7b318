//! Where a record lies, and what the rules of the place say of it.

use crate::command::desk::Desk;
use exchange::kept::JurisdictionText;
use exchange::rule_file::{parse_rules, shipped};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use jurisdiction::{CONFIRM_LOCAL_LAW, Jurisdiction, RuleSet};
use ledger::trade::{HeldRecord, standing_told};
use problem::Problems;
use quantity::counted;
use record::{Standing, late_notices, standing};
use std::fmt::Write as _;

/// The rules that come with the command.
///
/// # Errors
/// None while the shipped files are sound, which a test holds.
pub(super) fn rules() -> Result<RuleSet, Problems> {
    parse_rules(shipped().iter().copied()).map(|(rules, _)| rules)
}

/// Where a record lies: as the kept property says to which it belongs, or else as said.
///
/// # Errors
/// What the books answer.
pub(super) fn place_of(
    desk: &Desk,
    held: &HeldRecord,
    said: Option<&JurisdictionText>,
) -> Result<Option<Jurisdiction>, Problems> {
    desk.ask(desk.book.place_of(held, said.map(JurisdictionText::place)))
}

/// The day, by universal time.
pub(super) fn today() -> Date {
    Offset::UTC.to_datetime(Timestamp::now()).date()
}

/// In a word whether a record is complete, overdue on a day, and tells notices that came too late.
pub(super) fn standing_word(held: &HeldRecord, place: Option<&Jurisdiction>, rules: &RuleSet, today: Date) -> String {
    let Some(place) = place else { return "place not known".to_owned() };
    let circumstances = held.circumstances(place);
    let found = standing(&held.record, rules, &circumstances);
    let late = late_notices(&held.record, rules, &circumstances).len();
    let late = if late == 0 { String::new() } else { format!("; {} too late", counted(late, "notice", "notices")) };
    let overdue = found.overdue_since(today).map(|since| format!(", OVERDUE since {}", minute(since)));
    match found {
        Standing::NoRuleKnown => format!("no rule on records of {place} known{late}"),
        Standing::Complete => format!("complete by the rules known{late}"),
        Standing::Draft(lacking) => format!("draft, lacks {}{}{late}", lacking.len(), overdue.unwrap_or_default()),
    }
}

fn minute(moment: DateTime) -> String {
    moment.strftime("%Y-%m-%d %H:%M").to_string()
}

/// What the rules known say of a record on a day, with what must stand beside it.
pub(super) fn standing_words(held: &HeldRecord, place: Option<&Jurisdiction>, rules: &RuleSet, today: Date) -> String {
    let told = standing_told(held, place, rules, today);
    let mut out = format!("Standing: {}{}\n", told.words, if told.lacking.is_empty() { "" } else { "; it lacks" });
    for lack in &told.lacking {
        let _ = writeln!(out, "  {lack}");
    }
    for late in &told.late {
        let _ = writeln!(out, "Too late: {late}");
    }
    if let Some(kept) = &told.kept {
        let _ = writeln!(out, "It is {kept}");
    }
    if place.is_some() {
        let _ = writeln!(out, "{CONFIRM_LOCAL_LAW}");
    }
    out
}
