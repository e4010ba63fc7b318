//! Measuring from paper against the worked examples of extension bulletins.

use geometry::{Point, measure};
use problem::Problems;
use quantity::{Area, AreaUnit, Length, LengthUnit};
use std::f64::consts::PI;

fn ft(value: f64) -> Length {
    Length::new(value, LengthUnit::Foot)
}

fn m(value: f64) -> Length {
    Length::new(value, LengthUnit::Metre)
}

/// Pi as the bulletins take it; 0.05 % short, which is the tolerance where a circle is in it.
const BULLETIN_PI: f64 = 314.0 / 100.0;
const PI_AS_3_14: f64 = (PI - BULLETIN_PI) / PI;

fn check(found: Result<Area, Problems>, unit: AreaUnit, published: f64, tolerance: f64) {
    let found = found.unwrap().to(unit);
    assert!((found - published).abs() <= tolerance * published + 1e-9, "{found} against {published}");
}

#[test]
fn shapes_as_in_the_oklahoma_state_university_worksheet() {
    // OSU-Oklahoma City, horticulture: measuring turf areas.
    check(measure::rectangle(ft(60.0), ft(25.0)), AreaUnit::SquareFoot, 1500.0, 1e-12);
    check(measure::circle(ft(40.0)), AreaUnit::SquareFoot, 5024.0, PI_AS_3_14 * 1.001);
    check(measure::triangle(ft(30.0), ft(26.0)), AreaUnit::SquareFoot, 390.0, 1e-12);
}

#[test]
fn shapes_as_in_clemson_hgic_1220() {
    // Clemson Cooperative Extension, HGIC 1220.
    check(measure::rectangle(ft(50.0), ft(25.0)), AreaUnit::SquareFoot, 1250.0, 1e-12);
    check(measure::circle(ft(30.0)), AreaUnit::SquareFoot, BULLETIN_PI * 900.0, PI_AS_3_14 * 1.001);
}

#[test]
fn the_composite_lawn_of_lsu_agcenter() {
    // LSU AgCenter: 30 x 15 = 450, 15 x 10 = 150, 3.14 x 14^2 = 615, in all 1,215 sq ft; the total is
    // printed in whole square feet.
    let parts = [
        measure::rectangle(ft(30.0), ft(15.0)).unwrap(),
        measure::rectangle(ft(15.0), ft(10.0)).unwrap(),
        measure::circle(ft(14.0)).unwrap(),
    ];
    check(Ok(parts.into_iter().sum()), AreaUnit::SquareFoot, 1215.0, PI_AS_3_14 + 0.5 / 1215.0);
}

#[test]
fn offsets_are_their_sum_times_the_spacing() {
    // The formula of LSU AgCenter; the figures are ours: 118 x 10 by pencil.
    let offsets = [20.0, 24.0, 30.0, 26.0, 18.0].map(ft);
    check(measure::by_offsets(&offsets, ft(10.0)), AreaUnit::SquareFoot, 1180.0, 1e-12);
}

#[test]
fn radii_every_ten_degrees_round_a_green() {
    // Average-radius method as published for putting greens: 36 radii, mean 15 m, 3.14 x 225 = 706.5 m².
    check(measure::by_radii(&[m(15.0); 36]), AreaUnit::SquareMetre, 706.5, PI_AS_3_14 * 1.001);
}

#[test]
fn other_published_sums() {
    // 1/2 x 50 x 80 = 2,000; 30 x 20 m = 600 m²; 30 x 20 paces of 3 ft = 5,400 sq ft (extension bulletins).
    check(measure::triangle(ft(50.0), ft(80.0)), AreaUnit::SquareFoot, 2000.0, 1e-12);
    check(measure::rectangle(m(30.0), m(20.0)), AreaUnit::SquareMetre, 600.0, 1e-12);
    check(measure::rectangle(ft(90.0), ft(60.0)), AreaUnit::SquareFoot, 5400.0, 1e-12);
}

#[test]
fn an_ellipse_tells_the_two_radius_methods_apart() {
    // Truth in closed form: pi a b. From the centre r² = a²b² / (b² cos² + a² sin²).
    let (a, b) = (20.0_f64, 10.0_f64);
    let radii: Vec<f64> = (0..72)
        .map(|step| {
            let (sin, cos) = (f64::from(step) * 5.0).to_radians().sin_cos();
            a * b / (b * b * cos * cos + a * a * sin * sin).sqrt()
        })
        .collect();
    let lengths: Vec<Length> = radii.iter().copied().map(m).collect();
    let truth = PI * a * b;
    // Evenly spaced sums of a smooth periodic function converge faster than any power: 1e-9 is ample.
    check(measure::by_radii(&lengths), AreaUnit::SquareMetre, truth, 1e-9);
    let mean = radii.iter().sum::<f64>() / 72.0;
    assert!(PI * mean * mean < 0.97 * truth, "the square of the mean radius understates");
    check(measure::ellipse(m(40.0), m(20.0)), AreaUnit::SquareMetre, truth, 1e-12);
}

#[test]
fn a_surveyor_polygon_by_coordinates() {
    // The shoelace sum of (0,0) (110,0) (110,130) (40,130) (0,90): 110 x 130 less a triangle of 40 x 40 / 2.
    let corners: Vec<Point> = [(0.0, 0.0), (110.0, 0.0), (110.0, 130.0), (40.0, 130.0), (0.0, 90.0)]
        .map(|(x, y)| Point::new(ft(x), ft(y)))
        .into();
    check(measure::polygon(&corners), AreaUnit::SquareFoot, 13_500.0, 1e-12);
}
