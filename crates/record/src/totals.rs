//! What lies where: the treated ground of many records cut into places, each with all that lies on it.
//!
//! Places are told apart by geometry, never by name: wherever two records overlap, the ground under both
//! is a place of its own.

use crate::application::ApplicationRecord;
use crate::ground::{extent, laid_on};
use crate::task::TaskRecord;
use geometry::{GeoExtent, LocalPlane, Point, Region};
use jiff::civil::Date;
use label::Window;
use quantity::{Amount, AmountPerArea, Area, Length, LengthUnit, MassPerArea};

/// What lies on the ground of a property, and what went elsewhere.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Totals {
    /// Disjoint pieces of ground, each with what lies on it; together all ground treated.
    pub places: Vec<PlaceTotal>,
    /// What was put down on walls, or on places that are not drawn.
    pub off_ground: Vec<OffGround>,
}

/// A piece of ground on every part of which the same lies.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceTotal {
    /// The ground.
    pub ground: Region,
    /// Its area.
    pub area: Area,
    /// What was put down on it, oldest first.
    pub layers: Vec<Layer>,
}

/// One product of one task of one record.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Which of the records, from 0.
    pub record: usize,
    /// The day.
    pub date: Date,
    /// The task.
    pub task: String,
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// How much lies on each part of the ground.
    pub per_area: AmountPerArea,
    /// The same as active ingredients; one whose amount nobody can tell is `None`. `None` altogether
    /// where the record does not name them.
    pub active_ingredients: Option<Vec<(String, Option<MassPerArea>)>>,
}

/// What was put down on a wall, or on places that are not drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct OffGround {
    /// Which of the records, from 0.
    pub record: usize,
    /// The day.
    pub date: Date,
    /// The task.
    pub task: String,
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// How much.
    pub amount: Amount,
    /// The area of wall; nothing where the places are not measured.
    pub area: Area,
}

/// The sum of one product on a place.
#[derive(Debug, Clone, PartialEq)]
pub struct ProductTotal {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// How often it was put down, days of several tasks counted once.
    pub applications: usize,
    /// The last day on which it was.
    pub last: Date,
    /// How much lies there.
    pub per_area: AmountPerArea,
}

/// The sum of one active ingredient on a place, from all products.
#[derive(Debug, Clone, PartialEq)]
pub struct IngredientTotal {
    /// Its name.
    pub name: String,
    /// How much lies there at least.
    pub per_area: MassPerArea,
    /// Products that hold it in an amount nobody can tell: the sum is too low by what they brought.
    pub untold: Vec<String>,
}

/// An overlap smaller than this share of either piece is the seam of two drawings, not two treatments.
const SEAM: f64 = 1e-6;

/// The days that a label's window counts for an application on `date`: the last of them is `date` itself.
/// A season or crop without dates is read as twelve months, the strictest reading.
pub fn window(window: Window, date: Date) -> (Date, Date) {
    (treatment::window_around(window, date).0, date)
}

/// How far from its origin one plane tells the ground of records.
fn plane_reach() -> Length {
    Length::new(10_000.0, LengthUnit::Metre)
}

/// The records that lie too far from the origin of a plane to be laid on it: totals are told of one neighbourhood at
/// a time.
pub fn beyond<'r>(
    records: impl IntoIterator<Item = &'r ApplicationRecord>,
    plane: &LocalPlane,
) -> Vec<&'r ApplicationRecord> {
    let around = GeoExtent::around([plane.origin()], plane_reach());
    let is_beyond = |record: &&ApplicationRecord| match (around, extent(record)) {
        (Some(around), Some(extent)) => !around.overlaps(extent),
        _ => false,
    };
    records.into_iter().filter(is_beyond).collect()
}

/// What the records put down on the days from `first` to `last`, laid out on the plane of a property.
///
/// Each task is taken to lie evenly on all its ground and wall. The amounts of all places and of what lies
/// off the ground add up to what was put down, within a millionth for each overlap.
pub fn totals<'r>(
    records: impl IntoIterator<Item = &'r ApplicationRecord>,
    plane: &LocalPlane,
    (first, last): (Date, Date),
) -> Totals {
    let mut found = Totals::default();
    let mut counted: Vec<(usize, &ApplicationRecord)> =
        records.into_iter().enumerate().filter(|(_, record)| record.date >= first && record.date <= last).collect();
    counted.sort_by_key(|(number, record)| (record.date, *number));
    for (number, record) in counted {
        let own = record.plane();
        for task in record.tasks.iter().filter(|task| task.was_put_down()) {
            let ground = laid_on(&task.region(), &own, plane).unwrap_or_default();
            let is_drawn = !ground.is_empty() && task.area().is_positive();
            found.add_off_ground(number, record, task, is_drawn);
            if is_drawn {
                found.lay(&ground, layers(number, record, task));
            }
        }
    }
    found
}

fn layers(number: usize, record: &ApplicationRecord, task: &TaskRecord) -> Vec<Layer> {
    let layer = |product: &crate::ProductRecord| {
        let per_area = task.per_area(product)?;
        Some(Layer {
            record: number,
            date: record.date,
            task: task.id.clone(),
            label: product.label.clone(),
            product: product.name.clone(),
            per_area,
            active_ingredients: product.ingredients_per_area(per_area),
        })
    };
    task.products.iter().filter_map(layer).collect()
}

impl Totals {
    fn add_off_ground(&mut self, number: usize, record: &ApplicationRecord, task: &TaskRecord, is_drawn: bool) {
        let share = if is_drawn { task.wall.ratio(task.area()) } else { 1.0 };
        if share <= 0.0 {
            return;
        }
        self.off_ground.extend(task.products.iter().map(|product| OffGround {
            record: number,
            date: record.date,
            task: task.id.clone(),
            label: product.label.clone(),
            product: product.name.clone(),
            amount: product.amount.scaled(share),
            area: task.wall,
        }));
    }

    /// Lays some layers on ground: what lay there is split along its edge.
    fn lay(&mut self, ground: &Region, layers: Vec<Layer>) {
        let whole = ground.area();
        let mut outside = Vec::new();
        let mut met = Vec::new();
        for place in &mut self.places {
            let near =
                matches!((place.ground.bounds(), ground.bounds()), (Some(one), Some(other)) if one.touches(&other));
            if !near {
                continue;
            }
            met.push(place.ground.clone());
            let (common, rest) = place.ground.cut(ground);
            if common.area().ratio(place.area.min(whole)) < SEAM {
                continue;
            }
            if rest.area().ratio(place.area) >= SEAM {
                let area = rest.area();
                outside.push(PlaceTotal { ground: rest, area, layers: place.layers.clone() });
                place.area = common.area();
                place.ground = common;
            }
            place.layers.extend(layers.iter().cloned());
        }
        let rest = ground.difference(&Region::union_all(&met));
        if rest.area().ratio(whole) >= SEAM {
            let area = rest.area();
            outside.push(PlaceTotal { ground: rest, area, layers });
        }
        self.places.append(&mut outside);
    }

    /// What lies over a point; `None` where nothing was put down. On an edge, the place found first.
    pub fn at(&self, point: Point) -> Option<&PlaceTotal> {
        self.places.iter().find(|place| place.ground.contains(point))
    }

    /// How much of a label's product was put down in all; `None` when it was none, or told by volume here
    /// and by weight there.
    pub fn amount_of(&self, label: &str) -> Option<Amount> {
        let on_ground = self.places.iter().flat_map(|place| {
            let layers = place.layers.iter().filter(|layer| layer.label == label);
            layers.map(|layer| layer.per_area.over(place.area))
        });
        let beside = self.off_ground.iter().filter(|off| off.label == label).map(|off| off.amount);
        let mut amounts = on_ground.chain(beside);
        let first = amounts.next()?;
        amounts.try_fold(first, Amount::checked_add)
    }
}

impl PlaceTotal {
    /// Product by product, in the order in which they first came.
    pub fn products(&self) -> Vec<ProductTotal> {
        let mut sums: Vec<(ProductTotal, Vec<Date>)> = Vec::new();
        for layer in &self.layers {
            let held = sums
                .iter_mut()
                .filter(|(sum, _)| sum.label == layer.label)
                .find_map(|held| held.0.per_area.checked_add(layer.per_area).map(|total| (held, total)));
            match held {
                Some(((sum, dates), total)) => {
                    sum.per_area = total;
                    sum.last = sum.last.max(layer.date);
                    if !dates.contains(&layer.date) {
                        dates.push(layer.date);
                    }
                    sum.applications = dates.len();
                }
                None => sums.push((
                    ProductTotal {
                        label: layer.label.clone(),
                        product: layer.product.clone(),
                        applications: 1,
                        last: layer.date,
                        per_area: layer.per_area,
                    },
                    vec![layer.date],
                )),
            }
        }
        sums.into_iter().map(|(sum, _)| sum).collect()
    }

    /// Active ingredient by active ingredient, across products; names are compared without regard to case.
    pub fn active_ingredients(&self) -> Vec<IngredientTotal> {
        let mut sums: Vec<IngredientTotal> = Vec::new();
        for layer in &self.layers {
            for (name, per_area) in layer.active_ingredients.iter().flatten() {
                let held = sums.iter().position(|sum| sum.name.trim().eq_ignore_ascii_case(name.trim()));
                let held = held.unwrap_or_else(|| {
                    let nothing = MassPerArea::ZERO;
                    sums.push(IngredientTotal { name: name.clone(), per_area: nothing, untold: Vec::new() });
                    sums.len() - 1
                });
                match per_area {
                    Some(per_area) => sums[held].per_area += *per_area,
                    None => sums[held].untold.push(layer.product.clone()),
                }
            }
        }
        sums
    }

    /// Products of which the record names no active ingredient: any sum may be too low by them.
    pub fn without_ingredients(&self) -> Vec<&str> {
        let unnamed = self.layers.iter().filter(|layer| layer.active_ingredients.is_none());
        let mut names: Vec<&str> = unnamed.map(|layer| layer.product.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        names
    }
}
