//! Hot spots: inside treatable ground, each place once, areas that add up, amounts by the ground.

mod support;

use geometry::{Point, Region};
use label::{Method, Statement};
use proptest::prelude::*;
use quantity::{AmountUnit, Area, AreaUnit, MassUnit, VolumeUnit};
use scouting::CountAt;
use support::{TODAY, clause, found, planned, task, whole};
use treatment::{Status, SurveyTold, Target, Visit, VisitRequest, Way, ZoneUse, plan};

const FOOT: f64 = 0.3048;

/// Counts on a grid over the lot, many round a middle and few elsewhere.
fn counted_round(asked: &mut VisitRequest, middle: (f64, f64), most: u32, columns: u32) {
    let bounds = asked.property.boundary().bounds().unwrap();
    let (west, south) = bounds.south_west().metres();
    let mut places = Vec::new();
    for column in 0..columns {
        for row in 0..4 {
            let (x, y) = (8.0 + 94.0 * f64::from(column) / f64::from(columns - 1), 8.0 + 38.0 * f64::from(row));
            let far = (x - middle.0).hypot(y - middle.1);
            let count = (f64::from(most) * (-far * far / 800.0).exp()).round() as u32;
            places.push(CountAt { at: Point::from_metres(west + x * FOOT, south + y * FOOT), count });
        }
    }
    let finding = &mut asked.findings[0];
    finding.counts = places.iter().map(|place| place.count).collect();
    finding.survey = Some(SurveyTold {
        name: "places.toml".to_owned(),
        date: TODAY,
        method: "frame".to_owned(),
        by: "A. Tester".to_owned(),
        places,
    });
}

fn by_spots(middle: (f64, f64), most: u32) -> VisitRequest {
    let mut asked = whole();
    asked.tasks.retain(|task| task.id != "hedge");
    asked.tasks[0].target = Target::HotSpots { may_stay: 0.1 };
    counted_round(&mut asked, middle, most, 4);
    asked
}

fn treated(visit: &Visit) -> Vec<&Region> {
    let mine = visit.zones.iter().filter(|zone| zone.use_of == ZoneUse::Treated("lawn".to_owned()));
    mine.map(|zone| &zone.region).collect()
}

fn millilitres(way: &Way) -> f64 {
    way.products[0].amount.to(AmountUnit::Volume(VolumeUnit::Millilitre)).unwrap()
}

fn feet(area: Area) -> f64 {
    area.to(AreaUnit::SquareFoot)
}

#[test]
fn spots_take_less_and_stand_beside_broadcast() {
    let mut asked = by_spots((95.0, 85.0), 14);
    let visit = planned(&asked);
    let both = &visit.side_by_side[0];
    assert!(both.is_by_spots && both.task == "lawn");
    assert!(feet(both.spots.ground) > 50.0 && both.spots.ground < both.broadcast.ground * 0.9, "{both:?}");
    // The side of the plan is what the task itself says; both go by the ground.
    let lawn = visit.tasks.iter().find(|task| task.id == "lawn").unwrap();
    assert!((lawn.ground.ratio(both.spots.ground) - 1.0).abs() < 1e-12);
    assert!((lawn.product.amount.ratio(both.spots.products[0].amount).unwrap() - 1.0).abs() < 1e-9);
    let share = both.spots.ground.ratio(both.broadcast.ground);
    assert!((millilitres(&both.spots) / millilitres(&both.broadcast) / share - 1.0).abs() < 1e-9);
    // 0.4 fl oz/1,000 sq ft of 1 lb/gal.
    let pounds = both.broadcast.products[0].active_ingredients[0].1.unwrap().to(MassUnit::Pound);
    assert!((pounds / (feet(both.broadcast.ground) / 1_000.0 * 0.4 / 128.0) - 1.0).abs() < 1e-9);
    // Broadcast beside it is what a task on the whole lawn treats, and has the same two columns.
    asked.tasks[0].target = Target::Turf;
    let whole = planned(&asked);
    let again = &whole.side_by_side[0];
    let broadcast = whole.tasks.iter().find(|task| task.id == "lawn").unwrap().ground;
    assert!(!again.is_by_spots && (broadcast.ratio(both.broadcast.ground) - 1.0).abs() < 1e-6);
    assert!((again.spots.ground.ratio(both.spots.ground) - 1.0).abs() < 0.02, "{again:?} {both:?}");
    let reasons = visit
        .zones
        .iter()
        .filter(|zone| matches!(&zone.use_of, ZoneUse::NotTreated(why) if why.contains("no hot spot")));
    assert_eq!(reasons.count(), 1);
}

#[test]
fn a_lawn_under_the_threshold_may_have_spots_over_it() {
    let mut asked = by_spots((94.0, 58.0), 30);
    counted_round(&mut asked, (94.0, 58.0), 30, 7);
    asked.findings[0].threshold.as_mut().unwrap().count = 54.0;
    let visit = planned(&asked);
    assert!(!matches!(visit.findings[0].call, treatment::Call::Treat), "{:?}", visit.findings[0]);
    let spots = found(&visit, "finding::spots", Status::Caution);
    assert_eq!(spots.concerns.as_deref(), Some("lawn"));
    // The counts in the spots speak for them, and the share of their ground that is expected to be infested.
    assert!(spots.text.contains("of 28 in the spots alone come to"), "{}", spots.text);
    assert!(spots.text.contains("of their ground is expected to be at the threshold"), "{}", spots.text);
    // The band rests on the same finding, and is refused.
    let refused = visit
        .all_verdicts()
        .filter(|verdict| verdict.rule.starts_with("finding::") && verdict.status == Status::Refused);
    let on: Vec<_> = refused.filter_map(|verdict| verdict.concerns.as_deref()).collect();
    assert_eq!(on, ["perimeter"]);
}

#[test]
fn one_high_count_is_no_spot() {
    let mut asked = by_spots((100.0, 84.0), 30);
    // One place where thirty were found, among twelve; its own square is more likely infested than not.
    counted_round(&mut asked, (100.0, 84.0), 30, 3);
    asked.findings[0].threshold.as_mut().unwrap().count = 54.0;
    let visit = planned(&asked);
    assert!(!matches!(visit.findings[0].call, treatment::Call::Treat), "{:?}", visit.findings[0]);
    assert!(!visit.all_verdicts().any(|verdict| verdict.rule == "finding::spots"));
    let refused = visit.all_verdicts().find(|verdict| {
        verdict.concerns.as_deref() == Some("lawn")
            && verdict.rule.starts_with("finding::")
            && verdict.status == Status::Refused
    });
    assert!(refused.unwrap().text.contains("spots are not shown either: 1 count of 12 in the spots"), "{refused:?}");
}

#[test]
fn the_labels_spot_is_kept() {
    let mut asked = by_spots((95.0, 85.0), 14);
    let mut row = asked.labels[0].uses[0].clone();
    "spots".clone_into(&mut row.id);
    row.method = Method::Spot;
    row.spot_area =
        Statement::Stated { value: Area::new(2.0, AreaUnit::SquareFoot), clause: clause("Spots of 2 sq ft.") };
    asked.labels[0].uses.push(row);
    asked.tasks[0].method = Method::Spot;
    assert!(found(&planned(&asked), "ground::spot-area", Status::Refused).text.contains("the label's 2.00 sq ft"));
    asked.labels[0].uses[3].spot_area =
        Statement::Stated { value: Area::new(1.0, AreaUnit::Acre), clause: clause("Spots of an acre.") };
    found(&planned(&asked), "ground::spot-area", Status::Allowed);
}

#[test]
fn without_places_there_are_no_spots() {
    let mut asked = by_spots((95.0, 85.0), 14);
    asked.findings[0].survey.as_mut().unwrap().places.truncate(7);
    let few = plan(&asked).unwrap_err();
    assert_eq!(few.iter().next().unwrap().code, "scouting::surface-few");
    assert_eq!(few.iter().next().unwrap().place.path.as_deref(), Some("task[1].target"));
    asked.findings[0].threshold = None;
    assert!(plan(&asked).unwrap_err().to_string().contains("visit::no-hot-spots"));
    asked.findings.clear();
    asked.tasks.iter_mut().for_each(|task| task.pest = Some("grasshopper".to_owned()));
    assert!(plan(&asked).unwrap_err().to_string().contains("visit::no-hot-spots"));
}

#[test]
fn few_infested_are_told_beside_broadcast() {
    let mut asked = whole();
    asked.tasks = vec![task("lawn", Method::Broadcast, "0.2 fl oz/1,000 sq ft", Some("lawn"), Target::Turf)];
    counted_round(&mut asked, (104.0, 8.0), 60, 5);
    asked.findings[0].threshold.as_mut().unwrap().count = 60.0;
    let visit = planned(&asked);
    let both = &visit.side_by_side[0];
    let told = visit.all_verdicts().any(|verdict| verdict.rule == "finding::few-infested");
    assert_eq!(told, both.infested.ratio(both.broadcast.ground) < 0.1, "{both:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn spots_are_inside_apart_and_add_up(x in 10.0..100.0f64, y in 10.0..120.0f64, most in 3..20u32) {
        let asked = by_spots((x, y), most);
        let visit = match plan(&asked) {
            Ok(visit) => visit,
            // Counts round a roof may leave nothing to draw.
            Err(problems) => { prop_assert!(problems.to_string().contains("scouting::surface"), "{}", problems); return Ok(()); }
        };
        let lot = visit.property.boundary().area();
        let sum: Area = visit.zones.iter().map(|zone| zone.area).sum();
        prop_assert!((sum.ratio(lot) - 1.0).abs() < 1e-7);
        let spots = treated(&visit);
        let ground: Area = spots.iter().map(|spot| spot.area()).sum();
        let lawn = visit.tasks.iter().find(|task| task.id == "lawn").unwrap();
        prop_assert!(feet(ground - lawn.ground).abs() <= feet(lot) * 1e-7);
        for (index, spot) in spots.iter().enumerate() {
            prop_assert!(spot.difference(visit.property.lawn()).area() <= lot * 1e-8);
            for setback in &visit.setbacks {
                prop_assert!(spot.intersection(&setback.region).area() <= lot * 1e-8, "{}", setback.feature);
            }
            for other in &spots[..index] {
                prop_assert!(spot.intersection(other).area() <= lot * 1e-8);
            }
        }
        for zone in visit.zones.iter().filter(|zone| zone.use_of != ZoneUse::Treated("lawn".to_owned())) {
            let common: Area = spots.iter().map(|spot| spot.intersection(&zone.region).area()).sum();
            prop_assert!(common <= lot * 1e-8, "{}", zone.id);
        }
        if let Some(both) = visit.side_by_side.first() {
            prop_assert!(both.spots.ground <= both.broadcast.ground * (1.0 + 1e-9));
            let (part, all) = (millilitres(&both.spots), millilitres(&both.broadcast));
            prop_assert!((part * feet(both.broadcast.ground) - all * feet(both.spots.ground)).abs() <= 1e-6 * all * feet(both.broadcast.ground));
        }
    }
}
