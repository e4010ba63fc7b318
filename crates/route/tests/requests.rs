//! Requests that cannot be met, wind, beds, and evenness.

use geometry::{ArcFineness, Point, Region, offset};
use quantity::{Bearing, Length, LengthUnit, Volume, VolumeUnit};
use route::dose::{Taper, WalkingError, dose, variation_of_even_fan};
use route::evaluate::evaluate;
use route::{CoverageShare, Effort, RouteRequest, Stop, StopRequest, plan, plan_stops};

fn metres(length: f64) -> Length {
    Length::new(length, LengthUnit::Metre)
}

fn at(x: f64, y: f64) -> Point {
    Point::from_metres(x, y)
}

fn rectangle(x: f64, y: f64, to_x: f64, to_y: f64) -> Region {
    Region::rectangle(at(x, y), at(to_x, to_y)).unwrap()
}

fn codes(problems: &problem::Problems) -> Vec<&'static str> {
    problems.iter().map(|problem| problem.code).collect()
}

#[test]
fn everything_that_is_wrong_is_told_at_once() {
    let mut request = RouteRequest::new(Region::empty(), metres(0.0), metres(-1.0), at(0.0, 0.0));
    request.tank = metres(-1.0);
    let problems = plan(&request).unwrap_err();
    assert_eq!(codes(&problems), ["route::zone-empty", "route::swath", "route::tank"]);
    let request = RouteRequest::new(rectangle(0.0, 0.0, 300.0, 100.0), metres(1.0), metres(300.0), at(0.0, 0.0));
    assert_eq!(codes(&plan(&request).unwrap_err()), ["route::zone-size"]);
    assert_eq!(CoverageShare::new(f64::NAN), None);
}

#[test]
fn what_cannot_be_walked_to_is_told() {
    let zone = rectangle(0.0, 0.0, 10.0, 8.0).union(&rectangle(14.0, 0.0, 24.0, 8.0));
    let mut request = RouteRequest::new(zone, metres(1.0), metres(300.0), at(0.0, 0.0));
    assert_eq!(codes(&plan(&request).unwrap_err()), ["route::cut-off"]);
    request.walkable = rectangle(10.0, 3.0, 14.0, 4.5);
    let route = plan(&request).unwrap();
    let figures = evaluate(&request, &route);
    assert!(figures.covered >= 0.995 && figures.astray == 0.0, "{figures:?}");
    request.tap = at(-30.0, 0.0);
    assert_eq!(codes(&plan(&request).unwrap_err()), ["route::tap-away"]);
}

#[test]
fn with_wind_rows_lie_across_it_and_the_work_goes_upwind() {
    let mut request = RouteRequest::new(rectangle(0.0, 0.0, 20.0, 12.0), metres(1.0), metres(300.0), at(0.0, 0.0));
    // From the north: rows run east and west, the southernmost first.
    request.wind_from = Some(Bearing::from_degrees(0.0));
    let route = plan(&request).unwrap();
    assert_eq!(route.against_wind, 0);
    let rows: Vec<f64> = route.passes().map(|pass| pass.line[0].metres().1).collect();
    assert!(rows.windows(2).all(|pair| pair[0] < pair[1]), "{rows:?}");
    request.wind_from = Some(Bearing::from_degrees(180.0));
    let route = plan(&request).unwrap();
    let rows: Vec<f64> = route.passes().map(|pass| pass.line[0].metres().1).collect();
    assert!(rows.windows(2).all(|pair| pair[0] > pair[1]), "{rows:?}");
}

#[test]
fn beds_in_a_row_are_visited_along_the_row() {
    let beds: Vec<Region> = [3.0, 18.0, 8.0, 13.0, 23.0].iter().map(|x| rectangle(*x, 5.0, x + 2.0, 6.0)).collect();
    let all = Region::union_all(&beds);
    let litres = |litres: f64| Volume::new(litres, VolumeUnit::Litre);
    let mut request = StopRequest {
        walkable: rectangle(0.0, 0.0, 28.0, 10.0).difference(&all),
        beds: beds.iter().map(|bed| Stop { bed: bed.clone(), volume: litres(3.0) }).collect(),
        tank: litres(20.0),
        tap: at(0.0, 5.5),
        start: None,
        effort: Effort::default(),
    };
    let order = |request: &StopRequest| -> Vec<(usize, u32)> {
        plan_stops(request).unwrap().iter().map(|visit| (visit.bed, visit.fillings)).collect()
    };
    assert_eq!(order(&request), [(0, 0), (2, 0), (3, 0), (1, 0), (4, 0)]);
    request.tank = litres(10.0);
    let fillings: u32 = order(&request).iter().map(|visit| visit.1).sum();
    assert_eq!(fillings, 1, "15 L from tanks of 10 L");
    request.beds[1].bed = rectangle(40.0, 0.0, 42.0, 2.0);
    request.beds[2].volume = litres(0.0);
    assert_eq!(codes(&plan_stops(&request).unwrap_err()), ["route::stop-volume"]);
    request.beds[2].volume = litres(3.0);
    assert_eq!(codes(&plan_stops(&request).unwrap_err()), ["route::stop-away"]);
}

#[test]
fn the_dose_of_an_even_fan_follows_from_overlap_and_missed_ground() {
    let zone = Region::from_ring(&[(0.0, 0.0), (22.0, 1.0), (19.0, 14.0), (2.0, 12.0)].map(|(x, y)| at(x, y))).unwrap();
    let trunk = offset::setback(&at(9.0, 6.0).into(), metres(1.3), ArcFineness::per_quarter(4));
    let request = RouteRequest::new(zone.difference(&trunk), metres(1.6), metres(300.0), at(0.0, 0.0));
    let route = plan(&request).unwrap();
    let figures = evaluate(&request, &route);
    let even = dose(&request, &route, Taper::EVEN, None);
    let closed = variation_of_even_fan(figures.overlap, 1.0 - figures.covered);
    assert!((even.variation - closed).abs() < 0.02, "{even:?} against {closed}");
    // A tapered pattern is more even inside, and puts more beyond the edge.
    let tapered = dose(&request, &route, Taper::FULL, None);
    assert!(tapered.outside > even.outside, "{tapered:?} {even:?}");
    // Whoever strays doses less evenly, and with an even fan most of all.
    let error = Some(WalkingError { aside: metres(0.1 * 1.6), pace: 0.1, seed: 1 });
    let (even_astray, tapered_astray) =
        (dose(&request, &route, Taper::EVEN, error), dose(&request, &route, Taper::FULL, error));
    assert!(even_astray.variation > even.variation + 0.05, "{even_astray:?}");
    assert!(tapered_astray.interior_variation < even_astray.interior_variation, "{tapered_astray:?}");
    assert!(even_astray.under_three_quarters > even.under_three_quarters);
}
