//! Sums of heat beyond the last reading: a station's own past years in place of those to come.

use jiff::civil::Date;
use problem::{Problem, Problems};
use quantity::DegreeDays;

use super::accumulation::{Accumulation, HeatRecord, Start};
use crate::daily::DailySeries;

/// One past year, carried on from today's sum.
#[derive(Debug, Clone, PartialEq)]
pub struct OutlookYear {
    /// The year whose days stand for those to come.
    pub year: i16,
    /// Day after day from the day after the last reading on, with the sum as it would then be.
    pub days: Vec<(Date, DegreeDays)>,
}

/// The sums of heat that may come, one course for each past year.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// The last day that was read.
    pub last_read: Date,
    /// What is counted up to it.
    so_far: HeatRecord,
    /// The past years that could be used, in order.
    pub years: Vec<OutlookYear>,
}

/// When a sum is reached, over the past years.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReachedRange {
    /// It was reached already.
    On(Date),
    /// It lies ahead. The dates are those of a year in ten, the middle year and nine years in ten; `None` where fewer
    /// years reach it.
    Ahead {
        /// By then one year in ten had reached it.
        early: Option<Date>,
        /// By then half of the years had.
        middle: Option<Date>,
        /// By then nine years in ten had.
        late: Option<Date>,
        /// How many years reached it at all before they ended.
        reached: usize,
        /// Of how many.
        years: usize,
    },
}

impl Outlook {
    /// Carries a sum on from its last day through 31 December, once with the days of each earlier year of `past`.
    ///
    /// A year without both extremes on more than two days in a row is left out with a warning. Days ahead take the heat
    /// of the same day of the month; 29 February that of the 28th.
    ///
    /// # Errors
    /// - `weather::nothing-counted`: the sum has no day;
    /// - `weather::few-years`: fewer than five years can be used; a range would be read into too little.
    pub fn new(how: &Accumulation, so_far: HeatRecord, past: &DailySeries) -> Result<(Self, Problems), Problems> {
        let Some(last) = so_far.days().last().copied() else {
            return Err(Problem::error("weather::nothing-counted", "the sum of heat has no day yet")
                .expected("a sum through the last day that was read")
                .into());
        };
        let mut problems = Problems::new();
        let mut years = Vec::new();
        let (first_year, last_year) = past.span().map_or((0, -1), |(first, end)| (first.year(), end.year()));
        for year in first_year..=last_year.min(last.date.year() - 1) {
            match days_of(how, past, year, last.date) {
                Ok(heat) => years.push(OutlookYear { year, days: carried(&heat, last.date, last.total, year) }),
                Err(reasons) => problems.extend(reasons.into_iter().take(1).map(|reason| left_out(year, &reason))),
            }
        }
        if years.len() < 5 {
            let found = format!("`{}` past years can be used", years.len());
            problems.push(
                Problem::error("weather::few-years", found)
                    .expected("five past years or more, each without a gap of more than two days")
                    .mend("add earlier years of the station, or of the nearest one that has them"),
            );
        }
        let last_read = last.date;
        problems.unless_errors(Self { last_read, so_far, years })
    }

    /// When the sum reaches so much.
    pub fn reaches(&self, heat: DegreeDays) -> ReachedRange {
        if let Some(date) = self.so_far.reached(heat) {
            return ReachedRange::On(date);
        }
        let reach = |year: &OutlookYear| year.days.iter().find(|(_, total)| *total >= heat).map(|(date, _)| *date);
        let mut dates: Vec<Date> = self.years.iter().filter_map(reach).collect();
        dates.sort();
        let years = self.years.len();
        let share = |tenths: usize| dates.get((years * tenths).div_ceil(10).max(1) - 1).copied();
        ReachedRange::Ahead { early: share(1), middle: share(5), late: share(9), reached: dates.len(), years }
    }

    /// What was counted up to the last reading.
    pub const fn so_far(&self) -> &HeatRecord {
        &self.so_far
    }
}

/// The heat of a past year's days, from the day of the year on which the reading ended.
fn days_of(how: &Accumulation, past: &DailySeries, year: i16, last: Date) -> Result<HeatRecord, Problems> {
    let from = in_year(last, year);
    let start = Start::Calendar { month: from.month(), day: from.day() };
    let end = Date::new(year, 12, 31).unwrap_or(Date::MAX);
    Accumulation { start, ..*how }.over(past, year, Some(end)).map(|(record, _)| record)
}

/// The same day of another year.
fn in_year(date: Date, year: i16) -> Date {
    Date::new(year, date.month(), date.day()).unwrap_or_else(|_| Date::new(year, 2, 28).unwrap_or(Date::MIN))
}

fn carried(heat: &HeatRecord, last: Date, so_far: DegreeDays, year: i16) -> Vec<(Date, DegreeDays)> {
    let of = |date: Date| heat.days().binary_search_by_key(&in_year(date, year), |day| day.date).ok();
    let mut days = Vec::new();
    let mut total = so_far;
    let mut date = last;
    while let Ok(next) = date.tomorrow() {
        if next.year() != last.year() {
            break;
        }
        date = next;
        total += of(date).map_or(DegreeDays::ZERO, |at| heat.days()[at].heat);
        days.push((date, total));
    }
    days
}

fn left_out(year: i16, reason: &Problem) -> Problem {
    Problem::warning("weather::year-left-out", format!("the year `{year}` is left out: {}", reason.found))
        .expected("a year without a gap of more than two days after the last reading of this one")
        .mend("add the missing days, if another year would tell more")
}

#[cfg(test)]
mod tests;
