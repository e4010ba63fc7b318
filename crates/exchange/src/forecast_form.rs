//! The forecast of a visit in any of the forms in which it may come: a table, or the answer of a weather service.

use crate::station_series::{WeatherForm, is_json, json_form};
use crate::{forecast_csv, nws_forecast, open_meteo};
use problem::{Problem, Problems};
use weather::HourlySeries;

/// Reads a forecast in whichever form it is: what begins as JSON is the answer of a service, all else a table.
/// `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// As [`forecast_csv::parse_forecast`], [`nws_forecast::parse_forecast`] or [`open_meteo::parse_weather`];
/// `forecast::no-hours` for an answer that has days only; `forecast::form` for JSON that is neither answer.
pub fn parse_forecast(file: &str, text: &str) -> Result<(HourlySeries, Problems), Problems> {
    if !is_json(text) {
        return forecast_csv::parse_forecast(file, text);
    }
    let form = json_form(text);
    if form == Some(WeatherForm::NwsForecast) {
        return nws_forecast::parse_forecast(file, text).map(|(forecast, problems)| (forecast.hours, problems));
    }
    if form.is_none() {
        return Err(Problem::error("forecast::form", "this is no forecast in a form that is known")
            .expected("a table with a column `start`; the hourly GeoJSON of `api.weather.gov`, with `periods`; or the JSON of Open-Meteo, with `hourly`")
            .mend("ask the service for hourly figures, and keep its answer as it came")
            .at_line(1, 1)
            .in_file(file.to_owned())
            .into());
    }
    let (weather, problems) = open_meteo::parse_weather(file, text)?;
    match weather.hours {
        Some(hours) => Ok((hours, problems)),
        None => Err(Problem::error("forecast::no-hours", "the answer has days and no hours")
            .expected("`hourly`, lists of hourly figures")
            .mend("ask the service for hourly figures")
            .at_line(1, 1)
            .in_file(file.to_owned())
            .into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = "start,temperature_f,wind_mph\n2026-07-07T05:00-05:00,64,4\n";
    const HOURS: &str = r#"{"latitude": 38.8, "longitude": -97.6, "utc_offset_seconds": -18000,
        "hourly_units": {"time": "iso8601", "temperature_2m": "°C", "wind_speed_10m": "km/h"},
        "hourly": {"time": ["2026-07-07T05:00"], "temperature_2m": [18.0], "wind_speed_10m": [6.0]}}"#;
    const PERIODS: &str = r#"{"type": "Feature", "properties": {"periods": [{"number": 1,
        "startTime": "2026-07-07T05:00:00-05:00", "endTime": "2026-07-07T06:00:00-05:00", "isDaytime": false,
        "temperature": 64, "temperatureUnit": "F", "windSpeed": "4 mph", "windDirection": "S"}]}}"#;

    #[test]
    fn a_forecast_is_read_in_the_form_that_it_has() {
        for text in [TABLE, HOURS, PERIODS] {
            let (series, _) = parse_forecast("x", text).unwrap_or_else(|problems| panic!("{text}: {problems}"));
            let hour = &series.hours()[0];
            assert_eq!(hour.start, jiff::civil::date(2026, 7, 7).at(5, 0, 0, 0), "{text}");
            assert!(hour.wind_speed.is_some() && hour.temperature.is_some(), "{text}");
        }
    }

    #[test]
    fn what_is_no_forecast_is_told_by_the_reader_that_it_was_meant_for() {
        let codes =
            |text: &str| parse_forecast("x", text).unwrap_err().iter().map(|problem| problem.code).collect::<Vec<_>>();
        let days = r#"{"latitude": 38.8, "longitude": -97.6, "utc_offset_seconds": -18000,
            "daily_units": {"time": "iso8601"}, "daily": {"time": ["2026-07-07"]}}"#;
        assert_eq!(codes(days), ["forecast::no-hours"]);
        assert!(codes(r#"{"error": true, "reason": "no such place"}"#)[0].starts_with("open-meteo::"));
        assert_eq!([codes("{"), codes("{}"), codes(r#"{"type": "FeatureCollection"}"#)], [["forecast::form"]; 3]);
        assert!(codes(r#"{"properties": {"periods": 3}}"#)[0].starts_with("weather-json::"));
        assert!(!codes("").is_empty());
    }
}
