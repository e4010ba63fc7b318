//! The hours and days of a forecast or record, the sun over a place, humidity, evapotranspiration, degree days.
//!
//! This crate must not know: pests, labels, limits. It says what the weather is; others say what
//! may be done in it. A reading that is missing stays missing: it is never taken for zero.

mod daily;
pub mod degree_days;
pub mod drying;
pub mod evapotranspiration;
mod fraction;
mod hourly;
pub mod leaf_wetness;
mod plausible;
pub mod psychrometrics;
mod site;
pub mod stability;
mod sun;

pub use daily::{DailyReading, DailySeries, DayGap};
pub use fraction::{Chance, CloudCover, RelativeHumidity};
pub use hourly::{DryStretch, HourlyReading, HourlySeries, RainSum};
pub use plausible::{is_air_pressure, is_air_temperature, is_mean_irradiance, is_rain_of_a_day, is_wind_outdoors};
pub use site::Site;
pub use sun::{Elevation, SunPosition, SunTimes, sun_position, sun_times};
