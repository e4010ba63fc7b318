//! Rates by basis: how much, of what, per what.

use crate::amount::{Amount, AmountUnit};
use crate::dimension::{Area, Length, MassPerArea, Volume, VolumePerArea};
use crate::unit::{AreaUnit, LengthUnit, MassUnit, VolumeUnit};
use std::cmp::Ordering;
use std::mem::discriminant;

/// What is dosed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Substance {
    /// The product as sold.
    Product,
    /// The active ingredient in it.
    ActiveIngredient,
}

/// The number in a basis, such as the 1,000 of 1,000 sq ft: finite and above nothing.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct BasisCount(f64);

impl BasisCount {
    /// One of the unit.
    pub const ONE: Self = Self(1.0);
    /// A hundred of the unit.
    pub const HUNDRED: Self = Self(100.0);
    /// A thousand of the unit.
    pub const THOUSAND: Self = Self(1000.0);

    /// So many of the unit; `None` for NaN, infinity, nothing and below.
    pub const fn new(count: f64) -> Option<Self> {
        if count.is_finite() && count > 0.0 { Some(Self(count)) } else { None }
    }

    /// The number.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// Per what a rate is meant. Two rates with different bases are never compared by their numbers.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum Basis {
    /// Per so many of a unit of area, such as 1,000 sq ft.
    Area(BasisCount, AreaUnit),
    /// Per so many of a unit of length, such as 100 ft of foundation.
    Length(BasisCount, LengthUnit),
    /// Per so many of a unit of finished spray, such as 1 gal; `% v/v` is 1 per 100 of the same.
    SprayVolume(BasisCount, VolumeUnit),
    /// Per plant.
    Plant,
    /// Per mound.
    Mound,
    /// Per bait station.
    Station,
    /// Per so many of a unit of trunk diameter.
    TrunkDiameter(BasisCount, LengthUnit),
}

impl Basis {
    /// How many of its unit it names; 1 where it is counted.
    pub fn count(self) -> f64 {
        match self {
            Self::Area(count, _)
            | Self::Length(count, _)
            | Self::TrunkDiameter(count, _)
            | Self::SprayVolume(count, _) => count.get(),
            Self::Plant | Self::Mound | Self::Station => 1.0,
        }
    }

    /// In SI units of its kind: square metres, metres, cubic metres, or so many.
    fn size(self) -> f64 {
        match self {
            Self::Area(count, unit) => Area::new(count.get(), unit).to(AreaUnit::SquareMetre),
            Self::Length(count, unit) | Self::TrunkDiameter(count, unit) => {
                Length::new(count.get(), unit).to(LengthUnit::Metre)
            }
            Self::SprayVolume(count, unit) => Volume::new(count.get(), unit).to(VolumeUnit::CubicMetre),
            Self::Plant | Self::Mound | Self::Station => 1.0,
        }
    }
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

    /// So many parts of product in 100 parts of finished spray, by volume: `0.06 % v/v`.
    ///
    /// # Panics
    /// When `percent` is NaN, infinite or below nothing.
    pub fn percent_by_volume(percent: f64) -> Self {
        Self::product(
            percent,
            AmountUnit::Volume(VolumeUnit::Litre),
            Basis::SprayVolume(BasisCount::HUNDRED, VolumeUnit::Litre),
        )
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
            Basis::Area(count, unit) => Some(self.amount().per_area(Area::new(count.get(), unit))),
            _ => None,
        }
    }

    /// The amount in so much finished spray; `None` for any other basis.
    pub fn in_spray(&self, spray: Volume) -> Option<Amount> {
        match self.basis {
            Basis::SprayVolume(count, unit) => Some(self.amount().scaled(spray.ratio(Volume::new(count.get(), unit)))),
            _ => None,
        }
    }

    /// Whether it is a rate of product as `% v/v`.
    pub fn is_percent_by_volume(&self) -> bool {
        *self == Self::percent_by_volume(self.value)
    }

    /// How many times the other fits into it; `None` unless both are of the same substance, kind of
    /// basis, and dimension. Infinite or NaN when the other is nothing.
    pub fn ratio(&self, other: &Self) -> Option<f64> {
        let (one, other) = self.comparable(other)?;
        Some(one / other)
    }

    /// Which of two rates is higher; `None` unless both are of the same substance, kind of basis,
    /// and dimension. Rates that differ by less than one part in 10¹² are equal, so that a rate and
    /// the same rate in another unit are.
    pub fn checked_cmp(&self, other: &Self) -> Option<Ordering> {
        let (one, other) = self.comparable(other)?;
        if (one - other).abs() <= 1e-12 * one.max(other) { Some(Ordering::Equal) } else { one.partial_cmp(&other) }
    }

    /// Both in SI units.
    fn comparable(&self, other: &Self) -> Option<(f64, f64)> {
        let same = self.substance == other.substance && discriminant(&self.basis) == discriminant(&other.basis);
        let unit = match (self.unit, other.unit) {
            (AmountUnit::Volume(_), AmountUnit::Volume(_)) => AmountUnit::Volume(VolumeUnit::CubicMetre),
            (AmountUnit::Mass(_), AmountUnit::Mass(_)) => AmountUnit::Mass(MassUnit::Kilogram),
            _ => return None,
        };
        if !same {
            return None;
        }
        Some((self.amount().to(unit)? / self.basis.size(), other.amount().to(unit)? / other.basis.size()))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse::parse_rate;

    fn compare(one: &str, other: &str) -> Option<Ordering> {
        parse_rate(one).unwrap().checked_cmp(&parse_rate(other).unwrap())
    }

    #[test]
    fn rates_of_one_kind_compare_in_any_unit() {
        assert_eq!(compare("1 qt/acre", "32 fl oz/43,560 sq ft"), Some(Ordering::Equal));
        assert_eq!(compare("0.4 fl oz/1,000 sq ft", "1.6 L/ha"), Some(Ordering::Less));
        assert_eq!(compare("2 tbsp/gal", "0.5 % v/v"), Some(Ordering::Greater));
        assert_eq!(compare("1 fl oz/mound", "0.5 fl oz/mound"), Some(Ordering::Greater));
        assert_eq!(compare("0 L/ha", "0 fl oz/acre"), Some(Ordering::Equal));
    }

    #[test]
    fn rates_of_two_kinds_never_compare() {
        for (one, other) in [
            ("0.5 fl oz/gal", "0.5 fl oz/1,000 sq ft"),
            ("0.3 oz (weight)/1,000 sq ft", "0.3 fl oz/1,000 sq ft"),
            ("0.3 lb a.i./acre", "0.3 lb/acre"),
            ("1 fl oz/mound", "1 fl oz/plant"),
            ("1 fl oz/linear in", "1 fl oz/inch of trunk diameter"),
        ] {
            assert_eq!(compare(one, other), None, "{one}, {other}");
        }
    }

    #[test]
    fn a_basis_counts_more_than_nothing() {
        for count in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert_eq!(BasisCount::new(count), None);
        }
        assert_eq!(BasisCount::new(2.5).map(BasisCount::get), Some(2.5));
    }
}
