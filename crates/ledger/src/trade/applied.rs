//! A record, as those who live there are told of it.

use business::{Applied, AppliedProduct, TreatedPlace, names_of_places};
use problem::{Problem, Problems};
use quantity::Amount;
use record::{ApplicationRecord, Moment, ProductRecord, TaskRecord};
use treatment::{Applicator, Visit};

/// What was applied on a visit, as its papers need it.
///
/// # Errors
/// `applied::no-time` when the record does not say when the work began or ended: the times until which people
/// and pets keep off, and no water is given, count from there.
pub fn applied(record: &ApplicationRecord, visit: &Visit, why: Vec<String>) -> Result<Applied, Problems> {
    let mut problems = Problems::new();
    let mut time = |told: Option<&Moment>, field: &'static str| {
        if told.is_none() {
            problems.push(
                Problem::error("applied::no-time", format!("nothing says when the work {field}"))
                    .expected("the time on the clock of the place, such as `07:05`")
                    .mend(format!("write `{field}` into the as-applied file"))
                    .at(field),
            );
        }
        told.map(|moment| moment.local)
    };
    let (start, end) = (time(record.started.value(), "started"), time(record.ended.value(), "ended"));
    let (Some(start), Some(end)) = (start, end) else { return Err(problems) };
    Ok(Applied {
        visit: record.name.clone(),
        property: record.property.name.clone(),
        start,
        end,
        places: record.tasks.iter().map(|task| place(task, visit)).collect(),
        products: products(record),
        by: people(record),
        why,
    })
}

fn place(task: &TaskRecord, visit: &Visit) -> TreatedPlace {
    TreatedPlace {
        places: names_of_places(visit, task.zones.iter().map(|zone| (zone.id.as_str(), zone.kind)), &task.id),
        method: task.method,
        products: task.products.iter().map(|product| product.name.clone()).collect(),
        pests: task.pest.value().cloned().into_iter().collect(),
        ground: task.ground,
        wall: task.wall,
    }
}

/// Each product once, with what was put down of it over all tasks.
fn products(record: &ApplicationRecord) -> Vec<AppliedProduct> {
    let mut found: Vec<(&ProductRecord, Option<Amount>)> = Vec::new();
    for product in record.tasks.iter().flat_map(|task| &task.products) {
        match found.iter_mut().find(|(one, _)| one.label == product.label) {
            Some((_, amount)) => *amount = amount.and_then(|amount| amount.checked_add(product.amount)),
            None => found.push((product, Some(product.amount))),
        }
    }
    let told = |(product, amount): (&ProductRecord, Option<Amount>)| AppliedProduct {
        name: product.name.clone(),
        registration_number: product.registration_number.value().cloned(),
        active_ingredients: product
            .active_ingredients
            .value()
            .into_iter()
            .flatten()
            .map(|ingredient| ingredient.name.clone())
            .collect(),
        amount,
    };
    found.into_iter().map(told).collect()
}

/// Who applied it, and who answered for it.
fn people(record: &ApplicationRecord) -> Vec<Applicator> {
    let number = record.certification_number.value().cloned();
    let certified =
        |name: &String| Applicator { name: name.clone(), certification: number.clone(), certified: number.is_some() };
    let supervised = record.noncertified_applicator.value();
    let by_whom = supervised.map(|name| Applicator { name: name.clone(), certification: None, certified: false });
    let answers = record.supervisor.value().or(record.applicator.value()).map(certified);
    let mut people: Vec<Applicator> = by_whom.into_iter().chain(answers).collect();
    people.dedup_by(|one, other| one.name == other.name);
    people
}
