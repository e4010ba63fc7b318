//! Published values that this crate must reach, each with its source.
#[path = "reference/degree_days.rs"]
mod degree_days;
#[path = "reference/evapotranspiration.rs"]
mod evapotranspiration;
#[path = "reference/psychrometrics.rs"]
mod psychrometrics;
#[path = "reference/sun.rs"]
mod sun;
