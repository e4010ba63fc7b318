//! Amounts of product: by volume or by weight.

use super::reading::Reading;
use quantity::{Amount, Mass, MassUnit, Volume, VolumeUnit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An amount of product.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AmountJson {
    /// By volume, millilitres.
    VolumeMl(f64),
    /// By weight, grams.
    MassG(f64),
}

impl From<Amount> for AmountJson {
    fn from(amount: Amount) -> Self {
        match amount {
            Amount::Volume(volume) => Self::VolumeMl(number(volume.to(VolumeUnit::Millilitre))),
            Amount::Mass(mass) => Self::MassG(number(mass.to(MassUnit::Gram))),
        }
    }
}

impl AmountJson {
    /// The amount; reports one below nothing.
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<Amount> {
        Some(match self {
            Self::VolumeMl(value) => {
                let value = reading.not_below_nothing(&format!("{path}.volume_ml"), value)?;
                Amount::Volume(Volume::new(value, VolumeUnit::Millilitre))
            }
            Self::MassG(value) => {
                let value = reading.not_below_nothing(&format!("{path}.mass_g"), value)?;
                Amount::Mass(Mass::new(value, MassUnit::Gram))
            }
        })
    }

    /// The amounts of a list.
    pub(super) fn read_all(all: Vec<Self>, path: &str, reading: &mut Reading) -> Option<Vec<Amount>> {
        let read = |(index, one): (usize, Self)| one.read(&format!("{path}[{}]", index + 1), reading);
        all.into_iter().enumerate().map(read).collect()
    }
}

/// A number with fifteen significant digits. A number in a unit, turned into SI and back, may differ in the
/// sixteenth: so what was read is written as it stood.
pub(super) fn number(value: f64) -> f64 {
    // Adding nothing turns a negative zero into a plain one.
    format!("{value:.14e}").parse().unwrap_or(value) + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn an_amount_read_is_written_as_it_stood(value in 0.0..1e9_f64) {
            for written in [AmountJson::VolumeMl(number(value)), AmountJson::MassG(number(value))] {
                let mut reading = Reading::default();
                let read = written.read("amount", &mut reading);
                prop_assert_eq!(read.map(AmountJson::from), Some(written));
            }
        }
    }
}
