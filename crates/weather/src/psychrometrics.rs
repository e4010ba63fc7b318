//! Humidity of the air: how much vapour it holds and could hold, how far a wet surface cools in it, how fast drops dry.
//!
//! Two published formulas for the vapour that air can hold live side by side. [`saturation_allen_1998`] belongs to the
//! equations of evapotranspiration, which were fitted with it; [`saturation_hyland_wexler_1983`] is the more exact one,
//! over ice as well, and what is told of dew point and wet bulb rests on it. They differ by less than 0.3 % from 0 to
//! 50 °C.

use quantity::{Length, LengthUnit, Pressure, PressureUnit, Temperature, TemperatureDifference, TemperatureUnit};

use crate::fraction::RelativeHumidity;

/// Temperature and pressure at which ice, water and vapour are at rest together, degrees Celsius.
const TRIPLE_POINT: f64 = 0.01;
/// Mass of a molecule of water over that of one of dry air (ASHRAE 2017, chapter 1, equation 20).
const MOLAR_MASS_RATIO: f64 = 0.621_945;
/// The driest air that is reckoned with: a dew point below it has no meaning outdoors. Degrees Celsius.
const LOWEST_DEW_POINT: f64 = -100.0;

const CELSIUS: TemperatureUnit = TemperatureUnit::Celsius;

/// Pressure of the vapour over water, by the form that evapotranspiration is reckoned with.
///
/// # Source
/// Allen, R. G., L. S. Pereira, D. Raes and M. Smith 1998: Crop evapotranspiration. FAO Irrigation and Drainage Paper 56,
/// equation 11 (Tetens 1930, as Murray 1967 writes it).
pub fn saturation_allen_1998(temperature: Temperature) -> Pressure {
    let celsius = temperature.to(CELSIUS);
    Pressure::new(0.6108 * (17.27 * celsius / (celsius + 237.3)).exp(), PressureUnit::Kilopascal)
}

/// Pressure of the vapour over water, below its triple point over ice, from -100 to 200 °C.
///
/// # Source
/// Hyland, R. W., and A. Wexler 1983: Formulations for the thermodynamic properties of the saturated phases of H2O from
/// 173.15 K to 473.15 K. ASHRAE Transactions 89(2A): 500-519; coefficients as in ASHRAE 2017 Handbook, Fundamentals,
/// chapter 1, equations 5 and 6, which change over at 0 °C, here at the triple point.
pub fn saturation_hyland_wexler_1983(temperature: Temperature) -> Pressure {
    Pressure::new(saturation(temperature.to(CELSIUS)), PressureUnit::Pascal)
}

/// Pascals over water or ice at so many degrees Celsius.
fn saturation(celsius: f64) -> f64 {
    let kelvin = celsius + 273.15;
    let logarithm = if celsius <= TRIPLE_POINT {
        -5.674_535_9e3 / kelvin + 6.392_524_7 - 9.677_843_0e-3 * kelvin
            + 6.221_570_1e-7 * kelvin.powi(2)
            + 2.074_782_5e-9 * kelvin.powi(3)
            - 9.484_024_0e-13 * kelvin.powi(4)
            + 4.163_501_9 * kelvin.ln()
    } else {
        -5.800_220_6e3 / kelvin + 1.391_499_3 - 4.864_023_9e-2 * kelvin + 4.176_476_8e-5 * kelvin.powi(2)
            - 1.445_209_3e-8 * kelvin.powi(3)
            + 6.545_967_3 * kelvin.ln()
    };
    logarithm.exp()
}

/// Pressure of the air at a height above the sea, in the standard atmosphere; good from -5,000 to 11,000 m.
///
/// # Source
/// ASHRAE 2017 Handbook, Fundamentals, chapter 1, equation 3 (NASA 1976).
pub fn standard_pressure(height: Length) -> Pressure {
    let metres = height.to(LengthUnit::Metre);
    Pressure::new(101_325.0 * (1.0 - 2.255_77e-5 * metres).max(0.0).powf(5.2559), PressureUnit::Pascal)
}

/// Pressure of the vapour that is in the air.
pub fn vapour_pressure(temperature: Temperature, humidity: RelativeHumidity) -> Pressure {
    saturation_hyland_wexler_1983(temperature) * humidity.fraction()
}

/// How much more vapour the air could hold, as a pressure: the larger, the faster drops and leaves dry.
pub fn vapour_pressure_deficit(temperature: Temperature, humidity: RelativeHumidity) -> Pressure {
    saturation_hyland_wexler_1983(temperature) * (1.0 - humidity.fraction())
}

/// Temperature at which the vapour of the air begins to settle; below the triple point as frost. `None` for air without
/// vapour, or so dry that its dew point lies below -100 °C.
pub fn dew_point(temperature: Temperature, humidity: RelativeHumidity) -> Option<Temperature> {
    let air = temperature.to(CELSIUS);
    let vapour = saturation(air) * humidity.fraction();
    if vapour < saturation(LOWEST_DEW_POINT) {
        return None;
    }
    Some(Temperature::new(root(LOWEST_DEW_POINT, air.max(LOWEST_DEW_POINT), |dew| saturation(dew) - vapour), CELSIUS))
}

/// Relative humidity of air by its dew point; `None` when the dew point is above the temperature by more than their
/// rounding, a degree.
pub fn relative_humidity(temperature: Temperature, dew_point: Temperature) -> Option<RelativeHumidity> {
    if dew_point.to(CELSIUS) > temperature.to(CELSIUS) + 1.0 {
        return None;
    }
    let fraction = saturation(dew_point.to(CELSIUS)) / saturation(temperature.to(CELSIUS));
    RelativeHumidity::from_fraction(fraction.min(1.0)).ok()
}

/// Temperature to which a wet wick in moving air cools; below freezing, an iced one.
///
/// # Source
/// ASHRAE 2017 Handbook, Fundamentals, chapter 1, equations 20, 21 and 33, below the triple point 35, solved for the wet
/// bulb.
///
/// # Example
/// Stull 2011 (Journal of Applied Meteorology and Climatology 50: 2267-2269): 13.7 °C at 20 °C and 50 %, by a fit
/// within a degree.
/// ```
/// use quantity::{Length, Temperature, TemperatureUnit::Celsius};
/// use weather::{RelativeHumidity, psychrometrics::{standard_pressure, wet_bulb}};
/// let half = RelativeHumidity::from_percent(50.0).unwrap();
/// let wet = wet_bulb(Temperature::new(20.0, Celsius), half, standard_pressure(Length::ZERO));
/// assert_eq!(wet.show(Celsius), "13.8 °C");
/// ```
pub fn wet_bulb(temperature: Temperature, humidity: RelativeHumidity, pressure: Pressure) -> Temperature {
    let air = temperature.to(CELSIUS);
    let pascals = pressure.to(PressureUnit::Pascal);
    let held = humidity_ratio(saturation(air) * humidity.fraction(), pascals);
    let too_warm = |wet: f64| ratio_by_wet_bulb(air, wet, pascals) - held;
    // At freezing the two equations do not meet: whichever side holds the answer is solved by itself.
    let wet = if air > TRIPLE_POINT && too_warm(TRIPLE_POINT + 1e-9) < 0.0 {
        root(TRIPLE_POINT + 1e-9, air, too_warm)
    } else {
        root(LOWEST_DEW_POINT, air.min(TRIPLE_POINT), too_warm)
    };
    Temperature::new(wet, CELSIUS)
}

/// How far the wet bulb stands below the temperature of the air (delta T): by it sprayers judge how fast drops
/// shrink. Good between 2 and 8 °C, to be watched from there to 10 °C, too dry above, and below 2 °C drops last long.
///
/// # Source
/// [`wet_bulb`]; the bounds are those that the Australian Bureau of Meteorology gives for spraying.
pub fn delta_t(temperature: Temperature, humidity: RelativeHumidity, pressure: Pressure) -> TemperatureDifference {
    temperature - wet_bulb(temperature, humidity, pressure)
}

/// Mass of vapour on a mass of dry air. Where vapour alone would press harder than the air does, it has no meaning and
/// is taken to be very large.
fn humidity_ratio(vapour: f64, pressure: f64) -> f64 {
    if vapour >= pressure { f64::MAX } else { MOLAR_MASS_RATIO * vapour / (pressure - vapour) }
}

/// The same, of air in which a bulb stands so warm when it is wet.
fn ratio_by_wet_bulb(air: f64, wet: f64, pressure: f64) -> f64 {
    let full = humidity_ratio(saturation(wet), pressure);
    if wet > TRIPLE_POINT {
        ((2501.0 - 2.326 * wet) * full - 1.006 * (air - wet)) / (2501.0 + 1.86 * air - 4.186 * wet)
    } else {
        ((2830.0 - 0.24 * wet) * full - 1.006 * (air - wet)) / (2830.0 + 1.86 * air - 2.1 * wet)
    }
}

/// Where a rising function passes zero between two ends, to a billionth of a degree; the nearer end where it does not.
fn root(low: f64, high: f64, function: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    while high - low > 1e-9 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if function(middle) > 0.0 { high = middle } else { low = middle }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn celsius(degrees: f64) -> Temperature {
        Temperature::new(degrees, CELSIUS)
    }

    fn percent(percent: f64) -> RelativeHumidity {
        RelativeHumidity::from_percent(percent).unwrap()
    }

    #[test]
    fn air_without_vapour_has_no_dew_point() {
        assert_eq!(dew_point(celsius(20.0), percent(0.0)), None);
        assert!(wet_bulb(celsius(20.0), percent(0.0), standard_pressure(Length::ZERO)) < celsius(6.0));
        assert_eq!(relative_humidity(celsius(10.0), celsius(12.0)), None);
        assert_eq!(relative_humidity(celsius(10.0), celsius(10.4)), Some(percent(100.0)));
    }

    proptest! {
        #[test]
        fn dew_point_wet_bulb_and_air_stand_in_this_order(
            air in -40.0..55.0_f64, humidity in 1.0..=100.0_f64, pressure in 600.0..1080.0_f64,
        ) {
            let pressure = Pressure::new(pressure, PressureUnit::Hectopascal);
            let (air, humidity) = (celsius(air), percent(humidity));
            let (dew, wet) = (dew_point(air, humidity).unwrap(), wet_bulb(air, humidity, pressure));
            let (air, dew, wet) = (air.to(CELSIUS), dew.to(CELSIUS), wet.to(CELSIUS));
            prop_assert!(wet <= air + 1e-6, "wet bulb {wet}, air {air}");
            prop_assert!(dew <= wet + 0.02, "dew point {dew}, wet bulb {wet}");
            let back = relative_humidity(celsius(air), celsius(dew)).unwrap();
            prop_assert!((back.fraction() - humidity.fraction()).abs() < 1e-6);
        }

        #[test]
        fn vapour_and_its_lack_are_the_whole(air in -40.0..55.0_f64, humidity in 0.0..=100.0_f64) {
            let (air, humidity) = (celsius(air), percent(humidity));
            let sum = vapour_pressure(air, humidity) + vapour_pressure_deficit(air, humidity);
            prop_assert!((sum.ratio(saturation_hyland_wexler_1983(air)) - 1.0).abs() < 1e-12);
        }

        #[test]
        fn damper_air_has_a_smaller_delta_t(air in -5.0..50.0_f64, humidity in 5.0..95.0_f64) {
            let delta = |humidity| delta_t(celsius(air), percent(humidity), standard_pressure(Length::ZERO));
            prop_assert!(delta(humidity + 5.0) <= delta(humidity));
        }
    }
}
