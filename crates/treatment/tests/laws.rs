//! The laws of the house, over generated lots: laws 1 (every square foot once), 2 (distance means
//! distance), 3 (never above the label), 4 (same input, same visit), 6 (no number without its unit
//! and origin) and 7 (no silent guess). `PROPTEST_CASES` asks for more cases.

mod support;

use geometry::Shape;
use proptest::prelude::*;
use quantity::{AmountUnit, Area, AreaUnit, LengthUnit, VolumeUnit};
use support::{Drawing, Drawn, Lie, area, concentrate, property, rate, rectangle, request};
use treatment::{History, RateWish, Status, Visit, VisitRequest, ZoneUse, plan};

/// A lot with a house of five or six corners, drives, beds, a creek and hives, all apart or touching.
#[derive(Debug, Clone)]
struct Lot {
    width: f64,
    depth: f64,
    house: (f64, f64, f64, f64),
    notch: f64,
    creek: f64,
    hive: (f64, f64),
    free: (f64, f64),
    lie: Lie,
}

prop_compose! {
    fn lots()(
        width in 60.0..220.0f64,
        depth in 90.0..240.0f64,
        left in 0.15..0.35f64,
        front in 0.35..0.5f64,
        house_width in 0.25..0.45f64,
        house_depth in 0.15..0.25f64,
        notch in 0.0..0.5f64,
        creek in -40.0..-1.0f64,
        hive in (5.0..80.0f64, 0.1..0.9f64),
        free in (-6.0..1.0f64, 0.05..0.9f64),
        longitude in -179.0..179.0f64,
        latitude in -60.0..60.0f64,
        turned in 0.0..360.0f64,
    ) -> Lot {
        Lot {
            width,
            depth,
            house: (width * left, depth * front, width * house_width, depth * house_depth),
            notch,
            creek,
            hive: (width + hive.0, depth * hive.1),
            free,
            lie: Lie { longitude, latitude, turned },
        }
    }
}

impl Lot {
    fn drawn(&self) -> Vec<Drawn> {
        let (x, y, w, d) = self.house;
        let cut = self.notch * w * 0.5;
        let house = if self.notch < 0.1 {
            rectangle("house", "structure", x, y, w, d)
        } else {
            area(
                "house",
                "structure",
                &[(x, y), (x + w, y), (x + w, y + d), (x + cut, y + d), (x + cut, y + d * 0.6), (x, y + d * 0.6)],
            )
        };
        let bed = (self.width * 0.1).min(14.0);
        vec![
            rectangle("lot", "boundary", 0.0, 0.0, self.width, self.depth),
            house,
            rectangle("driveway", "paved", x + w * 0.6, 0.0, w * 0.3, y),
            rectangle("vegetables", "edible", self.width - bed - 2.0, self.depth - bed - 2.0, bed, bed),
            rectangle("perennials", "ornamental-in-bloom", 1.0, self.depth - bed - 2.0, bed, bed),
            rectangle("hedge", "ornamental", self.width - bed, 4.0, bed, 4.0),
            Drawn {
                id: "creek",
                kind: "water",
                shape: Drawing::Line,
                points: vec![(self.creek, -20.0), (self.creek, self.depth + 20.0)],
            },
            Drawn { id: "hives", kind: "hive", shape: Drawing::Point, points: vec![self.hive] },
            // Kept free whatever lies there: against or over the house, over the lot's corner, over each other.
            rectangle("sandbox", "play-area", x + w + self.free.0, y + d * self.free.1, 8.0, 6.0),
            rectangle("kennel", "pet-area", 0.0, 0.0, self.width * 0.1, self.depth * 0.05),
            rectangle("power-line", "no-go", self.width * 0.05, -5.0, 6.0, self.depth * self.free.1),
        ]
    }

    fn request(&self) -> VisitRequest {
        request(property(&self.drawn(), self.lie), self.lie.turned)
    }
}

fn planned(request: &VisitRequest) -> Visit {
    plan(request).unwrap_or_else(|problems| panic!("{problems}"))
}

proptest! {
    /// Law 1: the zones are disjoint and complete, and each is treated or says why not.
    #[test]
    fn every_square_foot_once(lot in lots()) {
        let visit = planned(&lot.request());
        let whole = visit.property.boundary().area();
        let sum: Area = visit.zones.iter().map(|zone| zone.area).sum();
        prop_assert!(((sum - whole).ratio(whole)).abs() < 1e-6, "{} of {}", sum.to(AreaUnit::SquareMetre), whole.to(AreaUnit::SquareMetre));
        for (index, zone) in visit.zones.iter().enumerate() {
            for other in &visit.zones[index + 1..] {
                let common = zone.region.intersection(&other.region).area();
                prop_assert!(common.ratio(whole) < 1e-6, "{} and {} share ground", zone.id, other.id);
            }
            let outside = zone.region.difference(visit.property.boundary()).area();
            prop_assert!(outside.ratio(whole) < 1e-6);
            if let ZoneUse::NotTreated(reason) = &zone.use_of {
                prop_assert!(!reason.is_empty());
            }
        }
    }

    /// Nothing is treated where play, pets or a no-go keep the ground free.
    #[test]
    fn what_is_kept_free_is_never_treated(lot in lots(), lawn_drawn: bool) {
        let mut drawn = lot.drawn();
        if lawn_drawn {
            // A strip of lawn behind the house, the rest of the lot is left to be what it is.
            drawn.push(rectangle("back", "turf", 0.0, lot.house.1 + lot.house.3 + 1.0, lot.width, 6.0));
            drawn.retain(|feature| feature.id != "sandbox");
            drawn.push(rectangle("sandbox", "play-area", 5.0, lot.house.1 + lot.house.3 + 2.0, 8.0, 3.0));
        }
        let Ok((property, _)) = property::Property::new("lot", &lot.lie.map(&drawn)) else {
            return Err(TestCaseError::reject("the strip crosses a bed"));
        };
        let visit = planned(&request(property, lot.lie.turned));
        for id in ["sandbox", "kennel", "power-line"] {
            let free = visit.property.feature(id).unwrap().region().unwrap();
            for zone in visit.zones.iter().filter(|zone| matches!(zone.use_of, ZoneUse::Treated(_))) {
                let common = zone.region.intersection(free).area();
                prop_assert!(common.ratio(free.area()) < 1e-6, "{} lies on {id}", zone.id);
            }
        }
        let sum: Area = visit.zones.iter().map(|zone| zone.area).sum();
        prop_assert!((sum.ratio(visit.property.boundary().area()) - 1.0).abs() < 1e-6);
    }

    /// Law 2: no treated corner lies nearer to water, food or bloom than is kept.
    #[test]
    fn distance_means_distance(lot in lots()) {
        let visit = planned(&lot.request());
        for zone in visit.zones.iter().filter(|zone| zone.use_of == ZoneUse::Treated("lawn".to_owned())) {
            let kept = [("creek", 25.0), ("vegetables", 6.0), ("perennials", 5.0)];
            for (id, feet) in kept {
                let feature = visit.property.feature(id).unwrap();
                let Some((from, to)) = zone.region.nearest_approach(feature.shape()) else { continue };
                let near = from.distance_to(to).to(LengthUnit::Foot);
                prop_assert!(near > feet - 1e-4, "{near} ft from {id}, {feet} ft are kept");
            }
        }
        let house = visit.property.feature("house").unwrap();
        for zone in visit.zones.iter().filter(|zone| zone.use_of == ZoneUse::Treated("perimeter".to_owned())) {
            for corner in zone.region.outlines().flat_map(|outline| outline.exterior().to_vec()) {
                let away = Shape::Point(corner).nearest_approach(house.shape()).map(|(from, to)| from.distance_to(to));
                prop_assert!(away.is_none_or(|away| away.to(LengthUnit::Foot) < 3.0 + 1e-4));
            }
        }
    }

    /// Law 3: what is measured never passes the label's rate; what the year allows is never passed
    /// without a refusal.
    #[test]
    fn never_above_the_label(lot in lots(), asked in 0.05..1.2f64, before in 0.0..1.6f64) {
        let mut request = lot.request();
        request.tasks[0].rate = RateWish::Stated(rate(&format!("{asked:.3} fl oz/1,000 sq ft")));
        if let History::Known { applications, .. } = &mut request.history {
            let per_area = rate(&format!("{before:.3} fl oz/1,000 sq ft")).per_area().unwrap();
            for application in applications {
                application.per_area = per_area;
            }
        }
        let visit = planned(&request);
        let lawn = visit.tasks.iter().find(|task| task.id == "lawn").unwrap();
        let highest = 0.4;
        let cap = 0.48 / 0.340_312_5;
        if lawn.product.rate.value() <= highest && before + lawn.product.rate.value() <= cap {
            for batch in &lawn.product.batches {
                let share = batch.measured.ratio(batch.product).unwrap();
                prop_assert!(lawn.product.rate.value() * share <= highest * (1.0 + 1e-9));
                prop_assert!(before + lawn.product.rate.value() * share <= cap * (1.0 + 1e-9));
            }
        } else {
            prop_assert_eq!(visit.verdict(), Status::Refused);
        }
    }

    /// The highest lawful rate is lawful, and is refused no more than the lowest.
    #[test]
    fn the_highest_lawful_rate_is_lawful(lot in lots(), before in 0.0..1.2f64) {
        let mut request = lot.request();
        request.tasks[0].rate = RateWish::HighestLawful;
        if let History::Known { applications, .. } = &mut request.history {
            applications[0].per_area = rate(&format!("{before:.3} fl oz/1,000 sq ft")).per_area().unwrap();
        }
        let visit = planned(&request);
        let lawn = visit.tasks.iter().find(|task| task.id == "lawn").unwrap();
        let over = lawn.verdicts.iter().find(|verdict| {
            verdict.status == Status::Refused && (verdict.rule.starts_with("rate::") || verdict.rule.starts_with("limit::"))
        });
        prop_assert!(over.is_none(), "{over:?}");
    }

    /// Law 4: the same request gives the same visit.
    #[test]
    fn same_input_same_visit(lot in lots()) {
        let request = lot.request();
        prop_assert_eq!(format!("{:?}", planned(&request)), format!("{:?}", planned(&request.clone())));
    }

    /// Law 6: every figure that is printed has a unit, and every verdict an origin and words; a
    /// refusal says how to mend it.
    #[test]
    fn no_number_without_its_unit(lot in lots(), asked in 0.05..1.2f64) {
        let mut request = lot.request();
        request.tasks[0].rate = RateWish::Stated(rate(&format!("{asked:.3} fl oz/1,000 sq ft")));
        let visit = planned(&request);
        for verdict in visit.all_verdicts() {
            prop_assert!(!verdict.text.is_empty());
            for figure in verdict.measured.iter().chain(&verdict.limit).chain(&verdict.margin) {
                prop_assert!(figure.value.is_finite() && !figure.ucum.is_empty(), "{verdict:?}");
            }
            if verdict.status == Status::Refused {
                prop_assert!(verdict.mend.is_some(), "{verdict:?}");
            }
        }
        for working in visit.working.iter().chain(visit.tasks.iter().flat_map(|task| &task.working)) {
            prop_assert!(working.result.value.is_finite() && !working.result.ucum.is_empty(), "{working:?}");
            for (name, figure, _) in &working.inputs {
                prop_assert!(!name.is_empty() && figure.value.is_finite() && !figure.ucum.is_empty());
            }
        }
    }

    /// Law 7: what is not known is a caution that says so, never a pass.
    #[test]
    fn no_silent_guess(lot in lots(), without in 0..4u8) {
        let mut request = lot.request();
        let rule = match without {
            0 => { request.history = History::Unknown; "limit::history-unknown" }
            1 => { request.forecast = None; "hours::no-forecast" }
            2 => { request.findings[0].threshold = None; "finding::no-threshold" }
            _ => {
                let mut label = concentrate();
                label.restraints.wind = label::Statement::Silent;
                request.labels = vec![label];
                "hours::wind-silent"
            }
        };
        let visit = planned(&request);
        prop_assert!(visit.all_verdicts().any(|verdict| verdict.rule == rule && verdict.status == Status::Caution));
        prop_assert_ne!(visit.verdict(), Status::Allowed);
    }

    /// The tanks hold exactly the spray, none more than the tank; the products add up.
    #[test]
    fn the_tanks_add_up(lot in lots()) {
        let visit = planned(&lot.request());
        for task in &visit.tasks {
            let Some(spray) = task.spray else { continue };
            if task.product.batches.is_empty() {
                // A last tank too small for the measure: refused, and said so.
                prop_assert!(task.verdicts.iter().any(|verdict| verdict.rule == "mix::measure" && verdict.status == Status::Refused));
                continue;
            }
            let sum: f64 = task.product.batches.iter().filter_map(|batch| batch.spray).map(|spray| spray.to(VolumeUnit::UsGallon)).sum();
            prop_assert!((sum - spray.to(VolumeUnit::UsGallon)).abs() < 1e-9 * sum.max(1.0));
            prop_assert!(task.product.batches.iter().all(|batch| batch.spray.unwrap().to(VolumeUnit::UsGallon) <= 2.0 + 1e-9));
            let unit = AmountUnit::Volume(VolumeUnit::Millilitre);
            let covered: Area = task.product.batches.iter().map(|batch| batch.covers).sum();
            prop_assert!((covered.ratio(task.ground + task.wall) - 1.0).abs() < 1e-9);
            let measured: f64 = task.product.batches.iter().filter_map(|batch| batch.measured.to(unit)).sum();
            prop_assert!((measured - task.product.measured.to(unit).unwrap()).abs() < 1e-6);
        }
        let has_turf = visit.zones.iter().any(|zone| zone.use_of == ZoneUse::Treated("lawn".to_owned()));
        prop_assert!(has_turf || visit.verdict() == Status::Refused);
    }
}
