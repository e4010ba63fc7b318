//! What lies where, as data: disjoint places with their sums, by product and by active ingredient.

use crate::record_json::{AmountJson, GroundJson};
use geometry::LocalPlane;
use jiff::civil::Date;
use property::Property;
use quantity::{Amount, AmountPerArea, AreaUnit, MassPerAreaUnit, VolumePerAreaUnit};
use record::{ApplicationRecord, IngredientTotal, Layer, NamedGround, OffGround, PlaceTotal, ProductTotal, Totals};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// The format of the document.
pub const FORMAT: &str = "tussock.totals/2";

/// What lies on the ground of a property, and what went elsewhere.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "What lies where")]
pub struct TotalsJson {
    /// `tussock.totals/2`.
    pub format: &'static str,
    /// The first day counted, ISO 8601.
    pub first: String,
    /// The last day counted.
    pub last: String,
    /// Disjoint pieces of ground, each with what lies on it; together all ground treated.
    pub places: Vec<PlaceTotalJson>,
    /// What was put down on walls, or on places that are not drawn.
    pub off_ground: Vec<OffGroundJson>,
    /// The records counted, by day.
    pub records: Vec<CountedRecordJson>,
    /// Since when all applications of a property are in the books; empty where not all that the books hold is counted.
    pub complete_since: Vec<CompleteSinceJson>,
    /// What must stand beside every total.
    pub caution: &'static str,
}

/// A record that totals count.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CountedRecordJson {
    /// By what the books find it.
    pub thing: String,
    /// What it is called.
    pub name: String,
    /// The day.
    pub date: String,
    /// The property.
    pub property: String,
}

/// Since when all applications of a property are in the books.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CompleteSinceJson {
    /// The property.
    pub property: String,
    /// The day, ISO 8601; null where nobody has said so.
    pub complete_since: Option<String>,
}

/// What must stand beside every total.
pub const CAUTION: &str = "Only what these books hold is counted: what others put down, and what was put down before \
the books began, is not.";

/// What must stand beside the totals of one client.
pub const CAUTION_OF_CLIENT: &str = "Only what was kept for this client is counted: what was put down for others on the \
same ground, what others put down, and what was put down before the books began, is not. Each sum may be too low.";

/// A record that totals count, and what is told of it.
#[derive(Debug, Clone, Copy)]
pub struct CountedRecord<'a> {
    /// By what the books find it.
    pub thing: &'a str,
    /// The record.
    pub record: &'a ApplicationRecord,
    /// The map that has the names of its places; `None` where none is kept.
    pub map: Option<&'a Property>,
}

/// Totals, and the records from which they come.
#[derive(Debug, Clone, Copy)]
pub struct CountedTotals<'a> {
    /// The totals; their layers name the records by their place in `records`.
    pub totals: &'a Totals,
    /// The plane on which they are laid out.
    pub plane: &'a LocalPlane,
    /// The first and the last day.
    pub days: (Date, Date),
    /// The records.
    pub records: &'a [CountedRecord<'a>],
    /// Property by property, since when all its applications are in the books.
    pub complete_since: &'a [(String, Option<Date>)],
    /// Whether only the records of one client are counted: then nothing proves that they are all.
    pub of_one_client: bool,
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
    /// The record.
    pub thing: String,
    /// The day.
    pub date: String,
    /// The task.
    pub task: String,
    /// What people called the ground on that day.
    pub places: Vec<String>,
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// How much lies on each part of the ground.
    pub per_area: PerAreaJson,
}

/// What was put down on a wall, or on places that are not drawn.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OffGroundJson {
    /// The record.
    pub thing: String,
    /// The day.
    pub date: String,
    /// The task.
    pub task: String,
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
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

impl CountedTotals<'_> {
    /// What people called the ground of each task, laid on the plane of the totals.
    fn grounds(&self) -> BTreeMap<(usize, &str), NamedGround> {
        let layers = self.totals.places.iter().flat_map(|place| &place.layers);
        let mut grounds = BTreeMap::new();
        for layer in layers {
            let Some(counted) = self.records.get(layer.record) else { continue };
            let Some(task) = counted.record.task(&layer.task) else { continue };
            grounds
                .entry((layer.record, task.id.as_str()))
                .or_insert_with(|| NamedGround::of(counted.record, task, counted.map, self.plane));
        }
        grounds
    }

    /// Every place with the names that its ground had, layer by layer.
    pub fn named_places(&self) -> Vec<(&PlaceTotal, Vec<Vec<String>>)> {
        let grounds = self.grounds();
        let names = |place: &PlaceTotal, layer: &Layer| {
            let ground = grounds.get(&(layer.record, layer.task.as_str()));
            ground.map_or_else(Vec::new, |ground| ground.names_under(&place.ground))
        };
        let places = self.totals.places.iter();
        places.map(|place| (place, place.layers.iter().map(|layer| names(place, layer)).collect())).collect()
    }

    fn thing(&self, record: usize) -> String {
        self.records.get(record).map_or_else(String::new, |counted| counted.thing.to_owned())
    }

    fn layer(&self, layer: &Layer, places: Vec<String>) -> LayerJson {
        LayerJson {
            thing: self.thing(layer.record),
            date: layer.date.to_string(),
            task: layer.task.clone(),
            places,
            label: layer.label.clone(),
            product: layer.product.clone(),
            per_area: layer.per_area.into(),
        }
    }

    fn off_ground(&self, off: &OffGround) -> OffGroundJson {
        let amount: Amount = off.amount;
        OffGroundJson {
            thing: self.thing(off.record),
            date: off.date.to_string(),
            task: off.task.clone(),
            label: off.label.clone(),
            product: off.product.clone(),
            amount: amount.into(),
            area_m2: off.area.to(AreaUnit::SquareMetre),
        }
    }

    /// Every place as data.
    pub fn places(&self) -> Vec<PlaceTotalJson> {
        let place = |(place, names): (&PlaceTotal, Vec<Vec<String>>)| PlaceTotalJson {
            area_m2: place.area.to(AreaUnit::SquareMetre),
            products: place.products().iter().map(ProductSumJson::from).collect(),
            active_ingredients: place.active_ingredients().iter().map(IngredientSumJson::from).collect(),
            without_ingredients: place.without_ingredients().into_iter().map(str::to_owned).collect(),
            layers: place.layers.iter().zip(names).map(|(layer, names)| self.layer(layer, names)).collect(),
            ground: GroundJson::new(&place.ground, self.plane),
        };
        self.named_places().into_iter().map(place).collect()
    }
}

impl From<&CountedTotals<'_>> for TotalsJson {
    fn from(counted: &CountedTotals<'_>) -> Self {
        let (first, last) = counted.days;
        let record = |counted: &CountedRecord<'_>| CountedRecordJson {
            thing: counted.thing.to_owned(),
            name: counted.record.name.clone(),
            date: counted.record.date.to_string(),
            property: counted.record.property.name.clone(),
        };
        let since = |(property, since): &(String, Option<Date>)| CompleteSinceJson {
            property: property.clone(),
            complete_since: since.map(|day| day.to_string()),
        };
        Self {
            format: FORMAT,
            first: first.to_string(),
            last: last.to_string(),
            places: counted.places(),
            off_ground: counted.totals.off_ground.iter().map(|off| counted.off_ground(off)).collect(),
            records: counted.records.iter().map(record).collect(),
            complete_since: if counted.of_one_client {
                Vec::new()
            } else {
                counted.complete_since.iter().map(since).collect()
            },
            caution: if counted.of_one_client { CAUTION_OF_CLIENT } else { CAUTION },
        }
    }
}

/// The totals as text, ended by a new line.
pub fn write_totals(counted: &CountedTotals<'_>) -> String {
    crate::json_text::pretty(&TotalsJson::from(counted))
}

/// What lies on each place as GeoJSON (RFC 7946): a feature for each, its totals in its properties.
pub fn totals_geojson(counted: &CountedTotals<'_>) -> String {
    let feature = |place: PlaceTotalJson| {
        let mut properties = serde_json::json!(place);
        let ground = properties.as_object_mut().and_then(|members| members.remove("ground"));
        serde_json::json!({ "type": "Feature", "geometry": ground, "properties": properties })
    };
    let features: Vec<serde_json::Value> = counted.places().into_iter().map(feature).collect();
    crate::json_text::compact(&serde_json::json!({ "type": "FeatureCollection", "features": features }))
}
