//! What a record as done has otherwise than the record as planned, in words.

use crate::application::{ApplicationRecord, Difference, Leftover};
use crate::fact::Fact;
use crate::task::{Fill, Tank, TaskRecord};
use quantity::{Amount, AmountUnit, AreaUnit, MassUnit, VolumeUnit};

/// Areas and amounts that differ by less than this share are the same.
const HAIR: f64 = 1e-9;

/// Every difference, in the order of the record. Facts that the plan could not know (times, weather, lots)
/// are no differences.
pub(crate) fn differences(planned: &ApplicationRecord, done: &ApplicationRecord) -> Vec<Difference> {
    let mut found = Vec::new();
    if planned.date != done.date {
        found.push(differs("date", planned.date.to_string(), done.date.to_string()));
    }
    for (subject, was, is) in [
        ("applicator", &planned.applicator, &done.applicator),
        ("certification number", &planned.certification_number, &done.certification_number),
        ("supervisor", &planned.supervisor, &done.supervisor),
        ("noncertified applicator", &planned.noncertified_applicator, &done.noncertified_applicator),
    ] {
        if !was.is_absent() && was != is {
            found.push(differs(subject, fact_words(was), fact_words(is)));
        }
    }
    for task in &planned.tasks {
        match done.task(&task.id) {
            Some(as_done) => of_task(task, as_done, &mut found),
            None => found.push(differs(format!("task {}", task.id), "carried out", "not carried out")),
        }
    }
    for task in &done.tasks {
        if planned.task(&task.id).is_none() {
            let area = area_words(task.area());
            found.push(differs(format!("task {}", task.id), "not planned", format!("carried out on {area}")));
        }
    }
    of_leftovers(planned, done, &mut found);
    found
}

/// What was left and was not, or was less or more; what was told of a tank before is held against what is told now.
fn of_leftovers(planned: &ApplicationRecord, done: &ApplicationRecord, found: &mut Vec<Difference>) {
    let of = |record: &ApplicationRecord| record.leftover.value().cloned().unwrap_or_default();
    let (was, is) = (of(planned), of(done));
    let is_same = |one: &Leftover, other: &Leftover| one.task == other.task && one.tank == other.tank;
    for left in &is {
        let before = was.iter().find(|before| is_same(before, left));
        let is_as_before = |before: &Leftover| before.spray == left.spray && before.products == left.products;
        if !before.is_some_and(is_as_before) {
            let before = before.map_or_else(|| "nothing".to_owned(), left_words);
            found.push(differs(left_subject(left), before, left_words(left)));
        }
    }
    for left in was.iter().filter(|left| !is.iter().any(|one| is_same(one, left))) {
        found.push(differs(left_subject(left), left_words(left), "nothing"));
    }
}

fn left_subject(left: &Leftover) -> String {
    let tank = left.tank.map_or_else(String::new, |number| format!(", tank {number}"));
    format!("task {}{tank}, leftover", left.task)
}

fn left_words(left: &Leftover) -> String {
    left.spray.map_or_else(
        || left.products.iter().map(|amount| amount_words(*amount)).collect::<Vec<_>>().join(", "),
        |spray| format!("{} of spray", volume_words(spray)),
    )
}

fn differs(subject: impl Into<String>, planned: impl Into<String>, done: impl Into<String>) -> Difference {
    Difference { subject: subject.into(), planned: planned.into(), done: done.into() }
}

fn of_task(planned: &TaskRecord, done: &TaskRecord, found: &mut Vec<Difference>) {
    let subject = format!("task {}", planned.id);
    if planned.equipment != done.equipment && !planned.equipment.is_absent() {
        let words = (fact_words(&planned.equipment), fact_words(&done.equipment));
        found.push(differs(format!("{subject}, equipment"), words.0, words.1));
    }
    for (what, was, is) in [("ground", planned.ground, done.ground), ("wall", planned.wall, done.wall)] {
        if !same(is.ratio(was)) && (was.is_positive() || is.is_positive()) {
            found.push(differs(format!("{subject}, {what}"), area_words(was), area_words(is)));
        } else if what == "ground" && planned.zones != done.zones {
            let off = planned.region().difference(&done.region()).area();
            let words = format!("as much ground, of which {} lies elsewhere", area_words(off));
            found.push(differs(format!("{subject}, ground"), area_words(was), words));
        }
    }
    if planned.places != done.places {
        let words = |places: &Fact<u32>| places.value().map_or_else(|| "none".to_owned(), u32::to_string);
        found.push(differs(format!("{subject}, places"), words(&planned.places), words(&done.places)));
    }
    for (index, tank) in done.tanks.iter().enumerate() {
        of_tank(&format!("{subject}, tank {}", index + 1), tank, done, found);
    }
}

fn of_tank(subject: &str, tank: &Tank, task: &TaskRecord, found: &mut Vec<Difference>) {
    match (&tank.planned, &tank.filled) {
        (Some(_), None) => found.push(differs(subject, "filled", "not filled")),
        (None, Some(fill)) => found.push(differs(subject, "not planned", fill_words(fill, task))),
        (Some(planned), Some(filled)) => {
            if let (Some(was), Some(is)) = (planned.spray, filled.spray)
                && !same(is.ratio(was))
            {
                found.push(differs(format!("{subject}, spray"), volume_words(was), volume_words(is)));
            }
            for ((product, was), is) in task.products.iter().zip(&planned.products).zip(&filled.products) {
                if !is.ratio(*was).is_some_and(same) {
                    found.push(differs(format!("{subject}, {}", product.name), amount_words(*was), amount_words(*is)));
                }
            }
            if let (Fact::Recorded(was), Fact::Recorded(is)) = (planned.covered, filled.covered)
                && !same(is.ratio(was))
            {
                found.push(differs(format!("{subject}, area covered"), area_words(was), area_words(is)));
            }
        }
        (None, None) => {}
    }
}

fn fill_words(fill: &Fill, task: &TaskRecord) -> String {
    let products = task.products.iter().zip(&fill.products);
    let mut parts: Vec<String> =
        products.map(|(product, amount)| format!("{} of {}", amount_words(*amount), product.name)).collect();
    parts.extend(fill.spray.map(|spray| format!("in {} of spray", volume_words(spray))));
    parts.join(" ")
}

fn same(ratio: f64) -> bool {
    (ratio - 1.0).abs() < HAIR
}

fn fact_words(fact: &Fact<String>) -> String {
    match fact {
        Fact::Recorded(words) => words.clone(),
        Fact::DoesNotArise => "none".to_owned(),
        Fact::Absent => "not said".to_owned(),
    }
}

pub(crate) fn area_words(area: quantity::Area) -> String {
    format!("{} ({})", area.show(AreaUnit::SquareFoot), area.show(AreaUnit::SquareMetre))
}

pub(crate) fn volume_words(volume: quantity::Volume) -> String {
    format!("{} ({})", volume.show(VolumeUnit::UsGallon), volume.show(VolumeUnit::Litre))
}

pub(crate) fn amount_words(amount: Amount) -> String {
    let (trade, metric) = match amount {
        Amount::Volume(_) => (AmountUnit::Volume(VolumeUnit::UsFluidOunce), AmountUnit::Volume(VolumeUnit::Millilitre)),
        Amount::Mass(_) => (AmountUnit::Mass(MassUnit::Ounce), AmountUnit::Mass(MassUnit::Gram)),
    };
    let shown = |unit| amount.show(unit).unwrap_or_default();
    format!("{} ({})", shown(trade), shown(metric))
}
