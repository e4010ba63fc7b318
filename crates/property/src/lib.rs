//! The mapped ground: features, their kinds and states, the plane they lie in, and the checks
//! between them.
//!
//! Everything comes in as [`RawFeature`]s, positions in longitude and latitude as a map gives them;
//! [`Property::new`] either makes a property of them or reports every problem at once, and
//! [`repair`] offers a mended copy where only one mend is possible.
//!
//! This crate must not know: products, labels, pests, weather, or any file format.

// A problem carries its found, expected and mend texts; bad input is rare, so its size is no matter.
#![allow(clippy::result_large_err)]

mod check;
mod distance;
mod drawing;
mod feature;
mod kind;
mod locate;
mod outline;
mod property;
mod raw;
pub mod repair;
mod swap;
mod wall;

pub use check::seam_width;
pub use distance::FeatureDistance;
pub use drawing::{Drawing, DrawnFeature, Run, RunKind};
pub use feature::Feature;
pub use kind::{Bloom, FeatureKind, Kind, Opening, Walls};
pub use property::{KindTotal, Property};
pub use raw::{RawFeature, RawOpening, RawPosition, RawShape};
pub use repair::{Change, repair};
pub use wall::{WallArea, structure_wall_area, wall_area};
