//! Areas and lengths as data that is also shown: the number, and its words in both systems of units.

use quantity::{Area, AreaUnit, Length, LengthUnit};
use schemars::JsonSchema;
use serde::Serialize;

/// Digits of an area or a length in words.
const DIGITS: usize = 4;

/// From this many acres on, an area is told in acres as well.
const LEAST_ACRES: f64 = 0.1;

/// An area.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AreaJson {
    /// Square metres, unrounded.
    pub m2: f64,
    /// In words of US units, such as `14,300 sq ft (0.3283 acre)`.
    pub us: String,
    /// In words of metric units, such as `1329 m²`.
    pub metric: String,
}

impl From<Area> for AreaJson {
    fn from(area: Area) -> Self {
        let mut us = area.show_digits(AreaUnit::SquareFoot, DIGITS);
        if area.to(AreaUnit::Acre) >= LEAST_ACRES {
            us = format!("{us} ({})", area.show_digits(AreaUnit::Acre, DIGITS));
        }
        Self { m2: area.to(AreaUnit::SquareMetre), us, metric: area.show_digits(AreaUnit::SquareMetre, DIGITS) }
    }
}

/// A length.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LengthJson {
    /// Metres, unrounded.
    pub m: f64,
    /// In words of US units, such as `130.0 ft`.
    pub us: String,
    /// In words of metric units, such as `39.62 m`.
    pub metric: String,
}

impl From<Length> for LengthJson {
    fn from(length: Length) -> Self {
        Self {
            m: length.to(LengthUnit::Metre),
            us: length.show_digits(LengthUnit::Foot, DIGITS),
            metric: length.show_digits(LengthUnit::Metre, DIGITS),
        }
    }
}
