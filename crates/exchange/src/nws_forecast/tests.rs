//! Forecasts of invented hours in the form of the service, sound and unsound.

use super::*;
use jiff::civil::date;
use proptest::prelude::*;
use quantity::{SpeedUnit, Temperature, TemperatureUnit};

/// An hour from this one of 7 July on, with something said otherwise.
fn period(hour: i8, other: &str) -> String {
    let sound = format!(
        r#"{{"number": {n}, "startTime": "2026-07-07T{hour:02}:00:00-05:00", "endTime": "2026-07-07T{n:02}:00:00-05:00",
   "isDaytime": true, "temperature": 68, "temperatureUnit": "F", "temperatureTrend": null,
   "probabilityOfPrecipitation": {{"unitCode": "wmoUnit:percent", "value": 20}},
   "dewpoint": {{"unitCode": "wmoUnit:degC", "value": 13.333333333333334}},
   "relativeHumidity": {{"unitCode": "wmoUnit:percent", "value": 66}},
   "windSpeed": "5 mph", "windDirection": "SSW", "shortForecast": "Sunny"}}"#,
        n = hour + 1
    );
    match other.split_once(" => ") {
        Some((from, to)) => {
            assert!(sound.contains(from), "{from}");
            sound.replace(from, to)
        }
        None => sound,
    }
}

fn forecast(periods: &[String]) -> String {
    format!(
        "{{\"type\": \"Feature\", \"geometry\": null, \"properties\": {{\"units\": \"us\",\n \"elevation\": {{\"unitCode\": \
         \"wmoUnit:m\", \"value\": 372.8}},\n \"periods\": [\n  {}\n]}}}}",
        periods.join(",\n  ")
    )
}

#[track_caller]
fn told(text: &str) -> Vec<(&'static str, Option<usize>, Option<String>)> {
    let problems = match parse_forecast("x", text) {
        Ok((_, problems)) | Err(problems) => problems,
    };
    problems.iter().map(|problem| (problem.code, problem.place.line, problem.place.path.clone())).collect()
}

#[track_caller]
fn told_of(other: &str) -> Vec<(&'static str, Option<usize>, Option<String>)> {
    let told = told(&forecast(&[period(5, ""), period(6, other)]));
    told.into_iter().filter(|(code, _, _)| *code != "nws::rain-unknown").collect()
}

#[test]
fn an_hour_is_read_in_its_units() {
    let (forecast, problems) = parse_forecast("x", &forecast(&[period(5, ""), period(6, "")])).unwrap();
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["nws::rain-unknown"]);
    assert_eq!(forecast.height, Some(Length::new(372.8, LengthUnit::Metre)));
    assert_eq!(forecast.hours.offset(), Offset::constant(-5));
    let hour = forecast.hours.hours()[1];
    assert_eq!(hour.start, date(2026, 7, 7).at(6, 0, 0, 0));
    assert_eq!(hour.temperature, Some(Temperature::new(68.0, TemperatureUnit::Fahrenheit)));
    assert!((hour.dew_point.unwrap().to(TemperatureUnit::Celsius) - 13.333).abs() < 0.001);
    assert!((hour.wind_speed.unwrap().to(SpeedUnit::MilePerHour) - 5.0).abs() < 1e-9);
    assert_eq!(hour.wind_from.unwrap().degrees(), 202.5);
    assert_eq!((hour.rain_chance.unwrap().fraction(), hour.relative_humidity.unwrap().fraction()), (0.2, 0.66));
    assert_eq!((hour.rain, hour.wind_gust), (None, None));
}

#[test]
fn other_forms_of_the_same_figures() {
    let of = |other: &str| parse_forecast("x", &forecast(&[period(5, other)])).unwrap().0.hours.hours()[0];
    let miles = |hour: weather::HourlyReading| hour.wind_speed.unwrap().to(SpeedUnit::MilePerHour).round();
    assert_eq!(miles(of("\"5 mph\" => \"5 to 10 mph\"")), 10.0);
    assert_eq!(miles(of("\"5 mph\" => {\"unitCode\": \"wmoUnit:km_h-1\", \"value\": 16.09}")), 10.0);
    assert_eq!(
        miles(of(
            "\"5 mph\" => {\"unitCode\": \"wmoUnit:km_h-1\", \"minValue\": 8, \"maxValue\": 16.09, \"value\": null}"
        )),
        10.0
    );
    let celsius = of("\"temperature\": 68 => \"temperature\": {\"unitCode\": \"wmoUnit:degC\", \"value\": 20}");
    assert_eq!(celsius.temperature, Some(Temperature::new(20.0, TemperatureUnit::Celsius)));
    // What is null is not known.
    assert_eq!(of("\"value\": 20} => \"value\": null}").rain_chance, None);
    assert_eq!(of("\"5 mph\" => null").wind_speed, None);
    assert_eq!(of("\"SSW\" => \"\"").wind_from, None);
    // Without the feature round them.
    let plain = format!("{{\"periods\": [{}]}}", period(5, ""));
    assert_eq!(parse_forecast("x", &plain).unwrap().0.hours.hours().len(), 1);
}

#[test]
fn what_cannot_be_read_is_told_with_its_line_and_path() {
    let second = |code, line, field: &str| vec![(code, Some(line), Some(format!("properties.periods[2].{field}")))];
    assert_eq!(told_of("\"5 mph\" => \"5 Bft\""), second("weather-json::value", 15, "windSpeed"));
    assert_eq!(told_of("\"SSW\" => \"SSO\""), second("nws::wind-direction", 15, "windDirection"));
    assert_eq!(told_of("\"F\" => \"K\""), second("weather-json::value", 11, "temperature"));
    assert_eq!(
        told_of("\"value\": 66 => \"value\": 660"),
        second("weather::relative-humidity", 14, "relativeHumidity")
    );
    assert_eq!(
        told_of("wmoUnit:percent\", \"value\": 20 => wmoUnit:one\", \"value\": 0.2"),
        second("weather-json::value", 12, "probabilityOfPrecipitation")
    );
    assert_eq!(told_of("T06:00 => T6"), second("weather-json::value", 10, "startTime"));
    assert_eq!(told_of("T07:00 => T18:00"), [("nws::not-hourly", Some(10), Some("properties.periods[2]".to_owned()))]);
    assert_eq!(told_of("T07:00 => T06:30"), [("nws::not-hourly", Some(10), Some("properties.periods[2]".to_owned()))]);
    // What weather finds wrong goes to its figure too.
    assert_eq!(
        told_of("\"temperature\": 68 => \"temperature\": 168"),
        second("weather::temperature", 11, "temperature")
    );
    assert_eq!(told(&forecast(&[period(5, ""), period(5, "")])).last().unwrap().0, "weather::hour-twice");
    assert_eq!(told("{\"periods\": []}"), [("weather-json::missing", Some(1), Some(String::new()))]);
    assert_eq!(told("{\"title\": \"Not Found\"}"), [("weather-json::missing", Some(1), Some(String::new()))]);
    assert_eq!(told("<html>")[0].0, "weather-json::syntax");
}

#[test]
fn clocks_that_change_do_not_tear_the_hours_apart() {
    // 1 November 2026: after 1 o'clock daylight time comes 1 o'clock standard time.
    let hour = |start: &str, end: &str| {
        let of_day = |text: &str| format!("2026-11-01T{text}");
        period(5, "")
            .replace("2026-07-07T05:00:00-05:00", &of_day(start))
            .replace("2026-07-07T06:00:00-05:00", &of_day(end))
    };
    let text = forecast(&[
        hour("00:00:00-05:00", "01:00:00-05:00"),
        hour("01:00:00-05:00", "01:00:00-06:00"),
        hour("01:00:00-06:00", "02:00:00-06:00"),
    ]);
    let (read, problems) = parse_forecast("x", &text).unwrap();
    assert_eq!(read.hours.hours().iter().map(|hour| hour.start.hour()).collect::<Vec<_>>(), [0, 1, 2]);
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["nws::clock-change", "nws::rain-unknown"]);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "(?s).{0,200}", at in 0..900_usize, length in 0..20_usize, put in "(|0|-1|1e300|null|\"\"|\\[|\\}|\"é\")") {
        let _ = parse_forecast("x", &text);
        let sound = forecast(&[period(5, ""), period(6, "")]);
        let at = sound.floor_char_boundary(at.min(sound.len()));
        let to = sound.floor_char_boundary((at + length).min(sound.len()));
        let result = parse_forecast("x", &format!("{}{put}{}", &sound[..at], &sound[to..]));
        prop_assert_eq!(result.is_err(), result.as_ref().err().is_some_and(Problems::has_errors));
    }
}
