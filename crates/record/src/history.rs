//! Records as the past that the next visit is planned with.

use crate::application::ApplicationRecord;
use crate::ground::{extent, is_of, laid_on, reach};
use crate::task::{ProductRecord, TaskRecord, is_something};
use jiff::civil::Date;
use label::Site;
use property::Property;
use quantity::{Amount, AmountPerArea, MassPerArea, VolumePerArea};
use treatment::{Application, History, Place};

/// The past as planning reads it, and what of the records it cannot hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Past {
    /// Every product of every task, on its ground.
    pub history: History,
    /// What counts only by its date: how much of it lies where cannot be told.
    pub gaps: Vec<HistoryGap>,
}

/// Something of which the records do not say how much lies where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HistoryGap {
    /// The day.
    pub date: Date,
    /// The task.
    pub task: String,
    /// The product.
    pub product: String,
    /// Why, in words.
    pub why: String,
}

/// The past that records tell of a property. `complete_since` is the day from which on nothing is missing among
/// them; `None` when nothing ever was.
///
/// What lies elsewhere does not count: a record whose [`extent`] is outside the property's [`reach`] tells nothing.
///
/// A task without drawn ground, on a map of this lot, lies by its site on all turf, at the structures, or on the
/// whole property: the strict reading. Where it has no area either (counted mounds), only its date and number
/// count; such gaps are told, since no cap per area is proved then.
pub fn history<'r>(
    records: impl IntoIterator<Item = &'r ApplicationRecord>,
    property: &Property,
    complete_since: Option<Date>,
) -> Past {
    let (plane, reach) = (property.plane(), reach(property));
    let (mut applications, mut gaps) = (Vec::new(), Vec::new());
    for record in records {
        if let (Some(extent), Some(reach)) = (extent(record), reach)
            && !extent.overlaps(reach)
        {
            continue;
        }
        let (own, is_of_this) = (record.plane(), is_of(record, property));
        for task in &record.tasks {
            let region = task.region();
            if region.is_empty() && !is_of_this {
                continue;
            }
            let ground = laid_on(&region, &own, plane);
            for product in task.products.iter().filter(|product| is_something(product.amount)) {
                let mut gap = |why: &str| {
                    gaps.push(HistoryGap {
                        date: record.date,
                        task: task.id.clone(),
                        product: product.name.clone(),
                        why: why.to_owned(),
                    });
                };
                let place = match &ground {
                    Some(ground) if !ground.is_empty() => Place::Ground(ground.clone()),
                    Some(_) => place_of_site(task),
                    None => {
                        gap("its ground cannot be laid on the map: it counts on the whole property");
                        Place::Everywhere
                    }
                };
                let per_area = task.per_area(product).unwrap_or_else(|| {
                    gap("it has no area: only its date and number count, and no cap per area is proved");
                    nothing_of(product.amount)
                });
                applications.push(application(record.date, product, per_area, place));
            }
        }
    }
    applications.sort_by_key(|application| application.date);
    Past { history: History::Known { complete_since, applications }, gaps }
}

fn application(date: Date, product: &ProductRecord, per_area: AmountPerArea, place: Place) -> Application {
    // Ingredients of which one is not told are left to the label on the shelf.
    let told: Option<Vec<(String, MassPerArea)>> = product
        .ingredients_per_area(per_area)
        .and_then(|all| all.into_iter().map(|(name, per_area)| Some((name, per_area?))).collect());
    let mut groups: Vec<&str> = product
        .active_ingredients
        .value()
        .into_iter()
        .flatten()
        .filter_map(|ingredient| ingredient.group.as_deref())
        .collect();
    groups.dedup();
    let group = if let [group] = groups.as_slice() { Some((*group).to_owned()) } else { None };
    Application {
        date,
        product: product.label.clone(),
        per_area,
        active_ingredients: told.unwrap_or_default(),
        group,
        place,
    }
}

const fn nothing_of(amount: Amount) -> AmountPerArea {
    match amount {
        Amount::Volume(_) => AmountPerArea::Volume(VolumePerArea::ZERO),
        Amount::Mass(_) => AmountPerArea::Mass(MassPerArea::ZERO),
    }
}

fn place_of_site(task: &TaskRecord) -> Place {
    match task.sites.value().map(Vec::as_slice) {
        Some([Site::Turf]) => Place::Turf,
        Some([Site::StructurePerimeter | Site::EntryPoint]) => Place::Band(None),
        _ => Place::Everywhere,
    }
}
