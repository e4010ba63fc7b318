//! Bounds, and what holds for any day.

use super::*;
use crate::fraction::RelativeHumidity;
use jiff::civil::date;
use proptest::prelude::*;

fn extremes(lowest: f64, range: f64) -> Extremes {
    let celsius = |degrees| Temperature::new(degrees, TemperatureUnit::Celsius);
    Extremes::new(celsius(lowest), celsius(lowest + range)).unwrap()
}

fn wind(metres_a_second: f64) -> WindReading {
    let height = Length::new(2.0, LengthUnit::Metre);
    WindReading::new(Speed::new(metres_a_second, SpeedUnit::MetrePerSecond), height).unwrap()
}

fn station(latitude: f64) -> Station {
    Station { site: Site::new(latitude, 0.0).unwrap(), height: Length::new(100.0, LengthUnit::Metre) }
}

fn day(date: Date) -> DayConditions {
    DayConditions {
        date,
        extremes: extremes(12.0, 12.0),
        vapour: Vapour::MeanHumidity(RelativeHumidity::from_percent(60.0).unwrap()),
        wind: wind(2.0),
        sunlight: Sunlight::FromInland,
        soil: RadiantExposure::ZERO,
    }
}

#[test]
fn wind_is_measured_above_the_grass() {
    let at = |metres: f64, speed: f64| {
        WindReading::new(Speed::new(speed, SpeedUnit::MetrePerSecond), Length::new(metres, LengthUnit::Metre))
    };
    let codes = |result: Result<WindReading, Problems>| {
        result.unwrap_err().iter().map(|problem| problem.code).collect::<Vec<_>>()
    };
    assert_eq!(codes(at(0.05, 2.0)), ["weather::wind-height"]);
    assert_eq!(codes(at(33.0, -2.0)), ["weather::wind-height", "weather::wind"]);
    assert!(at(2.0, 0.0).is_ok());
}

#[test]
fn more_sunshine_than_daylight_is_refused() {
    let hours = |hours: f64| DayConditions {
        sunlight: Sunlight::Sunshine(Duration::new(hours, DurationUnit::Hour)),
        ..day(date(2026, 12, 21))
    };
    let problems = penman_monteith_of_day(station(50.0), &hours(12.0)).unwrap_err();
    let problem = problems.iter().next().unwrap();
    assert_eq!(
        (problem.code, problem.found.as_str()),
        ("weather::sunshine", "`12.0` hours of sunshine on `2026-12-21`")
    );
    assert!(penman_monteith_of_day(station(50.0), &hours(-1.0)).is_err());
    assert!(penman_monteith_of_day(station(50.0), &hours(7.5)).is_ok());
}

#[test]
fn many_days_are_reckoned_as_each_by_itself() {
    let days: Vec<DayConditions> = date(2023, 12, 20).series(jiff::ToSpan::days(1)).take(800).map(day).collect();
    let together = penman_monteith_of_days(station(45.0), &days).unwrap();
    let alone: Vec<_> = days.iter().map(|day| penman_monteith_of_day(station(45.0), day).unwrap()).collect();
    assert_eq!(together, alone);
    let sunny =
        |date| DayConditions { sunlight: Sunlight::Sunshine(Duration::new(20.0, DurationUnit::Hour)), ..day(date) };
    let wrong = [sunny(date(2026, 1, 1)), day(date(2026, 1, 2)), sunny(date(2026, 1, 3))];
    assert_eq!(penman_monteith_of_days(station(45.0), &wrong).unwrap_err().len(), 2);
}

#[test]
fn polar_night_and_polar_day_are_reckoned() {
    let night = day(date(2026, 12, 21));
    let found = penman_monteith_of_day(station(75.0), &night).unwrap();
    assert_eq!(found.working.extraterrestrial, RadiantExposure::ZERO);
    assert!(found.depth.to(LengthUnit::Millimetre).is_finite());
    assert_eq!(daylight(date(2026, 12, 21), station(75.0).site), Duration::ZERO);
    assert_eq!(daylight(date(2026, 6, 21), station(75.0).site).to(DurationUnit::Hour), 24.0);
    let none = DayConditions { sunlight: Sunlight::Sunshine(Duration::ZERO), ..night };
    assert!(penman_monteith_of_day(station(75.0), &none).is_ok());
}

#[test]
fn no_water_comes_back_by_hargreaves() {
    assert_eq!(hargreaves_1985(date(2026, 1, 1), station(50.0).site, extremes(-40.0, 10.0)), Length::ZERO);
}

proptest! {
    /// The hours of a day together are the day: the two equations share one sun.
    #[test]
    fn hours_above_the_air_add_up_to_the_day(
        latitude in -89.0..89.0_f64, longitude in -179.0..179.0_f64, day in 0_i64..365,
    ) {
        let site = Site::new(latitude, longitude).unwrap();
        let date = date(2026, 1, 1).checked_add(jiff::ToSpan::days(day)).unwrap();
        let offset = Offset::from_hours((longitude / 15.0).round() as i8).unwrap();
        let hours: RadiantExposure = (0..24)
            .map(|hour| extraterrestrial_radiation_of_hour(date.at(hour, 0, 0, 0), offset, site))
            .sum();
        let whole = extraterrestrial_radiation(date, site);
        // Where the sun barely sets, the hour around midnight is lit at both of its ends, and one is cut.
        let within = 0.001 * whole.to(RadiantExposureUnit::MegajoulePerSquareMetre) + 0.03;
        let apart = hours.to(RadiantExposureUnit::MegajoulePerSquareMetre)
            - whole.to(RadiantExposureUnit::MegajoulePerSquareMetre);
        prop_assert!(apart.abs() <= within, "{apart} MJ/m² on {date}");
    }

    /// With some wind; in still air, what drier air lets through to the sky may outweigh it.
    #[test]
    fn drier_air_takes_more(
        lowest in 0.0..25.0_f64, range in 2.0..18.0_f64, humidity in 15.0..90.0_f64, speed in 1.5..8.0_f64, of_year in 60_i64..300,
    ) {
        let date = date(2026, 1, 1).checked_add(jiff::ToSpan::days(of_year)).unwrap();
        let depth = |humidity: f64| {
            let vapour = Vapour::MeanHumidity(RelativeHumidity::from_percent(humidity).unwrap());
            let readings = DayConditions { extremes: extremes(lowest, range), vapour, wind: wind(speed), ..day(date) };
            penman_monteith_of_day(station(40.0), &readings).unwrap().depth.to(LengthUnit::Millimetre)
        };
        prop_assert!(depth(humidity - 10.0) > depth(humidity));
        prop_assert!((-1.0..20.0).contains(&depth(humidity)));
    }
}
