//! Facts and times.

use super::Day;
use crate::toml_source::{Field, Table, shown};
use jiff::civil::{DateTime, Time};
use problem::Problem;
use record::{Fact, Moment};

/// A fact under a name; absent when the file says nothing of it.
pub(super) fn read_fact<T>(
    table: &Table<'_>,
    key: &'static str,
    read: impl FnOnce(&Field<'_>) -> Option<T>,
) -> Fact<T> {
    table.optional(key).map_or(Fact::Absent, |field| fact(&field, read))
}

/// A text under a name.
pub(super) fn text(table: &Table<'_>, key: &'static str) -> Fact<String> {
    read_fact(table, key, |field| field.text().map(str::to_owned))
}

/// What a field says: a value, or `{ does_not_arise = true }`.
pub(super) fn fact<T>(field: &Field<'_>, read: impl FnOnce(&Field<'_>) -> Option<T>) -> Fact<T> {
    let says_none = field.is_table() && field.json().get("does_not_arise").is_some();
    if !says_none {
        return Fact::given(read(field));
    }
    let Some(table) = field.table() else { return Fact::Absent };
    let flag = table.optional("does_not_arise").and_then(|field| field.flag());
    table.finish();
    match flag {
        Some(true) => Fact::DoesNotArise,
        Some(false) => {
            field.report(
                Problem::error("as-applied::does-not-arise", "it arises, and nothing is said of it")
                    .expected("what was, or `{ does_not_arise = true }`")
                    .mend("write what was, or delete the line"),
            );
            Fact::Absent
        }
        None => Fact::Absent,
    }
}

/// A time: `"07:05"` on the day of the visit, or date and time, with or without an offset.
pub(super) fn moment(field: &Field<'_>, day: &Day<'_>) -> Option<Moment> {
    // TOML's own times need no quotes.
    let written = if field.is_text() { field.text()?.to_owned() } else { field.json().as_str()?.to_owned() };
    let plain = written.bytes().all(|b| b.is_ascii_digit() || b":-+.TZ ".contains(&b));
    let read = || -> Option<Moment> {
        if let Some(moment) = crate::record_json::parse_moment(&written.replacen(' ', "T", 1)) {
            return Some(moment);
        }
        let local = if let Some((date, time)) = written.split_once(['T', ' ']) {
            let date = date.parse::<jiff::civil::Date>().ok()?;
            DateTime::from_parts(date, with_seconds(time).parse::<Time>().ok()?)
        } else {
            day.date.to_datetime(with_seconds(&written).parse::<Time>().ok()?)
        };
        Some(Moment { local, offset: day.offset })
    };
    let moment = if plain { read() } else { None };
    if moment.is_none() {
        field.report(
            Problem::error("as-applied::time", format!("`{}` is no time", shown(&written)))
                .expected("a time such as `\"07:05\"`, or date and time such as `\"2026-07-07T07:05\"`"),
        );
    }
    moment
}

fn with_seconds(time: &str) -> String {
    if time.len() == 5 { format!("{time}:00") } else { time.to_owned() }
}
