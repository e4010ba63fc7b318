//! Care between visits (watering, mowing, sealing), and the programme of many visits.
//!
//! This crate must not know: files, clocks, formats.

pub mod aftercare;
pub mod grass;
pub mod lawn_day;
pub mod mow_plan;
pub mod mowing;
pub mod programme;
pub mod prohibition;
pub mod root_zone;
pub mod sealing;
pub mod soil;
pub mod sprinkler;
pub mod water_plan;
pub mod watering;
