//! Readings that no instrument gives: slips of the scale or the unit.

use quantity::{Speed, SpeedUnit, Temperature, TemperatureUnit};

/// Whether the air can be so warm or so cold where plants are treated: -60 to 60 °C.
///
/// # Source
/// World Meteorological Organization, World Weather and Climate Extremes Archive: highest air temperature 56.7 °C
/// (Furnace Creek, 10 July 1913). Below -60 °C are only ice sheets and a few winters of Siberia, where nothing grows.
pub fn is_air_temperature(temperature: Temperature) -> bool {
    (-60.0..=60.0).contains(&temperature.to(TemperatureUnit::Celsius))
}

/// Whether a wind can be one in which anybody works outdoors: up to 100 mph (45 m/s), past the threshold of a
/// hurricane of the second category.
///
/// # Source
/// Common practice, no source for the bound; the highest gust on record is 113.2 m/s (the same archive, Barrow
/// Island, 10 April 1996).
pub fn is_wind_outdoors(speed: Speed) -> bool {
    (0.0..=100.0).contains(&speed.to(SpeedUnit::MilePerHour))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_taken_for_the_other_is_found() {
        let celsius = |value| Temperature::new(value, TemperatureUnit::Celsius);
        assert!(is_air_temperature(celsius(-60.0)) && is_air_temperature(celsius(56.7)));
        assert!(!is_air_temperature(celsius(72.0)) && !is_air_temperature(celsius(-60.1)));
        let miles = |value| Speed::new(value, SpeedUnit::MilePerHour);
        assert!(is_wind_outdoors(miles(0.0)) && is_wind_outdoors(miles(100.0)) && !is_wind_outdoors(miles(100.5)));
    }
}
