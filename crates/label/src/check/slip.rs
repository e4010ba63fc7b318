//! Comparing rates, and the slips of unit that explain a factor between them.

use quantity::{Area, AreaUnit, Basis, Length, Rate, Volume, significant};

/// Thousands of square feet in an acre.
const ACRE: f64 = 43.56;
/// Fluid ounces in a gallon.
const GALLON: f64 = 128.0;
/// Ounces in a pound, and fluid ounces in a pint.
const POUND: f64 = 16.0;

/// Factors by which a slip of unit makes a rate wrong.
const SLIPS: &[(f64, &str)] = &[
    (ACRE, "43.56-fold: an acre rate was perhaps written as a rate per 1,000 sq ft"),
    (GALLON, "128-fold: gallons were perhaps written for fluid ounces"),
    (POUND, "16-fold: pounds were perhaps written for ounces, or pints for fluid ounces"),
];

/// How many times as much the first rate is as the second; `None` when they cannot be compared.
pub(super) fn times(one: &Rate, other: &Rate) -> Option<f64> {
    if one.substance() != other.substance() {
        return None;
    }
    let amounts = one.amount().ratio(other.amount())?;
    // The first rate's basis, in the second's: more per the same amount is less.
    let bases = match (one.basis(), other.basis()) {
        (Basis::Area(n, unit), Basis::Area(per, per_unit)) => {
            Area::new(per.get(), per_unit).ratio(Area::new(n.get(), unit))
        }
        (Basis::Length(n, unit), Basis::Length(per, per_unit))
        | (Basis::TrunkDiameter(n, unit), Basis::TrunkDiameter(per, per_unit)) => {
            Length::new(per.get(), per_unit).ratio(Length::new(n.get(), unit))
        }
        (Basis::SprayVolume(n, unit), Basis::SprayVolume(per, per_unit)) => {
            Volume::new(per.get(), per_unit).ratio(Volume::new(n.get(), unit))
        }
        (Basis::Plant, Basis::Plant) | (Basis::Mound, Basis::Mound) | (Basis::Station, Basis::Station) => 1.0,
        _ => return None,
    };
    let times = amounts * bases;
    times.is_finite().then_some(times)
}

/// The slip of unit that explains a factor, within a seventh.
pub(super) fn slip(times: f64) -> Option<&'static str> {
    SLIPS.iter().find(|(fold, _)| (times / fold).ln().abs() < 0.14).map(|(_, slip)| *slip)
}

/// The slips that a rate's unit allows and that would explain a rate `excess` times too high.
pub(super) fn likely_slips(rate: &Rate, excess: f64) -> Vec<&'static str> {
    let per_thousand = matches!(rate.basis(), Basis::Area(count, AreaUnit::SquareFoot) if count.get() > 1.0);
    let fits = |fold: f64| match rate.unit().symbol() {
        _ if fold == ACRE => per_thousand,
        "gal" => fold == GALLON,
        "lb" | "pt" => fold == POUND,
        _ => false,
    };
    SLIPS.iter().filter(|(fold, _)| *fold >= excess && fits(*fold)).map(|(_, slip)| *slip).collect()
}

/// A factor in words.
pub(super) fn times_words(times: f64) -> String {
    format!("{} times", significant(times, 3))
}
