//! Sums of heat from a start on, day by day.

use jiff::Span;
use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::{DegreeDays, Temperature, TemperatureUnit};

use super::{Extremes, HeatRange, Method, of_day};
use crate::daily::{DailyReading, DailySeries};

/// Over so many days in a row without readings a sum is still taken, with what lies between their neighbours.
const LONGEST_FILLED: i32 = 2;

/// From which day on heat is counted. That day counts whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// From something seen outdoors: the first moth in the trap, the first egg.
    Biofix(Date),
    /// From the same day of each year.
    Calendar {
        /// Month, 1 to 12.
        month: i8,
        /// Day of the month.
        day: i8,
    },
}

impl Start {
    /// From a day of each year.
    ///
    /// # Errors
    /// When there is no such day in every year.
    pub fn calendar(month: i8, day: i8) -> Result<Self, Problems> {
        // A year without a 29 February.
        match Date::new(2023, month, day) {
            Ok(_) => Ok(Self::Calendar { month, day }),
            Err(_) => {
                Err(Problem::error("weather::start", format!("month `{month}`, day `{day}` is no day of every year"))
                    .expected("a month from 1 to 12 and a day that it always has")
                    .mend("1 January and 1 March are the usual ones")
                    .into())
            }
        }
    }

    /// The day in a year; a biofix is in its own year alone.
    pub fn in_year(self, year: i16) -> Option<Date> {
        match self {
            Self::Biofix(date) => (date.year() == year).then_some(date),
            Self::Calendar { month, day } => Date::new(year, month, day).ok(),
        }
    }
}

/// Where the extremes of a day come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Evidence {
    /// Both were read.
    Read,
    /// Put between those of the days before and after, since one or both were not read.
    Filled,
}

/// One day of a sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatDay {
    /// The day.
    pub date: Date,
    /// Its own heat.
    pub heat: DegreeDays,
    /// The sum from the start through the end of this day.
    pub total: DegreeDays,
    /// What it rests on.
    pub evidence: Evidence,
}

/// A sum of heat, day by day without a gap; it never falls.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatRecord {
    days: Vec<HeatDay>,
}

impl HeatRecord {
    pub(super) const fn new(days: Vec<HeatDay>) -> Self {
        Self { days }
    }

    /// The days in order.
    pub fn days(&self) -> &[HeatDay] {
        &self.days
    }

    /// The sum through the last day; nothing when there is no day.
    pub fn total(&self) -> DegreeDays {
        self.days.last().map_or(DegreeDays::ZERO, |day| day.total)
    }

    /// The sum through the end of a day; `None` outside the days counted.
    pub fn through(&self, date: Date) -> Option<DegreeDays> {
        self.days.binary_search_by_key(&date, |day| day.date).ok().map(|at| self.days[at].total)
    }

    /// The same through a day, and no further.
    #[must_use]
    pub fn until(&self, last: Date) -> Self {
        Self { days: self.days[..self.days.partition_point(|day| day.date <= last)].to_vec() }
    }

    /// The first day at the end of which the sum has reached so much; `None` when it has not.
    pub fn reached(&self, heat: DegreeDays) -> Option<Date> {
        let at = self.days.partition_point(|day| day.total < heat);
        self.days.get(at).map(|day| day.date)
    }
}

/// How heat is counted: between which temperatures, by which method, from when.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accumulation {
    /// Between which temperatures.
    pub range: HeatRange,
    /// How a day runs between its extremes.
    pub method: Method,
    /// From when on.
    pub start: Start,
}

impl Accumulation {
    /// The sum over the daily readings of a year, from its start through `last`, or else through the last day with both
    /// extremes, but no longer than a year.
    ///
    /// Up to two days in a row without both extremes are filled, each extreme on the straight line between its
    /// neighbours; they are flagged, and each such gap is a warning.
    ///
    /// # Errors
    /// All of these that are found:
    /// - `weather::no-start`: the start is in another year;
    /// - `weather::start-not-read`: no reading at the start or before it, or none after it;
    /// - `weather::long-gap`: more than two days in a row without both extremes, each such gap.
    pub fn over(
        &self,
        series: &DailySeries,
        year: i16,
        last: Option<Date>,
    ) -> Result<(HeatRecord, Problems), Problems> {
        let Some(start) = self.start.in_year(year) else {
            return Err(Problem::error("weather::no-start", format!("heat is not counted from any day of `{year}`"))
                .expected("a start in the year that is asked for")
                .mend("say what was seen that year, or count from a day of the calendar")
                .into());
        };
        let days = series.days();
        let is_read = |day: &DailyReading| day.extremes().is_some();
        let last_read = days.iter().rev().find(|day| is_read(day)).map(|day| day.date);
        let end = last.or(last_read.map(|last| last.min(a_year_from(start)))).unwrap_or(start);
        let (until, from) = (days.partition_point(|day| day.date <= start), days.partition_point(|day| day.date < end));
        let first = days[..until].iter().rposition(is_read);
        let after = days[from..].iter().position(is_read).map(|at| from + at);
        let (Some(first), Some(after), true) = (first, after, end >= start) else {
            return Err(not_covered(start, end, series).into());
        };
        // The day after the last one, where it was read, is what the last one goes down to.
        let beyond = days.get(after + 1).filter(|day| end.tomorrow().is_ok_and(|next| next == day.date));
        let beyond = beyond.and_then(DailyReading::extremes);
        let mut problems = Problems::new();
        let mut sum =
            Sum { how: self, start, end, total: DegreeDays::ZERO, days: Vec::with_capacity(after + 1 - first) };
        let mut before: Option<(Date, Extremes)> = None;
        for (date, extremes) in days[first..=after].iter().filter_map(|day| Some((day.date, day.extremes()?))) {
            if let Some((last, low)) = before {
                let missing = missing_between(last, date);
                if missing > 0 {
                    problems.push(gap(last, date, missing));
                }
                let filled = if missing > LONGEST_FILLED { 0 } else { missing };
                let mut of = (last, low, Evidence::Read);
                for step in 1..=filled {
                    let Ok(following) = of.0.tomorrow() else { break };
                    let put = between(low, extremes, f64::from(step) / f64::from(missing + 1));
                    sum.count(of, Some(put));
                    of = (following, put, Evidence::Filled);
                }
                sum.count(of, Some(extremes));
            }
            before = Some((date, extremes));
        }
        if let Some((last, extremes)) = before {
            sum.count((last, extremes, Evidence::Read), beyond);
        }
        problems.unless_errors(HeatRecord::new(sum.days))
    }
}

/// A sum under way.
struct Sum<'a> {
    how: &'a Accumulation,
    start: Date,
    end: Date,
    total: DegreeDays,
    days: Vec<HeatDay>,
}

impl Sum<'_> {
    /// Adds a day that the next one follows; days outside of those asked for only lead to them.
    fn count(&mut self, (date, extremes, evidence): (Date, Extremes, Evidence), next: Option<Extremes>) {
        if date < self.start || date > self.end {
            return;
        }
        let heat = of_day(extremes, next.map(Extremes::lowest), self.how.range, self.how.method);
        self.total += heat;
        self.days.push(HeatDay { date, heat, total: self.total, evidence });
    }
}

/// How many days lie between two.
fn missing_between(before: Date, next: Date) -> i32 {
    // Nearly always none: nothing has to be counted.
    if before.tomorrow().is_ok_and(|following| following == next) {
        return 0;
    }
    before.until(next).map_or(0, |span| span.get_days()) - 1
}

/// The extremes at a share of the way from one day to another.
fn between(from: Extremes, to: Extremes, share: f64) -> Extremes {
    let scale = TemperatureUnit::Celsius;
    let on_the_way = |from: Temperature, to: Temperature| {
        Temperature::new(from.to(scale) + (to.to(scale) - from.to(scale)) * share, scale)
    };
    Extremes { lowest: on_the_way(from.lowest, to.lowest), highest: on_the_way(from.highest, to.highest) }
}

fn gap(before: Date, next: Date, missing: i32) -> Problem {
    let found = format!("highest and lowest are not both known on `{missing}` days between `{before}` and `{next}`");
    if missing > LONGEST_FILLED {
        return Problem::error("weather::long-gap", found)
            .expected("no more than two days in a row without both extremes")
            .mend("take the missing days from the nearest other station");
    }
    Problem::warning("weather::filled-gap", found)
        .expected("both extremes of each day")
        .mend("nothing, unless the days were unusual: they are put between the days beside them, and flagged")
}

/// The last day of a year that begins with a day.
fn a_year_from(start: Date) -> Date {
    start.checked_add(Span::new().years(1)).and_then(Date::yesterday).unwrap_or(Date::MAX)
}

fn not_covered(start: Date, end: Date, series: &DailySeries) -> Problem {
    let mut read = series.days().iter().filter(|day| day.extremes().is_some()).map(|day| day.date);
    let found = match (read.next(), read.next_back()) {
        (Some(first), last) => {
            let last = last.unwrap_or(first);
            format!("readings from `{first}` to `{last}` do not cover `{start}` to `{end}`")
        }
        _ => format!("no day with both extremes from `{start}` to `{end}`"),
    };
    Problem::error("weather::start-not-read", found)
        .expected("readings from the start on, through the day that is asked for")
        .mend("add the days, or count from a later start")
}

#[cfg(test)]
mod tests;
