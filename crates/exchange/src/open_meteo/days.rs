//! Its days.

use super::lists;
use super::unit::{DEPTH, PERCENT, RADIATION, SPEED, TEMPERATURE, Unit, Units, unit_of};
use crate::weather_json::{Node, NodePlaces};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Length, RadiantExposure, RadiantExposureUnit, Speed, Temperature};
use weather::{DailyReading, DailySeries, RelativeHumidity};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Variable {
    Highest,
    Lowest,
    Rain,
    Humidity,
    Wind,
    Radiation,
}

impl Variable {
    const fn units(self) -> Units {
        match self {
            Self::Highest | Self::Lowest => TEMPERATURE,
            Self::Rain => DEPTH,
            Self::Humidity => PERCENT,
            Self::Wind => SPEED,
            Self::Radiation => RADIATION,
        }
    }

    /// The code of what `weather` finds wrong with it.
    const fn code(self) -> &'static str {
        match self {
            Self::Highest => "weather::temperature",
            Self::Lowest => "weather::extremes",
            Self::Rain => "weather::rain",
            Self::Wind => "weather::wind",
            Self::Radiation => "weather::radiation",
            Self::Humidity => "",
        }
    }
}

const VARIABLES: &[(&str, Variable)] = &[
    ("temperature_2m_max", Variable::Highest),
    ("temperature_2m_min", Variable::Lowest),
    ("precipitation_sum", Variable::Rain),
    ("relative_humidity_2m_mean", Variable::Humidity),
    ("wind_speed_10m_mean", Variable::Wind),
    ("shortwave_radiation_sum", Variable::Radiation),
];

pub(super) fn read(
    daily: &Node<'_>,
    units: Option<&Node<'_>>,
    offset: Offset,
    problems: &mut Problems,
) -> Option<DailySeries> {
    let (times, variables) = lists(daily, VARIABLES, problems)?;
    let is_unix = units.and_then(|units| units.field("time")).and_then(|unit| unit.text()) == Some("unixtime");
    let variables: Vec<(Variable, Unit, Vec<Node<'_>>)> = variables
        .into_iter()
        .filter_map(|(variable, name, entries)| {
            Some((variable, unit_of(units, daily, name, variable.units(), problems)?, entries))
        })
        .collect();
    let mut places = NodePlaces::default();
    let mut readings = Vec::with_capacity(times.len());
    for (index, time) in times.iter().enumerate() {
        let Some(date) = date_of(time, is_unix, offset) else {
            problems.push(time.unreadable(if is_unix { "seconds since 1970" } else { "a day such as `2026-07-07`" }));
            continue;
        };
        let mut reading = DailyReading::unknown(date);
        let mut figures = Vec::new();
        for (variable, unit, entries) in &variables {
            let entry = &entries[index];
            if entry.is_null() {
                continue;
            }
            let Some(number) = entry.number() else {
                problems.push(entry.unreadable("a number or null"));
                continue;
            };
            if let Err(faults) = fill(&mut reading, *variable, *unit, number) {
                problems.extend(entry.problems(faults));
            }
            figures.push((variable.code(), entry.clone()));
        }
        places.remember(&reading.date, time.clone(), figures);
        readings.push(reading);
    }
    if readings.is_empty() {
        return None;
    }
    let faulty = problems.has_errors();
    let (series, found) = match DailySeries::new(readings) {
        Ok((series, warnings)) => (Some(series), warnings),
        Err(errors) => (None, errors),
    };
    let tells = |warning: &Problem| !faulty || warning.code != "weather::day-gap";
    problems.extend(found.into_iter().filter(tells).map(|problem| places.place(problem)));
    series
}

fn date_of(time: &Node<'_>, is_unix: bool, offset: Offset) -> Option<Date> {
    if is_unix {
        let seconds = time.number().filter(|seconds| seconds.fract() == 0.0)?;
        return Some(offset.to_datetime(Timestamp::from_second(seconds as i64).ok()?).date());
    }
    time.text()?.parse().ok()
}

fn fill(reading: &mut DailyReading, variable: Variable, unit: Unit, number: f64) -> Result<(), Problems> {
    match (variable, unit) {
        (Variable::Highest, Unit::Temperature(unit)) => reading.highest = Some(Temperature::new(number, unit)),
        (Variable::Lowest, Unit::Temperature(unit)) => reading.lowest = Some(Temperature::new(number, unit)),
        (Variable::Rain, Unit::Depth(unit)) => reading.rain = Some(Length::new(number, unit)),
        (Variable::Wind, Unit::Speed(unit)) => reading.wind_speed = Some(Speed::new(number, unit)),
        (Variable::Humidity, _) => reading.relative_humidity = Some(RelativeHumidity::from_percent(number)?),
        (Variable::Radiation, _) => {
            reading.radiation = Some(RadiantExposure::new(number, RadiantExposureUnit::MegajoulePerSquareMetre));
        }
        // Each variable has units of its own kind alone.
        (Variable::Highest | Variable::Lowest | Variable::Rain | Variable::Wind, _) => {}
    }
    Ok(())
}
