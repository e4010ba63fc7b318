//! Sums over hours, with and without gaps.

use super::*;
use crate::degree_days::{Cutoff, Extremes, HeatRange, Method, Start, of_day};
use crate::hourly::HourlyReading;
use jiff::civil::date;
use jiff::tz::Offset;
use quantity::{DegreeDayUnit, TemperatureUnit::Celsius};

fn may(day: i8) -> Date {
    date(2026, 5, day)
}

/// Hours from midnight of 1 May on; what `air` does not give is missing.
fn series(hours: i64, air: impl Fn(i64) -> Option<f64>) -> HourlySeries {
    let midnight = may(1).at(0, 0, 0, 0);
    let reading = |hour: i64| HourlyReading {
        temperature: air(hour).map(|degrees| Temperature::new(degrees, Celsius)),
        ..HourlyReading::unknown(midnight.checked_add(SignedDuration::from_hours(hour)).unwrap())
    };
    HourlySeries::new(Offset::UTC, (0..hours).map(reading).collect()).unwrap().0
}

fn how(start: Date) -> Accumulation {
    let range = HeatRange::above(Temperature::new(10.0, Celsius));
    Accumulation { range, method: Method::SingleSine, start: Start::Biofix(start) }
}

fn celsius(heat: DegreeDays) -> f64 {
    heat.to(DegreeDayUnit::Celsius)
}

fn codes(result: Result<(HeatRecord, Problems), Problems>) -> Vec<&'static str> {
    let problems = match result {
        Ok((_, problems)) | Err(problems) => problems,
    };
    problems.iter().map(|problem| problem.code).collect()
}

#[test]
fn each_hour_counts_for_itself_and_an_open_day_not() {
    let series = series(60, |hour| Some(if hour % 24 < 12 { 4.0 } else { 22.0 }));
    let (record, problems) = how(may(1)).over_hours(&series, 2026).unwrap();
    assert!(problems.is_empty());
    let days: Vec<_> = record.days().iter().map(|day| (day.date, (celsius(day.total) * 1e9).round() / 1e9)).collect();
    assert_eq!(days, [(may(1), 6.0), (may(2), 12.0)]);
}

/// A sine in hours comes out as the sine of its extremes, whatever the cutoff.
#[test]
fn hours_of_a_sine_are_the_sine_of_its_extremes() {
    let sine = |hour: i64| 18.0 - 12.0 * (std::f64::consts::TAU * (hour as f64 + 0.5) / 24.0).cos();
    let series = series(48, |hour| Some(sine(hour)));
    let day = Extremes::new(Temperature::new(6.0, Celsius), Temperature::new(30.0, Celsius)).unwrap();
    for cutoff in [Cutoff::Horizontal, Cutoff::Intermediate] {
        let range =
            HeatRange::between(Temperature::new(10.0, Celsius), Temperature::new(26.0, Celsius), cutoff).unwrap();
        let how = Accumulation { range, ..how(may(1)) };
        let (record, _) = how.over_hours(&series, 2026).unwrap();
        let expected = celsius(of_day(day, None, range, Method::SingleSine));
        // Twenty-four steps stand for the curve.
        assert!((celsius(record.days()[0].heat) - expected).abs() < 0.06, "{cutoff:?}");
    }
}

#[test]
fn three_hours_are_put_on_a_line_and_more_take_the_days_beside() {
    let air = |hour: i64| 10.0 + (hour % 24) as f64;
    let short = series(72, |hour| (!(30..33).contains(&hour)).then(|| air(hour)));
    let whole = series(72, |hour| Some(air(hour)));
    let total = |series: &HourlySeries| celsius(how(may(1)).over_hours(series, 2026).unwrap().0.total());
    assert!((total(&short) - total(&whole)).abs() < 1e-9);
    // On the first day there is no day before, which a line does not need.
    let first = series(72, |hour| (!(5..8).contains(&hour)).then(|| air(hour)));
    assert!((total(&first) - total(&whole)).abs() < 1e-9);
    // Hours over midnight, that no line could fill.
    let long = series(96, |hour| (!(44..52).contains(&hour)).then(|| air(hour)));
    let (record, problems) = how(may(1)).over_hours(&long, 2026).unwrap();
    assert!((celsius(record.total()) - 4.0 * celsius(record.days()[0].heat)).abs() < 1e-9);
    let evidence: Vec<_> = record.days().iter().map(|day| day.evidence).collect();
    assert_eq!(evidence, [Evidence::Read, Evidence::Filled, Evidence::Filled, Evidence::Read]);
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::filled-gap"]);
}

#[test]
fn what_cannot_be_filled_is_refused() {
    let gap = |from: i64, to: i64| series(240, move |hour| (!(from..to).contains(&hour)).then_some(15.0));
    assert_eq!(codes(how(may(1)).over_hours(&gap(72, 121), 2026)), ["weather::long-gap"]);
    assert_eq!(codes(how(may(1)).over_hours(&gap(72, 120), 2026)), ["weather::filled-gap"]);
    // On the first day there is no day before.
    assert_eq!(codes(how(may(1)).over_hours(&gap(10, 20), 2026)), ["weather::long-gap"]);
    assert_eq!(codes(how(may(1)).over_hours(&gap(0, 2), 2026)), ["weather::start-not-read"]);
    assert_eq!(codes(how(may(11)).over_hours(&gap(0, 2), 2026)), ["weather::start-not-read"]);
    assert_eq!(codes(how(may(1)).over_hours(&gap(0, 2), 2025)), ["weather::no-start"]);
}
