//! The hourly forecast of the National Weather Service of the United States, as its interface `api.weather.gov` gives it:
//! a GeoJSON feature with `periods` of one hour each (`/gridpoints/OFFICE/X,Y/forecast/hourly`).
//!
//! It tells temperature, dew point, humidity, wind and the chance of rain, but not how much: the rain of each hour stays
//! unknown. Of a wind such as `5 to 10 mph` the upper end is taken, since limits are held against it.

mod period;

use crate::weather_json::{Document, Node, NodePlaces};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};
use weather::HourlySeries;

/// A forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct HourlyForecast {
    /// Its hours.
    pub hours: HourlySeries,
    /// Height above the sea of the ground that it is for, where it says so.
    pub height: Option<Length>,
}

/// Reads a forecast. `file` is the name that its user gave it and only serves messages.
///
/// Hours after a change of clocks are put to the offset of the first one, with a warning. With the forecast come a
/// warning that rain is unknown and those of [`HourlySeries::new`].
///
/// # Errors
/// Everything wrong with the text, each with its line, column and path: the text is no JSON or has no periods, a period
/// is not one hour, a start, a wind or a unit that cannot be read, a figure out of bounds, an hour twice.
pub fn parse_forecast(file: &str, text: &str) -> Result<(HourlyForecast, Problems), Problems> {
    read(text).map(|(forecast, problems)| (forecast, problems.in_file(file))).map_err(|problems| problems.in_file(file))
}

const WHAT: &str = "the answer of `/gridpoints/OFFICE/X,Y/forecast/hourly`: a feature with `properties.periods`";

fn read(text: &str) -> Result<(HourlyForecast, Problems), Problems> {
    let document = Document::parse(text, WHAT)?;
    let root = document.root();
    let mut problems = Problems::new();
    // With the media type `application/ld+json` the properties stand at the top.
    let properties = root.field("properties").unwrap_or_else(|| root.clone());
    let Some(periods) = properties.field("periods").and_then(|periods| periods.entries()) else {
        return Err(properties.missing("periods", WHAT).into());
    };
    let mut places = NodePlaces::default();
    let mut offset: Option<Offset> = None;
    let mut moved: Option<Node<'_>> = None;
    let mut hours = Vec::with_capacity(periods.len());
    for period in &periods {
        let Some((local, own)) = period::start_of(period, &mut problems) else { continue };
        let first = *offset.get_or_insert(own);
        let start = if own == first {
            Some(local)
        } else {
            moved.get_or_insert_with(|| period.clone());
            own.to_timestamp(local).ok().map(|instant| first.to_datetime(instant))
        };
        let Some(start) = start else { continue };
        places.remember(&start, period.clone(), period::figures(period));
        hours.push(period::reading(start, period, &mut problems));
    }
    if let Some(period) = moved {
        problems.push(
            period.problem(
                Problem::warning("nws::clock-change", "the clocks change within the forecast")
                    .expected("one offset from universal time")
                    .mend("nothing: later hours are told by the clock of the first one"),
            ),
        );
    }
    let Some(offset) = offset.filter(|_| !hours.is_empty()) else {
        if !problems.has_errors() {
            problems.push(properties.missing("periods", "one period or more"));
        }
        return Err(problems);
    };
    problems.push(
        properties.problem(
            Problem::warning("nws::rain-unknown", "the forecast does not tell how much rain falls")
                .expected("the chance of rain alone; a depth where a limit needs it")
                .mend("add the rain of the hours from another source, or they count as hours of unknown rain"),
        ),
    );
    let height = properties.field("elevation").and_then(|elevation| period::height(&elevation, &mut problems));
    let faulty = problems.has_errors();
    let tells = |found: &Problem| !faulty || found.code != "weather::gap";
    match HourlySeries::new(offset, hours) {
        Ok((hours, warnings)) => {
            problems.extend(warnings.into_iter().filter(tells).map(|warning| places.place(warning)));
            let height = height.map(|metres| Length::new(metres, LengthUnit::Metre));
            problems.unless_errors(HourlyForecast { hours, height })
        }
        Err(errors) => {
            problems.extend(errors.into_iter().filter(tells).map(|error| places.place(error)));
            Err(problems)
        }
    }
}

#[cfg(test)]
mod tests;
