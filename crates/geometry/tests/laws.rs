//! The laws of this crate over generated lots: every piece of ground once, and distance means distance.
//!
//! 256 cases each; more through the environment variable `PROPTEST_CASES`.

use geometry::{ArcFineness, Line, Partition, Point, Region, Shape, offset};
use proptest::prelude::*;
use quantity::{Area, AreaUnit, Bearing, Length, LengthUnit};
use std::f64::consts::TAU;

fn metres(value: f64) -> Length {
    Length::new(value, LengthUnit::Metre)
}

fn square_metres(region: &Region) -> f64 {
    region.area().to(AreaUnit::SquareMetre)
}

/// A ring round a middle, its corners at even angles and uneven distances: convex or deeply notched.
fn star(middle: (f64, f64), reach: f64, parts: &[f64], turn: f64) -> Region {
    let corners: Vec<Point> = parts
        .iter()
        .enumerate()
        .map(|(index, part)| {
            let angle = turn + TAU * index as f64 / parts.len() as f64;
            Point::from_metres(middle.0 + reach * part * angle.cos(), middle.1 + reach * part * angle.sin())
        })
        .collect();
    Region::from_ring(&corners).unwrap()
}

/// A rectangle as surveyors draw it: turned, and written to a tenth of a millimetre.
fn box_at(middle: (f64, f64), width: f64, depth: f64, turn: f64) -> Region {
    let (sin, cos) = turn.sin_cos();
    let written = |value: f64| (value * 1e4).round() / 1e4;
    let corners: Vec<Point> = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]
        .map(|(x, y): (f64, f64)| (x * width, y * depth))
        .map(|(x, y)| Point::from_metres(written(middle.0 + x * cos - y * sin), written(middle.1 + x * sin + y * cos)))
        .into();
    Region::from_ring(&corners).unwrap()
}

fn region(reach: std::ops::Range<f64>) -> impl Strategy<Value = Region> {
    let spot = (-25.0..25.0, -25.0..25.0);
    prop_oneof![
        (spot.clone(), reach.clone(), prop::collection::vec(0.2..1.0, 3..10), 0.0..TAU)
            .prop_map(|(middle, reach, parts, turn)| star(middle, reach, &parts, turn)),
        (spot, reach.clone(), reach, prop_oneof![Just(0.0), Just(0.645), 0.0..TAU])
            .prop_map(|(middle, width, depth, turn)| box_at(middle, width, depth, turn)),
    ]
}

/// A region with a courtyard or several pieces.
fn ground() -> impl Strategy<Value = Region> {
    prop_oneof![
        3 => region(2.0..20.0),
        1 => (region(2.0..20.0), region(1.0..8.0)).prop_map(|(one, other)| one.difference(&other)),
        1 => (region(2.0..12.0), region(2.0..12.0)).prop_map(|(one, other)| one.union(&other)),
    ]
    .prop_filter("some ground", |region| square_metres(region) > 0.1)
}

fn shape() -> impl Strategy<Value = Shape> {
    let point = (-25.0..25.0, -25.0..25.0).prop_map(|(x, y)| Point::from_metres(x, y));
    prop_oneof![
        1 => point.clone().prop_map(Shape::Point),
        2 => prop::collection::vec(point, 2..7).prop_map(|points| Shape::Line(Line::new(points).unwrap())),
        3 => ground().prop_map(Shape::Region),
    ]
}

fn segments(shape: &Shape) -> Vec<(Point, Point)> {
    match shape {
        Shape::Point(point) => vec![(*point, *point)],
        Shape::Line(line) => line.points().windows(2).map(|pair| (pair[0], pair[1])).collect(),
        Shape::Region(region) => region
            .outlines()
            .flat_map(|outline| {
                let rings: Vec<&[Point]> = std::iter::once(outline.exterior()).chain(outline.holes()).collect();
                rings
                    .into_iter()
                    .flat_map(|ring| (0..ring.len()).map(|index| (ring[index], ring[(index + 1) % ring.len()])))
                    .collect::<Vec<_>>()
            })
            .collect(),
    }
}

/// Distance from a point to a shape by the plain definition, nothing shared with the crate.
fn away(shape: &Shape, point: Point) -> f64 {
    let (x, y) = point.metres();
    let pieces = segments(shape);
    if let Shape::Region(_) = shape {
        // Even-odd: how many edges a ray to the east meets.
        let crossed = pieces.iter().filter(|(a, b)| {
            let ((ax, ay), (bx, by)) = (a.metres(), b.metres());
            (ay > y) != (by > y) && x < ax + (y - ay) / (by - ay) * (bx - ax)
        });
        if crossed.count() % 2 == 1 {
            return 0.0;
        }
    }
    pieces
        .iter()
        .map(|(a, b)| {
            let ((ax, ay), (bx, by)) = (a.metres(), b.metres());
            let (dx, dy) = (bx - ax, by - ay);
            let square = dx * dx + dy * dy;
            let along = if square > 0.0 { (((x - ax) * dx + (y - ay) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
            (x - ax - along * dx).hypot(y - ay - along * dy)
        })
        .fold(f64::INFINITY, f64::min)
}

/// Points at a distance from corners and edges in every direction, where a chord would cut short.
fn round_about(shape: &Shape, distance: f64, start: f64) -> Vec<Point> {
    let mut points = Vec::new();
    for (a, b) in segments(shape) {
        let ((ax, ay), (bx, by)) = (a.metres(), b.metres());
        for part in [0.0, 0.31, 0.77] {
            for step in 0..24 {
                let (sin, cos) = (start + TAU * f64::from(step) / 24.0).sin_cos();
                points.push(Point::from_metres(
                    ax + part * (bx - ax) + distance * cos,
                    ay + part * (by - ay) + distance * sin,
                ));
            }
        }
    }
    points
}

/// What the documentation of `offset` allows for the engine's grid, twice over.
fn grid(shape: &Shape, distance: f64) -> f64 {
    let bounds = shape.bounds().unwrap();
    let extent = bounds.width().max(bounds.height()).to(LengthUnit::Metre) + 2.0 * distance;
    2.0 * extent / f64::from(1 << 28) + 8e-7
}

proptest! {
    #[test]
    fn a_setback_is_never_understated_and_hardly_overstated(
        shape in shape(), distance in 0.3..12.0, start in 0.0..TAU, lot in region(20.0..60.0),
    ) {
        let setback = offset::setback(&shape, metres(distance), ArcFineness::default());
        let open = lot.difference(&setback);
        for point in round_about(&shape, distance * (1.0 - 1e-12), start) {
            let away = away(&shape, point);
            if away <= distance {
                prop_assert!(setback.contains(point), "{away} of {distance} is outside: {point:?}");
                prop_assert!(!open.contains(point), "{away} of {distance} is open for treatment: {point:?}");
            }
        }
        let reach = distance * 1.0002 + grid(&shape, distance);
        for (corner, _) in segments(&Shape::Region(setback)) {
            let away = away(&shape, corner);
            prop_assert!(away <= reach, "a corner at {away} of {distance}");
        }
    }

    #[test]
    fn a_band_is_never_overstated_and_hardly_understated(
        region in ground(), width in 0.1..3.0, start in 0.0..TAU, lot in region(20.0..60.0),
    ) {
        let band = offset::band(&region, metres(width), ArcFineness::default());
        let on_lot = band.intersection(&lot);
        let shape = Shape::Region(region.clone());
        for piece in [&band, &on_lot] {
            for (corner, _) in segments(&Shape::Region(piece.clone())) {
                let away = away(&shape, corner);
                prop_assert!(away <= width, "a corner at {away} of {width}");
            }
        }
        // A chord of 1/40 of a right angle comes cos(0.01963) near.
        let sure = width * (1.0 - 2.0e-4) - grid(&shape, width);
        for point in round_about(&shape, sure, start) {
            let away = away(&shape, point);
            if away > 1e-6 && away <= sure {
                prop_assert!(band.contains(point), "{away} of {width} is left out");
            }
        }
    }

    #[test]
    fn a_partition_is_disjoint_and_complete(
        whole in region(15.0..60.0),
        claims in prop::collection::vec((ground(), prop_oneof![Just(0.0), 0.2..9.0]), 1..9),
        edge in shape(), reach in 0.5..9.0,
    ) {
        let mut partition = Partition::of(whole.clone());
        for (index, (region, distance)) in claims.iter().enumerate() {
            // The same ground comes up again as setback and as band, so that outlines coincide.
            let claim = match index % 3 {
                _ if *distance == 0.0 => region.clone(),
                0 => offset::band(region, metres(*distance), ArcFineness::default()),
                _ => offset::setback(&Shape::Region(region.clone()), metres(*distance), ArcFineness::default()),
            };
            partition.claim(2 * index, &claim);
            partition.claim(2 * index + 1, region);
        }
        partition.claim(100, &offset::setback(&edge, metres(reach), ArcFineness::default()));
        let parts = partition.rest(101);
        let all = square_metres(&whole);
        let sum: f64 = parts.iter().map(|(_, part)| square_metres(part)).sum();
        prop_assert!((sum - all).abs() <= 1e-6 * all, "{sum} of {all}");
        for (index, (name, part)) in parts.iter().enumerate() {
            prop_assert!(!part.is_empty());
            let beyond = square_metres(&part.difference(&whole));
            prop_assert!(beyond <= 1e-6 * all, "{name} reaches {beyond} beyond the whole");
            for (other_name, other) in &parts[index + 1..] {
                let shared = square_metres(&part.intersection(other));
                prop_assert!(shared <= 1e-6 * all, "{name} and {other_name} share {shared}");
            }
        }
    }

    /// Features side by side along shared edges, turned and written to a map's precision.
    #[test]
    fn nothing_of_a_row_of_neighbours_is_lost(
        turn in 0.0..TAU, widths in prop::collection::vec(0.5..9.0, 2..9), depth in 1.0..9.0, digits in 3..13,
    ) {
        let (sin, cos) = turn.sin_cos();
        let scale = 10_f64.powi(digits);
        let at = |x: f64, y: f64| {
            let written = |value: f64| (value * scale).round() / scale;
            Point::from_metres(written(x * cos - y * sin), written(x * sin + y * cos))
        };
        let mut east = 0.0;
        let mut row = Vec::new();
        for (index, width) in widths.iter().enumerate() {
            let foot = if index % 2 == 0 { 0.0 } else { 0.4 * depth };
            row.push(
                Region::from_ring(&[at(east, foot), at(east + width, foot), at(east + width, depth), at(east, depth)])
                    .unwrap(),
            );
            east += width;
        }
        let sum: f64 = row.iter().map(square_metres).sum();
        // What the written corners overlap or leave: their precision along every edge.
        let allowed = 1e-6 * sum + 2.0 * (2.0 * depth + 10.0) * widths.len() as f64 / scale;
        let union = square_metres(&Region::union_all(&row));
        prop_assert!((union - sum).abs() <= allowed, "{union} of {sum}");
        let folded = row.iter().fold(Region::empty(), |all, region| all.union(region));
        prop_assert!((square_metres(&folded) - sum).abs() <= allowed);
        let lot = Region::from_ring(&[at(-1.0, -1.0), at(east + 1.0, -1.0), at(east + 1.0, depth + 1.0), at(-1.0, depth + 1.0)])
            .unwrap();
        let left = row.iter().fold(lot.clone(), |left, region| left.cut(region).1);
        let expected = square_metres(&lot) - sum;
        prop_assert!((square_metres(&left) - expected).abs() <= allowed, "{} left of {expected}", square_metres(&left));
    }

    #[test]
    fn area_perimeter_and_offsets_do_not_change_when_moved_and_turned(
        region in ground(), east in -2_000.0..2_000.0, north in -2_000.0..2_000.0, turn in 0.0..360.0,
    ) {
        let moved = region.rotated(Point::from_metres(1.0, -2.0), Bearing::from_degrees(turn)).moved(metres(east), metres(north));
        let same = |one: f64, other: f64, part: f64| (one - other).abs() <= part * one.abs();
        prop_assert!(same(square_metres(&region), square_metres(&moved), 1e-9));
        prop_assert!(same(region.perimeter().to(LengthUnit::Metre), moved.perimeter().to(LengthUnit::Metre), 1e-9));
        for width in [0.9144, 1.8288] {
            let arcs = ArcFineness::default();
            let band = |region: &Region| square_metres(&offset::band(region, metres(width), arcs));
            // Not finer: the allowance for the grid goes with the upright extent, which turning changes.
            prop_assert!(same(band(&region), band(&moved), 2e-6));
            let setback = |region: &Region| square_metres(&offset::setback(&Shape::Region(region.clone()), metres(width), arcs));
            prop_assert!(same(setback(&region), setback(&moved), 2e-6));
        }
    }

    #[test]
    fn sets_of_ground_add_up(one in ground(), other in ground()) {
        let (a, b) = (square_metres(&one), square_metres(&other));
        let shared = square_metres(&one.intersection(&other));
        let slack = 1e-6 * (a + b);
        prop_assert!((square_metres(&one.union(&other)) - (a + b - shared)).abs() <= slack);
        prop_assert!((square_metres(&one.difference(&other)) - (a - shared)).abs() <= slack);
        prop_assert!((square_metres(&Region::union_all([&one, &other])) - (a + b - shared)).abs() <= slack);
        let (taken, left) = one.cut(&other);
        prop_assert!((square_metres(&taken) - shared).abs() <= slack);
        prop_assert!((square_metres(&left) - (a - shared)).abs() <= slack);
        prop_assert!(one.intersection(&Region::empty()).is_empty());
        prop_assert_eq!(one.without_slivers(Area::ZERO, Length::ZERO), one);
    }

    #[test]
    fn the_nearest_approach_is_nearest_from_both_sides(one in shape(), other in shape()) {
        let (here, there) = one.nearest_approach(&other).unwrap();
        let gap = here.distance_to(there).to(LengthUnit::Metre);
        // Pairs within a billionth count as equally near, and the lower one is given.
        let tie = 3e-9 * (1.0 + gap);
        prop_assert!(away(&one, here) <= 1e-9, "{}", away(&one, here));
        prop_assert!(away(&other, there) <= 1e-9);
        let back = other.distance_to(&one).unwrap().to(LengthUnit::Metre);
        prop_assert!((gap - back).abs() <= tie);
        for (corner, _) in segments(&one) {
            prop_assert!(gap <= away(&other, corner) + tie);
        }
        for (corner, _) in segments(&other) {
            prop_assert!(gap <= away(&one, corner) + tie);
        }
    }

    #[test]
    fn the_point_for_a_label_lies_inside(region in ground()) {
        let point = region.interior_point().unwrap();
        prop_assert!(region.contains(point));
        prop_assert!(away(&Shape::Region(region), point) <= 1e-9);
    }
}
