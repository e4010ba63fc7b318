//! Heat above the temperature at which an insect starts to grow.

use quantity::{Temperature, TemperatureUnit};

/// Degree days of one day by the average of its extremes: how far the mean of highest and lowest
/// temperature is above the base, nothing when it is below.
///
/// Counted on the scale that is asked for: one Celsius degree day is 1.8 Fahrenheit ones.
///
/// # Source
/// McMaster, G. S., and W. W. Wilhelm 1997: Growing degree-days: one equation, two
/// interpretations. Agricultural and Forest Meteorology 87: 291-300, method 1.
///
/// # Example
/// ```
/// use quantity::{Temperature, TemperatureUnit::Fahrenheit};
/// let f = |degrees| Temperature::new(degrees, Fahrenheit);
/// let heat = weather::degree_days::average(f(82.0), f(58.0), f(50.0), Fahrenheit);
/// assert!((heat - 20.0).abs() < 1e-9);
/// ```
pub fn average(highest: Temperature, lowest: Temperature, base: Temperature, scale: TemperatureUnit) -> f64 {
    (f64::midpoint(highest.to(scale), lowest.to(scale)) - base.to(scale)).max(0.0)
}
