//! Care between visits: watering, mowing, sealing.
//!
//! This crate must not know: files, clocks, formats.

pub mod aftercare;
pub mod mowing;
pub mod root_zone;
pub mod sealing;
pub mod watering;
