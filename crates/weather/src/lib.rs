//! The hours of a forecast or record, the sun over a place, degree days.
//!
//! This crate must not know: pests, labels, limits. It says what the weather is; others say what
//! may be done in it. A reading that is missing stays missing: it is never taken for zero.

pub mod degree_days;
mod fraction;
mod hourly;
mod plausible;
mod site;
mod sun;

pub use fraction::{Chance, RelativeHumidity};
pub use hourly::{DryStretch, HourlyReading, HourlySeries, RainSum};
pub use plausible::{is_air_temperature, is_wind_outdoors};
pub use site::Site;
pub use sun::{Elevation, SunPosition, SunTimes, sun_position, sun_times};
