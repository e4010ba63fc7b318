//! Shapes in a local metric plane: true offsets, partition of a whole into named parts, measuring,
//! validity, and the plane itself.
//!
//! Coordinates are metres, x to the east and y to the north, round the origin of a
//! [`plane::LocalPlane`]. Overlays run on `i_overlay` (the engine under the `geo` crate), which
//! rounds coordinates to a grid of about the extent of its input divided by 2^30: a tenth of a
//! micrometre on a lot of 100 m. [`offset`] allows for it.
//!
//! This crate must not know: what a shape stands for. No lawn, no house, no label.

// A problem carries its whole wording; it is made once per bad input, never in a loop that counts.
#![allow(clippy::result_large_err)]

pub mod extent;
mod holes;
pub mod measure;
mod nearest;
pub mod offset;
mod overlay;
pub mod partition;
pub mod plane;
mod point;
mod region;
pub mod repair;
mod shape;
pub mod validity;

pub use extent::GeoExtent;
pub use offset::ArcFineness;
pub use partition::Partition;
pub use plane::{GeoPosition, LocalPlane};
pub use point::{Bounds, Point};
pub use region::{Outline, Region};
pub use shape::{Line, Shape};
pub use validity::ShapeFault;
