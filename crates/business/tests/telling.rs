//! A treatment told beforehand and afterwards.

mod support;

use business::{Advice, Applied, Treatment, When};
use jiff::civil::date;
use label::{Clause, Label, Statement, UseRow};
use quantity::{Duration, DurationUnit};
use support::visits::{planned, whole};
use treatment::{TaskProduct, label_care};

#[test]
fn a_record_of_the_plan_is_told_like_the_plan_but_as_done() {
    let visit = planned(&whole());
    let before = Treatment::planned(&visit);
    let (start, end) = (date(2026, 7, 7).at(8, 0, 0, 0), date(2026, 7, 7).at(9, 45, 0, 0));
    let applied = Applied {
        visit: before.visit.clone(),
        property: before.property.clone(),
        start,
        end,
        places: before.places.clone(),
        products: before.products.clone(),
        by: before.by.clone(),
        why: before.why.clone(),
        misapplied: Vec::new(),
    };
    let after = Treatment::done(&applied, Advice::of(&visit));
    assert!(after.when.is_done() && !before.when.is_done());
    assert_eq!(after, Treatment { when: When::Done { start, end }, ..before });
}

/// The labels alone, with the rows that governed, ask the same as the plan that was made from them.
#[test]
fn what_the_labels_ask_afterwards_is_what_the_plan_told() {
    let mut request = whole();
    for (index, label) in request.labels.iter_mut().enumerate() {
        let Statement::Stated { clause, .. } = &label.restraints.irrigation else { continue };
        let clause = Clause { text: format!("Do not feed clippings to livestock ({index})."), ..clause.clone() };
        label.restraints.clippings = Statement::Stated { value: "not for feed".to_owned(), clause };
    }
    let visit = planned(&request);
    let parts: Vec<Vec<(&Label, &UseRow)>> = visit
        .tasks
        .iter()
        .map(|task| {
            let of_product = |product: &TaskProduct| {
                let label = request.labels.iter().find(|label| label.id == product.label).expect("a label");
                (label, label.uses.iter().find(|row| row.id == product.use_row).expect("a row"))
            };
            task.products().map(of_product).collect()
        })
        .collect();
    let told = Advice::of_labels(label_care(&parts));
    assert!(told.keep_off_at_least.is_some() && !told.cautions.is_empty());
    assert_eq!(told, Advice::of(&visit));
    assert!(told.afterwards.iter().any(|sentence| sentence.text.contains("clippings")), "{:?}", told.afterwards);
    // Without the rows nothing of their times is known.
    assert_eq!(Advice::of_labels(label_care(&[])).keep_off_at_least, None);
}

#[test]
fn times_of_the_label_count_from_the_end() {
    let visit = planned(&whole());
    let mut told = Treatment::planned(&visit);
    told.when = When::Done { start: date(2026, 7, 7).at(8, 0, 0, 0), end: date(2026, 7, 7).at(9, 45, 0, 0) };
    told.advice.keep_off_at_least = Some(Duration::new(4.0, DurationUnit::Hour));
    told.advice.no_water_for = Some(Duration::new(24.0, DurationUnit::Hour));
    assert_eq!(told.keep_off_until(), Some(date(2026, 7, 7).at(13, 45, 0, 0)));
    assert_eq!(told.no_water_until(), Some(date(2026, 7, 8).at(9, 45, 0, 0)));
    told.advice.keep_off_at_least = None;
    assert_eq!(told.keep_off_until(), None, "a label without a time has no time");
}

#[test]
fn every_task_names_its_places() {
    let told = Treatment::planned(&planned(&whole()));
    assert_eq!(told.places.len(), 3);
    assert!(told.places.iter().all(|place| !place.places.is_empty() && !place.pests.is_empty()));
    assert!(told.why[0].starts_with("grasshopper"), "{:?}", told.why);
}
