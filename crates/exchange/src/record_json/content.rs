//! Active ingredients and how much of them a product holds.

use super::amount::number;
use super::reading::Reading;
use label::ActiveIngredient;
use problem::Problem;
use quantity::{Content, Density, DensityUnit, MassFraction};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// An active ingredient of a product.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IngredientJson {
    /// Name as printed on the label.
    pub name: String,
    /// How much of it the product holds.
    pub content: ContentJson,
    /// The share of mass that the label prints beside it, 0 to 1.
    pub mass_fraction: Option<f64>,
    /// Mode-of-action group, when the label states one.
    pub group: Option<String>,
}

/// How much active ingredient is in a product.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ContentJson {
    /// A share of the product's mass, 0 to 1.
    MassFraction(f64),
    /// Mass in a volume of product, grams per litre.
    MassPerVolumeGPerL(f64),
}

impl From<&ActiveIngredient> for IngredientJson {
    fn from(ingredient: &ActiveIngredient) -> Self {
        Self {
            name: ingredient.name.clone(),
            content: match ingredient.content {
                Content::MassFraction(fraction) => ContentJson::MassFraction(number(fraction.part())),
                Content::MassPerVolume(density) => {
                    ContentJson::MassPerVolumeGPerL(number(density.to(DensityUnit::GramPerLitre)))
                }
            },
            mass_fraction: ingredient.mass_fraction.map(|fraction| number(fraction.part())),
            group: ingredient.group.clone(),
        }
    }
}

impl IngredientJson {
    /// The ingredient; reports shares that are none, and contents below nothing.
    pub(super) fn read(self, path: &str, reading: &mut Reading) -> Option<ActiveIngredient> {
        let content = match self.content {
            ContentJson::MassFraction(part) => {
                fraction(part, &format!("{path}.content.mass_fraction"), reading).map(Content::MassFraction)
            }
            ContentJson::MassPerVolumeGPerL(value) => reading
                .not_below_nothing(&format!("{path}.content.mass_per_volume_g_per_l"), value)
                .map(|value| Content::MassPerVolume(Density::new(value, DensityUnit::GramPerLitre))),
        };
        let mass_fraction = match self.mass_fraction {
            None => Some(None),
            Some(part) => fraction(part, &format!("{path}.mass_fraction"), reading).map(Some),
        };
        Some(ActiveIngredient { name: self.name, content: content?, mass_fraction: mass_fraction?, group: self.group })
    }
}

fn fraction(part: f64, path: &str, reading: &mut Reading) -> Option<MassFraction> {
    MassFraction::new(part).map_err(|problem: Problem| reading.report(problem.at(path))).ok()
}
