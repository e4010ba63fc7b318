//! From shapes as written to shapes of the plane, with every fault of an outline on the way.

use crate::locate::{Locator, feature_place, position};
use crate::{RawPosition, RawShape};
use geometry::{Line, Point, Region, Shape, ShapeFault, validity};
use problem::{Problem, Problems};

/// A problem when a feature has no position, or one that is none; whether all is well.
pub(crate) fn position_problems(id: &str, shape: &RawShape, problems: &mut Problems) -> bool {
    let positions = shape.positions();
    if positions.is_empty() {
        problems.push(no_shape(id));
        return false;
    }
    let mut all_good = true;
    for raw in positions {
        if position(raw).is_some() {
            continue;
        }
        all_good = false;
        let found = format!("`{}, {}` is not a position", raw.longitude, raw.latitude);
        let swapped = position(RawPosition::new(raw.latitude, raw.longitude)).is_some();
        let problem = if swapped {
            Problem::error("property::swapped-position", format!("{found}: longitude and latitude look swapped"))
                .expected("longitude first, then latitude (RFC 7946, section 3.1.1)")
                .mend(format!("write `{}, {}`", raw.latitude, raw.longitude))
        } else {
            Problem::error("property::position", found)
                .expected("degrees: longitude from -180 to 180, then latitude from -90 to 90")
                .mend("export the map in longitude and latitude (WGS 84)")
        };
        problems.push(problem.at(feature_place(id)));
        // One wrong position tells as much as a hundred.
        break;
    }
    all_good
}

/// The shapes of one feature; a fault makes a problem, and the shape is left out.
pub(crate) fn shapes(id: &str, raw: &RawShape, locator: &Locator, problems: &mut Problems) -> Vec<Shape> {
    let mut found = Vec::new();
    match raw {
        RawShape::Point(position) => found.extend(points(&[*position], locator).into_iter().map(Shape::Point)),
        RawShape::Points(positions) => found.extend(points(positions, locator).into_iter().map(Shape::Point)),
        RawShape::Line(positions) => found.extend(line(id, positions, locator, problems)),
        RawShape::Lines(lines) => {
            found.extend(lines.iter().filter_map(|positions| line(id, positions, locator, problems)));
        }
        RawShape::Polygon(rings) => found.extend(polygon(id, rings, locator, problems).map(Shape::Region)),
        RawShape::Polygons(polygons) => {
            let parts: Vec<Region> =
                polygons.iter().filter_map(|rings| polygon(id, rings, locator, problems)).collect();
            if parts.len() == polygons.len() {
                found.push(Shape::Region(Region::union_all(&parts)));
            }
        }
    }
    found
}

fn no_shape(id: &str) -> Problem {
    Problem::error("property::no-shape", "the feature has no position, or a polygon without a ring")
        .expected("a point, a line or a polygon")
        .mend("draw the feature, or take it off the map")
        .at(feature_place(id))
}

pub(crate) fn points(positions: &[RawPosition], locator: &Locator) -> Vec<Point> {
    positions.iter().filter_map(|raw| position(*raw)).map(|known| locator.plane.to_plane(known)).collect()
}

fn line(id: &str, positions: &[RawPosition], locator: &Locator, problems: &mut Problems) -> Option<Shape> {
    match Line::new(points(positions, locator)) {
        Ok(line) => Some(Shape::Line(line)),
        Err(fault) => {
            problems.push(fault_problem(id, "line", fault, locator));
            None
        }
    }
}

fn polygon(id: &str, rings: &[Vec<RawPosition>], locator: &Locator, problems: &mut Problems) -> Option<Region> {
    let rings: Vec<Vec<Point>> = rings.iter().map(|ring| points(ring, locator)).collect();
    let Some((exterior, holes)) = rings.split_first() else {
        problems.push(no_shape(id));
        return None;
    };
    let before = problems.len();
    let mut whole = true;
    for (index, ring) in rings.iter().enumerate() {
        let what = if index == 0 { "outline".to_owned() } else { format!("hole {index}") };
        for fault in validity::stated_ring_faults(ring) {
            whole &= matches!(fault, ShapeFault::RepeatedPoint { .. });
            problems.push(fault_problem(id, &what, fault, locator));
        }
    }
    if !whole {
        return None;
    }
    for fault in validity::polygon_faults(exterior, holes) {
        problems.push(fault_problem(id, "polygon", fault, locator));
    }
    match Region::polygon(exterior, holes) {
        Ok(region) => Some(region),
        Err(fault) => {
            if problems.len() == before {
                problems.push(fault_problem(id, "polygon", fault, locator));
            }
            None
        }
    }
}

fn fault_problem(id: &str, what: &str, fault: ShapeFault, locator: &Locator) -> Problem {
    let place = fault.place().map_or_else(String::new, |at| format!(", {}", locator.words(at)));
    let found = format!("{what}: {fault}{place}");
    let (code, expected, mend) = match fault {
        ShapeFault::Unclosed { .. } => {
            ("property::unclosed", "a ring whose last position is its first", "repeat the first position at the end")
        }
        ShapeFault::TooFewPoints { needed: 2, .. } => {
            ("property::too-few-points", "a line of at least two different points", "draw the line again")
        }
        ShapeFault::TooFewPoints { .. } => (
            "property::too-few-points",
            "a ring of at least three different points",
            "draw the outline again, or draw a point or a line where the kind allows one",
        ),
        ShapeFault::RepeatedPoint { .. } => {
            ("property::repeated-point", "each corner once", "delete the repeated position")
        }
        ShapeFault::Spike { .. } => {
            ("property::spike", "an outline that encloses ground everywhere", "delete the tip of the spike")
        }
        ShapeFault::SelfCrossing { .. } => (
            "property::self-crossing",
            "an outline that does not cross itself",
            "put the corners near the crossing into walking order",
        ),
        ShapeFault::SelfTouching { .. } => (
            "property::self-touching",
            "an outline that does not touch itself",
            "draw two polygons, or a hole, or pull the corners apart",
        ),
        ShapeFault::NoArea { .. } => ("property::no-area", "an outline round some ground", "draw the outline again"),
        ShapeFault::HoleOutside { .. } => {
            ("property::hole-outside", "holes inside the outline", "draw what lies outside as a polygon of its own")
        }
        ShapeFault::HoleCrossing { .. } => (
            "property::hole-crossing",
            "holes that cross neither the outline nor each other",
            "join the holes, or pull their corners apart",
        ),
        ShapeFault::HoleSharesEdge { .. } => (
            "property::hole-shares-edge",
            "holes that meet the outline and each other at corners only",
            "draw a hole along the outline as a bay of the outline; join holes that lie side by side",
        ),
    };
    let harmless = matches!(fault, ShapeFault::RepeatedPoint { .. });
    let problem = if harmless { Problem::warning(code, found) } else { Problem::error(code, found) };
    let spot = fault.place().and_then(|at| locator.spot(at));
    problem.expected(expected).mend(mend).at(feature_place(id)).on_earth(spot)
}
