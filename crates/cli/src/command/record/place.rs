//! Where a record lies, and what the rules of the place say of it.

use crate::command::desk::Desk;
use exchange::kept::JurisdictionText;
use exchange::rule_file::{parse_rules, shipped};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use jurisdiction::{CONFIRM_LOCAL_LAW, Jurisdiction, Known, RuleSet};
use ledger::trade::HeldRecord;
use problem::Problems;
use record::{Standing, kept_until, standing};
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

/// In a word whether a record is complete, and overdue on a day.
pub(super) fn standing_word(held: &HeldRecord, place: Option<&Jurisdiction>, rules: &RuleSet, today: Date) -> String {
    let Some(place) = place else { return "place not known".to_owned() };
    let found = standing(&held.record, rules, &held.circumstances(place));
    let overdue = found.overdue_since(today).map(|since| format!(", OVERDUE since {}", minute(since)));
    match found {
        Standing::NoRuleKnown => format!("no rule on records of {place} known"),
        Standing::Complete => "complete by the rules known".to_owned(),
        Standing::Draft(lacking) => format!("draft, lacks {}{}", lacking.len(), overdue.unwrap_or_default()),
    }
}

fn minute(moment: DateTime) -> String {
    moment.strftime("%Y-%m-%d %H:%M").to_string()
}

/// Whether a record is complete, what it lacks and by when, what of it is overdue on a day, and until when it is
/// kept.
pub(super) fn standing_words(held: &HeldRecord, place: Option<&Jurisdiction>, rules: &RuleSet, today: Date) -> String {
    let mut out = String::new();
    let Some(place) = place else {
        out.push_str(
            "Standing: not told, since nothing says where the property lies; keep the property with \
             --jurisdiction, or name it with --place\n",
        );
        return out;
    };
    let circumstances = held.circumstances(place);
    match standing(&held.record, rules, &circumstances) {
        Standing::NoRuleKnown => {
            let _ = writeln!(out, "Standing: no rule on records of {place} is known here; there may be one");
        }
        Standing::Complete => {
            let _ = writeln!(out, "Standing: complete by the rules of {place} known here");
        }
        Standing::Draft(lacking) => {
            let _ = writeln!(out, "Standing: a draft by the rules of {place} known here; it lacks");
            for lack in &lacking {
                let fields: Vec<&str> = lack.any_of.iter().map(|field| field.phrase()).collect();
                let overdue = if lack.is_overdue(today) { ", OVERDUE" } else { "" };
                let by = lack.by.map(|(moment, _)| format!(", by {}{overdue}", minute(moment)));
                let rules: Vec<String> = lack.demanded_by.iter().map(|binding| binding.rule.id.to_string()).collect();
                let _ = writeln!(out, "  {}{} ({})", fields.join(" or "), by.unwrap_or_default(), rules.join(", "));
            }
        }
    }
    if let Known::Demanded(kept) = kept_until(rules, &circumstances) {
        let _ = writeln!(out, "Kept until {} at least ({})", kept.until, kept.by.rule.id);
    }
    let _ = writeln!(out, "{CONFIRM_LOCAL_LAW}");
    out
}
