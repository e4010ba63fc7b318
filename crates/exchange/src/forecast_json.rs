//! A forecast as read: its hours, the hours missing between them, what is wrong and what should be looked at.

use crate::forecast_form::parse_forecast;
use crate::problems_json::ProblemJson;
use crate::visit_json::instant;
use problem::{Problem, Severity};
use quantity::{Bearing, LengthUnit, SpeedUnit, TemperatureUnit};
use schemars::JsonSchema;
use serde::Serialize;
use weather::{HourlyReading, HourlySeries};

/// The format of the document.
pub const FORMAT: &str = "tussock.forecast-reading/1";

/// A forecast, read.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ForecastReadingJson {
    /// `tussock.forecast-reading/1`.
    pub format: &'static str,
    /// Whether plans can use it: nothing in `problems`.
    pub usable: bool,
    /// The hours, in order; empty while the forecast has errors. A figure that is null is not known, and never
    /// nought.
    pub hours: Vec<ForecastHourJson>,
    /// Hours missing between the first and the last.
    pub gaps: Vec<GapJson>,
    /// What is certainly wrong; each refuses the forecast.
    pub problems: Vec<ProblemJson>,
    /// What should be looked at.
    pub questions: Vec<ProblemJson>,
}

/// One hour.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ForecastHourJson {
    /// Start of the hour, RFC 3339.
    pub start: String,
    /// Air temperature, degrees Celsius.
    pub temperature_cel: Option<f64>,
    /// Wind speed, metres per second.
    pub wind_m_per_s: Option<f64>,
    /// Gusts, metres per second.
    pub gust_m_per_s: Option<f64>,
    /// Where the wind comes from, degrees clockwise from true north.
    pub wind_from_deg: Option<f64>,
    /// Rain in the hour, metres.
    pub rain_m: Option<f64>,
    /// Chance of rain, 0 to 1.
    pub rain_chance: Option<f64>,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: Option<f64>,
}

/// Hours missing in a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct GapJson {
    /// Start of the first hour missing, RFC 3339.
    pub from: String,
    /// Start of the next hour that is there.
    pub until: String,
    /// How many are missing.
    pub hours: i64,
}

/// Reads a forecast. `file` is the name that its user gave it and only serves messages.
pub fn read_out(file: &str, text: &str) -> ForecastReadingJson {
    let (series, found) = match parse_forecast(file, text) {
        Ok((series, warnings)) => (Some(series), warnings),
        Err(problems) => (None, problems),
    };
    let (errors, warnings): (Vec<Problem>, Vec<Problem>) =
        found.into_iter().partition(|problem| problem.severity == Severity::Error);
    ForecastReadingJson {
        format: FORMAT,
        usable: series.is_some(),
        hours: series.as_ref().map(hours).unwrap_or_default(),
        gaps: series.as_ref().map(gaps).unwrap_or_default(),
        problems: errors.iter().map(ProblemJson::from).collect(),
        questions: warnings.iter().map(ProblemJson::from).collect(),
    }
}

fn hours(series: &HourlySeries) -> Vec<ForecastHourJson> {
    let speed = |speed: quantity::Speed| speed.to(SpeedUnit::MetrePerSecond);
    let hour = |hour: &HourlyReading| ForecastHourJson {
        start: instant(hour.start, series.offset()),
        temperature_cel: hour.temperature.map(|temperature| temperature.to(TemperatureUnit::Celsius)),
        wind_m_per_s: hour.wind_speed.map(speed),
        gust_m_per_s: hour.wind_gust.map(speed),
        wind_from_deg: hour.wind_from.map(Bearing::degrees),
        rain_m: hour.rain.map(|rain| rain.to(LengthUnit::Metre)),
        rain_chance: hour.rain_chance.map(weather::Chance::fraction),
        relative_humidity: hour.relative_humidity.map(weather::RelativeHumidity::fraction),
    };
    series.hours().iter().map(hour).collect()
}

fn gaps(series: &HourlySeries) -> Vec<GapJson> {
    let hour = jiff::SignedDuration::from_hours(1);
    let pairs = series.hours().windows(2).filter_map(|pair| {
        let [before, after] = pair else { return None };
        let from = before.start.checked_add(hour).ok()?;
        let missing = after.start.duration_since(from).as_hours();
        (missing > 0).then(|| GapJson {
            from: instant(from, series.offset()),
            until: instant(after.start, series.offset()),
            hours: missing,
        })
    });
    pairs.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_hours_are_gaps_and_missing_figures_are_not_nought() {
        let text = "start,temperature_f,wind_mph\n2026-07-07T05:00-05:00,50,\n2026-07-07T06:00-05:00,68,10\n\
            2026-07-07T09:00-05:00,70,4\n";
        let read = read_out("forecast", text);
        assert!(read.usable && read.problems.is_empty() && !read.questions.is_empty());
        let gap = GapJson {
            from: "2026-07-07T07:00:00-05:00".to_owned(),
            until: "2026-07-07T09:00:00-05:00".to_owned(),
            hours: 2,
        };
        assert_eq!(read.gaps, [gap]);
        assert_eq!((read.hours[0].wind_m_per_s, read.hours[0].rain_m), (None, None));
        assert!((read.hours[0].temperature_cel.expect("a temperature") - 10.0).abs() < 1e-9);
        assert!((read.hours[1].wind_m_per_s.expect("a wind") - 4.470_4).abs() < 1e-9);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        let read = read_out("forecast", "start,temperature_f\n2026-07-07T05:00-05:00,warm\n");
        assert!(!read.usable && read.hours.is_empty());
        assert_eq!(read.problems.iter().map(|problem| problem.line).collect::<Vec<_>>(), [Some(2)]);
    }
}
