//! The window when it lies ahead: a range of dates over a station's past years, never one date.

use crate::development::StageShares;
use crate::window::{Susceptible, Window, window};
use jiff::civil::Date;
use quantity::DegreeDays;
use weather::degree_days::Outlook;

/// Dates over the past years; `None` where fewer years have one at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DateRange {
    /// One year in ten was so early or earlier.
    pub early: Option<Date>,
    /// Half of the years were.
    pub middle: Option<Date>,
    /// Nine years in ten were.
    pub late: Option<Date>,
}

/// The window of the days to come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindowOutlook {
    /// Its first day.
    pub first: DateRange,
    /// Its best day.
    pub best: DateRange,
    /// Its last day.
    pub last: DateRange,
    /// In how many of the past years it opens at all before the year ends.
    pub opens: usize,
    /// Of how many.
    pub years: usize,
}

/// The window over the days counted so far and those that may come.
///
/// Each past year gives one course, and each course a window; of these the dates are put in order. Where all past years
/// agree, since the window lies in the days already counted, the range is one date.
pub fn window_ahead(
    outlook: &Outlook,
    shares: impl Fn(DegreeDays) -> StageShares,
    susceptible: &Susceptible,
) -> WindowOutlook {
    let so_far = || outlook.so_far().days().iter().map(|day| (day.date, day.total));
    let windows: Vec<Window> = outlook
        .years
        .iter()
        .filter_map(|year| window(so_far().chain(year.days.iter().copied()), &shares, susceptible))
        .collect();
    let years = windows.len();
    let range = |of: fn(&Window) -> Option<Date>| {
        let mut dates: Vec<Date> = windows.iter().filter_map(of).collect();
        dates.sort();
        let share = |tenths: usize| dates.get((years * tenths).div_ceil(10).max(1) - 1).copied();
        DateRange { early: share(1), middle: share(5), late: share(9) }
    };
    WindowOutlook {
        first: range(|window| window.days.map(|(first, _)| first)),
        // A best day on the last of the year is none: the share was still growing.
        best: range(|window| (!window.is_open || window.days.is_some()).then_some(window.best)),
        last: range(|window| window.days.filter(|_| !window.is_open).map(|(_, last)| last)),
        opens: windows.iter().filter(|window| window.days.is_some()).count(),
        years,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::development::Development;
    use jiff::civil::date;
    use quantity::{DegreeDayUnit, Temperature, TemperatureUnit::Celsius};
    use weather::degree_days::{Accumulation, HeatRange, Method, Start};
    use weather::{DailyReading, DailySeries};

    fn heat(value: f64) -> DegreeDays {
        DegreeDays::new(value, DegreeDayUnit::Celsius)
    }

    /// Every day of a year at one temperature.
    fn year(number: i16, degrees: f64) -> impl Iterator<Item = DailyReading> {
        let air = Some(Temperature::new(degrees, Celsius));
        let days = date(number, 1, 1).series(jiff::ToSpan::days(1)).take_while(move |day| day.year() == number);
        days.map(move |day| DailyReading { lowest: air, highest: air, ..DailyReading::unknown(day) })
    }

    fn outlook() -> Outlook {
        let range = HeatRange::above(Temperature::new(10.0, Celsius));
        let how = Accumulation { range, method: Method::Average, start: Start::calendar(6, 1).unwrap() };
        let now = DailySeries::new(year(2026, 15.0).collect()).unwrap().0;
        let past = [(2021, 11.0), (2022, 12.0), (2023, 14.0), (2024, 15.0), (2025, 20.0)];
        let past = past.into_iter().flat_map(|(number, degrees)| year(number, degrees)).collect();
        let (record, _) = how.over(&now, 2026, Some(date(2026, 6, 10))).unwrap();
        Outlook::new(&how, record, &DailySeries::new(past).unwrap().0).unwrap().0
    }

    #[test]
    fn a_window_ahead_is_a_range_of_dates() {
        // Fifty degree-days are counted; to pass 95 takes 46 days at one a day, 12 at four, 5 at ten.
        let development = Development::by_dennis_1986(vec![heat(95.0), heat(145.0)], heat(0.5)).unwrap();
        let nymphs = Susceptible::new(&development, &[1]).unwrap();
        let found = window_ahead(&outlook(), |heat| development.at(heat), &nymphs);
        assert_eq!((found.opens, found.years), (5, 5));
        assert_eq!(found.first.early, Some(date(2026, 6, 15)));
        assert_eq!(found.first.middle, Some(date(2026, 6, 22)));
        assert_eq!(found.first.late, Some(date(2026, 7, 26)));
        assert_eq!(found.last.early, Some(date(2026, 6, 19)));
        assert!(found.best.middle > found.first.middle && found.best.middle < found.last.middle);
    }

    #[test]
    fn a_window_that_does_not_close_before_the_year_ends_has_no_last_day() {
        // By 31 December the coolest year has 254 degree-days, the next one 458.
        let development = Development::by_dennis_1986(vec![heat(95.0), heat(400.0)], heat(0.5)).unwrap();
        let nymphs = Susceptible::new(&development, &[1]).unwrap();
        let found = window_ahead(&outlook(), |heat| development.at(heat), &nymphs);
        assert_eq!((found.opens, found.last.early.is_some(), found.last.late), (5, true, None));
    }

    #[test]
    fn a_window_that_is_past_is_one_date_and_one_that_never_opens_none() {
        let early = Development::by_dennis_1986(vec![heat(9.0), heat(29.0)], heat(0.1)).unwrap();
        let nymphs = Susceptible::new(&early, &[1]).unwrap();
        let found = window_ahead(&outlook(), |heat| early.at(heat), &nymphs);
        assert_eq!((found.first.early, found.first.late), (Some(date(2026, 6, 2)), Some(date(2026, 6, 2))));
        let late = Development::by_dennis_1986(vec![heat(5000.0), heat(6000.0)], heat(0.1)).unwrap();
        let nymphs = Susceptible::new(&late, &[1]).unwrap();
        let found = window_ahead(&outlook(), |heat| late.at(heat), &nymphs);
        assert_eq!((found.opens, found.first.early, found.best.early, found.last.late), (0, None, None, None));
    }
}
