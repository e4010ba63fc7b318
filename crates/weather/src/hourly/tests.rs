//! Series of a few hours, sound and unsound.

use super::*;
use jiff::civil::date;
use proptest::prelude::*;

fn hour(of_day: i8) -> DateTime {
    date(2026, 7, 7).at(of_day, 0, 0, 0)
}

fn inches(value: f64) -> Length {
    Length::new(value, LengthUnit::Inch)
}

fn mph(value: f64) -> Speed {
    Speed::new(value, SpeedUnit::MilePerHour)
}

fn rainy(of_day: i8, rain: Option<f64>) -> HourlyReading {
    HourlyReading { rain: rain.map(inches), ..HourlyReading::unknown(hour(of_day)) }
}

fn series(hours: Vec<HourlyReading>) -> HourlySeries {
    HourlySeries::new(Offset::constant(-5), hours).unwrap().0
}

#[track_caller]
fn codes(hours: Vec<HourlyReading>) -> Vec<&'static str> {
    let problems = match HourlySeries::new(Offset::UTC, hours) {
        Ok((_, problems)) | Err(problems) => problems,
    };
    problems.iter().map(|problem| problem.code).collect()
}

#[test]
fn readings_are_put_in_order_and_gaps_are_told() {
    let hours = vec![rainy(9, None), rainy(5, None), rainy(6, None)];
    let (sorted, problems) = HourlySeries::new(Offset::UTC, hours).unwrap();
    assert_eq!(sorted.hours().iter().map(|reading| reading.start.hour()).collect::<Vec<_>>(), [5, 6, 9]);
    let found: Vec<_> = problems.iter().map(|problem| (problem.code, problem.found.clone())).collect();
    assert_eq!(found.len(), 2);
    assert_eq!(found[0].0, "weather::order");
    assert_eq!(
        found[1],
        ("weather::gap", "`2` hours are missing between `2026-07-07T06:00:00` and `2026-07-07T09:00:00`".into())
    );
}

#[test]
fn every_unsound_reading_is_reported() {
    let reading = |change: fn(&mut HourlyReading)| {
        let mut reading = HourlyReading::unknown(hour(5));
        change(&mut reading);
        codes(vec![reading])
    };
    assert_eq!(codes(vec![]), ["weather::no-hours"]);
    assert_eq!(codes(vec![rainy(5, None), rainy(5, None)]), ["weather::hour-twice"]);
    assert_eq!(reading(|reading| reading.start = date(2026, 7, 7).at(5, 30, 0, 0)), ["weather::whole-hour"]);
    for fahrenheit in [-77.0, 141.0] {
        let mut reading = HourlyReading::unknown(hour(5));
        reading.temperature = Some(Temperature::new(fahrenheit, TemperatureUnit::Fahrenheit));
        assert_eq!(codes(vec![reading]), ["weather::temperature"]);
    }
    assert_eq!(reading(|reading| reading.wind_speed = Some(mph(101.0))), ["weather::wind"]);
    assert_eq!(reading(|reading| reading.wind_speed = Some(mph(-1.0))), ["weather::wind"]);
    assert_eq!(reading(|reading| reading.wind_gust = Some(mph(100.5))), ["weather::gust"]);
    assert_eq!(reading(|reading| reading.rain = Some(inches(-0.1))), ["weather::rain"]);
    assert_eq!(reading(|reading| reading.rain = Some(inches(8.1))), ["weather::rain"]);
    let exchanged =
        |reading: &mut HourlyReading| (reading.wind_speed, reading.wind_gust) = (Some(mph(9.0)), Some(mph(6.0)));
    assert_eq!(reading(exchanged), ["weather::gust-below-wind"]);
    let celsius = |degrees| Some(Temperature::new(degrees, TemperatureUnit::Celsius));
    let damp = |air, dew| {
        codes(vec![HourlyReading {
            temperature: celsius(air),
            dew_point: celsius(dew),
            ..HourlyReading::unknown(hour(5))
        }])
    };
    // In fog both are rounded.
    assert_eq!((damp(20.0, 22.0), damp(20.0, 20.9)), (vec!["weather::dew-point"], vec![]));
    assert_eq!(damp(20.0, 75.0), ["weather::dew-point", "weather::dew-point"]);
    let pressure = |hectopascals| Some(Pressure::new(hectopascals, PressureUnit::Hectopascal));
    let pressed = |at| codes(vec![HourlyReading { pressure: pressure(at), ..HourlyReading::unknown(hour(5)) }]);
    assert_eq!((pressed(29.92), pressed(1013.0)), (vec!["weather::pressure"], vec![]));
    let light = |watts| Some(Irradiance::new(watts, IrradianceUnit::WattPerSquareMetre));
    let lit = |watts| codes(vec![HourlyReading { irradiance: light(watts), ..HourlyReading::unknown(hour(5)) }]);
    assert_eq!(
        (lit(1600.0), lit(-1.0), lit(900.0)),
        (vec!["weather::irradiance"], vec!["weather::irradiance"], vec![])
    );
    let all = HourlyReading { wind_speed: Some(mph(-1.0)), rain: Some(inches(9.0)), ..HourlyReading::unknown(hour(5)) };
    assert_eq!(
        codes(vec![all, all]),
        ["weather::wind", "weather::rain", "weather::wind", "weather::rain", "weather::hour-twice"]
    );
}

#[test]
fn a_time_falls_in_its_hour_only() {
    let series = series(vec![rainy(5, Some(0.0)), rainy(7, Some(0.1))]);
    let start = |time: DateTime| series.at(time).map(|reading| reading.start.hour());
    assert_eq!(start(date(2026, 7, 7).at(5, 59, 59, 0)), Some(5));
    assert_eq!(start(hour(6)), None);
    assert_eq!(start(hour(7)), Some(7));
    assert_eq!(start(hour(4)), None);
    assert_eq!(start(hour(8)), None);
    assert_eq!(series.offset(), Offset::constant(-5));
}

#[test]
fn rain_is_summed_with_what_is_missing() {
    let hours = vec![rainy(13, Some(0.0)), rainy(14, None), rainy(15, Some(0.15)), rainy(16, Some(0.4))];
    let series = series(hours);
    let sum = |end, hours| series.rain_sum_before(end, Duration::new(hours, DurationUnit::Hour));
    let whole = sum(hour(17), 4.0);
    assert!((whole.depth.to(LengthUnit::Inch) - 0.55).abs() < 1e-12);
    assert_eq!((whole.hours_known, whole.hours_missing), (3, 1));
    // 24 hours before: twenty of them stand in no series.
    assert_eq!((sum(hour(17), 24.0).hours_known, sum(hour(17), 24.0).hours_missing), (3, 21));
    // From 15:30 to 16:30, both hours count whole.
    let half = sum(date(2026, 7, 7).at(16, 30, 0, 0), 1.0);
    assert!((half.depth.to(LengthUnit::Inch) - 0.55).abs() < 1e-12);
    assert_eq!(sum(hour(16), 0.0).hours_known, 0);
    // The beginning of the calendar leaves nothing to sum.
    assert_eq!(series.rain_sum_before(DateTime::MIN, Duration::new(24.0, DurationUnit::Hour)).hours_known, 0);
}

#[test]
fn the_next_rain_is_told_apart_from_what_is_unknown() {
    let series = series(vec![
        rainy(5, Some(0.0)),
        rainy(6, Some(0.0)),
        rainy(7, None),
        rainy(8, Some(0.0)),
        rainy(9, Some(0.02)),
        rainy(10, Some(0.0)),
    ]);
    let after = |time| {
        let stretch = series.next_rain_after(time);
        (stretch.dry_until.hour(), stretch.dry_until.minute(), stretch.first_rain.map(DateTime::hour))
    };
    assert_eq!(after(date(2026, 7, 7).at(5, 40, 0, 0)), (7, 0, Some(9)));
    assert_eq!(after(hour(7)), (7, 0, Some(9)));
    assert_eq!(after(hour(8)), (9, 0, Some(9)));
    assert_eq!(after(date(2026, 7, 7).at(9, 20, 0, 0)), (9, 20, Some(9)));
    assert_eq!(after(hour(10)), (11, 0, None));
    assert_eq!(after(hour(12)), (12, 0, None));
}

#[test]
fn gusts_count_as_wind() {
    let wind = |wind: Option<f64>, gust: Option<f64>| {
        let reading =
            HourlyReading { wind_speed: wind.map(mph), wind_gust: gust.map(mph), ..HourlyReading::unknown(hour(5)) };
        reading.strongest_wind()
    };
    assert_eq!(wind(Some(4.0), Some(7.0)), Some(mph(7.0)));
    assert_eq!(wind(Some(9.0), Some(6.0)), Some(mph(9.0)));
    assert_eq!(wind(None, Some(7.0)), Some(mph(7.0)));
    assert_eq!(wind(None, None), None);
}

proptest! {
    #[test]
    fn hours_of_a_stretch_are_known_or_missing(
        present in prop::collection::btree_map(0_i8..24, prop::option::of(0.0..1.0_f64), 1..24), stretch in 1_u32..72,
    ) {
        let hours: Vec<_> = present.iter().map(|(of_day, rain)| rainy(*of_day, *rain)).collect();
        let series = series(hours.clone());
        let end = date(2026, 7, 8).at(0, 0, 0, 0);
        let sum = series.rain_sum_before(end, Duration::new(f64::from(stretch), DurationUnit::Hour));
        prop_assert_eq!(sum.hours_known + sum.hours_missing, stretch);
        let from = end.checked_sub(HOUR * i32::try_from(stretch).unwrap()).unwrap();
        let inside = hours.iter().filter(|reading| reading.start >= from).filter_map(|reading| reading.rain);
        prop_assert!((sum.depth.to(LengthUnit::Inch) - inside.sum::<Length>().to(LengthUnit::Inch)).abs() < 1e-9);
        for reading in &hours {
            prop_assert_eq!(series.at(reading.start), Some(reading));
        }
    }

    #[test]
    fn order_of_reading_does_not_matter(order in Just((0_i8..24).collect::<Vec<_>>()).prop_shuffle()) {
        let hours = |order: &[i8]| order.iter().map(|of_day| rainy(*of_day, Some(f64::from(*of_day)/24.0))).collect();
        let sorted: Vec<i8> = (0..24).collect();
        prop_assert_eq!(series(hours(&order)), series(hours(&sorted)));
    }
}
