//! Sums of heat from hourly readings: no shape of the day has to be assumed.

use jiff::SignedDuration;
use jiff::civil::{Date, DateTime};
use problem::{Problem, Problems};
use quantity::{DegreeDays, Duration, DurationUnit, Temperature, TemperatureUnit};

use super::accumulation::{Accumulation, Evidence, HeatDay, HeatRecord};
use crate::hourly::HourlySeries;

/// Up to so many hours in a row are put on the straight line between their neighbours.
const STRAIGHT: i64 = 3;
/// Up to so many hours in a row are filled at all.
const LONGEST_FILLED: i64 = 48;

impl Accumulation {
    /// The sum over the hourly readings of a year, each hour at its own temperature, from midnight of the start through
    /// the last whole day. The method does not matter.
    ///
    /// Up to 48 hours in a row without a temperature are filled and their days flagged, each such gap with a warning: up
    /// to three hours in a row on the straight line between their neighbours, more by the mean of the same hours of the
    /// days before and after.
    ///
    /// # Errors
    /// All of these that are found:
    /// - `weather::no-start`: the start is in another year;
    /// - `weather::start-not-read`: no temperature at the first hour of the start or before, or no whole day after it;
    /// - `weather::long-gap`: more than 48 hours in a row without a temperature, or some that no day beside them can
    ///   fill; each such gap.
    pub fn over_hours(&self, series: &HourlySeries, year: i16) -> Result<(HeatRecord, Problems), Problems> {
        let Some(start) = self.start.in_year(year) else {
            return Err(Problem::error("weather::no-start", format!("heat is not counted from any day of `{year}`"))
                .expected("a start in the year that is asked for")
                .mend("say what was seen that year, or count from a day of the calendar")
                .into());
        };
        let read: Vec<(DateTime, Temperature)> =
            series.hours().iter().filter_map(|hour| Some((hour.start, hour.temperature?))).collect();
        let midnight = start.to_datetime(jiff::civil::Time::midnight());
        let first = read.partition_point(|(hour, _)| *hour <= midnight);
        let end = read.last().map(|(hour, _)| *hour).and_then(last_whole_day).filter(|end| *end >= start);
        let (Some(before), Some(end)) = (first.checked_sub(1), end) else {
            return Err(not_covered(start).into());
        };
        let mut problems = Problems::new();
        let mut hours: Vec<(DateTime, Temperature, Evidence)> = Vec::new();
        for pair in read[before..].windows(2) {
            let ((from, _), (to, _)) = (pair[0], pair[1]);
            hours.push((from, pair[0].1, Evidence::Read));
            let missing = to.duration_since(from).as_hours() - 1;
            if missing > 0 {
                match filled(&read, pair[0], pair[1], missing) {
                    Some(between) => {
                        problems.push(gap(from, to, missing, true));
                        hours.extend(between.into_iter().map(|(hour, warmth)| (hour, warmth, Evidence::Filled)));
                    }
                    None => problems.push(gap(from, to, missing, false)),
                }
            }
        }
        hours.extend(read.last().map(|(hour, warmth)| (*hour, *warmth, Evidence::Read)));
        if problems.has_errors() {
            return Err(problems);
        }
        hours.retain(|(hour, _, _)| (start..=end).contains(&hour.date()));
        let mut total = DegreeDays::ZERO;
        let mut days = Vec::new();
        let one = Duration::new(1.0, DurationUnit::Hour);
        for day in hours.chunk_by(|a, b| a.0.date() == b.0.date()) {
            let heat = day.iter().map(|(_, warmth, _)| self.range.at(*warmth, one)).sum::<DegreeDays>();
            let heat = heat.max(DegreeDays::ZERO);
            total += heat;
            let is_filled = day.iter().any(|(_, _, evidence)| *evidence == Evidence::Filled);
            let evidence = if is_filled { Evidence::Filled } else { Evidence::Read };
            days.push(HeatDay { date: day[0].0.date(), heat, total, evidence });
        }
        problems.unless_errors(HeatRecord::new(days))
    }
}

/// The last day of which all hours are over.
fn last_whole_day(last: DateTime) -> Option<Date> {
    if last.hour() == 23 { Some(last.date()) } else { last.date().yesterday().ok() }
}

/// The hours between two that were read; `None` when they are too many, or cannot be told.
fn filled(
    read: &[(DateTime, Temperature)],
    from: (DateTime, Temperature),
    to: (DateTime, Temperature),
    missing: i64,
) -> Option<Vec<(DateTime, Temperature)>> {
    if missing > LONGEST_FILLED {
        return None;
    }
    let scale = TemperatureUnit::Celsius;
    let at = |hour: DateTime| read.binary_search_by_key(&hour, |(hour, _)| *hour).ok().map(|at| read[at].1.to(scale));
    // The same hour of the nearest day on either side of the gap.
    let beside = |hour: DateTime, step: i64| {
        (1..=3).find_map(|days| at(hour.checked_add(SignedDuration::from_hours(24 * days * step)).ok()?))
    };
    let hours = (1..=missing).map(|step| {
        let hour = from.0.checked_add(SignedDuration::from_hours(step)).ok()?;
        let celsius = if missing <= STRAIGHT {
            let (low, high) = (from.1.to(scale), to.1.to(scale));
            low + (high - low) * step as f64 / (missing + 1) as f64
        } else {
            f64::midpoint(beside(hour, -1)?, beside(hour, 1)?)
        };
        Some((hour, Temperature::new(celsius, scale)))
    });
    hours.collect()
}

fn gap(from: DateTime, to: DateTime, missing: i64, is_filled: bool) -> Problem {
    let found = format!("no temperature in `{missing}` hours between `{from}` and `{to}`");
    if is_filled {
        return Problem::warning("weather::filled-gap", found)
            .expected("a temperature in each hour")
            .mend("nothing, unless the time was unusual: the hours are filled from those beside them, and flagged");
    }
    Problem::error("weather::long-gap", found)
        .expected("no more than 48 hours in a row without one, and whole days beside them")
        .mend("take the missing hours from the nearest other station")
}

fn not_covered(start: Date) -> Problem {
    Problem::error("weather::start-not-read", format!("no whole day of hourly temperatures from `{start}` on"))
        .expected("temperatures from the first hour of the start on, through the end of a day")
        .mend("add the hours, or count from a later start")
}

#[cfg(test)]
mod tests;
