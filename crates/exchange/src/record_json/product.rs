//! One product of a task.

use super::amount::{AmountJson, number};
use super::content::IngredientJson;
use super::fact::{FactJson, fact, fact_of};
use super::rate::RateJson;
use super::reading::Reading;
use label::UseClass;
use quantity::{Density, DensityUnit};
use record::ProductRecord;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One product of a task.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProductRecordJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub name: String,
    /// Registration number as printed on the label.
    pub registration_number: FactJson<String>,
    /// Version of the label on the container in hand.
    pub label_version: FactJson<String>,
    /// Lots of the containers.
    pub lots: FactJson<Vec<String>>,
    /// Who may use it: `unclassified` or `restricted`.
    pub use_class: FactJson<String>,
    /// The use row of the label under which it was applied.
    pub use_row: FactJson<String>,
    /// What it holds.
    pub active_ingredients: FactJson<Vec<IngredientJson>>,
    /// Mass per volume of the product, grams per litre.
    pub density_g_per_l: Option<f64>,
    /// Rate or dilution at which it was applied.
    pub rate: FactJson<RateJson>,
    /// Product put down in all.
    pub amount: AmountJson,
}

impl From<&ProductRecord> for ProductRecordJson {
    fn from(product: &ProductRecord) -> Self {
        Self {
            label: product.label.clone(),
            name: product.name.clone(),
            registration_number: fact(&product.registration_number),
            label_version: fact(&product.label_version),
            lots: fact(&product.lots),
            use_class: fact_of(&product.use_class, |class| class.word().to_owned()),
            use_row: fact(&product.use_row),
            active_ingredients: fact_of(&product.active_ingredients, |all| {
                all.iter().map(IngredientJson::from).collect()
            }),
            density_g_per_l: product.density.map(|density| number(density.to(DensityUnit::GramPerLitre))),
            rate: fact_of(&product.rate, RateJson::from),
            amount: product.amount.into(),
        }
    }
}

impl ProductRecordJson {
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<ProductRecord> {
        let use_class = self
            .use_class
            .read(|word| reading.word(&format!("{path}.use_class.recorded"), &word, UseClass::ALL, UseClass::word));
        let active_ingredients = self.active_ingredients.read(|all| {
            let read = |(index, one): (usize, IngredientJson)| {
                one.read(&format!("{path}.active_ingredients.recorded[{}]", index + 1), reading)
            };
            all.into_iter().enumerate().map(read).collect()
        });
        let density = match self.density_g_per_l {
            None => Some(None),
            Some(value) => reading
                .not_below_nothing(&format!("{path}.density_g_per_l"), value)
                .map(|value| Some(Density::new(value, DensityUnit::GramPerLitre))),
        };
        let rate = self.rate.read(|rate| rate.read(&format!("{path}.rate.recorded"), reading));
        let amount = self.amount.read(&format!("{path}.amount"), reading);
        Some(ProductRecord {
            label: self.label,
            name: self.name,
            registration_number: self.registration_number.plain(),
            label_version: self.label_version.plain(),
            lots: self.lots.plain(),
            use_class: use_class?,
            use_row: self.use_row.plain(),
            active_ingredients: active_ingredients?,
            density: density?,
            rate: rate?,
            amount: amount?,
        })
    }
}
