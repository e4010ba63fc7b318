//! Care between visits (watering, mowing, sealing), and the programme of many visits.
//!
//! This crate must not know: files, clocks, formats.

pub mod aftercare;
pub mod mowing;
pub mod programme;
pub mod root_zone;
pub mod sealing;
pub mod watering;
