//! Public services that give an hourly forecast of a place: what to ask them, and what their answers mean.
//!
//! Asking is somebody else's: here are addresses and texts alone. The forecasts themselves are read by
//! [`crate::nws_forecast`] and [`crate::open_meteo`].

use crate::forecast_form::parse_forecast;
use crate::toml_source::shown;
use crate::weather_json::Document;
use problem::{Problem, Problems};
use weather::{HourlySeries, Site};

/// A service.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Service {
    /// The National Weather Service of the United States, `api.weather.gov`.
    Nws,
    /// Open-Meteo.
    OpenMeteo,
}

/// How many days ahead are asked for where the service lets one choose.
const DAYS: u8 = 7;

impl Service {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Nws, Self::OpenMeteo];

    /// Its word in arguments and names of files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Nws => "nws",
            Self::OpenMeteo => "open-meteo",
        }
    }

    /// What it is.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Nws => "National Weather Service of the United States (api.weather.gov)",
            Self::OpenMeteo => "Open-Meteo (open-meteo.com)",
        }
    }

    /// Where it is asked.
    pub const fn base(self) -> &'static str {
        match self {
            Self::Nws => "https://api.weather.gov",
            Self::OpenMeteo => "https://api.open-meteo.com",
        }
    }

    /// The media type that is asked for.
    pub const fn accept(self) -> &'static str {
        match self {
            Self::Nws => "application/geo+json",
            Self::OpenMeteo => "application/json",
        }
    }

    /// What is known of its terms; from memory, and they may have changed.
    pub const fn terms(self) -> &'static str {
        match self {
            Self::Nws => {
                "data of the United States government, free to use; it wants a user agent that says who asks (--contact), \
                 and few requests; its terms apply (www.weather.gov/disclaimer)"
            }
            Self::OpenMeteo => {
                "data under CC BY 4.0, to be credited; the open address is for use without business, a business takes a \
                 plan of the service or a server of its own (--from); its terms apply (open-meteo.com/en/terms)"
            }
        }
    }

    /// The path and query that are asked first: of Open-Meteo the forecast, of the National Weather Service the grid of
    /// the place.
    ///
    /// The place is rounded to hundredths of a degree, about a kilometre: no forecast is finer, and nobody has to know
    /// whose house it is for.
    pub fn first_path(self, site: Site) -> String {
        let (latitude, longitude) = rounded(site);
        match self {
            Self::Nws => format!("/points/{latitude},{longitude}"),
            Self::OpenMeteo => format!(
                "/v1/forecast?latitude={latitude}&longitude={longitude}&hourly={}&timezone=auto&forecast_days={DAYS}",
                HOURLY.join(",")
            ),
        }
    }

    /// The path of the forecast in the answer to the first question; `None` where that answer is the forecast itself.
    ///
    /// Only the path is taken: a service that sends elsewhere is not followed there.
    ///
    /// # Errors
    /// What is wrong with the answer.
    pub fn second_path(self, answer: &str) -> Result<Option<String>, Problems> {
        match self {
            Self::OpenMeteo => Ok(None),
            Self::Nws => path_of_grid(answer).map(Some).map_err(Problems::from),
        }
    }

    /// Reads the forecast.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn read(self, file: &str, answer: &str) -> Result<(HourlySeries, Problems), Problems> {
        parse_forecast(file, answer)
    }

    /// The words in which the service says why it has no answer, where it does.
    pub fn reason(answer: &str) -> Option<String> {
        let value: serde_json::Value = serde_json::from_str(answer).ok()?;
        let text = ["detail", "reason", "title"].iter().find_map(|name| value.get(name)?.as_str())?;
        Some(shown(text))
    }
}

/// The figures asked of Open-Meteo.
const HOURLY: [&str; 10] = [
    "temperature_2m",
    "relative_humidity_2m",
    "dew_point_2m",
    "precipitation",
    "precipitation_probability",
    "wind_speed_10m",
    "wind_direction_10m",
    "wind_gusts_10m",
    "cloud_cover",
    "shortwave_radiation",
];

/// Latitude and longitude in hundredths of a degree.
pub fn rounded(site: Site) -> (String, String) {
    let text = |degrees: f64| {
        let text = format!("{degrees:.2}");
        if text == "-0.00" { "0.00".to_owned() } else { text }
    };
    (text(site.latitude()), text(site.longitude()))
}

fn path_of_grid(answer: &str) -> Result<String, Problem> {
    const WHAT: &str = "the answer of `/points/LATITUDE,LONGITUDE`: a feature with `properties.forecastHourly`";
    let document = Document::parse(answer, WHAT)?;
    let root = document.root();
    // With the media type `application/ld+json` the properties stand at the top.
    let properties = root.field("properties").unwrap_or_else(|| root.clone());
    let Some(field) = properties.field("forecastHourly") else {
        return Err(properties.missing("forecastHourly", WHAT));
    };
    let address = field.text().unwrap_or("");
    let rest = address.split_once("://").map_or("", |(_, rest)| rest);
    let path = rest.find('/').map_or("", |at| &rest[at..]);
    let is_plain = |c: char| c.is_ascii_alphanumeric() || "/,.-_?=&%".contains(c);
    if path.len() < 2 || !path.chars().all(is_plain) || path.contains("..") {
        return Err(field.unreadable("the address of an hourly forecast"));
    }
    Ok(path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_asked_for_to_a_kilometre() {
        let site = Site::new(38.843_21, -97.618_76).unwrap();
        assert_eq!(Service::Nws.first_path(site), "/points/38.84,-97.62");
        assert!(
            Service::OpenMeteo.first_path(site).starts_with("/v1/forecast?latitude=38.84&longitude=-97.62&hourly=temp")
        );
        assert_eq!(rounded(Site::new(-0.001, 0.0).unwrap()), ("0.00".to_owned(), "0.00".to_owned()));
    }

    #[test]
    fn only_the_path_of_the_grid_is_taken() {
        let answer = |address: &str| format!(r#"{{"properties": {{"forecastHourly": "{address}"}}}}"#);
        let path = |address: &str| Service::Nws.second_path(&answer(address));
        assert_eq!(
            path("https://api.weather.gov/gridpoints/ICT/71,67/forecast/hourly").unwrap().unwrap(),
            "/gridpoints/ICT/71,67/forecast/hourly"
        );
        assert_eq!(path("http://elsewhere.example/x").unwrap().unwrap(), "/x");
        for wrong in ["", "nowhere", "https://api.weather.gov", "https://a/../b", "https://a/b c", "file:///"] {
            assert!(path(wrong).is_err(), "{wrong}");
        }
        assert!(Service::Nws.second_path("{}").is_err() && Service::Nws.second_path("<html>").is_err());
        assert_eq!(Service::OpenMeteo.second_path("anything").unwrap(), None);
    }

    #[test]
    fn a_service_says_why_it_has_no_answer() {
        let told = r#"{"title": "Data Unavailable For Requested Point", "detail": "Unable to provide data"}"#;
        assert_eq!(Service::reason(told).as_deref(), Some("Unable to provide data"));
        assert_eq!(Service::reason(r#"{"error": true, "reason": "latitude"}"#).as_deref(), Some("latitude"));
        assert_eq!(Service::reason("<html>"), None);
    }
}
