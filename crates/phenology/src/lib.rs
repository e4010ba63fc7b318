//! Which stages of a pest are there on which day: shares of the stages by the heat so far, the days in which those that
//! can be reached are the most, what own sightings tell, and what past years say of days to come.
//!
//! This crate must not know: products, land, files. It knows neither where heat comes from nor which pest it is: a
//! [`Development`] is given by whoever read it, and heat by `weather`.

mod boundary;
mod development;
mod outlook;
mod sightings;
mod window;

pub use boundary::{Boundary, Spread};
pub use development::{Development, StageShares};
pub use outlook::{DateRange, WindowOutlook, window_ahead};
pub use sightings::{Correction, Prior, Sighting};
pub use window::{Susceptible, Window, window};
