//! Rates in the unit and basis in which they were written.

use super::amount::number;
use super::reading::Reading;
use problem::Problem;
use quantity::{AmountUnit, AreaUnit, Basis, BasisCount, LengthUnit, MassUnit, Rate, Substance, VolumeUnit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A rate: so many of a unit of what, per what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RateJson {
    /// The number.
    pub value: f64,
    /// UCUM code of its unit, such as `[foz_us]`.
    pub unit: String,
    /// Of what.
    pub of: SubstanceJson,
    /// Per what.
    pub per: BasisJson,
}

/// What is dosed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SubstanceJson {
    /// The product as sold.
    Product,
    /// The active ingredient in it.
    ActiveIngredient,
}

/// Per what a rate is meant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind", deny_unknown_fields)]
pub enum BasisJson {
    /// Per area.
    Area {
        /// So many of the unit.
        count: f64,
        /// UCUM code.
        unit: String,
    },
    /// Per length.
    Length {
        /// So many of the unit.
        count: f64,
        /// UCUM code.
        unit: String,
    },
    /// Per volume of finished spray.
    SprayVolume {
        /// So many of the unit.
        count: f64,
        /// UCUM code.
        unit: String,
    },
    /// Per trunk diameter.
    TrunkDiameter {
        /// So many of the unit.
        count: f64,
        /// UCUM code.
        unit: String,
    },
    /// Per plant.
    Plant,
    /// Per mound.
    Mound,
    /// Per bait station.
    Station,
}

impl From<&Rate> for RateJson {
    fn from(rate: &Rate) -> Self {
        let per = match rate.basis() {
            Basis::Area(count, unit) => BasisJson::Area { count: count.get(), unit: unit.ucum().to_owned() },
            Basis::Length(count, unit) => BasisJson::Length { count: count.get(), unit: unit.ucum().to_owned() },
            Basis::SprayVolume(count, unit) => {
                BasisJson::SprayVolume { count: count.get(), unit: unit.ucum().to_owned() }
            }
            Basis::TrunkDiameter(count, unit) => {
                BasisJson::TrunkDiameter { count: count.get(), unit: unit.ucum().to_owned() }
            }
            Basis::Plant => BasisJson::Plant,
            Basis::Mound => BasisJson::Mound,
            Basis::Station => BasisJson::Station,
        };
        Self {
            value: number(rate.value()),
            unit: rate.unit().ucum().to_owned(),
            of: match rate.substance() {
                Substance::Product => SubstanceJson::Product,
                Substance::ActiveIngredient => SubstanceJson::ActiveIngredient,
            },
            per,
        }
    }
}

impl RateJson {
    /// The rate; reports a unit that nobody knows, a count of nothing, and a number below nothing.
    pub(super) fn read(&self, path: &str, reading: &mut Reading) -> Option<Rate> {
        let unit = amount_unit(&self.unit);
        if unit.is_none() {
            reading.report(unknown_unit(&self.unit, "a volume or a weight").at(format!("{path}.unit")));
        }
        let basis = self.basis(path, reading);
        let value = reading.not_below_nothing(&format!("{path}.value"), self.value);
        let substance = match self.of {
            SubstanceJson::Product => Substance::Product,
            SubstanceJson::ActiveIngredient => Substance::ActiveIngredient,
        };
        Some(Rate::of(value?, unit?, substance, basis?))
    }

    fn basis(&self, path: &str, reading: &mut Reading) -> Option<Basis> {
        let (count, unit, what) = match &self.per {
            BasisJson::Plant => return Some(Basis::Plant),
            BasisJson::Mound => return Some(Basis::Mound),
            BasisJson::Station => return Some(Basis::Station),
            BasisJson::Area { count, unit } => (*count, unit, "an area"),
            BasisJson::Length { count, unit } | BasisJson::TrunkDiameter { count, unit } => (*count, unit, "a length"),
            BasisJson::SprayVolume { count, unit } => (*count, unit, "a volume"),
        };
        let Some(count) = BasisCount::new(count) else {
            reading.report(
                Problem::error("record::number", format!("`{count}` is no count"))
                    .expected("a number above 0")
                    .at(format!("{path}.per.count")),
            );
            return None;
        };
        let basis = match &self.per {
            BasisJson::Length { .. } => length_unit(unit).map(|unit| Basis::Length(count, unit)),
            BasisJson::TrunkDiameter { .. } => length_unit(unit).map(|unit| Basis::TrunkDiameter(count, unit)),
            BasisJson::SprayVolume { .. } => {
                by_ucum(VolumeUnit::ALL, VolumeUnit::ucum, unit).map(|unit| Basis::SprayVolume(count, unit))
            }
            _ => by_ucum(AreaUnit::ALL, AreaUnit::ucum, unit).map(|unit| Basis::Area(count, unit)),
        };
        if basis.is_none() {
            reading.report(unknown_unit(unit, what).at(format!("{path}.per.unit")));
        }
        basis
    }
}

fn amount_unit(ucum: &str) -> Option<AmountUnit> {
    let volume = by_ucum(VolumeUnit::ALL, VolumeUnit::ucum, ucum).map(AmountUnit::Volume);
    volume.or_else(|| by_ucum(MassUnit::ALL, MassUnit::ucum, ucum).map(AmountUnit::Mass))
}

fn length_unit(ucum: &str) -> Option<LengthUnit> {
    by_ucum(LengthUnit::ALL, LengthUnit::ucum, ucum)
}

fn by_ucum<U: Copy>(all: &[U], code: impl Fn(U) -> &'static str, ucum: &str) -> Option<U> {
    all.iter().copied().find(|unit| code(*unit) == ucum)
}

fn unknown_unit(ucum: &str, what: &str) -> Problem {
    Problem::error("record::unit", format!("`{}` is no unit known here", crate::toml_source::shown(ucum)))
        .expected(format!("the UCUM code of {what}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_and_basis_is_read_as_it_is_written() {
        let volumes = VolumeUnit::ALL.iter().copied().map(AmountUnit::Volume);
        let units: Vec<AmountUnit> = volumes.chain(MassUnit::ALL.iter().copied().map(AmountUnit::Mass)).collect();
        let count = BasisCount::THOUSAND;
        let mut bases = vec![Basis::Plant, Basis::Mound, Basis::Station];
        bases.extend(AreaUnit::ALL.iter().map(|unit| Basis::Area(count, *unit)));
        bases.extend(LengthUnit::ALL.iter().map(|unit| Basis::Length(count, *unit)));
        bases.extend(LengthUnit::ALL.iter().map(|unit| Basis::TrunkDiameter(count, *unit)));
        bases.extend(VolumeUnit::ALL.iter().map(|unit| Basis::SprayVolume(count, *unit)));
        for unit in &units {
            for basis in &bases {
                for substance in [Substance::Product, Substance::ActiveIngredient] {
                    let rate = Rate::of(0.4, *unit, substance, *basis);
                    let mut reading = Reading::default();
                    assert_eq!(RateJson::from(&rate).read("rate", &mut reading), Some(rate));
                }
            }
        }
        assert!(units.len() * bases.len() > 500);
    }
}
