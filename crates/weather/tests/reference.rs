//! Published values that this crate must reach, each with its source.
#[path = "reference/degree_days.rs"]
mod degree_days;
#[path = "reference/sun.rs"]
mod sun;
