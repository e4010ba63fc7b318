//! Money in a season: whole minor units of its one currency.

use quantity::Area;
use std::iter::Sum;
use std::ops::{Add, Sub};

/// Whole minor units (cents) of the one currency of a season.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct MinorUnits(pub i64);

/// What one application costs on an area: product and work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostPerArea {
    /// So much.
    pub cost: MinorUnits,
    /// For so much ground.
    pub per: Area,
}

impl MinorUnits {
    /// To reckon with.
    pub(crate) fn figure(self) -> f64 {
        self.0 as f64
    }
}

impl CostPerArea {
    /// On so much ground, rounded to the nearest minor unit.
    pub fn on(self, ground: Area) -> MinorUnits {
        MinorUnits((self.cost.figure() * ground.ratio(self.per)).round() as i64)
    }
}

impl Add for MinorUnits {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for MinorUnits {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Sum for MinorUnits {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self(0), Add::add)
    }
}
