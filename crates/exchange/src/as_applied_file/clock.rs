//! The clock of the times in an as-applied file that amends a record.

use jiff::tz::Offset;
use problem::{Problem, Problems};
use record::ApplicationRecord;

/// The clock of the place of a record: as said, such as `-05:00`, or as a time of the record says.
///
/// # Errors
/// What is said is no offset: `record::clock`; nothing says it: `record::no-clock`.
pub fn clock_of(record: &ApplicationRecord, said: Option<&str>) -> Result<Offset, Problems> {
    if let Some(text) = said {
        return read_offset(text).ok_or_else(|| {
            Problem::error("record::clock", format!("`{}` is no offset from universal time", text.escape_debug()))
                .expected("hours and minutes, such as `-05:00`")
                .at("clock")
                .into()
        });
    }
    let known = record.started.value().or(record.ended.value()).map(|moment| moment.offset);
    known.ok_or_else(|| {
        Problem::error("record::no-clock", "the record has no time that tells the clock of the place")
            .expected("the offset from universal time")
            .mend("name it, such as `--clock=-05:00`")
            .at("clock")
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
