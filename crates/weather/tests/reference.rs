//! Published values that this crate must reach.
#[path = "reference/degree_days.rs"]
mod degree_days;
