//! Numbers with their units.

use quantity::Rate;
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{Figure, Measure, Origin};

/// A number with its unit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FigureJson {
    /// The number, unrounded.
    pub value: f64,
    /// UCUM code of the unit, `1` for a count.
    pub unit: String,
    /// The unit as printed; empty for a count.
    pub symbol: String,
}

impl From<&Figure> for FigureJson {
    fn from(figure: &Figure) -> Self {
        Self { value: figure.value, unit: figure.ucum.clone(), symbol: figure.unit.clone() }
    }
}

impl FigureJson {
    /// A rate in the unit and basis in which it was written.
    pub fn of_rate(rate: &Rate) -> Self {
        let one = rate.with_value(1.0).to_string();
        Self {
            value: rate.value(),
            unit: rate.ucum(),
            symbol: one.strip_prefix("1 ").map_or(one.clone(), str::to_owned),
        }
    }
}

/// A named figure.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasureJson {
    /// Stable name in kebab case, such as `turf-lost-to-water-buffer`.
    pub name: String,
    /// In words.
    pub words: String,
    /// The number, unrounded.
    pub value: f64,
    /// UCUM code of the unit.
    pub unit: String,
    /// The unit as printed.
    pub symbol: String,
    /// Where it comes from.
    pub origin: OriginJson,
}

impl From<&Measure> for MeasureJson {
    fn from(measure: &Measure) -> Self {
        let FigureJson { value, unit, symbol } = FigureJson::from(&measure.figure);
        Self {
            name: measure.name.clone(),
            words: measure.words.clone(),
            value,
            unit,
            symbol,
            origin: measure.origin.into(),
        }
    }
}

/// Where a figure or a limit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OriginJson {
    /// Measured on the ground or with the equipment.
    Measured,
    /// Stated by the label.
    Label,
    /// Stated by a law or rule.
    Rule,
    /// Set by the business for itself.
    Business,
    /// Usual practice where nothing is stated.
    Default,
    /// Taken for want of better, to be confirmed.
    Assumed,
}

impl From<Origin> for OriginJson {
    fn from(origin: Origin) -> Self {
        match origin {
            Origin::Measured => Self::Measured,
            Origin::Label => Self::Label,
            Origin::Rule => Self::Rule,
            Origin::Business => Self::Business,
            Origin::Default => Self::Default,
            Origin::Assumed => Self::Assumed,
        }
    }
}
