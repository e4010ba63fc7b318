//! Years of one temperature each, so that dates can be told in the head.

use super::super::{HeatRange, Method};
use super::*;
use crate::daily::DailyReading;
use jiff::civil::date;
use quantity::{DegreeDayUnit, Temperature, TemperatureUnit::Celsius};

fn how() -> Accumulation {
    let range = HeatRange::above(Temperature::new(10.0, Celsius));
    Accumulation { range, method: Method::Average, start: Start::calendar(3, 1).unwrap() }
}

/// Every day of these years as warm as said; days that `is_missing` are left out.
fn years(warmth: &[(i16, f64)], is_missing: impl Fn(Date) -> bool) -> DailySeries {
    let mut days = Vec::new();
    for (year, degrees) in warmth {
        for day in date(*year, 1, 1).series(jiff::ToSpan::days(1)).take_while(|day| day.year() == *year) {
            let air = Some(Temperature::new(*degrees, Celsius));
            days.push(DailyReading { lowest: air, highest: air, ..DailyReading::unknown(day) });
        }
    }
    days.retain(|day| !is_missing(day.date));
    DailySeries::new(days).unwrap().0
}

fn heat(value: f64) -> DegreeDays {
    DegreeDays::new(value, DegreeDayUnit::Celsius)
}

const PAST: [(i16, f64); 5] = [(2021, 11.0), (2022, 12.0), (2023, 14.0), (2024, 15.0), (2025, 20.0)];

/// Ten degree-days a day from 1 to 10 March.
fn ten_days() -> HeatRecord {
    let series = years(&[(2026, 20.0)], |_| false);
    how().over(&series, 2026, Some(date(2026, 3, 10))).unwrap().0
}

#[test]
fn dates_ahead_are_a_range_over_the_past_years() {
    let (outlook, problems) = Outlook::new(&how(), ten_days(), &years(&PAST, |_| false)).unwrap();
    assert!(problems.is_empty());
    assert_eq!(outlook.years.iter().map(|year| year.year).collect::<Vec<_>>(), [2021, 2022, 2023, 2024, 2025]);
    // Twenty more degree-days take 20, 10, 5, 4 and 2 days.
    let expected = ReachedRange::Ahead {
        early: Some(date(2026, 3, 12)),
        middle: Some(date(2026, 3, 15)),
        late: Some(date(2026, 3, 30)),
        reached: 5,
        years: 5,
    };
    assert_eq!(outlook.reaches(heat(120.0)), expected);
    assert_eq!(outlook.reaches(heat(30.0)), ReachedRange::On(date(2026, 3, 3)));
    let last = outlook.years[0].days.last().copied().unwrap();
    assert_eq!((last.0, last.1.to(DegreeDayUnit::Celsius).round()), (date(2026, 12, 31), 100.0 + 296.0));
}

#[test]
fn years_that_do_not_reach_it_count_as_late() {
    let (outlook, _) = Outlook::new(&how(), ten_days(), &years(&PAST, |_| false)).unwrap();
    // In 296 days 592 degree-days at 12 °C, 1,184 at 14 °C.
    let ReachedRange::Ahead { early, middle, late, reached, years } = outlook.reaches(heat(1000.0)) else {
        panic!("it lies ahead")
    };
    assert!(early.is_some() && middle.is_some());
    assert_eq!((late, reached, years), (None, 3, 5));
}

#[test]
fn a_year_with_a_long_gap_is_left_out_and_few_years_refuse() {
    let gap = |day: Date| day.year() == 2023 && day.month() == 6 && day.day() < 5;
    let (outlook, problems) =
        Outlook::new(&how(), ten_days(), &years(&[&PAST[..], &[(2020, 13.0)]].concat(), gap)).unwrap();
    assert_eq!(outlook.years.len(), 5);
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::year-left-out"]);
    let problems = Outlook::new(&how(), ten_days(), &years(&PAST, gap)).unwrap_err();
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["weather::year-left-out", "weather::few-years"]);
    let empty = Outlook::new(&how(), HeatRecord::new(Vec::new()), &years(&PAST, |_| false)).unwrap_err();
    assert_eq!(empty.iter().next().unwrap().code, "weather::nothing-counted");
}

#[test]
fn a_leap_day_stands_for_the_28th() {
    let past: Vec<(i16, f64)> = (2023..2028).map(|year| (year, 11.0)).collect();
    let series = years(&[(2028, 11.0)], |_| false);
    let so_far = Accumulation { start: Start::calendar(2, 1).unwrap(), ..how() };
    let (record, _) = so_far.over(&series, 2028, Some(date(2028, 2, 27))).unwrap();
    let (outlook, _) = Outlook::new(&so_far, record, &years(&past, |_| false)).unwrap();
    let dates: Vec<Date> = outlook.years[0].days.iter().map(|(day, _)| *day).take(3).collect();
    assert_eq!(dates, [date(2028, 2, 28), date(2028, 2, 29), date(2028, 3, 1)]);
    assert_eq!(outlook.years[0].days[2].1.to(DegreeDayUnit::Celsius).round(), 30.0);
}
