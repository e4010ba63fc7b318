//! What `tussock weather fetch` did, as data.

use crate::json_text::pretty;
use crate::problems_json::ProblemJson;
use crate::weather_service::{Service, rounded};
use jiff::civil::DateTime;
use problem::Problems;
use schemars::JsonSchema;
use serde::Serialize;
use weather::{HourlySeries, Site};

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.weather-fetch/1";

/// A forecast that was asked for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Forecast of a service")]
pub struct WeatherFetchJson {
    /// `tussock.weather-fetch/1`.
    pub format: &'static str,
    /// `nws` or `open-meteo`.
    pub service: &'static str,
    /// What the service is.
    pub name: &'static str,
    /// What is known of its terms.
    pub terms: &'static str,
    /// Degrees north, as asked for.
    pub latitude_deg: String,
    /// Degrees east, as asked for.
    pub longitude_deg: String,
    /// The address that was asked.
    pub address: String,
    /// Whether the service was asked now; else an answer kept earlier was taken.
    pub is_fresh: bool,
    /// How old the answer is, minutes.
    pub age_min: f64,
    /// The file into which it was written as it came.
    pub file: String,
    /// How many hours it has.
    pub hours: usize,
    /// The start of its first hour, local, ISO 8601.
    pub first: Option<String>,
    /// The start of its last hour.
    pub last: Option<String>,
    /// What was noticed in it.
    pub problems: Vec<ProblemJson>,
}

/// Where an answer is from.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerOrigin<'a> {
    /// The service.
    pub service: Service,
    /// The place.
    pub site: Site,
    /// The address that was asked.
    pub address: &'a str,
    /// Whether it was asked now.
    pub is_fresh: bool,
    /// How old the answer is.
    pub age: std::time::Duration,
    /// The file into which it was written.
    pub file: &'a str,
}

impl WeatherFetchJson {
    /// The document.
    pub fn new(origin: &AnswerOrigin<'_>, hours: &HourlySeries, problems: &Problems) -> Self {
        let (latitude, longitude) = rounded(origin.site);
        let at = |start: DateTime| start.strftime("%Y-%m-%dT%H:%M").to_string();
        Self {
            format: FORMAT,
            service: origin.service.word(),
            name: origin.service.name(),
            terms: origin.service.terms(),
            latitude_deg: latitude,
            longitude_deg: longitude,
            address: origin.address.to_owned(),
            is_fresh: origin.is_fresh,
            age_min: (origin.age.as_secs_f64() / 6.0).round() / 10.0,
            file: origin.file.to_owned(),
            hours: hours.hours().len(),
            first: hours.hours().first().map(|hour| at(hour.start)),
            last: hours.hours().last().map(|hour| at(hour.start)),
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }

    /// The document as text, ended by a new line.
    pub fn text(&self) -> String {
        pretty(self)
    }
}
