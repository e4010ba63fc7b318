//! The walk that sprays a zone, pass by pass, with refills.
//!
//! This crate must not know: products, pests, what the ground is called. It is given ground and a sprayer.

// A problem carries its whole wording; it is made once per bad input, never in a loop that counts.
#![allow(clippy::result_large_err)]

mod askew;
mod band;
mod cover;
pub mod dose;
mod draws;
pub mod evaluate;
mod flush;
mod ground;
mod narrow;
mod nozzle;
mod order;
mod patch;
mod plan;
mod raster;
mod refill;
mod request;
mod rings;
mod route;
mod rows;
mod stops;
mod swath;
mod table;
mod track;
mod vector;
mod walk_grid;

pub use band::plan_band;
pub use plan::{passes, plan};
pub use request::{CoverageShare, Effort, RouteRequest};
pub use route::{Leg, Pass, PassKind, Route, Skew};
pub use stops::{Stop, StopRequest, Visit, plan_stops};
