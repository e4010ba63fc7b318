//! Days, sound and unsound, and what holds for any of them.

use super::*;
use proptest::prelude::*;
use quantity::TemperatureUnit::{Celsius, Fahrenheit};

fn celsius(degrees: f64) -> Temperature {
    Temperature::new(degrees, Celsius)
}

fn extremes(low: f64, high: f64) -> Extremes {
    Extremes::new(celsius(low), celsius(high)).unwrap()
}

fn degree_days(heat: DegreeDays) -> f64 {
    heat.to(DegreeDayUnit::Celsius)
}

#[test]
fn thresholds_and_extremes_are_in_order() {
    let problems = HeatRange::between(celsius(30.0), celsius(10.0), Cutoff::Horizontal).unwrap_err();
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::heat-range"]);
    assert!(HeatRange::between(celsius(10.0), celsius(10.0), Cutoff::Vertical).is_err());
    let problems = Extremes::new(celsius(20.0), celsius(10.0)).unwrap_err();
    assert_eq!(problems.iter().next().unwrap().found, "lowest `20.0 °C` is above highest `10.0 °C`");
    assert!(Extremes::new(celsius(10.0), celsius(10.0)).is_ok());
}

#[test]
fn a_day_of_one_temperature_is_its_distance_from_the_base() {
    let range = HeatRange::between(celsius(10.0), celsius(30.0), Cutoff::Vertical).unwrap();
    for method in Method::ALL {
        for (air, expected) in [(5.0, 0.0), (10.0, 0.0), (12.5, 2.5), (30.0, 20.0), (30.5, 0.0)] {
            let heat = of_day(extremes(air, air), Some(celsius(air)), range, *method);
            assert_eq!(degree_days(heat), expected, "{method:?} at {air}");
        }
    }
}

#[test]
fn a_warm_night_after_a_cool_day_runs_up() {
    let range = HeatRange::above(celsius(10.0));
    let heat = of_day(extremes(10.0, 14.0), Some(celsius(18.0)), range, Method::DoubleTriangle);
    assert!((degree_days(heat) - f64::midpoint(2.0, 6.0)).abs() < 1e-12);
}

fn any_method() -> impl Strategy<Value = Method> {
    prop::sample::select(Method::ALL)
}

fn day() -> impl Strategy<Value = (f64, f64, f64)> {
    (-20.0..35.0_f64, 0.0..25.0_f64, -8.0..8.0_f64).prop_map(|(low, range, next)| (low, low + range, low + next))
}

proptest! {
    #[test]
    fn cutoffs_take_away_in_order((low, high, next) in day(), lower in 0.0..18.0_f64, span in 1.0..25.0_f64, method in any_method()) {
        let (lower, upper) = (celsius(lower), celsius(lower + span));
        let heat = |range| degree_days(of_day(extremes(low, high), Some(celsius(next)), range, method));
        let of = |cutoff| heat(HeatRange::between(lower, upper, cutoff).unwrap());
        let open = heat(HeatRange::above(lower));
        let (horizontal, intermediate, vertical) =
            (of(Cutoff::Horizontal), of(Cutoff::Intermediate), of(Cutoff::Vertical));
        prop_assert!(vertical >= 0.0 && intermediate >= 0.0);
        prop_assert!(horizontal <= open + 1e-9 && horizontal <= span + 1e-9);
        prop_assert!(vertical <= horizontal + 1e-9 && intermediate <= horizontal + 1e-9);
        if high.max(next) <= lower.to(Celsius) + span {
            prop_assert!((vertical - open).abs() < 1e-9 && (intermediate - open).abs() < 1e-9);
        }
    }

    #[test]
    fn the_scale_does_not_matter((low, high, _) in day(), lower in 0.0..18.0_f64, span in 1.0..25.0_f64, method in any_method()) {
        let range = |scale| {
            let at = |degrees: f64| Temperature::new(celsius(degrees).to(scale), scale);
            HeatRange::between(at(lower), at(lower + span), Cutoff::Horizontal).unwrap()
        };
        let fahrenheit = |degrees: f64| Temperature::new(degrees * 1.8 + 32.0, Fahrenheit);
        let a = of_day(extremes(low, high), None, range(Celsius), method);
        let b = of_day(Extremes::new(fahrenheit(low), fahrenheit(high)).unwrap(), None, range(Fahrenheit), method);
        prop_assert!((a.to(DegreeDayUnit::Fahrenheit) - degree_days(b) * 1.8).abs() < 1e-9);
    }

    #[test]
    fn a_double_method_with_its_own_lowest_is_the_single_one((low, high, _) in day(), lower in 0.0..18.0_f64) {
        let range = HeatRange::between(celsius(lower), celsius(lower + 12.0), Cutoff::Horizontal).unwrap();
        for (double, single) in
            [(Method::DoubleSine, Method::SingleSine), (Method::DoubleTriangle, Method::SingleTriangle)]
        {
            let day = extremes(low, high);
            prop_assert_eq!(of_day(day, None, range, double), of_day(day, None, range, single));
            prop_assert_eq!(of_day(day, Some(celsius(low)), range, double), of_day(day, None, range, single));
        }
    }

    #[test]
    fn a_warmer_day_counts_no_less((low, high, next) in day(), lower in 0.0..18.0_f64, by in 0.0..5.0_f64, method in any_method()) {
        let range = HeatRange::between(celsius(lower), celsius(lower + 12.0), Cutoff::Horizontal).unwrap();
        let heat = |by: f64| degree_days(of_day(extremes(low + by, high + by), Some(celsius(next + by)), range, method));
        prop_assert!(heat(by) >= heat(0.0) - 1e-9);
    }
}
