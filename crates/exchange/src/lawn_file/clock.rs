//! Times of the clock, days of the week and stretches of time of a lawn file.

use crate::toml_source::{Field, Table, shown};
use jiff::civil::{DateTime, Time, Weekday};
use problem::Problem;
use season::prohibition::Prohibition;

const WEEK: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];

/// The days of the week of a list of their names; all of them where there is no list.
pub(super) fn weekdays(table: &Table<'_>, key: &'static str) -> Option<Vec<Weekday>> {
    let Some(field) = table.optional(key) else { return Some(WEEK.map(|(_, day)| day).to_vec()) };
    let word = |day: Weekday| WEEK.iter().find(|(_, known)| *known == day).map_or("", |(word, _)| word);
    let mut days = field.each(|entry| entry.word(&WEEK.map(|(_, day)| day), word))?;
    days.sort_by_key(|day| day.to_monday_zero_offset());
    days.dedup();
    if days.is_empty() {
        field.report(Problem::error("lawn::no-weekday", "no day of the week").expected("one day or more"));
        return None;
    }
    Some(days)
}

/// A time of the clock, such as `04:30`.
pub(super) fn time(field: &Field<'_>) -> Option<Time> {
    field.parsed(|text| {
        read_time(text).ok_or_else(|| {
            Problem::error("lawn::time", format!("`{}` is no time of the clock", shown(text)))
                .expected("hours and minutes of the day, such as `04:30`")
        })
    })
}

fn read_time(text: &str) -> Option<Time> {
    let (hour, minute) = text.split_once(':')?;
    let number =
        |text: &str| if text.len() == 2 && text.bytes().all(|b| b.is_ascii_digit()) { text.parse().ok() } else { None };
    Time::new(number(hour)?, number(minute)?, 0, 0).ok()
}

/// A local time on a day, such as `2026-07-08T06:00`.
fn moment(field: &Field<'_>) -> Option<DateTime> {
    field.parsed(|text| {
        let read = || {
            let (date, clock) = text.split_once(['T', ' '])?;
            let is_plain = date.len() == 10 && date.bytes().all(|b| b.is_ascii_digit() || b == b'-');
            Some(
                if is_plain { date.parse::<jiff::civil::Date>().ok()? } else { return None }
                    .to_datetime(read_time(clock)?),
            )
        };
        read().ok_or_else(|| {
            Problem::error("lawn::moment", format!("`{}` is no local time on a day", shown(text)))
                .expected("day and time without an offset, such as `2026-07-08T06:00`")
        })
    })
}

/// A stretch of time in which something is not done.
pub(super) fn prohibition(table: Table<'_>) -> Option<Prohibition> {
    let from = table.required("from").and_then(|field| moment(&field));
    let until = table.required("until").and_then(|field| moment(&field));
    let why = table.required_as("why", "the reason, in words").and_then(|field| field.text());
    if let (Some(from), Some(until)) = (from, until)
        && until <= from
    {
        table.report(
            Problem::error("lawn::stretch", format!("from `{from}` until `{until}`"))
                .expected("an end after the beginning"),
        );
        table.finish();
        return None;
    }
    table.finish();
    Some(Prohibition { from: from?, until: until?, why: why?.to_owned(), sentences: Vec::new() })
}

#[cfg(test)]
mod tests {
    use super::read_time;

    #[test]
    fn times_are_hours_and_minutes() {
        assert_eq!(read_time("04:30"), Some(jiff::civil::time(4, 30, 0, 0)));
        for text in ["4:30", "24:00", "04:60", "04", "+4:30", "04:30:00"] {
            assert_eq!(read_time(text), None, "{text}");
        }
    }
}
