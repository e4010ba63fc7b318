//! What holds of every walk, for lots drawn by lot.

use geometry::{ArcFineness, Point, Region, offset};
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use quantity::{Bearing, Length, LengthUnit};
use route::evaluate::{covered_alone, evaluate};
use route::{Effort, Leg, RouteRequest, plan};

fn metres(length: f64) -> Length {
    Length::new(length, LengthUnit::Metre)
}

fn at(x: f64, y: f64) -> Point {
    Point::from_metres(x, y)
}

/// A lot of four or five corners with a house at one side, and beds and trunks in it.
fn lot() -> impl Strategy<Value = RouteRequest> {
    let trunks = prop::collection::vec((0.2..0.8_f64, 0.2..0.8_f64, 0.25..1.4_f64), 0..4);
    let corners = (14.0..26.0_f64, 10.0..18.0_f64, -3.0..3.0_f64, -2.0..2.0_f64);
    (corners, trunks, 0.8..1.8_f64, 60.0..200.0_f64).prop_map(|((width, depth, skew, rise), trunks, swath, tank)| {
        let ring = [
            at(0.0, 0.0),
            at(width, rise),
            at(width + skew, depth + rise),
            at(width / 2.0, depth + 2.0),
            at(skew, depth),
        ];
        let mut zone = Region::from_ring(&ring).unwrap();
        let house = Region::rectangle(at(width * 0.3, -3.0), at(width * 0.55, depth * 0.3)).unwrap();
        zone = zone.difference(&house);
        for (x, y, radius) in trunks {
            let trunk = offset::setback(&at(width * x, depth * y).into(), metres(radius), ArcFineness::per_quarter(4));
            let rest = zone.difference(&trunk);
            // A trunk that cuts a piece off leaves ground that nobody can walk to.
            if rest.outlines().len() == 1 {
                zone = rest;
            }
        }
        let tap = at(width * 0.3, depth * 0.1);
        let mut request = RouteRequest::new(zone, metres(swath), metres(tank), tap);
        request.effort = Effort::thousands(20);
        request
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 20, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_walk_is_whole(request in lot()) {
        let route = plan(&request).unwrap();
        let figures = evaluate(&request, &route);
        prop_assert!(figures.covered >= 0.995, "{:?}", figures);
        prop_assert_eq!(figures.astray, 0.0, "every step is on ground that may be walked");

        // Each leg begins where the one before ended, the first at the start.
        let mut here = request.tap;
        for leg in &route.legs {
            let places = leg.places();
            prop_assert!(here.distance_to(places[0]) < metres(1e-6), "{:?} {:?}", here, places[0]);
            here = places[places.len() - 1];
            if let Leg::Refill { to_tap, back } = leg {
                for place in [to_tap[to_tap.len() - 1], back[0]] {
                    prop_assert!(place.distance_to(request.tap) < metres(1e-6));
                }
            }
        }

        // A tank lasts from one filling to the next.
        let mut used = Length::ZERO;
        for leg in &route.legs {
            match leg {
                Leg::Spray(pass) => used += pass.length(),
                Leg::Refill { .. } => used = Length::ZERO,
                Leg::Walk(_) => {}
            }
            prop_assert!(used <= request.tank + metres(1e-6), "{:?} of {:?}", used, request.tank);
        }
        prop_assert!(route.refills() >= route.least_refills);

        // No pass is for nothing, and nobody sprays from beside the lot.
        for (pass, alone) in route.passes().zip(covered_alone(&request, &route)) {
            prop_assert!(alone > 0.0, "{:?} covers nothing of its own", pass);
        }
        let grown = offset::setback(&request.zone.clone().into(), metres(0.12), ArcFineness::default());
        for pass in route.passes() {
            prop_assert!(pass.swath <= request.swath + metres(1e-9) && pass.swath >= request.swath * 0.24, "{:?}", pass);
            prop_assert!(pass.line.iter().all(|place| grown.contains(*place)), "{:?}", pass);
        }
    }

}

proptest! {
    // The same lots in every run: of others a turned one is known to get a walk up to nine hundredths longer
    // (`docs/route.md`), so that this guards what holds, and is no law of all lots.
    #![proptest_config(ProptestConfig {
        cases: 24,
        max_shrink_iters: 20,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(1),
        ..ProptestConfig::default()
    })]

    #[test]
    fn the_same_request_gives_the_same_walk_and_a_turned_one_much_the_same(request in lot()) {
        let route = plan(&request).unwrap();
        prop_assert_eq!(&route, &plan(&request).unwrap());
        let (about, quarter) = (at(0.0, 0.0), Bearing::from_degrees(90.0));
        let mut turned = request.clone();
        turned.zone = request.zone.rotated(about, quarter);
        turned.tap = request.tap.rotated(about, quarter);
        let (one, other) = (evaluate(&request, &route), evaluate(&turned, &plan(&turned).unwrap()));
        prop_assert!(other.covered >= 0.995, "{:?}", other);
        // Cells do not fall alike on both, and of two plans that are worth the same either may be taken.
        prop_assert!((one.length - other.length).abs() < 0.06, "{:?} {:?}", one, other);
        prop_assert!((one.overlap - other.overlap).abs() < 0.06, "{:?} {:?}", one, other);
    }
}
