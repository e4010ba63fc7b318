//! What evapotranspiration is reckoned from.

use super::{celsius, kilopascals, pressure_of};
use crate::degree_days::Extremes;
use crate::fraction::RelativeHumidity;
use crate::psychrometrics::saturation_allen_1998;
use crate::site::Site;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use problem::{Problem, Problems};
use quantity::{Duration, Length, LengthUnit, Pressure, RadiantExposure, Speed, SpeedUnit, Temperature};

/// Where it is reckoned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// The place.
    pub site: Site,
    /// Its height above the sea.
    pub height: Length,
}

/// What tells the vapour in the air over a day, from the best to the worst.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Vapour {
    /// Its pressure itself.
    Pressure(Pressure),
    /// The dew point (equation 14).
    DewPoint(Temperature),
    /// A wet and a dry bulb in moving air (equations 15 and 16, ventilated).
    WetBulb {
        /// The wet one.
        wet: Temperature,
        /// The dry one.
        dry: Temperature,
    },
    /// Both extremes of the relative humidity (equation 17).
    HumidityExtremes {
        /// The highest, commonly at the lowest temperature.
        highest: RelativeHumidity,
        /// The lowest, commonly at the highest temperature.
        lowest: RelativeHumidity,
    },
    /// The highest relative humidity (equation 18), where small errors of a sensor would spoil the lowest.
    HighestHumidity(RelativeHumidity),
    /// The mean relative humidity (equation 19).
    MeanHumidity(RelativeHumidity),
    /// Nothing: the dew point is taken to be the lowest temperature (equation 48), in dry places two degrees below.
    LowestTemperature,
}

impl Vapour {
    /// kPa; `saturation` in kPa, `height` in metres.
    pub(super) fn kilopascals(self, day: Extremes, saturation: f64, height: f64) -> f64 {
        let full = |temperature| kilopascals(saturation_allen_1998(temperature));
        match self {
            Self::Pressure(pressure) => kilopascals(pressure),
            Self::DewPoint(dew_point) => full(dew_point),
            Self::WetBulb { wet, dry } => full(wet) - 0.000_662 * pressure_of(height) * (celsius(dry) - celsius(wet)),
            Self::HumidityExtremes { highest, lowest } => {
                f64::midpoint(full(day.lowest()) * highest.fraction(), full(day.highest()) * lowest.fraction())
            }
            Self::HighestHumidity(highest) => full(day.lowest()) * highest.fraction(),
            Self::MeanHumidity(mean) => saturation * mean.fraction(),
            Self::LowestTemperature => full(day.lowest()),
        }
    }
}

/// What tells the light of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sunlight {
    /// Radiation on level ground.
    Measured(RadiantExposure),
    /// Time with sunshine (equation 35).
    Sunshine(Duration),
    /// The extremes of temperature (equation 50), where land rules the weather.
    FromInland,
    /// The same near a coast.
    FromCoast,
}

/// Wind and the height at which it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WindReading {
    speed: Speed,
    height: Length,
}

impl WindReading {
    /// The wind at a height above short grass. Stations and forecasts of airports tell that at 10 m.
    ///
    /// # Errors
    /// When the height is below 0.5 or above 30 m, or the speed below nothing: the profile of equation 47 does not
    /// hold there.
    pub fn new(speed: Speed, height: Length) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        let metres = height.to(LengthUnit::Metre);
        if !(0.5..=30.0).contains(&metres) {
            problems.push(
                Problem::error("weather::wind-height", format!("wind measured `{metres}` m above the ground"))
                    .expected("0.5 to 30 m; most stations have 2 or 10 m")
                    .mend("check the unit of the height"),
            );
        }
        if speed < Speed::ZERO {
            problems.push(
                Problem::error("weather::wind", format!("wind `{}`", speed.show(SpeedUnit::MetrePerSecond)))
                    .expected("0 or more"),
            );
        }
        problems.unless_errors(Self { speed, height }).map(|(wind, _)| wind)
    }

    /// Metres per second at two metres (equation 47).
    pub(super) fn at_two_metres(self) -> f64 {
        let height = self.height.to(LengthUnit::Metre);
        // The profile itself gives 1.0002 there.
        let factor = if height == 2.0 { 1.0 } else { 4.87 / (67.8 * height - 5.42).ln() };
        self.speed.to(SpeedUnit::MetrePerSecond) * factor
    }
}

/// The readings of a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayConditions {
    /// The day.
    pub date: Date,
    /// Its extremes of temperature.
    pub extremes: Extremes,
    /// What tells the vapour.
    pub vapour: Vapour,
    /// Its mean wind.
    pub wind: WindReading,
    /// What tells the light.
    pub sunlight: Sunlight,
    /// Heat that the soil takes up: nothing over a day, since the night gives it back (equation 42); for the mean day
    /// of a month a part of [`super::soil_heat_of_month`].
    pub soil: RadiantExposure,
}

/// How clear a night is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NightSky {
    /// As two to three hours before sunset, when so much light came of a clear sky's so much.
    AsBeforeSunset {
        /// Radiation on the ground in that hour.
        solar: RadiantExposure,
        /// What a clear sky would have given.
        clear_sky: RadiantExposure,
    },
    /// Nobody knows, in a humid place (0.5 of a clear sky, FAO-56 page 75).
    Humid,
    /// Nobody knows, in a dry place (0.75 of a clear sky).
    Arid,
}

impl NightSky {
    pub(super) fn clearness(self) -> f64 {
        match self {
            Self::AsBeforeSunset { solar, clear_sky } if clear_sky > RadiantExposure::ZERO => {
                solar.ratio(clear_sky).clamp(0.0, 1.0)
            }
            Self::AsBeforeSunset { .. } | Self::Humid => 0.5,
            Self::Arid => 0.75,
        }
    }
}

/// The readings of an hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HourConditions {
    /// Local start of the hour.
    pub start: DateTime,
    /// Offset of local time from universal time.
    pub offset: Offset,
    /// Mean temperature.
    pub temperature: Temperature,
    /// Mean relative humidity.
    pub relative_humidity: RelativeHumidity,
    /// Mean wind.
    pub wind: WindReading,
    /// Radiation on level ground over the hour.
    pub solar: RadiantExposure,
    /// How clear the sky is, when the sun does not tell.
    pub night_sky: NightSky,
}
