//! Whether leaves are wet: what is sprayed on them then is thinned and runs off.

use crate::psychrometrics::dew_point;
use crate::{HourlyReading, RelativeHumidity};
use quantity::{Length, Speed, SpeedUnit, Temperature, TemperatureUnit};

/// Humidity from which leaves count as wet where wind is not known.
///
/// # Source
/// Sentelhas, P. C., et al. 2008: Suitability of relative humidity as an estimator of leaf wetness duration. Agricultural
/// and Forest Meteorology 148: 392-400.
const WET_FROM: f64 = 0.90;

/// Whether leaves are wet by dew at a temperature, a humidity and a wind at the height of a station.
///
/// Below freezing it goes by humidity alone.
///
/// # Source
/// Gleason, M. L., et al. 1994: Development and validation of an empirical model to estimate the duration of dew periods.
/// Plant Disease 78: 1011-1016, with the figures that Kim, K. S., et al. 2002 give it: Model to enhance site-specific
/// estimation of leaf wetness duration. Plant Disease 86: 179-185, <https://doi.org/10.1094/PDIS.2002.86.2.179>.
pub fn is_dewy_gleason_1994(temperature: Temperature, humidity: RelativeHumidity, wind: Speed) -> bool {
    let (air, percent) = (temperature.to(TemperatureUnit::Celsius), humidity.fraction() * 100.0);
    let Some(dew) = dew_point(temperature, humidity) else { return false };
    if air < 0.0 {
        return humidity.fraction() >= WET_FROM;
    }
    let depression = air - dew.to(TemperatureUnit::Celsius);
    let wind = wind.to(SpeedUnit::MetrePerSecond);
    if depression >= 3.7 {
        return false;
    }
    if wind < 2.5 {
        let score = 1.6064 * air.sqrt() + 0.0036 * air * air + 0.1531 * percent
            - 0.4599 * wind * depression
            - 0.0035 * air * percent;
        return score > 14.4674;
    }
    let score =
        0.7921 * air.sqrt() + 0.0046 * percent - 2.3889 * wind - 0.0390 * air * wind + 1.0613 * wind * depression;
    percent >= 87.8 && score > 37.0
}

/// Whether leaves are wet in an hour: by rain in it, else by dew; `None` where neither can be told.
pub fn is_leaf_wet(reading: &HourlyReading) -> Option<bool> {
    if reading.rain.is_some_and(Length::is_positive) {
        return Some(true);
    }
    let humidity = reading.relative_humidity?;
    Some(match (reading.temperature, reading.wind_speed) {
        (Some(temperature), Some(wind)) => is_dewy_gleason_1994(temperature, humidity, wind),
        _ => humidity.fraction() >= WET_FROM,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dewy(celsius: f64, percent: f64, metres_per_second: f64) -> bool {
        is_dewy_gleason_1994(
            Temperature::new(celsius, TemperatureUnit::Celsius),
            RelativeHumidity::from_percent(percent).unwrap(),
            Speed::new(metres_per_second, SpeedUnit::MetrePerSecond),
        )
    }

    #[test]
    fn dew_lies_in_still_damp_air_and_not_in_dry_or_windy_air() {
        assert!(dewy(15.0, 97.0, 0.5));
        assert!(!dewy(15.0, 70.0, 0.5));
        assert!(!dewy(25.0, 50.0, 0.5));
        assert!(!dewy(15.0, 92.0, 6.0));
        assert!(dewy(-3.0, 95.0, 1.0) && !dewy(-3.0, 60.0, 1.0));
    }
}
