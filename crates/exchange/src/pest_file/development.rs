//! The table `[development]`: how the stages of a pest follow each other by heat. The fields are told in
//! `docs/stages.md`.

use super::{required, source_of};
use crate::business_file::{all, text, whole};
use crate::toml_source::{Field, Table};
use pest::{Cited, DegreeDayModel, HeatMethod, HeatStart, StageStep, StepSpread, UpperCutoff};
use problem::Problem;
use quantity::{DegreeDayUnit, DegreeDays, Temperature, TemperatureUnit};

/// Reads the table; what it cannot read is written down.
pub(crate) fn read(table: Table<'_>) -> Option<DegreeDayModel> {
    let base = table
        .required_as("base", "the temperature above which they develop, such as `50 °F`")
        .and_then(|field| temperature(&field));
    // Where the base cannot be read, the other figures are read as if it were in degrees Celsius, so that what else is
    // wrong is told.
    let scale = base.map_or(TemperatureUnit::Celsius, |(_, scale)| scale);
    let unit = scale.degree_days();
    let upper = read_upper(&table);
    let method = whole(table.optional("method"), |field| field.word(&HeatMethod::ALL, HeatMethod::word));
    let start = read_start(&table);
    let first = required(&table, "first", "the stage at the start, such as `egg`");
    let source = source_of(&table);
    let steps = all(table.tables("step"), |step| read_step(step, unit));
    let variance = whole(table.optional("variance_per_degree_day"), |field| field.number());
    let variance_source = text(&table, "variance_source");
    let susceptible = match table.optional("susceptible") {
        Some(field) => field.each(|stage| stage.text().map(str::to_owned)),
        None => Some(Vec::new()),
    };
    let place = required(&table, "place", "where it was found to hold");
    let note = text(&table, "note");
    table.finish();
    let (base, scale) = base?;
    let source = source?;
    let variance_source = variance_source.ok()?.unwrap_or_else(|| source.clone());
    let variance =
        variance.ok()?.map(|variance| Cited { what: DegreeDays::new(variance, unit), source: variance_source });
    Some(DegreeDayModel {
        base,
        scale,
        upper: upper.ok()?,
        method: method.ok()?,
        start: start?,
        first: first?,
        steps: steps?,
        variance_per_degree_day: variance,
        susceptible: susceptible?,
        place: place?,
        note: note.ok()?,
        source,
    })
}

fn temperature(field: &Field<'_>) -> Option<(Temperature, TemperatureUnit)> {
    field.quantity(quantity::parse_temperature)
}

/// The upper threshold with its cutoff: neither means anything without the other.
fn read_upper(table: &Table<'_>) -> Result<Option<(Temperature, UpperCutoff)>, crate::business_file::Unread> {
    let upper = whole(table.optional("upper"), |field| temperature(&field));
    let cutoff = whole(table.optional("cutoff"), |field| field.word(&UpperCutoff::ALL, UpperCutoff::word));
    match (upper?, cutoff?) {
        (Some((upper, _)), Some(cutoff)) => Ok(Some((upper, cutoff))),
        (None, None) => Ok(None),
        (given, _) => {
            let (there, lacking) = if given.is_some() { ("upper", "cutoff") } else { ("cutoff", "upper") };
            table.report(
                Problem::error("pest::heat-range", format!("there is `{there}` without `{lacking}`"))
                    .expected("both: the upper threshold, and `horizontal`, `intermediate` or `vertical`")
                    .mend(format!("add `{lacking}`, or leave `{there}` out"))
                    .at(table.path()),
            );
            Err(crate::business_file::Unread)
        }
    }
}

fn read_start(table: &Table<'_>) -> Option<HeatStart> {
    let day = whole(table.optional("start"), |field| field.parsed(month_and_day));
    let biofix = text(table, "biofix");
    match (day.ok()?, biofix.ok()?) {
        (Some((month, day)), None) => Some(HeatStart::Day { month, day }),
        (None, Some(seen)) => Some(HeatStart::Biofix(seen)),
        (both, _) => {
            let found = if both.is_some() { "there are two starts" } else { "there is no start" };
            table.report(
                Problem::error("pest::start", found)
                    .expected(
                        "`start`, month and day such as `03-01`, or `biofix`, what is seen on the day of the start",
                    )
                    .at(table.path()),
            );
            None
        }
    }
}

/// A day of every year.
fn month_and_day(words: &str) -> Result<(i8, i8), Problem> {
    let parts = words.split_once('-').and_then(|(month, day)| Some((month.parse().ok()?, day.parse().ok()?)));
    let is_plain = words.len() == 5;
    // A year without a 29 February.
    parts.filter(|(month, day)| is_plain && jiff::civil::Date::new(2023, *month, *day).is_ok()).ok_or_else(|| {
        Problem::error("pest::start", format!("`{}` is no day of every year", crate::toml_source::shown(words)))
            .expected("month and day, such as `03-01`")
    })
}

fn read_step(table: Table<'_>, unit: DegreeDayUnit) -> Option<Cited<StageStep>> {
    let to = required(&table, "to", "the stage that the step leads to");
    let middle = table
        .required_as("degree_days", "the heat since the start at which half have taken it, on the scale of the base")
        .and_then(|field| field.number());
    let scale = whole(table.optional("logistic_scale"), |field| field.number());
    let deviation = whole(table.optional("standard_deviation"), |field| field.number());
    let spread_source = text(&table, "spread_source");
    let note = text(&table, "note");
    let source = source_of(&table);
    let spread = match (scale.ok()?, deviation.ok()?) {
        (None, None) => Some(None),
        (Some(scale), None) => Some(Some((true, scale))),
        (None, Some(deviation)) => Some(Some((false, deviation))),
        (Some(_), Some(_)) => {
            table.report(
                Problem::error("pest::spread", "the spread of the step is told twice")
                    .expected("`logistic_scale` or `standard_deviation`")
                    .at(table.path()),
            );
            None
        }
    };
    table.finish();
    let source = source?;
    let spread_source = spread_source.ok()?.unwrap_or_else(|| source.clone());
    let spread = spread?.map(|(is_logistic, width)| {
        let width = Cited { what: DegreeDays::new(width, unit), source: spread_source };
        if is_logistic { StepSpread::LogisticScale(width) } else { StepSpread::StandardDeviation(width) }
    });
    let what = StageStep { to: to?, middle: DegreeDays::new(middle?, unit), spread, note: note.ok()? };
    Some(Cited { what, source })
}
