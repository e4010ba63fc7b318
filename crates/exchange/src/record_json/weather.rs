//! The weather as seen on the spot.

use super::amount::number;
use super::fact::{FactJson, fact, fact_of};
use super::reading::Reading;
use problem::Problem;
use quantity::{Bearing, Speed, SpeedUnit, Temperature, TemperatureUnit};
use record::Observed;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The weather as somebody saw or measured it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ObservedJson {
    /// Where the wind came from, degrees clockwise from true north; does not arise in a calm.
    pub wind_from_deg: FactJson<f64>,
    /// Wind speed, metres per second.
    pub wind_m_per_s: FactJson<f64>,
    /// Gusts, metres per second.
    pub gust_m_per_s: FactJson<f64>,
    /// Air temperature, degrees Celsius.
    pub temperature_cel: FactJson<f64>,
    /// Anything else of the weather, in words.
    pub remarks: FactJson<String>,
}

impl From<&Observed> for ObservedJson {
    fn from(observed: &Observed) -> Self {
        let speed = |speed: &Speed| number(speed.to(SpeedUnit::MetrePerSecond));
        Self {
            wind_from_deg: fact_of(&observed.wind_from, |bearing| number(bearing.degrees())),
            wind_m_per_s: fact_of(&observed.wind, speed),
            gust_m_per_s: fact_of(&observed.gust, speed),
            temperature_cel: fact_of(&observed.temperature, |reading| number(reading.to(TemperatureUnit::Celsius))),
            remarks: fact(&observed.remarks),
        }
    }
}

impl ObservedJson {
    /// The weather; reports speeds below nothing and directions of more than a turn.
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<Observed> {
        let wind_from = self.wind_from_deg.read(|degrees| {
            if !(0.0..360.0).contains(&degrees) {
                reading.report(
                    Problem::error("record::number", format!("`{degrees}` is out of range"))
                        .expected("degrees clockwise from north, at least 0 and under 360")
                        .at(format!("{path}.wind_from_deg")),
                );
                return None;
            }
            Some(Bearing::from_degrees(degrees))
        });
        let mut speed = |fact: FactJson<f64>, field: &str| {
            fact.read(|value| {
                let value = reading.not_below_nothing(&format!("{path}.{field}.recorded"), value)?;
                Some(Speed::new(value, SpeedUnit::MetrePerSecond))
            })
        };
        let wind = speed(self.wind_m_per_s, "wind_m_per_s");
        let gust = speed(self.gust_m_per_s, "gust_m_per_s");
        let temperature = self.temperature_cel.read(|value| Some(Temperature::new(value, TemperatureUnit::Celsius)));
        Some(Observed {
            wind_from: wind_from?,
            wind: wind?,
            gust: gust?,
            temperature: temperature?,
            remarks: self.remarks.plain(),
        })
    }
}
