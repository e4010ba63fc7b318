//! Pests per area.

use quantity::{Area, AreaUnit};

/// Pests per area of ground.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct PestDensity {
    per_square_metre: f64,
}

impl PestDensity {
    /// So many pests on so much ground; `None` unless the number is nothing or more, and the ground
    /// more than nothing.
    pub fn new(pests: f64, on: Area) -> Option<Self> {
        (pests.is_finite() && pests >= 0.0 && on.is_positive()).then(|| Self::known(pests, on))
    }

    /// For numbers written in this crate.
    pub(crate) fn known(pests: f64, on: Area) -> Self {
        Self { per_square_metre: pests / on.to(AreaUnit::SquareMetre) }
    }

    /// How many on one of a unit of area.
    pub fn per(self, unit: AreaUnit) -> f64 {
        self.on(Area::new(1.0, unit))
    }

    /// How many on so much ground.
    pub fn on(self, area: Area) -> f64 {
        self.per_square_metre * area.to(AreaUnit::SquareMetre)
    }
}

/// A density estimated from counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DensityEstimate {
    /// Number of stations.
    pub stations: usize,
    /// Mean.
    pub mean: PestDensity,
    /// Standard error of the mean; `None` with fewer than two stations.
    pub standard_error: Option<PestDensity>,
    /// Ends of the interval at the confidence asked for, the lower one not below nothing; `None` with
    /// fewer than two stations.
    pub interval: Option<(PestDensity, PestDensity)>,
}
