//! Which stages of a pest are there on which day: shares of the stages by the heat so far, the days in which those that
//! can be reached are the most, what own sightings tell, and what past years say of days to come.
//!
//! A [`Development`] is what shares follow from; [`stage_course`] puts a published model of `pest` and the readings of
//! `weather` together.
//!
//! This crate must not know: products, land, files.

mod boundary;
mod course;
mod development;
mod model;
mod outlook;
mod sightings;
mod window;

pub use boundary::{Boundary, Spread};
pub use course::{Readings, StageCourse, StageDay, StageQuestion, StageSighting, StepDay, stage_course};
pub use development::{Development, StageShares};
pub use model::{ASSUMED_SPREAD, HeatBy, accumulation_of, commonly_reached, development_of, no_development};
pub use outlook::{DateRange, WindowOutlook, window_ahead};
pub use sightings::{Correction, Prior, Sighting};
pub use window::{Susceptible, Window, window};
