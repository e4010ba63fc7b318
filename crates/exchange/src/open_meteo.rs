//! The answer of an Open-Meteo service: JSON with lists of hours, of days, or of both, each figure in the unit that the
//! answer says.
//!
//! What the service sums or averages over an hour (rain, chance of rain, gusts, radiation) it stamps with the *end* of the
//! hour; temperature, humidity and wind are those of the stamp itself. Here an hour has the figures of its beginning and
//! the sums through its end, so that the last hour has no rain, and there is none of it to be guessed.

mod days;
mod hours;
mod unit;

use crate::weather_json::{Document, Node};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};
use weather::{DailySeries, HourlySeries, Site};

/// The weather of a place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceWeather {
    /// Middle of the cell of the model, not the place that was asked for.
    pub site: Site,
    /// Height above the sea, where the answer says so.
    pub height: Option<Length>,
    /// Its hours, where they were asked for.
    pub hours: Option<HourlySeries>,
    /// Its days, where they were asked for.
    pub days: Option<DailySeries>,
}

/// Reads an answer. `file` is the name that its user gave it and only serves messages.
///
/// Variables that are not known here are passed over. With the weather come the warnings of [`HourlySeries::new`] and
/// [`DailySeries::new`].
///
/// # Errors
/// Everything wrong with the text, each with its line, column and path: the text is no JSON, or says that the service
/// could not answer; a place or an offset missing; neither hours nor days; lists that differ in length; a unit, a time or a
/// value that cannot be read; a figure out of bounds; an hour or day twice.
pub fn parse_weather(file: &str, text: &str) -> Result<(PlaceWeather, Problems), Problems> {
    read(text).map(|(weather, problems)| (weather, problems.in_file(file))).map_err(|problems| problems.in_file(file))
}

fn read(text: &str) -> Result<(PlaceWeather, Problems), Problems> {
    let document = Document::parse(text, "the answer of an Open-Meteo service")?;
    let root = document.root();
    if let Some(reason) = root.field("reason").and_then(|reason| reason.text()) {
        let reason = crate::toml_source::shown(reason);
        return Err(root
            .problem(
                Problem::error("open-meteo::refused", format!("the service did not answer: `{reason}`"))
                    .expected("an answer with `hourly` or `daily`"),
            )
            .into());
    }
    let mut problems = Problems::new();
    let site = site_of(&root, &mut problems);
    let offset = offset_of(&root, &mut problems);
    let height = root.field("elevation").and_then(|field| height_of(&field, &mut problems));
    let (hourly, daily) = (root.field("hourly"), root.field("daily"));
    if hourly.is_none() && daily.is_none() {
        problems.push(root.missing("hourly", "`hourly` or `daily`, an object with a list `time`"));
    }
    let hours = hourly
        .zip(offset)
        .map(|(lists, offset)| hours::read(&lists, root.field("hourly_units").as_ref(), offset, &mut problems));
    let days = daily
        .zip(offset)
        .map(|(lists, offset)| days::read(&lists, root.field("daily_units").as_ref(), offset, &mut problems));
    if problems.has_errors() {
        return Err(problems);
    }
    let Some(site) = site else { return Err(problems) };
    problems.unless_errors(PlaceWeather { site, height, hours: hours.flatten(), days: days.flatten() })
}

fn site_of(root: &Node<'_>, problems: &mut Problems) -> Option<Site> {
    let mut degrees = |name: &str| {
        let Some(field) = root.field(name) else {
            problems.push(root.missing(name, "the place in degrees"));
            return None;
        };
        let number = field.number();
        if number.is_none() {
            problems.push(field.unreadable("a number of degrees"));
        }
        number
    };
    let (latitude, longitude) = (degrees("latitude"), degrees("longitude"));
    Site::new(latitude?, longitude?).map_err(|faults| problems.extend(root.problems(faults))).ok()
}

fn offset_of(root: &Node<'_>, problems: &mut Problems) -> Option<Offset> {
    let Some(field) = root.field("utc_offset_seconds") else {
        problems.push(root.missing("utc_offset_seconds", "the offset of its times from universal time"));
        return None;
    };
    let seconds = field.number().filter(|seconds| seconds.abs() < 1e6 && seconds.fract() == 0.0);
    let offset = seconds.and_then(|seconds| Offset::from_seconds(seconds as i32).ok());
    if offset.is_none() {
        problems.push(field.unreadable("whole seconds, such as -18000"));
    }
    offset
}

fn height_of(field: &Node<'_>, problems: &mut Problems) -> Option<Length> {
    let metres = field.number().filter(|metres| (-500.0..=9000.0).contains(metres));
    if metres.is_none() {
        problems.push(field.unreadable("metres above the sea, from -500 to 9000"));
    }
    metres.map(|metres| Length::new(metres, LengthUnit::Metre))
}

/// A variable, its name and its entries.
type Variable<'n, V> = (V, &'static str, Vec<Node<'n>>);

/// The entries of the list of times, and for each variable that is there its entries, as many.
fn lists<'n, V: Copy>(
    lists: &Node<'n>,
    variables: &[(&'static str, V)],
    problems: &mut Problems,
) -> Option<(Vec<Node<'n>>, Vec<Variable<'n, V>>)> {
    let Some(times) = lists.field("time").and_then(|times| times.entries()).filter(|times| !times.is_empty()) else {
        problems.push(lists.missing("time", "a list `time` with an entry for each hour or day"));
        return None;
    };
    let mut found = Vec::new();
    for (name, variable) in variables {
        let Some(field) = lists.field(name) else { continue };
        match field.entries() {
            Some(entries) if entries.len() == times.len() => found.push((*variable, *name, entries)),
            Some(entries) => problems.push(
                field.problem(
                    Problem::error(
                        "open-meteo::length",
                        format!("`{name}` has `{}` entries and `time` `{}`", entries.len(), times.len()),
                    )
                    .expected("an entry of each list for each time"),
                ),
            ),
            None => problems.push(field.unreadable("a list of numbers and nulls")),
        }
    }
    Some((times, found))
}

#[cfg(test)]
mod tests;
