//! Published values that this crate must reach, each with its source.
#[path = "reference/degree_days.rs"]
mod degree_days;
#[path = "reference/evapotranspiration.rs"]
mod evapotranspiration;
#[path = "reference/leaf_wetness.rs"]
mod leaf_wetness;
#[path = "reference/psychrometrics.rs"]
mod psychrometrics;
#[path = "reference/stability.rs"]
mod stability;
#[path = "reference/sun.rs"]
mod sun;
