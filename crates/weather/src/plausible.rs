//! Readings that no instrument gives: slips of the scale or the unit.

use quantity::{
    Irradiance, IrradianceUnit, Length, LengthUnit, Pressure, PressureUnit, Speed, SpeedUnit, Temperature,
    TemperatureUnit,
};

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

/// Whether the air of a place where people live can press so: 500 to 1100 hPa.
///
/// # Source
/// World Meteorological Organization, World Weather and Climate Extremes Archive: highest pressure reduced to sea
/// level below 750 m, 1083.8 hPa (Agata, 31 December 1968). 500 hPa is the standard atmosphere at 5,600 m.
pub fn is_air_pressure(pressure: Pressure) -> bool {
    (500.0..=1100.0).contains(&pressure.to(PressureUnit::Hectopascal))
}

/// Whether sun and sky can give so much on level ground over an hour: 0 to 1500 W/m².
///
/// # Source
/// Kopp, G., and J. L. Lean 2011: A new, lower value of total solar irradiance. Geophysical Research Letters 38:
/// L01706: 1361 W/m² above the air at the mean distance, 3.4 % more in January; bright clouds add for minutes.
pub fn is_mean_irradiance(irradiance: Irradiance) -> bool {
    (0.0..=1500.0).contains(&irradiance.to(IrradianceUnit::WattPerSquareMetre))
}

/// Whether so much rain can fall in a day: up to 1825 mm.
///
/// # Source
/// World Meteorological Organization, World Weather and Climate Extremes Archive: greatest rainfall in 24 hours,
/// 1825 mm (Foc-Foc, Réunion, 7 to 8 January 1966).
pub fn is_rain_of_a_day(rain: Length) -> bool {
    (0.0..=1825.0).contains(&rain.to(LengthUnit::Millimetre))
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

    #[test]
    fn a_unit_taken_for_the_other_is_found() {
        let hectopascals = |value| Pressure::new(value, PressureUnit::Hectopascal);
        assert!(is_air_pressure(hectopascals(1013.0)) && !is_air_pressure(hectopascals(29.9)));
        let watts = |value| Irradiance::new(value, IrradianceUnit::WattPerSquareMetre);
        assert!(
            is_mean_irradiance(watts(0.0)) && !is_mean_irradiance(watts(3600.0)) && !is_mean_irradiance(watts(-1.0))
        );
        let millimetres = |value| Length::new(value, LengthUnit::Millimetre);
        assert!(is_rain_of_a_day(millimetres(300.0)) && !is_rain_of_a_day(millimetres(2540.0)));
    }
}
