//! Days from hours.

use jiff::civil::{Date, DateTime};
use problem::{Problem, Problems};
use quantity::{Duration, DurationUnit, Length, RadiantExposure, Speed, SpeedUnit, Temperature};

use super::{DailyReading, DailySeries};
use crate::fraction::RelativeHumidity;
use crate::hourly::{HourlyReading, HourlySeries};

const HOURS: i8 = 24;

impl DailySeries {
    /// The days of an hourly series, by its local time.
    ///
    /// A figure of a day is known when all 24 of its hours have it: a maximum of the hours that are left might miss the
    /// warm one. With the series come warnings, as those of [`DailySeries::new`].
    ///
    /// # Errors
    /// `weather::no-whole-day` when no figure of any day is known.
    pub fn from_hours(hours: &HourlySeries) -> Result<(Self, Problems), Problems> {
        let by_day = hours.hours().chunk_by(|a, b| a.start.date() == b.start.date());
        let days: Vec<DailyReading> = by_day.map(day_of).collect();
        if days.iter().all(|day| *day == DailyReading::unknown(day.date)) {
            return Err(Problem::error("weather::no-whole-day", "no day has all of its hours")
                .expected("24 hours of at least one day")
                .mend("add the hours that are missing, from midnight to midnight")
                .into());
        }
        // At the ends a forecast begins and stops within a day: that is no gap.
        let known = |day: &DailyReading| *day != DailyReading::unknown(day.date);
        let first = days.iter().position(known).unwrap_or(0);
        let last = days.iter().rposition(known).unwrap_or(0);
        Self::new(days[first..=last].to_vec())
    }
}

fn day_of(hours: &[HourlyReading]) -> DailyReading {
    let date = hours.first().map_or(Date::MIN, |hour| hour.start.date());
    let temperatures = all(hours, date, |hour| hour.temperature);
    let mean = |values: Vec<f64>| values.iter().sum::<f64>() / values.len() as f64;
    let winds = all(hours, date, |hour| hour.wind_speed);
    let humidities = all(hours, date, |hour| hour.relative_humidity);
    let irradiances = all(hours, date, |hour| hour.irradiance);
    let hour = Duration::new(1.0, DurationUnit::Hour);
    DailyReading {
        highest: temperatures.as_ref().and_then(|all| all.iter().copied().reduce(warmer)),
        lowest: temperatures.as_ref().and_then(|all| all.iter().copied().reduce(colder)),
        rain: all(hours, date, |hour| hour.rain).map(|rain| rain.into_iter().sum::<Length>()),
        relative_humidity: humidities
            .map(|all| mean(all.into_iter().map(RelativeHumidity::fraction).collect()))
            .and_then(|mean| RelativeHumidity::from_fraction(mean.min(1.0)).ok()),
        wind_speed: winds
            .map(|all| mean(all.into_iter().map(|wind| wind.to(SpeedUnit::MetrePerSecond)).collect()))
            .map(|mean| Speed::new(mean, SpeedUnit::MetrePerSecond)),
        radiation: irradiances.map(|all| all.into_iter().map(|mean| mean * hour).sum::<RadiantExposure>()),
        ..DailyReading::unknown(date)
    }
}

/// A figure of every hour of a day, when each of them has it.
fn all<T>(hours: &[HourlyReading], date: Date, of: impl Fn(&HourlyReading) -> Option<T>) -> Option<Vec<T>> {
    let starts = |(index, hour): (i8, &HourlyReading)| hour.start == DateTime::from_parts(date, clock(index));
    let whole = hours.len() == usize::from(HOURS.unsigned_abs()) && (0..HOURS).zip(hours).all(starts);
    if whole { hours.iter().map(of).collect() } else { None }
}

fn clock(hour: i8) -> jiff::civil::Time {
    jiff::civil::time(hour, 0, 0, 0)
}

fn warmer(a: Temperature, b: Temperature) -> Temperature {
    if b > a { b } else { a }
}

fn colder(a: Temperature, b: Temperature) -> Temperature {
    if b < a { b } else { a }
}
