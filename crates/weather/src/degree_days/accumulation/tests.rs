//! Sums over a few days, with and without gaps.

use super::*;
use crate::daily::DailyReading;
use jiff::ToSpan;
use jiff::civil::date;
use proptest::prelude::*;
use quantity::{DegreeDayUnit, TemperatureUnit::Celsius};

fn series(days: &[(Date, Option<(f64, f64)>)]) -> DailySeries {
    let reading = |(date, ends): &(Date, Option<(f64, f64)>)| DailyReading {
        lowest: ends.map(|(low, _)| Temperature::new(low, Celsius)),
        highest: ends.map(|(_, high)| Temperature::new(high, Celsius)),
        ..DailyReading::unknown(*date)
    };
    DailySeries::new(days.iter().map(reading).collect()).unwrap().0
}

fn may(day: i8) -> Date {
    date(2026, 5, day)
}

fn above_ten(method: Method, start: Start) -> Accumulation {
    Accumulation { range: HeatRange::above(Temperature::new(10.0, Celsius)), method, start }
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
fn the_first_day_counts_whole_and_earlier_ones_not() {
    let series = series(&[(may(1), Some((10.0, 20.0))), (may(2), Some((12.0, 20.0))), (may(3), Some((14.0, 20.0)))]);
    let (record, problems) = above_ten(Method::Average, Start::Biofix(may(2))).over(&series, 2026, None).unwrap();
    assert!(problems.is_empty());
    let totals: Vec<_> = record.days().iter().map(|day| (day.date, celsius(day.total))).collect();
    assert_eq!(totals, [(may(2), 6.0), (may(3), 13.0)]);
    assert_eq!(record.through(may(2)).map(celsius), Some(6.0));
    assert_eq!(record.through(may(1)), None);
    let heat = |value| DegreeDays::new(value, DegreeDayUnit::Celsius);
    assert_eq!((record.reached(heat(6.0)), record.reached(heat(6.1))), (Some(may(2)), Some(may(3))));
    assert_eq!(record.reached(heat(13.1)), None);
}

#[test]
fn two_days_are_filled_and_flagged_and_three_refuse() {
    let short = series(&[
        (may(1), Some((10.0, 20.0))),
        (may(2), None),
        (may(4), Some((13.0, 26.0))),
        (may(5), Some((13.0, 26.0))),
    ]);
    let how = above_ten(Method::Average, Start::calendar(5, 1).unwrap());
    let (record, problems) = how.over(&short, 2026, None).unwrap();
    let evidence: Vec<_> = record.days().iter().map(|day| (celsius(day.heat), day.evidence)).collect();
    assert_eq!(evidence.len(), 5);
    assert_eq!(evidence[0], (5.0, Evidence::Read));
    assert_eq!(evidence[1].1, Evidence::Filled);
    // A third and two thirds of the way from 10 and 20 to 13 and 26 °C.
    assert!((evidence[1].0 - 6.5).abs() < 1e-9 && (evidence[2].0 - 8.0).abs() < 1e-9);
    assert_eq!(evidence[3], (9.5, Evidence::Read));
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::filled-gap"]);

    let long = series(&[
        (may(1), Some((10.0, 20.0))),
        (may(5), Some((13.0, 26.0))),
        (may(6), None),
        (may(7), Some((13.0, 26.0))),
        (may(11), Some((13.0, 26.0))),
    ]);
    assert_eq!(codes(how.over(&long, 2026, None)), ["weather::long-gap", "weather::filled-gap", "weather::long-gap"]);
}

#[test]
fn a_gap_outside_of_the_days_asked_for_does_no_harm() {
    let series = series(&[
        (date(2026, 3, 1), Some((1.0, 2.0))),
        (may(1), Some((10.0, 20.0))),
        (may(2), Some((10.0, 20.0))),
        (may(20), Some((10.0, 20.0))),
    ]);
    let how = above_ten(Method::DoubleSine, Start::Biofix(may(1)));
    let (record, problems) = how.over(&series, 2026, Some(may(2))).unwrap();
    assert!(problems.is_empty());
    assert_eq!(record.days().len(), 2);
}

#[test]
fn what_the_readings_do_not_cover_is_refused() {
    let series = series(&[(may(2), Some((10.0, 20.0))), (may(3), Some((10.0, 20.0)))]);
    let over = |start, year, last| codes(above_ten(Method::Average, start).over(&series, year, last));
    assert_eq!(over(Start::Biofix(may(1)), 2026, None), ["weather::start-not-read"]);
    assert_eq!(over(Start::Biofix(may(2)), 2026, Some(may(4))), ["weather::start-not-read"]);
    assert_eq!(over(Start::Biofix(may(3)), 2026, Some(may(2))), ["weather::start-not-read"]);
    assert_eq!(over(Start::Biofix(may(4)), 2026, None), ["weather::start-not-read"]);
    assert_eq!(over(Start::Biofix(may(2)), 2025, None), ["weather::no-start"]);
    assert_eq!(over(Start::Biofix(may(2)), 2026, Some(may(2))), Vec::<&str>::new());
    assert_eq!(Start::calendar(2, 29).unwrap_err().iter().next().unwrap().code, "weather::start");
    assert!(Start::calendar(13, 1).is_err() && Start::calendar(12, 31).is_ok());
}

#[test]
fn the_last_day_goes_down_to_the_next_where_it_was_read() {
    let series = series(&[(may(1), Some((10.0, 20.0))), (may(2), Some((16.0, 20.0)))]);
    let how = above_ten(Method::DoubleTriangle, Start::Biofix(may(1)));
    let (record, _) = how.over(&series, 2026, Some(may(1))).unwrap();
    assert_eq!(celsius(record.total()), f64::midpoint(5.0, 8.0));
}

#[test]
fn a_sum_without_an_end_is_of_one_year() {
    let days: Vec<_> = date(2024, 1, 1).series(1.day()).take(900).map(|day| (day, Some((10.0, 20.0)))).collect();
    let (record, _) =
        above_ten(Method::Average, Start::calendar(3, 1).unwrap()).over(&series(&days), 2024, None).unwrap();
    assert_eq!(record.days().last().map(|day| day.date), Some(date(2025, 2, 28)));
}

proptest! {
    #[test]
    fn a_sum_never_falls_and_is_that_of_its_days(
        ends in prop::collection::vec((-5.0..25.0_f64, 0.0..20.0_f64), 2..60),
        gaps in prop::collection::vec(any::<bool>(), 60),
        method in prop::sample::select(Method::ALL),
        cutoff in prop::sample::select(&[super::super::Cutoff::Horizontal, super::super::Cutoff::Intermediate, super::super::Cutoff::Vertical][..]),
    ) {
        let last = ends.len() - 1;
        let days: Vec<(Date, Option<(f64, f64)>)> = ends
            .iter()
            .enumerate()
            .map(|(index, (low, range))| {
                // Single days are missing here and there, never two in a row.
                let is_missing = gaps[index] && index % 2 == 1 && index != last;
                let date = may(1).checked_add((i64::try_from(index).unwrap()).days()).unwrap();
                (date, (!is_missing).then_some((*low, low + range)))
            })
            .collect();
        let range = HeatRange::between(Temperature::new(10.0, Celsius), Temperature::new(24.0, Celsius), cutoff).unwrap();
        let how = Accumulation { range, method, start: Start::Biofix(may(1)) };
        let (record, problems) = how.over(&series(&days), 2026, None).unwrap();
        prop_assert_eq!(record.days().len(), ends.len());
        prop_assert!(record.days().windows(2).all(|pair| pair[1].total >= pair[0].total));
        prop_assert!(record.days().windows(2).all(|pair| pair[0].date.tomorrow().unwrap() == pair[1].date));
        let sum: DegreeDays = record.days().iter().map(|day| day.heat).sum();
        prop_assert!((celsius(sum) - celsius(record.total())).abs() < 1e-9);
        let filled = record.days().iter().filter(|day| day.evidence == Evidence::Filled).count();
        prop_assert_eq!(filled, days.iter().filter(|(_, ends)| ends.is_none()).count());
        prop_assert_eq!(problems.len(), filled);
    }
}
