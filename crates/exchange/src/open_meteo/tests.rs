//! Answers with invented figures in the form of the service, sound and unsound.

use super::*;
use jiff::civil::date;
use proptest::prelude::*;
use quantity::{
    IrradianceUnit, RadiantExposureUnit, SpeedUnit, Temperature,
    TemperatureUnit::{Celsius, Fahrenheit},
};

const SOUND: &str = r#"{"latitude": 38.84, "longitude": -97.62, "generationtime_ms": 0.06,
"utc_offset_seconds": -18000, "timezone": "America/Chicago", "elevation": 372.0,
"hourly_units": {"time": "iso8601", "temperature_2m": "°C", "relative_humidity_2m": "%", "wind_speed_10m": "km/h",
  "wind_direction_10m": "°", "wind_gusts_10m": "km/h", "precipitation": "mm", "shortwave_radiation": "W/m²",
  "surface_pressure": "hPa", "cloud_cover": "%", "soil_temperature_6cm": "°C"},
"hourly": {"time": ["2026-07-07T05:00", "2026-07-07T06:00", "2026-07-07T07:00"],
  "temperature_2m": [20.0, 21.5, null],
  "relative_humidity_2m": [80, 75, 70],
  "wind_speed_10m": [3.6, 7.2, 10.8],
  "wind_direction_10m": [180, 190, 200],
  "wind_gusts_10m": [7.0, 9.0, 18.0],
  "precipitation": [9.9, 0.0, 0.4],
  "shortwave_radiation": [0.0, 35.0, 120.0],
  "surface_pressure": [970.1, 970.0, 969.8],
  "cloud_cover": [0, 25, 100],
  "soil_temperature_6cm": [19.1, 19.0, 19.2]},
"daily_units": {"time": "iso8601", "temperature_2m_max": "°F", "temperature_2m_min": "°F", "precipitation_sum": "inch",
  "shortwave_radiation_sum": "MJ/m²"},
"daily": {"time": ["2026-07-07", "2026-07-08"],
  "temperature_2m_max": [86.0, 90.5],
  "temperature_2m_min": [64.4, null],
  "precipitation_sum": [0.5, 0.0],
  "shortwave_radiation_sum": [25.2, 27.0]}}"#;

#[track_caller]
fn told(from: &str, to: &str) -> Vec<(&'static str, Option<usize>, String)> {
    assert!(SOUND.contains(from), "{from}");
    let problems = match parse_weather("x", &SOUND.replace(from, to)) {
        Ok((_, problems)) | Err(problems) => problems,
    };
    let errors = problems.iter().filter(|problem| problem.severity == problem::Severity::Error);
    errors.map(|problem| (problem.code, problem.place.line, problem.place.path.clone().unwrap_or_default())).collect()
}

#[test]
fn sums_belong_to_the_hour_that_ends_at_their_stamp() {
    let (weather, problems) = parse_weather("x", SOUND).unwrap();
    assert_eq!((weather.site.latitude(), weather.height), (38.84, Some(Length::new(372.0, LengthUnit::Metre))));
    let hours = weather.hours.unwrap();
    assert_eq!(hours.offset(), Offset::constant(-5));
    let [first, _, last] = hours.hours() else { panic!("three hours") };
    assert_eq!(first.start, date(2026, 7, 7).at(5, 0, 0, 0));
    assert_eq!(first.temperature, Some(Temperature::new(20.0, Celsius)));
    assert!((first.wind_speed.unwrap().to(SpeedUnit::MetrePerSecond) - 1.0).abs() < 1e-9);
    // Rain, gust and radiation of the hour from 5 stand at 6 o'clock.
    assert_eq!(first.rain, Some(Length::ZERO));
    assert!((first.wind_gust.unwrap().to(SpeedUnit::KilometrePerHour) - 9.0).abs() < 1e-9);
    assert_eq!(first.irradiance.unwrap().to(IrradianceUnit::WattPerSquareMetre), 35.0);
    assert_eq!((last.temperature, last.rain, last.wind_gust, last.irradiance), (None, None, None, None));
    assert_eq!((last.cloud_cover.unwrap().fraction(), last.relative_humidity.unwrap().fraction()), (1.0, 0.7));
    let days = weather.days.unwrap();
    assert_eq!(days.days()[0].highest, Some(Temperature::new(86.0, Fahrenheit)));
    assert_eq!(days.days()[0].rain, Some(Length::new(0.5, LengthUnit::Inch)));
    let exposure = days.days()[1].radiation.unwrap().to(RadiantExposureUnit::MegajoulePerSquareMetre);
    assert_eq!((exposure, days.days()[1].lowest), (27.0, None));
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather::day-gap"]);
}

#[test]
fn seconds_since_1970_and_earlier_names() {
    let text = SOUND
        .replacen("iso8601", "unixtime", 1)
        .replace(
            "\"2026-07-07T05:00\", \"2026-07-07T06:00\", \"2026-07-07T07:00\"",
            "1783418400, 1783422000, 1783425600",
        )
        .replace("wind_speed_10m", "windspeed_10m");
    let (weather, _) = parse_weather("x", &text).unwrap();
    assert_eq!(weather.hours, parse_weather("x", SOUND).unwrap().0.hours);
}

#[test]
fn a_sum_after_a_gap_is_of_no_hour_here() {
    let text = SOUND.replace("2026-07-07T07:00", "2026-07-07T09:00");
    let (weather, problems) = parse_weather("x", &text).unwrap();
    let hours = weather.hours.unwrap();
    assert_eq!((hours.hours()[0].rain.is_some(), hours.hours()[1].rain), (true, None));
    assert!(problems.iter().any(|problem| problem.code == "weather::gap" && problem.place.line == Some(6)));
}

#[test]
fn every_fault_is_told_with_its_place() {
    let one = |code, line, path: &str| vec![(code, Some(line), path.to_owned())];
    assert_eq!(
        told("[20.0, 21.5, null]", "[20.0, \"warm\", null]"),
        one("weather-json::value", 7, "hourly.temperature_2m[2]")
    );
    assert_eq!(
        told("[20.0, 21.5, null]", "[20.0, 71.5, null]"),
        one("weather::temperature", 7, "hourly.temperature_2m[2]")
    );
    assert_eq!(told("[20.0, 21.5, null]", "[20.0, 21.5]"), one("open-meteo::length", 7, "hourly.temperature_2m"));
    assert_eq!(
        told("[80, 75, 70]", "[80, 750, 70]"),
        one("weather::relative-humidity", 8, "hourly.relative_humidity_2m[2]")
    );
    assert_eq!(
        told("[180, 190, 200]", "[180, -190, 200]"),
        one("open-meteo::wind-from", 10, "hourly.wind_direction_10m[2]")
    );
    assert_eq!(
        told("\"precipitation\": \"mm\"", "\"precipitation\": \"l\""),
        one("open-meteo::unit", 4, "hourly_units.precipitation")
    );
    assert_eq!(told("\"daily_units\"", "\"units_of_days\"").len(), 4);
    assert_eq!(told("T06:00", "T6"), one("weather-json::value", 6, "hourly.time[2]"));
    assert_eq!(told("T06:00", "T05:00"), one("weather::hour-twice", 6, "hourly.time[2]"));
    assert_eq!(told("[64.4, null]", "[96.8, null]"), one("weather::extremes", 21, "daily.temperature_2m_min[1]"));
    assert_eq!(told("-18000", "\"CDT\""), one("weather-json::value", 2, "utc_offset_seconds"));
    assert_eq!(told("38.84", "138.84"), one("weather::latitude", 1, ""));
    assert_eq!(told("\"latitude\": 38.84,", ""), one("weather-json::missing", 1, ""));
    // Two figures of one hour, each at its own place.
    let two = told("[3.6, 7.2, 10.8],\n", "[3.6, -7.2, 10.8],\n").len() + told("[970.1, 970.0", "[970.1, 97.0").len();
    assert_eq!(two, 2);
    let refused = parse_weather("x", r#"{"error": true, "reason": "Cannot initialize"}"#).unwrap_err();
    assert_eq!(refused.iter().next().unwrap().code, "open-meteo::refused");
    let empty = parse_weather("x", r#"{"latitude": 1, "longitude": 2, "utc_offset_seconds": 0}"#).unwrap_err();
    assert_eq!(empty.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["weather-json::missing"]);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "(?s).{0,200}", at in 0..SOUND.len(), length in 0..30_usize, put in "(|0|-1|1e300|null|\"\"|\\[|\\}|\"é\")") {
        let _ = parse_weather("x", &text);
        let at = SOUND.floor_char_boundary(at);
        let to = SOUND.floor_char_boundary((at + length).min(SOUND.len()));
        let result = parse_weather("x", &format!("{}{put}{}", &SOUND[..at], &SOUND[to..]));
        prop_assert_eq!(result.is_err(), result.as_ref().err().is_some_and(Problems::has_errors));
    }
}
