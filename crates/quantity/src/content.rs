//! How much active ingredient is in a product.

use crate::amount::Amount;
use crate::dimension::{Density, Mass, MassPerArea};
use crate::rate::AmountPerArea;
use problem::Problem;

/// A part of a mass, from nothing to the whole.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct MassFraction(f64);

impl MassFraction {
    /// A part of one whole.
    ///
    /// # Errors
    /// When `part` is NaN, below 0 or above 1.
    pub fn new(part: f64) -> Result<Self, Problem> {
        if (0.0..=1.0).contains(&part) {
            return Ok(Self(part));
        }
        Err(Problem::error("quantity::mass-fraction", format!("part of the mass `{part}` is not from 0 to 1"))
            .expected("0 (nothing) to 1 (the whole)")
            .mend("a label's per cent is a hundred times the part"))
    }

    /// Per cent by weight, as in an ingredient statement.
    ///
    /// # Errors
    /// When `percent` is NaN, below 0 or above 100.
    pub fn from_percent(percent: f64) -> Result<Self, Problem> {
        if (0.0..=100.0).contains(&percent) {
            return Ok(Self(percent / 100.0));
        }
        Err(Problem::error("quantity::mass-fraction", format!("content `{percent} %` is not from 0 to 100 %"))
            .expected("0 to 100 % by weight"))
    }

    /// The part of one whole.
    pub fn part(self) -> f64 {
        self.0
    }

    /// Per cent by weight.
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }
}

/// The content of an active ingredient, in the way in which it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Content {
    /// So much of the product's mass: a solid, or a liquid of which only the per cent is known.
    MassFraction(MassFraction),
    /// So much mass in a volume of a liquid product, such as 2 lb/gal.
    MassPerVolume(Density),
}

impl Content {
    /// The content by volume of a liquid of a density. What is known by volume stays as it is.
    ///
    /// # Source
    /// lb a.i. per gallon = per cent x density: the definition of a per cent by weight.
    #[must_use]
    pub fn with_density(self, product: Density) -> Self {
        match self {
            Self::MassFraction(fraction) => Self::MassPerVolume(product * fraction.part()),
            Self::MassPerVolume(_) => self,
        }
    }

    /// The active ingredient in an amount of product; `None` for a volume of which only the content
    /// by mass is known, and the other way round.
    pub fn active_ingredient_in(self, product: Amount) -> Option<Mass> {
        match (product, self) {
            (Amount::Mass(mass), Self::MassFraction(fraction)) => Some(mass * fraction.part()),
            (Amount::Volume(volume), Self::MassPerVolume(content)) => Some(content * volume),
            _ => None,
        }
    }

    /// The product per area that holds so much active ingredient per area; `None` when the product
    /// holds none.
    pub fn product_per_area(self, active_ingredient: MassPerArea) -> Option<AmountPerArea> {
        match self {
            Self::MassFraction(fraction) if fraction.part() > 0.0 => {
                Some(AmountPerArea::Mass(active_ingredient / fraction.part()))
            }
            Self::MassPerVolume(content) if content.is_positive() => {
                Some(AmountPerArea::Volume(active_ingredient / content))
            }
            _ => None,
        }
    }
}

/// The active ingredient that a rate of product per area brings; `None` for a product by volume of
/// which only the content by mass is known (see [`Content::with_density`]), and the other way round.
pub fn active_ingredient_per_area(product: AmountPerArea, content: Content) -> Option<MassPerArea> {
    match (product, content) {
        (AmountPerArea::Mass(mass), Content::MassFraction(fraction)) => Some(mass * fraction.part()),
        (AmountPerArea::Volume(volume), Content::MassPerVolume(content)) => Some(content * volume),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{DensityUnit, MassPerAreaUnit, VolumePerAreaUnit};
    use crate::{MassUnit, VolumePerArea};

    #[test]
    fn a_fraction_is_from_nothing_to_the_whole() {
        for part in [-0.1, 1.1, f64::NAN, f64::INFINITY] {
            assert!(MassFraction::new(part).is_err());
            assert!(MassFraction::from_percent(part * 100.0).is_err());
        }
        assert_eq!(MassFraction::from_percent(50.0).unwrap().part(), 0.5);
    }

    #[test]
    fn a_liquid_needs_its_density() {
        let fraction = Content::MassFraction(MassFraction::from_percent(25.0).unwrap());
        let spray = AmountPerArea::Volume(VolumePerArea::new(2.0, VolumePerAreaUnit::LitrePerHectare));
        assert_eq!(active_ingredient_per_area(spray, fraction), None);
        let content = fraction.with_density(Density::new(1.2, DensityUnit::KilogramPerLitre));
        let per_area = active_ingredient_per_area(spray, content).unwrap();
        assert!((per_area.to(MassPerAreaUnit::KilogramPerHectare) - 0.6).abs() < 1e-12);
        let back = content.product_per_area(per_area).unwrap();
        assert!((back.ratio(spray).unwrap() - 1.0).abs() < 1e-12);
        assert_eq!(
            fraction.active_ingredient_in(Amount::Mass(Mass::new(4.0, MassUnit::Pound))),
            Some(Mass::new(1.0, MassUnit::Pound))
        );
        assert_eq!(content.active_ingredient_in(Amount::Mass(Mass::new(4.0, MassUnit::Pound))), None);
    }

    #[test]
    fn nothing_in_it_means_no_product_would_do() {
        let content = Content::MassFraction(MassFraction::new(0.0).unwrap());
        assert_eq!(content.product_per_area(MassPerArea::new(1.0, MassPerAreaUnit::KilogramPerHectare)), None);
    }
}
