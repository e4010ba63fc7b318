//! Its hours.

use super::lists;
use super::unit::{DEGREES, DEPTH, IRRADIANCE, PERCENT, PRESSURE, SPEED, TEMPERATURE, Unit, Units, unit_of};
use crate::weather_json::{Node, NodePlaces};
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Bearing, Irradiance, IrradianceUnit, Length, Pressure, PressureUnit, Speed, Temperature};
use weather::{Chance, CloudCover, HourlyReading, HourlySeries, RelativeHumidity};

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Variable {
    Temperature,
    DewPoint,
    Humidity,
    Wind,
    WindFrom,
    Pressure,
    CloudCover,
    Gust,
    Rain,
    RainChance,
    Irradiance,
}

impl Variable {
    /// Whether it is stamped with the end of its hour.
    const fn is_of_the_hour_before(self) -> bool {
        matches!(self, Self::Gust | Self::Rain | Self::RainChance | Self::Irradiance)
    }

    const fn units(self) -> Units {
        match self {
            Self::Temperature | Self::DewPoint => TEMPERATURE,
            Self::Humidity | Self::CloudCover | Self::RainChance => PERCENT,
            Self::Wind | Self::Gust => SPEED,
            Self::WindFrom => DEGREES,
            Self::Pressure => PRESSURE,
            Self::Rain => DEPTH,
            Self::Irradiance => IRRADIANCE,
        }
    }

    /// The code of what `weather` finds wrong with it.
    const fn code(self) -> &'static str {
        match self {
            Self::Temperature => "weather::temperature",
            Self::DewPoint => "weather::dew-point",
            Self::Wind => "weather::wind",
            Self::Gust => "weather::gust",
            Self::Rain => "weather::rain",
            Self::Pressure => "weather::pressure",
            Self::Irradiance => "weather::irradiance",
            Self::Humidity | Self::WindFrom | Self::CloudCover | Self::RainChance => "",
        }
    }
}

/// Names of today and of earlier versions.
const VARIABLES: &[(&str, Variable)] = &[
    ("temperature_2m", Variable::Temperature),
    ("dew_point_2m", Variable::DewPoint),
    ("dewpoint_2m", Variable::DewPoint),
    ("relative_humidity_2m", Variable::Humidity),
    ("relativehumidity_2m", Variable::Humidity),
    ("wind_speed_10m", Variable::Wind),
    ("windspeed_10m", Variable::Wind),
    ("wind_direction_10m", Variable::WindFrom),
    ("winddirection_10m", Variable::WindFrom),
    ("wind_gusts_10m", Variable::Gust),
    ("windgusts_10m", Variable::Gust),
    ("precipitation", Variable::Rain),
    ("precipitation_probability", Variable::RainChance),
    ("surface_pressure", Variable::Pressure),
    ("shortwave_radiation", Variable::Irradiance),
    ("cloud_cover", Variable::CloudCover),
    ("cloudcover", Variable::CloudCover),
];

pub(super) fn read(
    hourly: &Node<'_>,
    units: Option<&Node<'_>>,
    offset: Offset,
    problems: &mut Problems,
) -> Option<HourlySeries> {
    let (times, variables) = lists(hourly, VARIABLES, problems)?;
    let is_unix = units.and_then(|units| units.field("time")).and_then(|unit| unit.text()) == Some("unixtime");
    let variables: Vec<(Variable, Unit, Vec<Node<'_>>)> = variables
        .into_iter()
        .filter_map(|(variable, name, entries)| {
            Some((variable, unit_of(units, hourly, name, variable.units(), problems)?, entries))
        })
        .collect();
    let mut places = NodePlaces::default();
    let mut readings = Vec::with_capacity(times.len());
    for (index, time) in times.iter().enumerate() {
        let Some(start) = start_of(time, is_unix, offset) else {
            problems.push(time.unreadable(if is_unix {
                "seconds since 1970"
            } else {
                "a local time such as `2026-07-07T05:00`"
            }));
            continue;
        };
        let mut reading = HourlyReading::unknown(start);
        let mut figures = Vec::new();
        for (variable, unit, entries) in &variables {
            let at = index + usize::from(variable.is_of_the_hour_before());
            let Some(entry) = entries.get(at).filter(|entry| !entry.is_null()) else { continue };
            // After a gap the next stamp does not end this hour.
            if at > index && !ends_at(times.get(at), start, is_unix, offset) {
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
        places.remember(&reading.start, time.clone(), figures);
        readings.push(reading);
    }
    if readings.is_empty() {
        return None;
    }
    let faulty = problems.has_errors();
    let (series, found) = match HourlySeries::new(offset, readings) {
        Ok((series, warnings)) => (Some(series), warnings),
        Err(errors) => (None, errors),
    };
    let tells = |warning: &Problem| !faulty || warning.code != "weather::gap";
    problems.extend(found.into_iter().filter(tells).map(|problem| places.place(problem)));
    series
}

fn start_of(time: &Node<'_>, is_unix: bool, offset: Offset) -> Option<DateTime> {
    if is_unix {
        let seconds = time.number().filter(|seconds| seconds.fract() == 0.0)?;
        return Some(offset.to_datetime(Timestamp::from_second(seconds as i64).ok()?));
    }
    time.text()?.parse().ok()
}

fn ends_at(time: Option<&Node<'_>>, start: DateTime, is_unix: bool, offset: Offset) -> bool {
    let end = time.and_then(|time| start_of(time, is_unix, offset));
    end.is_some_and(|end| end.duration_since(start) == jiff::SignedDuration::from_hours(1))
}

fn fill(reading: &mut HourlyReading, variable: Variable, unit: Unit, number: f64) -> Result<(), Problems> {
    match (variable, unit) {
        (Variable::Temperature, Unit::Temperature(unit)) => reading.temperature = Some(Temperature::new(number, unit)),
        (Variable::DewPoint, Unit::Temperature(unit)) => reading.dew_point = Some(Temperature::new(number, unit)),
        (Variable::Wind, Unit::Speed(unit)) => reading.wind_speed = Some(Speed::new(number, unit)),
        (Variable::Gust, Unit::Speed(unit)) => reading.wind_gust = Some(Speed::new(number, unit)),
        (Variable::Rain, Unit::Depth(unit)) => reading.rain = Some(Length::new(number, unit)),
        (Variable::Humidity, _) => reading.relative_humidity = Some(RelativeHumidity::from_percent(number)?),
        (Variable::RainChance, _) => reading.rain_chance = Some(Chance::from_percent(number)?),
        (Variable::CloudCover, _) => reading.cloud_cover = Some(CloudCover::from_percent(number)?),
        (Variable::Pressure, _) => reading.pressure = Some(Pressure::new(number, PressureUnit::Hectopascal)),
        (Variable::Irradiance, _) => {
            reading.irradiance = Some(Irradiance::new(number, IrradianceUnit::WattPerSquareMetre));
        }
        (Variable::WindFrom, _) if (0.0..=360.0).contains(&number) => {
            reading.wind_from = Some(Bearing::from_degrees(number));
        }
        (Variable::WindFrom, _) => {
            return Err(Problem::error("open-meteo::wind-from", format!("wind from `{number}` degrees"))
                .expected("0 to 360 degrees from north, clockwise")
                .into());
        }
        // Each variable has units of its own kind alone.
        (Variable::Temperature | Variable::DewPoint | Variable::Wind | Variable::Gust | Variable::Rain, _) => {}
    }
    Ok(())
}
