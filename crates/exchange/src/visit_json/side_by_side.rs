//! Broadcast and spot treatment of the same lawn, side by side.

use super::task::AmountParts;
use quantity::{AreaUnit, MassUnit};
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{SideBySide, Way, WayProduct};

/// Broadcast and spot treatment of the same lawn with the same products at the same rates.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SideBySideJson {
    /// The task.
    pub task: String,
    /// Whether the task goes by spots; by broadcast otherwise.
    pub by_spots: bool,
    /// The lawn expected to be infested, square metres.
    pub infested_m2: f64,
    /// Infested lawn that spots are expected to leave untreated, square metres.
    pub stays_m2: f64,
    /// All the lawn that the task may treat.
    pub broadcast: WayJson,
    /// The hot spots of it alone.
    pub spots: WayJson,
}

/// What one way of treating takes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WayJson {
    /// Ground treated, square metres.
    pub area_m2: f64,
    /// Each product.
    pub products: Vec<WayProductJson>,
}

/// A product that one way of treating takes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WayProductJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// Millilitres, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_ml: Option<f64>,
    /// Grams, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_g: Option<f64>,
    /// The active ingredients in that.
    pub active_ingredients: Vec<ActiveIngredientMassJson>,
    /// What that much costs, with the currency, where the tariff of the business was at hand.
    pub cost: Option<String>,
}

/// So much of an active ingredient.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ActiveIngredientMassJson {
    /// Common name.
    pub name: String,
    /// Grams; null where the label does not let tell.
    pub mass_g: Option<f64>,
}

impl From<&SideBySide> for SideBySideJson {
    fn from(both: &SideBySide) -> Self {
        let square_metres = |area: quantity::Area| area.to(AreaUnit::SquareMetre);
        Self {
            task: both.task.clone(),
            by_spots: both.is_by_spots,
            infested_m2: square_metres(both.infested),
            stays_m2: square_metres(both.stays),
            broadcast: WayJson::from(&both.broadcast),
            spots: WayJson::from(&both.spots),
        }
    }
}

impl From<&Way> for WayJson {
    fn from(way: &Way) -> Self {
        Self {
            area_m2: way.ground.to(AreaUnit::SquareMetre),
            products: way.products.iter().map(WayProductJson::from).collect(),
        }
    }
}

impl From<&WayProduct> for WayProductJson {
    fn from(product: &WayProduct) -> Self {
        let amount = AmountParts::from(product.amount);
        let ingredient = |(name, mass): &(String, Option<quantity::Mass>)| ActiveIngredientMassJson {
            name: name.clone(),
            mass_g: mass.map(|mass| mass.to(MassUnit::Gram)),
        };
        Self {
            label: product.label.clone(),
            product: product.product.clone(),
            product_ml: amount.millilitres,
            product_g: amount.grams,
            active_ingredients: product.active_ingredients.iter().map(ingredient).collect(),
            cost: product.cost.clone(),
        }
    }
}
