//! An amount of product: a volume or a mass, with the unit it was written in.

use crate::dimension::{Area, Mass, Volume};
use crate::rate::AmountPerArea;
use crate::unit::{MassUnit, System, VolumeUnit};

/// The unit of an amount of product.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AmountUnit {
    /// Measured by volume.
    Volume(VolumeUnit),
    /// Weighed.
    Mass(MassUnit),
}

impl AmountUnit {
    /// The symbol as printed.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Volume(unit) => unit.symbol(),
            Self::Mass(unit) => unit.symbol(),
        }
    }

    /// The system it belongs to.
    pub const fn system(self) -> System {
        match self {
            Self::Volume(unit) => unit.system(),
            Self::Mass(unit) => unit.system(),
        }
    }

    /// The code in the Unified Code for Units of Measure.
    pub const fn ucum(self) -> &'static str {
        match self {
            Self::Volume(unit) => unit.ucum(),
            Self::Mass(unit) => unit.ucum(),
        }
    }
}

/// An amount of product: by volume or by mass, never one taken for the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// A liquid.
    Volume(Volume),
    /// A solid, or a liquid that is weighed.
    Mass(Mass),
}

impl Amount {
    /// So many of a unit.
    ///
    /// # Panics
    /// When `value` is NaN or infinite.
    pub fn new(value: f64, unit: AmountUnit) -> Self {
        match unit {
            AmountUnit::Volume(unit) => Self::Volume(Volume::new(value, unit)),
            AmountUnit::Mass(unit) => Self::Mass(Mass::new(value, unit)),
        }
    }

    /// The number of a unit that it is; `None` when the dimension differs.
    pub fn to(self, unit: AmountUnit) -> Option<f64> {
        match (self, unit) {
            (Self::Volume(volume), AmountUnit::Volume(unit)) => Some(volume.to(unit)),
            (Self::Mass(mass), AmountUnit::Mass(unit)) => Some(mass.to(unit)),
            _ => None,
        }
    }

    /// The sum; `None` when one is a volume and the other a mass.
    #[must_use]
    pub fn checked_add(self, other: Self) -> Option<Self> {
        match (self, other) {
            (Self::Volume(a), Self::Volume(b)) => Some(Self::Volume(a + b)),
            (Self::Mass(a), Self::Mass(b)) => Some(Self::Mass(a + b)),
            _ => None,
        }
    }

    /// How many times the other fits into it; `None` when the dimension differs.
    pub fn ratio(self, other: Self) -> Option<f64> {
        match (self, other) {
            (Self::Volume(a), Self::Volume(b)) => Some(a.ratio(b)),
            (Self::Mass(a), Self::Mass(b)) => Some(a.ratio(b)),
            _ => None,
        }
    }

    /// So many times as much.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        match self {
            Self::Volume(volume) => Self::Volume(volume * by),
            Self::Mass(mass) => Self::Mass(mass * by),
        }
    }

    /// Spread evenly over an area.
    pub fn per_area(self, area: Area) -> AmountPerArea {
        match self {
            Self::Volume(volume) => AmountPerArea::Volume(volume / area),
            Self::Mass(mass) => AmountPerArea::Mass(mass / area),
        }
    }
}
