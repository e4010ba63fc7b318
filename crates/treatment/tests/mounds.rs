//! Live mounds of fire ants: up to the level one by one, above it the whole lawn.

mod support;

use label::{Claim, Method, PestClaim, Site};
use quantity::{Area, AreaUnit};
use scouting::CountBasis;
use support::{found, planned, whole};
use treatment::{Call, Status, Target, Threshold, Visit, VisitRequest};

const ANT: &str = "red imported fire ant";

/// Live mounds counted on the whole lawn, against five on a quarter acre.
fn with_mounds(mounds: u32) -> VisitRequest {
    let mut asked = whole();
    let lawn = asked.property.lawn().area();
    let finding = &mut asked.findings[0];
    ANT.clone_into(&mut finding.pest);
    finding.stage = None;
    finding.counts = vec![mounds];
    finding.counted_on = vec![CountBasis::Mounds(lawn)];
    finding.threshold = Some(Threshold {
        count: 5.0,
        basis: CountBasis::Mounds(Area::new(0.25, AreaUnit::Acre)),
        stage: None,
        place: None,
        source: "invented for the test".to_owned(),
    });
    asked.tasks.retain(|task| task.id == "lawn");
    for row in &mut asked.labels[0].uses {
        row.pests.push(PestClaim { pest: "fire ants".to_owned(), claim: Claim::Control, stages: Vec::new() });
    }
    asked
}

/// The same with a task on single mounds in place of the lawn, or beside it.
fn singly(mut asked: VisitRequest, beside_the_lawn: bool) -> VisitRequest {
    let mut single = asked.tasks[0].clone();
    "single".clone_into(&mut single.id);
    single.method = Method::Mound;
    single.target = Target::Places { count: 1, site: Site::Turf };
    let rate = support::rate("1 fl oz/mound");
    single.rate = treatment::RateWish::Stated(rate);
    let mut row = asked.labels[0].uses.iter().find(|row| row.method == Method::Broadcast).expect("a row").clone();
    "single-mounds".clone_into(&mut row.id);
    row.method = Method::Mound;
    if let label::Statement::Stated { value, .. } = &mut row.rate {
        (value.lowest, value.highest) = (None, rate);
    }
    asked.labels[0].uses.push(row);
    if beside_the_lawn {
        asked.tasks.push(single);
    } else {
        asked.tasks = vec![single];
    }
    asked
}

fn of_mounds(visit: &Visit) -> Vec<(Status, Option<&str>)> {
    let all = visit.all_verdicts().filter(|verdict| verdict.rule == "finding::mounds");
    all.map(|verdict| (verdict.status, verdict.concerns.as_deref())).collect()
}

#[test]
fn above_the_level_the_lawn_is_broadcast() {
    let visit = planned(&with_mounds(12));
    assert_eq!(visit.findings[0].call, Call::Broadcast);
    assert_eq!(of_mounds(&visit), [(Status::Allowed, None)]);
    let verdict = found(&visit, "finding::mounds", Status::Allowed);
    assert!(verdict.text.starts_with("12 live mounds on"), "{}", verdict.text);
    assert!(verdict.text.contains("mounds per acre, are more than 20.0 mounds per acre"), "{}", verdict.text);
    assert!(!visit.all_verdicts().any(|verdict| verdict.rule == "finding::count-on"));
}

#[test]
fn up_to_the_level_a_task_on_the_lawn_is_refused_and_one_on_single_mounds_is_not() {
    let visit = planned(&with_mounds(1));
    assert_eq!(visit.findings[0].call, Call::MoundsAlone);
    assert_eq!(of_mounds(&visit), [(Status::Refused, Some("lawn"))]);
    let refused = found(&visit, "finding::mounds", Status::Refused);
    assert!(refused.mend.as_ref().is_some_and(|mend| mend.contains("one by one")), "{refused:?}");
    let visit = planned(&singly(with_mounds(1), false));
    assert_eq!(of_mounds(&visit), [(Status::Allowed, Some("single"))]);
}

#[test]
fn no_live_mound_is_nothing_to_treat() {
    let visit = planned(&with_mounds(0));
    assert_eq!(visit.findings[0].call, Call::DoNotTreat);
    let refused = found(&visit, "finding::threshold", Status::Refused);
    // Neither mowing nor watering is anything against mounds that are not there.
    let mend = refused.mend.as_ref().unwrap();
    assert!(mend.starts_with("do not treat: walk the lawn again later"), "{mend}");
}

#[test]
fn no_more_places_are_treated_than_mounds_were_found() {
    let places = |mut asked: VisitRequest, places: u32| {
        let task = asked.tasks.last_mut().expect("a task");
        task.target = Target::Places { count: places, site: Site::Turf };
        planned(&asked)
    };
    assert_eq!(of_mounds(&places(singly(with_mounds(1), false), 1)), [(Status::Allowed, Some("single"))]);
    let more = places(singly(with_mounds(1), false), 3);
    assert_eq!(of_mounds(&more), [(Status::Refused, Some("single"))]);
    let refused = found(&more, "finding::mounds", Status::Refused);
    assert!(refused.text.contains("1 live mound on") && refused.text.ends_with("and 3 places are to be treated"));
    // After a broadcast neither.
    let beside = places(singly(with_mounds(12), true), 13);
    assert_eq!(of_mounds(&beside), [(Status::Allowed, None), (Status::Refused, Some("single"))]);
    // On the rest of the lawn there may be some.
    let mut part = singly(with_mounds(1), false);
    part.findings[0].counted_on = vec![CountBasis::Mounds(Area::new(3_000.0, AreaUnit::SquareFoot))];
    assert_eq!(of_mounds(&places(part, 3)), [(Status::Caution, Some("single"))]);
}

#[test]
fn above_the_level_single_mounds_come_after_the_lawn() {
    let alone = planned(&singly(with_mounds(12), false));
    assert_eq!(of_mounds(&alone), [(Status::Allowed, None), (Status::Caution, Some("single"))]);
    let beside = planned(&singly(with_mounds(12), true));
    assert_eq!(of_mounds(&beside), [(Status::Allowed, None)]);
}

#[test]
fn animals_are_not_held_against_a_level_of_mounds() {
    let mut asked = with_mounds(12);
    let finding = &mut asked.findings[0];
    finding.counted_on = vec![CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot))];
    let visit = planned(&asked);
    assert_eq!(visit.findings[0].call, Call::NotShown);
    let told = found(&visit, "finding::counts", Status::Refused);
    assert!(told.text.contains("mounds per 0.25 acre"), "{}", told.text);
}

/// Twelve mounds on these parts.
fn on_parts(counts: &[u32], feet: f64) -> VisitRequest {
    let mut asked = with_mounds(12);
    asked.findings[0].counts = counts.to_vec();
    asked.findings[0].counted_on = vec![CountBasis::Mounds(Area::new(feet, AreaUnit::SquareFoot))];
    asked
}

#[test]
fn a_part_of_a_larger_lawn_does_not_broadcast_the_whole_of_it() {
    for (counts, told) in [(&[12][..], "one part of 500 sq ft"), (&[2, 0, 0], "mounds per acre with 95 % confidence")] {
        let asked = on_parts(counts, 500.0);
        let visit = planned(&asked);
        assert_eq!(visit.findings[0].call, Call::MoundsAlone, "{counts:?}");
        assert_eq!(of_mounds(&visit), [(Status::Refused, Some("lawn"))]);
        let refused = found(&visit, "finding::mounds", Status::Refused);
        assert!(refused.text.contains("says too little of the whole lawn"), "{}", refused.text);
        assert!(refused.mend.as_ref().is_some_and(|mend| mend.starts_with("walk the whole lawn")), "{refused:?}");
        let cautions = visit.all_verdicts().filter(|verdict| verdict.rule == "finding::counts");
        assert!(cautions.map(|verdict| &verdict.text).any(|text| text.contains(told)), "{told}");
        // Each by itself all the same.
        assert_eq!(of_mounds(&planned(&singly(asked, false))), [(Status::Allowed, Some("single"))]);
    }
    // Parts that leave the level out tell of the whole.
    let many = planned(&on_parts(&[12, 11, 13, 12, 10, 14], 500.0));
    assert_eq!((many.findings[0].call, of_mounds(&many)), (Call::Broadcast, vec![(Status::Allowed, None)]));
}
