//! How long a thin film of water takes to dry.

use crate::RelativeHumidity;
use crate::psychrometrics::vapour_pressure_deficit;
use quantity::{Duration, DurationUnit, Length, LengthUnit, PressureUnit, Speed, SpeedUnit, Temperature};

/// Millimetres a day that still air takes up for each kilopascal that it lacks: 6.43 MJ/m² over 2.45 MJ/kg.
const STILL_MM: f64 = 6.43 / 2.45;
/// By how much more for each metre per second of wind.
const BY_WIND: f64 = 0.536;

/// How long a film of water of a depth takes to dry in the shade, in a wind two metres above the ground; `None` where the
/// air takes nothing up in a day or more.
///
/// What sun adds is left out, so that films in the open dry sooner; in dense grass, where the wind does not reach, later.
/// It is an aid to plan by, and no proof that a place is dry.
///
/// # Source
/// Penman, H. L. 1948: Natural evaporation from open water, bare soil and grass. Proceedings of the Royal Society of London A
/// 193: 120-145, the term of wind and dryness, in the units of Shuttleworth 1993 (Handbook of Hydrology, chapter 4; from
/// memory).
pub fn drying_time_penman_1948(
    depth: Length,
    temperature: Temperature,
    humidity: RelativeHumidity,
    wind: Speed,
) -> Option<Duration> {
    let lacking = vapour_pressure_deficit(temperature, humidity).to(PressureUnit::Kilopascal);
    let a_day = STILL_MM * (1.0 + BY_WIND * wind.to(SpeedUnit::MetrePerSecond)) * lacking;
    let days = depth.to(LengthUnit::Millimetre).max(0.0) / a_day;
    (days < 1.0).then(|| Duration::new(days, DurationUnit::Day))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quantity::TemperatureUnit;

    fn minutes(depth_mm: f64, celsius: f64, percent: f64, wind: f64) -> Option<f64> {
        drying_time_penman_1948(
            Length::new(depth_mm, LengthUnit::Millimetre),
            Temperature::new(celsius, TemperatureUnit::Celsius),
            RelativeHumidity::from_percent(percent).unwrap(),
            Speed::new(wind, SpeedUnit::MetrePerSecond),
        )
        .map(|time| time.to(DurationUnit::Minute))
    }

    #[test]
    fn spray_dries_in_minutes_in_dry_wind_and_not_at_all_in_fog() {
        // 25 °C at half the vapour it can hold lacks 1.584 kPa: 2.624 x 2.072 x 1.584 = 8.61 mm a day.
        let found = minutes(0.08, 25.0, 50.0, 2.0).unwrap();
        assert!((found - 0.08 / 8.614 * 1440.0).abs() < 0.02, "{found}");
        assert_eq!(minutes(0.08, 15.0, 100.0, 2.0), None);
    }

    proptest! {
        #[test]
        fn drier_and_windier_air_dries_sooner(
            celsius in 5.0..40.0_f64, percent in 5.0..90.0_f64, wind in 0.0..8.0_f64, less in 0.1..1.0_f64,
        ) {
            let base = minutes(0.05, celsius, percent, wind);
            prop_assume!(base.is_some());
            prop_assert!(minutes(0.05, celsius, percent * less, wind).unwrap() <= base.unwrap() + 1e-9);
            prop_assert!(minutes(0.05, celsius, percent, wind + less).unwrap() < base.unwrap());
        }
    }
}
