//! Features that share part of an edge, drawn at an angle and to the precision of a map: the union
//! must hold all of them.

use geometry::{Point, Region};

fn turned(points: &[(f64, f64)], degrees: f64, steps: f64) -> Region {
    let (sin, cos) = f64::to_radians(degrees).sin_cos();
    let ring: Vec<Point> = points
        .iter()
        .map(|(x, y)| {
            let written = |metres: f64| (metres * steps).round() / steps;
            Point::from_metres(written((x * cos - y * sin) * 0.3048), written((x * sin + y * cos) * 0.3048))
        })
        .collect();
    Region::from_ring(&ring).unwrap()
}

// Nine decimals of a degree are a tenth of a millimetre; a map read back through the plane is good
// to some nanometres. What the drawing itself overlaps is up to its precision times its edges.
#[test]
fn touching_features_are_all_in_their_union() {
    for steps in [1e4, 1e6, 1e8, 1e9, 1e10, 1e12] {
        for degrees in 0..360 {
            let degrees = f64::from(degrees);
            let rectangle = |x: f64, y: f64, w: f64, d: f64| {
                turned(&[(x, y), (x + w, y), (x + w, y + d), (x, y + d)], degrees, steps)
            };
            let house = turned(
                &[(30.0, 65.0), (80.0, 65.0), (80.0, 95.0), (55.0, 95.0), (55.0, 85.0), (30.0, 85.0)],
                degrees,
                steps,
            );
            let all = [
                house,
                rectangle(60.0, 0.0, 20.0, 65.0),
                rectangle(38.0, 0.0, 4.0, 65.0),
                rectangle(58.0, 95.0, 18.0, 12.0),
                rectangle(86.0, 108.0, 17.0, 12.0),
                rectangle(20.0, 108.0, 12.0, 12.0),
                rectangle(88.0, 25.0, 22.0, 4.0),
            ];
            let sum: f64 = all.iter().map(|region| region.area().to(quantity::AreaUnit::SquareMetre)).sum();
            let square_metres = |region: &Region| region.area().to(quantity::AreaUnit::SquareMetre);
            let union = square_metres(&Region::union_all(&all));
            assert!((union / sum - 1.0).abs() < 1e-5, "{degrees} degrees, {steps}: union {union} of {sum}");
            let lot = rectangle(0.0, 0.0, 110.0, 130.0);
            let one_by_one = all.iter().fold(lot.clone(), |left, feature| left.difference(feature));
            let expected = square_metres(&lot) - union;
            let left = square_metres(&one_by_one);
            assert!((left / expected - 1.0).abs() < 1e-5, "{degrees} degrees, {steps}: {left} left of {expected}");
            let cut = all.iter().fold(lot, |left, feature| left.cut(feature).1);
            let left = square_metres(&cut);
            assert!(
                (left / expected - 1.0).abs() < 1e-5,
                "{degrees} degrees, {steps}: cut leaves {left} of {expected}"
            );
        }
    }
}
