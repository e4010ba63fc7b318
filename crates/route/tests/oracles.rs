//! Lots whose best walk is known.

use geometry::{Point, Region, offset};
use quantity::{Length, LengthUnit};
use route::evaluate::evaluate;
use route::{PassKind, RouteRequest, plan, plan_band};

fn metres(length: f64) -> Length {
    Length::new(length, LengthUnit::Metre)
}

fn at(x: f64, y: f64) -> Point {
    Point::from_metres(x, y)
}

fn request(zone: Region, swath: f64) -> RouteRequest {
    RouteRequest::new(zone, metres(swath), metres(400.0), at(0.0, 0.0))
}

#[test]
fn a_rectangle_of_whole_swaths_is_covered_once() {
    for (columns, rows, swath) in [(9.0, 7.0, 1.2), (12.0, 4.0, 0.75)] {
        let zone = Region::rectangle(at(0.0, 0.0), at(columns * swath, rows * swath)).unwrap();
        let request = request(zone, swath);
        let route = plan(&request).unwrap();
        let figures = evaluate(&request, &route);
        assert!(figures.covered > 0.999, "{figures:?}");
        assert!(figures.overlap < 0.001 && figures.off_target < 0.001, "{figures:?}");
        assert!((figures.length - 1.0).abs() < 0.001, "{figures:?}");
        assert!(figures.wet_steps < 0.02, "{figures:?}");
    }
}

#[test]
fn a_strip_of_half_a_swath_is_one_narrowed_pass() {
    let zone = Region::rectangle(at(0.0, 0.0), at(14.0, 0.5)).unwrap();
    let request = request(zone, 1.0);
    let route = plan(&request).unwrap();
    let passes: Vec<_> = route.passes().collect();
    assert_eq!(passes.len(), 1, "{passes:?}");
    assert_eq!(passes[0].kind, PassKind::Narrow);
    assert!((passes[0].swath.to(LengthUnit::Metre) - 0.5).abs() < 1e-5, "{passes:?}");
    assert!((passes[0].pace_factor(request.swath) - 2.0).abs() < 1e-4);
    let figures = evaluate(&request, &route);
    assert!(figures.covered > 0.995 && figures.off_target < 0.01, "{figures:?}");
}

#[test]
fn a_strip_that_winds_is_followed_round_its_corners() {
    // Four swaths wide, in a square spiral of one turn.
    let ring = [
        (0.0, 0.0),
        (20.0, 0.0),
        (20.0, 20.0),
        (0.0, 20.0),
        (0.0, 8.0),
        (4.0, 8.0),
        (4.0, 16.0),
        (16.0, 16.0),
        (16.0, 4.0),
        (0.0, 4.0),
    ];
    let zone = Region::from_ring(&ring.map(|(x, y)| at(x, y))).unwrap();
    let request = request(zone, 1.0);
    let figures = evaluate(&request, &plan(&request).unwrap());
    assert!(figures.covered >= 0.995, "{figures:?}");
    assert!((figures.length - 1.0).abs() < 0.005, "{figures:?}");
    assert!(figures.overlap < 0.01, "only at corners: {figures:?}");
}

#[test]
fn a_band_round_a_house_takes_as_many_loops_as_its_width_asks_for() {
    let house = Region::from_ring(
        &[(0.0, 0.0), (12.0, 0.0), (12.0, 5.0), (7.0, 5.0), (7.0, 9.0), (0.0, 9.0)].map(|(x, y)| at(x, y)),
    )
    .unwrap();
    let arcs = geometry::ArcFineness::default();
    for (swath, loops) in [(0.9, 1), (0.5, 2)] {
        let mut request = request(offset::band(&house, metres(0.9), arcs), swath);
        request.tap = at(-1.0, -0.5);
        // One walks on the ground round the band as well.
        request.walkable = offset::band(&house, metres(3.0), arcs).difference(&request.zone);
        let route = plan_band(&request, &house, metres(0.9)).unwrap();
        let figures = evaluate(&request, &route);
        assert!(figures.covered > 0.985 && figures.overlap < 0.01 && figures.off_target < 0.015, "{figures:?}");
        assert!(route.passes().all(|pass| (pass.swath.to(LengthUnit::Metre) - 0.9 / f64::from(loops)).abs() < 0.03));
        let around = 42.0 * f64::from(loops);
        assert!(
            (route.sprayed().to(LengthUnit::Metre) - around).abs() < 0.12 * around,
            "{}",
            route.sprayed().to(LengthUnit::Metre)
        );
        assert_eq!(figures.wet_runs, 0.0, "the walker stands outside what he has sprayed: {figures:?}");
    }
}

#[test]
fn along_a_soft_edge_no_pass_is_laid_for_the_edge() {
    // Gravel all round: rows may run out over it.
    let zone = Region::from_ring(&[(0.0, 0.0), (23.3, 0.0), (17.0, 15.2), (3.0, 11.0)].map(|(x, y)| at(x, y))).unwrap();
    let hard = request(zone.clone(), 1.5);
    let mut soft = hard.clone();
    soft.harmless = offset::band(&zone, metres(3.0), geometry::ArcFineness::default());
    let (hard_figures, route) = (evaluate(&hard, &plan(&hard).unwrap()), plan(&soft).unwrap());
    let soft_figures = evaluate(&soft, &route);
    assert!(route.passes().all(|pass| pass.kind != PassKind::Ring));
    assert_eq!(soft_figures.off_target, 0.0);
    assert!(soft_figures.covered >= 0.995 && soft_figures.overlap <= hard_figures.overlap, "{soft_figures:?}");
}
