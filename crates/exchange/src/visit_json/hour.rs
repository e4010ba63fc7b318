//! Times: the judged hours, the start window, and instants as RFC 3339 writes them.

use super::figure::OriginJson;
use super::verdict::StatusJson;
use jiff::civil::DateTime;
use jiff::tz::Offset;
use quantity::{LengthUnit, SpeedUnit, TemperatureUnit};
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{Hour, StartWindow};

/// A local time with its offset from universal time, `2026-07-07T07:00:00-05:00`.
pub(crate) fn instant(local: DateTime, offset: Offset) -> String {
    let minutes = offset.seconds() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    format!("{local}{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
}

/// One hour of the forecast, judged.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HourJson {
    /// Start of the hour, RFC 3339.
    pub start: String,
    /// Whether a job may go on in it.
    pub verdict: StatusJson,
    /// Why not, or why with care, in short words; strongest first.
    pub reasons: Vec<String>,
    /// The same reasons with rule, measured value and sentence.
    pub because: Vec<HourReasonJson>,
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
}

/// One reason against an hour.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HourReasonJson {
    /// Stable code, such as `hour::wind-high`.
    pub rule: String,
    /// Refused or caution.
    pub status: StatusJson,
    /// Short words.
    pub text: String,
    /// Measured against limit, in words.
    pub detail: String,
    /// The sentence behind it.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
    /// Where the limit comes from.
    pub origin: OriginJson,
}

impl HourJson {
    pub(crate) fn new(hour: &Hour, offset: Offset) -> Self {
        Self {
            start: instant(hour.start, offset),
            verdict: hour.status.into(),
            reasons: hour.reasons.iter().map(|reason| reason.text.clone()).collect(),
            because: hour
                .reasons
                .iter()
                .map(|reason| HourReasonJson {
                    rule: reason.rule.to_owned(),
                    status: reason.status.into(),
                    text: reason.text.clone(),
                    detail: reason.detail.clone(),
                    clause: reason.clause.clone(),
                    page: reason.page,
                    origin: reason.origin.into(),
                })
                .collect(),
            temperature_cel: hour.temperature.map(|temperature| temperature.to(TemperatureUnit::Celsius)),
            wind_m_per_s: hour.wind.map(|wind| wind.to(SpeedUnit::MetrePerSecond)),
            gust_m_per_s: hour.gust.map(|gust| gust.to(SpeedUnit::MetrePerSecond)),
            wind_from_deg: hour.wind_from.map(quantity::Bearing::degrees),
            rain_m: hour.rain.map(|rain| rain.to(LengthUnit::Metre)),
        }
    }
}

/// The first and the last minute to start, RFC 3339.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StartWindowJson {
    /// Earliest start.
    pub first: String,
    /// Latest start.
    pub last: String,
    /// When the job ends if it starts at the earliest.
    pub finish_if_first: String,
    /// When it ends if it starts at the latest.
    pub finish_if_last: String,
}

impl StartWindowJson {
    pub(crate) fn new(window: &StartWindow, offset: Offset) -> Self {
        Self {
            first: instant(window.first, offset),
            last: instant(window.last, offset),
            finish_if_first: instant(window.finish_if_first, offset),
            finish_if_last: instant(window.finish_if_last, offset),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn instants_are_those_of_rfc_3339() {
        let local = date(2026, 7, 7).at(7, 0, 0, 0);
        assert_eq!(instant(local, Offset::constant(-5)), "2026-07-07T07:00:00-05:00");
        assert_eq!(instant(local, Offset::UTC), "2026-07-07T07:00:00+00:00");
        let half_hour = Offset::from_seconds(-(3 * 3600 + 1800)).expect("in range");
        assert_eq!(instant(local, half_hour), "2026-07-07T07:00:00-03:30");
    }
}
