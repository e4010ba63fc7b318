//! Series of a few days, sound and unsound, and days from hours.

use super::*;
use crate::hourly::{HourlyReading, HourlySeries};
use jiff::SignedDuration;
use jiff::civil::date;
use jiff::tz::Offset;
use proptest::prelude::*;
use quantity::{Irradiance, IrradianceUnit, RadiantExposureUnit};

fn may(day: i8) -> Date {
    date(2026, 5, day)
}

fn celsius(degrees: f64) -> Temperature {
    Temperature::new(degrees, TemperatureUnit::Celsius)
}

fn day(of_may: i8, low: f64, high: f64) -> DailyReading {
    DailyReading { lowest: Some(celsius(low)), highest: Some(celsius(high)), ..DailyReading::unknown(may(of_may)) }
}

#[track_caller]
fn told(days: Vec<DailyReading>) -> Vec<(&'static str, String)> {
    let problems = match DailySeries::new(days) {
        Ok((_, problems)) | Err(problems) => problems,
    };
    problems.iter().map(|problem| (problem.code, problem.found.clone())).collect()
}

#[test]
fn readings_are_put_in_order_and_gaps_are_told_as_one() {
    let days = vec![day(9, 1.0, 9.0), day(1, 1.0, 9.0), DailyReading::unknown(may(2)), day(5, 2.0, 9.0)];
    let (series, problems) = DailySeries::new(days).unwrap();
    assert_eq!(series.span(), Some((may(1), may(9))));
    let gaps = [DayGap { first: may(2), last: may(4), days: 3 }, DayGap { first: may(6), last: may(8), days: 3 }];
    assert_eq!(series.gaps(), gaps);
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["weather::order", "weather::day-gap", "weather::day-gap"]);
    assert!(problems.iter().nth(1).unwrap().found.contains("on `3` days from `2026-05-02` to `2026-05-04`"));
    assert_eq!(series.at(may(5)).and_then(|day| day.lowest), Some(celsius(2.0)));
    assert_eq!(series.at(may(3)), None);
    assert_eq!(
        told(vec![day(1, 1.0, 2.0), day(3, 1.0, 2.0)])[0].1,
        "highest and lowest of `2026-05-02` are not both known"
    );
}

#[test]
fn every_implausible_value_is_told_with_its_day() {
    let wrong = vec![
        day(1, 10.0, 75.0),
        day(2, 12.0, 2.0),
        DailyReading { rain: Some(Length::new(90.0, LengthUnit::Inch)), ..day(3, 1.0, 2.0) },
        DailyReading { rain: Some(Length::new(-1.0, LengthUnit::Inch)), ..day(4, 1.0, 2.0) },
        DailyReading { wind_speed: Some(Speed::new(120.0, SpeedUnit::MilePerHour)), ..day(5, 1.0, 2.0) },
        DailyReading {
            radiation: Some(RadiantExposure::new(5000.0, RadiantExposureUnit::MegajoulePerSquareMetre)),
            ..day(6, 1.0, 2.0)
        },
        day(6, 1.0, 2.0),
    ];
    let told = told(wrong);
    let expected = [
        ("weather::temperature", "highest temperature `75.0 °C` on `2026-05-01`"),
        ("weather::extremes", "lowest `12.0 °C` is above highest `2.0 °C` on `2026-05-02`"),
        ("weather::rain", "rain `2286.0 mm` on `2026-05-03`"),
        ("weather::rain", "rain `-25.4 mm` on `2026-05-04`"),
        ("weather::wind", "mean wind `120.0 mph` on `2026-05-05`"),
        ("weather::radiation", "radiation `5000 MJ/m²` on `2026-05-06`"),
        ("weather::day-twice", "day `2026-05-06` has two readings"),
    ];
    assert_eq!(told.iter().map(|(code, found)| (*code, found.as_str())).collect::<Vec<_>>(), expected);
    assert_eq!(self::told(Vec::new()).iter().map(|(code, _)| *code).collect::<Vec<_>>(), ["weather::no-days"]);
}

#[test]
fn a_stuck_sensor_is_asked_about() {
    let same = |days: i8| (1..=days).map(|of_may| day(of_may, 3.0, 15.0)).chain([day(days + 1, 4.0, 15.0)]).collect();
    assert!(told(same(4)).is_empty());
    let found = told(same(5));
    assert_eq!(
        found,
        [("weather::stuck", "the same two extremes on `5` days from `2026-05-01` to `2026-05-05`".to_owned())]
    );
}

fn hours(from: i64, to: i64, of: impl Fn(i64) -> Option<f64>) -> HourlySeries {
    let midnight = may(1).at(0, 0, 0, 0);
    let reading = |hour: i64| HourlyReading {
        temperature: of(hour).map(celsius),
        rain: Some(Length::new(1.0, LengthUnit::Millimetre)),
        wind_speed: Some(Speed::new(hour.rem_euclid(24) as f64, SpeedUnit::MilePerHour)),
        relative_humidity: RelativeHumidity::from_percent(60.0).ok(),
        irradiance: Some(Irradiance::new(100.0, IrradianceUnit::WattPerSquareMetre)),
        ..HourlyReading::unknown(midnight.checked_add(SignedDuration::from_hours(hour)).unwrap())
    };
    HourlySeries::new(Offset::UTC, (from..to).map(reading).collect()).unwrap().0
}

#[test]
fn a_day_is_known_by_all_of_its_hours() {
    // From the evening of 30 April to noon of 4 May; one temperature of 2 May is missing.
    let series = hours(-5, 84, |hour| (hour != 30).then_some(10.0 + (hour % 24) as f64));
    let (days, problems) = DailySeries::from_hours(&series).unwrap();
    assert_eq!(days.days().iter().map(|day| day.date).collect::<Vec<_>>(), [may(1), may(2), may(3)]);
    let first = days.days()[0];
    assert_eq!((first.lowest, first.highest), (Some(celsius(10.0)), Some(celsius(33.0))));
    assert!((first.rain.unwrap().to(LengthUnit::Millimetre) - 24.0).abs() < 1e-9);
    assert!((first.wind_speed.unwrap().to(SpeedUnit::MilePerHour) - 11.5).abs() < 1e-9);
    assert!((first.relative_humidity.unwrap().fraction() - 0.6).abs() < 1e-9);
    assert!((first.radiation.unwrap().to(RadiantExposureUnit::MegajoulePerSquareMetre) - 8.64).abs() < 1e-9);
    assert_eq!((days.days()[1].extremes(), days.days()[1].rain.is_some()), (None, true));
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::day-gap"]);
    let problems = DailySeries::from_hours(&hours(1, 24, |_| Some(10.0))).unwrap_err();
    assert_eq!(problems.iter().next().unwrap().code, "weather::no-whole-day");
}

proptest! {
    #[test]
    fn gaps_and_days_read_are_the_whole(known in prop::collection::vec(any::<Option<bool>>(), 2..80)) {
        let start = date(2024, 2, 1);
        let mut days = Vec::new();
        for (index, state) in known.iter().enumerate() {
            let date = start.checked_add(jiff::ToSpan::days(i64::try_from(index).unwrap())).unwrap();
            match state {
                None => {}
                Some(false) => days.push(DailyReading::unknown(date)),
                Some(true) => days.push(DailyReading {
                    lowest: Some(celsius(index as f64 % 7.0)), highest: Some(celsius(20.0)), ..DailyReading::unknown(date)
                }),
            }
        }
        prop_assume!(!days.is_empty());
        let (series, _) = DailySeries::new(days).unwrap();
        let (first, last) = series.span().unwrap();
        let length = first.until(last).unwrap().get_days() + 1;
        let read = series.days().iter().filter(|day| day.extremes().is_some()).count();
        prop_assert_eq!(series.gaps().iter().map(|gap| gap.days).sum::<i32>() + i32::try_from(read).unwrap(), length);
        // No two of them touch, and none is empty.
        prop_assert!(series.gaps().iter().all(|gap| gap.days > 0 && gap.first <= gap.last));
        let apart = |pair: &[DayGap]| pair[0].last.tomorrow().unwrap() < pair[1].first;
        prop_assert!(series.gaps().windows(2).all(apart));
    }
}
