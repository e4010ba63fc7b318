//! Rates by basis: how much, of what, per what.

use crate::amount::{Amount, AmountUnit};
use crate::dimension::{Area, MassPerArea, Volume, VolumePerArea};
use crate::unit::{AreaUnit, LengthUnit, VolumeUnit};

/// What is dosed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Substance {
    /// The product as sold.
    Product,
    /// The active ingredient in it.
    ActiveIngredient,
}

/// Per what a rate is meant. Two rates with different bases are never compared by their numbers.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum Basis {
    /// Per so many of a unit of area, such as 1,000 sq ft.
    Area(f64, AreaUnit),
    /// Per so many of a unit of length, such as 100 ft of foundation.
    Length(f64, LengthUnit),
    /// Per so many of a unit of finished spray, such as 1 gal; `% v/v` is 1 per 100 of the same.
    SprayVolume(f64, VolumeUnit),
    /// Per plant.
    Plant,
    /// Per mound.
    Mound,
    /// Per bait station.
    Station,
    /// Per so many of a unit of trunk diameter.
    TrunkDiameter(f64, LengthUnit),
}

/// A rate as it was written: the number, its unit, the substance and the basis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    value: f64,
    unit: AmountUnit,
    substance: Substance,
    basis: Basis,
}

impl Rate {
    /// A rate of the product.
    ///
    /// # Panics
    /// When `value` is NaN, infinite or below nothing.
    pub fn product(value: f64, unit: AmountUnit, basis: Basis) -> Self {
        Self::of(value, unit, Substance::Product, basis)
    }

    /// A rate of product or active ingredient.
    ///
    /// # Panics
    /// When `value` is NaN, infinite or below nothing.
    pub fn of(value: f64, unit: AmountUnit, substance: Substance, basis: Basis) -> Self {
        assert!(value.is_finite() && value >= 0.0, "Rate must be a finite number, nothing or more");
        Self { value, unit, substance, basis }
    }

    /// The number as written, in the unit and basis as written.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// The unit as written.
    pub fn unit(&self) -> AmountUnit {
        self.unit
    }

    /// What is dosed.
    pub fn substance(&self) -> Substance {
        self.substance
    }

    /// Per what.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// The same unit, substance and basis with another number.
    ///
    /// # Panics
    /// When `value` is NaN, infinite or below nothing.
    #[must_use]
    pub fn with_value(&self, value: f64) -> Self {
        Self::of(value, self.unit, self.substance, self.basis)
    }

    /// The amount named in the rate, such as 0.4 fl oz.
    pub fn amount(&self) -> Amount {
        Amount::new(self.value, self.unit)
    }

    /// The rate per area; `None` for any other basis.
    pub fn per_area(&self) -> Option<AmountPerArea> {
        match self.basis {
            Basis::Area(count, unit) => Some(self.amount().per_area(Area::new(count, unit))),
            _ => None,
        }
    }

    /// The amount in so much finished spray; `None` for any other basis.
    pub fn in_spray(&self, spray: Volume) -> Option<Amount> {
        match self.basis {
            Basis::SprayVolume(count, unit) => Some(self.amount().scaled(spray.ratio(Volume::new(count, unit)))),
            _ => None,
        }
    }

    /// The rate written in this rate's unit and basis that has so much per area; `None` when this
    /// rate is not per area or the dimensions differ.
    pub fn like_per_area(&self, per_area: AmountPerArea) -> Option<Self> {
        let one = self.with_value(1.0).per_area()?;
        Some(self.with_value(per_area.ratio(one)?))
    }
}

/// So much per area, by volume or by mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AmountPerArea {
    /// A volume per area.
    Volume(VolumePerArea),
    /// A mass per area.
    Mass(MassPerArea),
}

impl AmountPerArea {
    /// The amount that an area takes.
    pub fn over(self, area: Area) -> Amount {
        match self {
            Self::Volume(per_area) => Amount::Volume(per_area * area),
            Self::Mass(per_area) => Amount::Mass(per_area * area),
        }
    }

    /// The sum; `None` when the dimensions differ.
    #[must_use]
    pub fn checked_add(self, other: Self) -> Option<Self> {
        match (self, other) {
            (Self::Volume(a), Self::Volume(b)) => Some(Self::Volume(a + b)),
            (Self::Mass(a), Self::Mass(b)) => Some(Self::Mass(a + b)),
            _ => None,
        }
    }

    /// The difference; `None` when the dimensions differ. May be below nothing.
    #[must_use]
    pub fn checked_sub(self, other: Self) -> Option<Self> {
        self.checked_add(other.scaled(-1.0))
    }

    /// How many times the other fits into it; `None` when the dimensions differ.
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
            Self::Volume(per_area) => Self::Volume(per_area * by),
            Self::Mass(per_area) => Self::Mass(per_area * by),
        }
    }

    /// The volume per area, when it is one.
    pub fn volume(self) -> Option<VolumePerArea> {
        match self {
            Self::Volume(per_area) => Some(per_area),
            Self::Mass(_) => None,
        }
    }

    /// The mass per area, when it is one.
    pub fn mass(self) -> Option<MassPerArea> {
        match self {
            Self::Mass(per_area) => Some(per_area),
            Self::Volume(_) => None,
        }
    }
}
