//! Lengths of time in rules: a whole number and its unit, such as `2 years` or `1 business day`.

use crate::toml_source::{Field, shown};
use jurisdiction::{CompleteBy, NoticePeriod, Period, Removal};
use problem::Problem;
use std::num::NonZeroU16;

/// Reads `2 years`, `18 months`, `90 days`.
pub(super) fn period(field: &Field<'_>) -> Option<Period> {
    field.parsed(|text| {
        counted(text, |unit, number| match unit {
            "year" => Some(Period::Years(number)),
            "month" => Some(Period::Months(number)),
            "day" => Some(Period::Days(number)),
            _ => None,
        })
        .ok_or_else(|| wrong(text, "such as `2 years`, `18 months` or `90 days`"))
    })
}

/// Reads `same day`, `48 hours`, `10 days`.
pub(super) fn complete_by(field: &Field<'_>) -> Option<CompleteBy> {
    field.parsed(|text| {
        if text == "same day" {
            return Ok(CompleteBy::SameDay);
        }
        counted(text, |unit, number| match unit {
            "hour" => Some(CompleteBy::Hours(number)),
            "day" => Some(CompleteBy::Days(number)),
            _ => None,
        })
        .ok_or_else(|| wrong(text, "`same day`, or such as `48 hours` or `10 days` after the application"))
    })
}

/// Reads `48 hours`, `1 business day`.
pub(super) fn before(field: &Field<'_>) -> Option<NoticePeriod> {
    field.parsed(|text| {
        counted(text, |unit, number| match unit {
            "hour" => Some(NoticePeriod::Hours(number)),
            "business day" => Some(NoticePeriod::BusinessDays(number)),
            _ => None,
        })
        .ok_or_else(|| wrong(text, "such as `48 hours` or `1 business day`"))
    })
}

/// Reads `24 hours`, `next day`.
pub(super) fn removal(field: &Field<'_>) -> Option<Removal> {
    field.parsed(|text| {
        if text == "next day" {
            return Ok(Removal::NextDay);
        }
        counted(text, |unit, number| (unit == "hour").then_some(Removal::Hours(number)))
            .ok_or_else(|| wrong(text, "`next day`, or such as `24 hours` after the application"))
    })
}

/// A whole number above zero and a unit, whose plural `s` is taken off.
fn counted<T>(text: &str, make: impl FnOnce(&str, NonZeroU16) -> Option<T>) -> Option<T> {
    let (number, unit) = text.split_once(char::is_whitespace)?;
    let number = number.parse().ok()?;
    let unit = unit.split_whitespace().collect::<Vec<_>>().join(" ");
    make(unit.strip_suffix('s').unwrap_or(&unit), number)
}

fn wrong(text: &str, expected: &str) -> Problem {
    let found = if text.split_whitespace().next().is_some_and(|number| number.parse::<u64>() == Ok(0)) {
        format!("`{}` is no time at all", shown(text))
    } else {
        format!("`{}` is no length of time that a rule can name here", shown(text))
    };
    Problem::error("rules::period", found).expected(format!("a whole number above zero with its unit, {expected}"))
}
