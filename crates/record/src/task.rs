//! One task of a record: where, how, with what, how much.

use crate::application::{Moment, Observed};
use crate::fact::Fact;
use geometry::Region;
use jiff::civil::Date;
use label::{ActiveIngredient, Method, Site, UseClass};
use quantity::{Amount, AmountPerArea, Area, Density, MassPerArea, Rate, Volume, VolumePerArea};
use treatment::ZoneKind;

/// One task as it was carried out.
#[derive(Debug, Clone, PartialEq)]
pub struct TaskRecord {
    /// Its name, unique in the record.
    pub id: String,
    /// How.
    pub method: Method,
    /// The sprayer or spreader.
    pub equipment: Fact<String>,
    /// The calibration on which its amounts stand; does not arise where the spray itself was asked for.
    pub calibration: Fact<CalibrationUsed>,
    /// What was treated.
    pub sites: Fact<Vec<Site>>,
    /// Target pest.
    pub pest: Fact<String>,
    /// The ground treated, zone by zone.
    pub zones: Vec<TreatedZone>,
    /// Area of ground treated.
    pub ground: Area,
    /// Area of wall treated.
    pub wall: Area,
    /// Number of places (mounds, stations) where they are counted and not drawn.
    pub places: Fact<u32>,
    /// What was put down.
    pub products: Vec<ProductRecord>,
    /// Spray put out in all; does not arise for dry products.
    pub carrier: Fact<Volume>,
    /// The tanks or hopper loads, in order.
    pub tanks: Vec<Tank>,
}

impl TaskRecord {
    /// Ground and wall together.
    pub fn area(&self) -> Area {
        self.ground + self.wall
    }

    /// The ground of all its zones.
    pub fn region(&self) -> Region {
        Region::union_all(self.zones.iter().map(|zone| &zone.ground))
    }

    /// Whether anything of it was put down: a mix that was left over whole was not. Where no product is told, nobody can
    /// say that nothing was.
    pub fn was_put_down(&self) -> bool {
        self.products.is_empty() || self.products.iter().any(|product| is_something(product.amount))
    }

    /// What one of its products put on each part of its area; `None` where no area is known.
    pub fn per_area(&self, product: &ProductRecord) -> Option<AmountPerArea> {
        let area = self.area();
        area.is_positive().then(|| product.amount.per_area(area))
    }
}

/// Whether an amount is above nothing.
pub(crate) fn is_something(amount: Amount) -> bool {
    match amount {
        Amount::Volume(volume) => volume.is_positive(),
        Amount::Mass(mass) => mass.is_positive(),
    }
}

/// A calibration, as far as the record needs it.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationUsed {
    /// Its name with the equipment.
    pub name: String,
    /// When it was done.
    pub date: Option<Date>,
    /// Spray per area that it gave.
    pub output: Option<VolumePerArea>,
}

/// A piece of treated ground.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatedZone {
    /// Its name on the map of the visit.
    pub id: String,
    /// What it is.
    pub kind: ZoneKind,
    /// The ground, in the plane of the record's property.
    pub ground: Region,
}

/// One product of a task.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductRecord {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub name: String,
    /// Registration number as printed on the label.
    pub registration_number: Fact<String>,
    /// Version of the label on the container in hand.
    pub label_version: Fact<String>,
    /// Lots of the containers.
    pub lots: Fact<Vec<String>>,
    /// Who may use it.
    pub use_class: Fact<UseClass>,
    /// The use row of the label under which it was applied.
    pub use_row: Fact<String>,
    /// What it holds.
    pub active_ingredients: Fact<Vec<ActiveIngredient>>,
    /// Mass per volume, where an active ingredient is known by weight only.
    pub density: Option<Density>,
    /// Rate or dilution at which it was applied, in the label's own unit and basis.
    pub rate: Fact<Rate>,
    /// Product put down in all: what went into the tanks, less what was left over.
    pub amount: Amount,
}

impl ProductRecord {
    /// The active ingredients that an amount of it per area puts there, by name; an ingredient whose
    /// amount nobody can tell is `None`. `None` altogether where its ingredients are not recorded.
    pub fn ingredients_per_area(&self, product: AmountPerArea) -> Option<Vec<(String, Option<MassPerArea>)>> {
        let per_area = |ingredient: &ActiveIngredient| {
            let content = match (product, self.density) {
                (AmountPerArea::Volume(_), Some(density)) => ingredient.content.with_density(density),
                _ => ingredient.content,
            };
            quantity::active_ingredient_per_area(product, content).or_else(|| {
                // A product weighed whose content is known by volume.
                match (product, content, self.density) {
                    (AmountPerArea::Mass(mass), quantity::Content::MassPerVolume(content), Some(density)) => {
                        Some(mass * content.ratio(density))
                    }
                    _ => None,
                }
            })
        };
        let ingredients = self.active_ingredients.value()?;
        Some(ingredients.iter().map(|ingredient| (ingredient.name.clone(), per_area(ingredient))).collect())
    }
}

/// One tank or hopper load.
#[derive(Debug, Clone, PartialEq)]
pub struct Tank {
    /// As planned; `None` for a load that the plan did not have.
    pub planned: Option<Fill>,
    /// As filled; `None` when it was not filled at all.
    pub filled: Option<Fill>,
    /// When it was filled.
    pub filled_at: Fact<Moment>,
    /// When it was sprayed out.
    pub emptied_at: Fact<Moment>,
    /// The weather seen while it was put out, where it had changed.
    pub weather: Observed,
    /// The spray that stayed in it under the next mix: it went out with the next tank.
    pub carried_over: Fact<Volume>,
    /// What somebody said of it; what nobody said stands as planned.
    pub told: TankTold,
}

/// What somebody said of a tank.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TankTold {
    /// Nothing: it counts as filled as planned.
    Nothing,
    /// That it was filled, and with what, or that it was not; the area that it covered stands as planned.
    Filling,
    /// The area that it covered as well.
    Covered,
}

impl TankTold {
    /// All of them.
    pub const ALL: &'static [Self] = &[Self::Nothing, Self::Filling, Self::Covered];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Nothing => "nothing",
            Self::Filling => "filling",
            Self::Covered => "covered",
        }
    }

    /// What must have been said where a record does not tell: whatever stands otherwise than planned.
    pub fn of_difference(planned: Option<&Fill>, filled: Option<&Fill>, filled_at: &Fact<Moment>) -> Self {
        match filled {
            Some(filled) if planned.is_none_or(|planned| planned.covered != filled.covered) => Self::Covered,
            Some(filled) if planned == Some(filled) && filled_at.is_absent() => Self::Nothing,
            _ => Self::Filling,
        }
    }
}

/// What is in a tank, and what it covers.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// Spray; `None` for dry products.
    pub spray: Option<Volume>,
    /// Product, in the order of the task's products.
    pub products: Vec<Amount>,
    /// The area that it covered, or is to cover; does not arise for counted places.
    pub covered: Fact<Area>,
}
