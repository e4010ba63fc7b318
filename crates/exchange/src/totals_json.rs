//! What lies where, as data: disjoint places with their sums, by product and by active ingredient.

use crate::record_json::{AmountJson, GroundJson};
use geometry::LocalPlane;
use jiff::civil::Date;
use quantity::{Amount, AmountPerArea, AreaUnit, MassPerAreaUnit, VolumePerAreaUnit};
use record::{IngredientTotal, Layer, OffGround, PlaceTotal, ProductTotal, Totals};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.totals/1";

/// What lies on the ground of a property, and what went elsewhere.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "What lies where")]
pub struct TotalsJson {
    /// `tussock.totals/1`.
    pub format: &'static str,
    /// The first day counted, ISO 8601.
    pub first: String,
    /// The last day counted.
    pub last: String,
    /// Disjoint pieces of ground, each with what lies on it; together all ground treated.
    pub places: Vec<PlaceTotalJson>,
    /// What was put down on walls, or on places that are not drawn.
    pub off_ground: Vec<OffGroundJson>,
}

/// A piece of ground on every part of which the same lies.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlaceTotalJson {
    /// Its area, square metres.
    pub area_m2: f64,
    /// Product by product.
    pub products: Vec<ProductSumJson>,
    /// Active ingredient by active ingredient, across products.
    pub active_ingredients: Vec<IngredientSumJson>,
    /// Products of which no active ingredient is recorded: any sum may be too low by them.
    pub without_ingredients: Vec<String>,
    /// What was put down on it, oldest first.
    pub layers: Vec<LayerJson>,
    /// The ground.
    pub ground: GroundJson,
}

/// How much lies on each part of some ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PerAreaJson {
    /// Millilitres per square metre.
    VolumeMlPerM2(f64),
    /// Grams per square metre.
    MassGPerM2(f64),
}

impl From<AmountPerArea> for PerAreaJson {
    fn from(per_area: AmountPerArea) -> Self {
        match per_area {
            AmountPerArea::Volume(volume) => {
                Self::VolumeMlPerM2(volume.to(VolumePerAreaUnit::MillilitrePerSquareMetre))
            }
            AmountPerArea::Mass(mass) => Self::MassGPerM2(mass.to(MassPerAreaUnit::GramPerSquareMetre)),
        }
    }
}

/// The sum of one product on a place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProductSumJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// On how many days it was put down.
    pub applications: usize,
    /// The last of them.
    pub last: String,
    /// How much lies there.
    pub per_area: PerAreaJson,
}

/// The sum of one active ingredient on a place, from all products.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct IngredientSumJson {
    /// Its name.
    pub name: String,
    /// How much lies there at least, grams per square metre.
    pub g_per_m2: f64,
    /// Products that hold it in an amount nobody can tell.
    pub untold: Vec<String>,
}

/// One product of one task of one record.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LayerJson {
    /// Which of the records, from 0, in the order in which they were given.
    pub record: usize,
    /// The day.
    pub date: String,
    /// The task.
    pub task: String,
    /// The label's id.
    pub label: String,
    /// How much lies on each part of the ground.
    pub per_area: PerAreaJson,
}

/// What was put down on a wall, or on places that are not drawn.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OffGroundJson {
    /// Which of the records, from 0.
    pub record: usize,
    /// The day.
    pub date: String,
    /// The task.
    pub task: String,
    /// The label's id.
    pub label: String,
    /// How much.
    pub amount: AmountJson,
    /// The area of wall, square metres; nothing where the places are not measured.
    pub area_m2: f64,
}

impl From<&ProductTotal> for ProductSumJson {
    fn from(total: &ProductTotal) -> Self {
        Self {
            label: total.label.clone(),
            product: total.product.clone(),
            applications: total.applications,
            last: total.last.to_string(),
            per_area: total.per_area.into(),
        }
    }
}

impl From<&IngredientTotal> for IngredientSumJson {
    fn from(total: &IngredientTotal) -> Self {
        Self {
            name: total.name.clone(),
            g_per_m2: total.per_area.to(MassPerAreaUnit::GramPerSquareMetre),
            untold: total.untold.clone(),
        }
    }
}

impl From<&Layer> for LayerJson {
    fn from(layer: &Layer) -> Self {
        Self {
            record: layer.record,
            date: layer.date.to_string(),
            task: layer.task.clone(),
            label: layer.label.clone(),
            per_area: layer.per_area.into(),
        }
    }
}

impl From<&OffGround> for OffGroundJson {
    fn from(off: &OffGround) -> Self {
        let amount: Amount = off.amount;
        Self {
            record: off.record,
            date: off.date.to_string(),
            task: off.task.clone(),
            label: off.label.clone(),
            amount: amount.into(),
            area_m2: off.area.to(AreaUnit::SquareMetre),
        }
    }
}

impl PlaceTotalJson {
    /// A place of the plane on which the totals were laid out.
    pub fn new(place: &PlaceTotal, plane: &LocalPlane) -> Self {
        Self {
            area_m2: place.area.to(AreaUnit::SquareMetre),
            products: place.products().iter().map(ProductSumJson::from).collect(),
            active_ingredients: place.active_ingredients().iter().map(IngredientSumJson::from).collect(),
            without_ingredients: place.without_ingredients().into_iter().map(str::to_owned).collect(),
            layers: place.layers.iter().map(LayerJson::from).collect(),
            ground: GroundJson::new(&place.ground, plane),
        }
    }
}

impl TotalsJson {
    /// The totals of the days from `first` to `last`, laid out on `plane`.
    pub fn new(totals: &Totals, plane: &LocalPlane, (first, last): (Date, Date)) -> Self {
        Self {
            format: FORMAT,
            first: first.to_string(),
            last: last.to_string(),
            places: totals.places.iter().map(|place| PlaceTotalJson::new(place, plane)).collect(),
            off_ground: totals.off_ground.iter().map(OffGroundJson::from).collect(),
        }
    }
}

/// The totals as text, ended by a new line.
pub fn write_totals(totals: &Totals, plane: &LocalPlane, days: (Date, Date)) -> String {
    crate::json_text::pretty(&TotalsJson::new(totals, plane, days))
}
