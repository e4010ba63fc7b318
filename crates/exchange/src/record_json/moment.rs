//! Times as RFC 3339 has them, with the offset of the place.

use super::fact::{FactJson, fact_of};
use crate::visit_json::instant;
use jiff::civil::DateTime;
use jiff::tz::Offset;
use record::{Fact, Moment};

/// A time as text; whole seconds.
pub(super) fn text(moment: Moment) -> String {
    instant(moment.local, moment.offset)
}

/// A time that a record may have.
pub(crate) fn moment_fact(moment: &Fact<Moment>) -> FactJson<String> {
    fact_of(moment, |moment| text(*moment))
}

/// Reads a time with its offset: `2026-07-07T07:05:00-05:00`.
pub(crate) fn parse(text: &str) -> Option<Moment> {
    if !text.is_ascii() || text.len() < 20 {
        return None;
    }
    let (local, offset) = if let Some(local) = text.strip_suffix('Z') {
        (local, Offset::UTC)
    } else {
        let (local, offset) = text.split_at(text.len() - 6);
        (local, parse_offset(offset)?)
    };
    let plain = |c: char| c.is_ascii_digit() || matches!(c, '-' | ':' | '.' | 'T');
    if !local.chars().all(plain) {
        return None;
    }
    Some(Moment { local: local.parse::<DateTime>().ok()?, offset })
}

fn parse_offset(text: &str) -> Option<Offset> {
    let sign = match text.get(..1)? {
        "+" => 1,
        "-" => -1,
        _ => return None,
    };
    let (hours, minutes) = text.get(1..)?.split_once(':')?;
    let two = |digits: &str, most: i32| {
        let is_number = digits.len() == 2 && digits.bytes().all(|b| b.is_ascii_digit());
        digits.parse::<i32>().ok().filter(|number| is_number && *number <= most)
    };
    Offset::from_seconds(sign * (two(hours, 23)? * 3600 + two(minutes, 59)? * 60)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_read_as_it_is_written() {
        for written in ["2026-07-07T07:05:00-05:00", "2026-07-07T07:05:30+05:30", "2026-01-01T00:00:00+00:00"] {
            assert_eq!(text(parse(written).expect(written)), written);
        }
        assert_eq!(parse("2026-07-07T12:05:00Z").map(text), Some("2026-07-07T12:05:00+00:00".to_owned()));
        for wrong in [
            "2026-07-07T07:05:00",
            "2026-07-07",
            "2026-02-30T07:05:00-05:00",
            "2026-07-07T07:05:00-5:00",
            "2026-07-07T07:05:00-24:00",
            "2026-07-07T25:05:00Z",
            "",
            "07:05",
        ] {
            assert_eq!(parse(wrong), None, "{wrong}");
        }
    }
}
