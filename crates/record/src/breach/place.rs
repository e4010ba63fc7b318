//! What several tasks of one record put on the same ground: a leftover on turf that was treated before, a band over
//! a lawn. For one application it counts together.

use super::{Judge, is_above};
use crate::application::{ApplicationRecord, Breach};
use crate::totals::{Layer, PlaceTotal, totals};
use label::{Clause, Label};
use quantity::{AmountPerArea, AreaUnit, Rate};

/// The places where one product of several tasks is more than its label allows in one application: of each label
/// the place where the most lies.
pub(super) fn breaches(record: &ApplicationRecord, labels: &[Label]) -> Vec<Breach> {
    // Only what several tasks put down under one label can lie together; the overlays are left out where nothing did.
    let is_of_several = |label: &&Label| {
        let uses = |task: &&crate::TaskRecord| task.products.iter().any(|product| product.label == label.id);
        record.tasks.iter().filter(uses).count() > 1
    };
    let labels: Vec<&Label> = labels.iter().filter(is_of_several).collect();
    if labels.is_empty() {
        return Vec::new();
    }
    let places = totals([record], &record.plane(), (record.date, record.date)).places;
    let mut found: Vec<(AmountPerArea, Breach)> = Vec::new();
    for place in &places {
        for (lies, breach) in labels.iter().filter_map(|label| on_place(record, label, place)) {
            let held = found.iter_mut().find(|(_, held)| held.label == breach.label);
            match held {
                Some(held) if lies.ratio(held.0).is_some_and(|times| times > 1.0) => *held = (lies, breach),
                Some(_) => {}
                None => found.push((lies, breach)),
            }
        }
    }
    found.into_iter().map(|(_, breach)| breach).collect()
}

fn on_place(record: &ApplicationRecord, label: &Label, place: &PlaceTotal) -> Option<(AmountPerArea, Breach)> {
    let layers: Vec<&Layer> = place.layers.iter().filter(|layer| layer.label == label.id).collect();
    // What one task put there is judged with the task.
    let [first, rest @ ..] = layers.as_slice() else { return None };
    let last = rest.last()?;
    let lies = rest.iter().try_fold(first.per_area, |sum, layer| sum.checked_add(layer.per_area))?;
    let task = record.task(&last.task)?;
    let product = task.products.iter().find(|product| product.label == label.id)?;
    let judge = Judge { task, product, label };
    let row = judge.row()?;
    let single = row.maximum_single.value().zip(row.maximum_single.clause());
    let highest = row.rate.value().map(|range| &range.highest).zip(row.rate.clause());
    let passed = |(most, clause)| -> Option<(&Rate, &Clause)> {
        let most: &Rate = most;
        is_above(lies.ratio(most.per_area()?)).then_some((most, clause))
    };
    let (most, clause) = single.and_then(passed).or_else(|| highest.and_then(passed))?;
    let mut tasks: Vec<&str> = layers.iter().map(|layer| layer.task.as_str()).collect();
    tasks.dedup();
    let text = format!(
        "{} lies on {} that {} treated, over the {most} of one application",
        most.like_per_area(lies).map_or_else(String::new, |rate| rate.to_string()),
        place.area.show(AreaUnit::SquareFoot),
        tasks.join(" and "),
    );
    Some((lies, judge.breach("breach::maximum-single-of-place", text, clause)))
}
