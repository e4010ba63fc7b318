//! Faults of holes against the outline and against each other.

use crate::nearest::{Against, against, crossing, foot};
use crate::region::edges;
use crate::{Point, ShapeFault};

/// Nearer than this, in metres, a point that a projection has rounded is on the edge: far below what a
/// map's decimals can tell, far above what the arithmetic loses.
const ROUNDING: f64 = 1e-6;

/// Every fault of the holes of a polygon whose rings are each without fault.
pub(crate) fn hole_faults(exterior: &[Point], holes: &[Vec<Point>]) -> Vec<ShapeFault> {
    let mut faults = Vec::new();
    for (hole, ring) in holes.iter().enumerate() {
        if let Some(at) = first_on(ring, exterior, Against::Outside) {
            faults.push(ShapeFault::HoleOutside { hole, at });
        } else if let Some(at) = first_crossing(exterior, ring) {
            faults.push(ShapeFault::HoleCrossing { hole, at });
        } else if let Some(at) = first_shared(exterior, ring) {
            faults.push(ShapeFault::HoleSharesEdge { hole, at });
        }
        for other in &holes[..hole] {
            let within = || first_on(ring, other, Against::Inside).or_else(|| first_on(other, ring, Against::Inside));
            if let Some(at) = first_crossing(other, ring).or_else(within) {
                faults.push(ShapeFault::HoleCrossing { hole, at });
            } else if let Some(at) = first_shared(other, ring) {
                faults.push(ShapeFault::HoleSharesEdge { hole, at });
            }
        }
    }
    faults
}

/// A point of a ring that lies on the given side of another, whose edges it does not cross.
///
/// A ring may run from corner to corner of the other on the wrong side, with all its own corners on
/// it; so every edge is parted where it meets a corner of the other, and the middle of each part is
/// looked at too. What lies on the other to within rounding lies on neither side. As both are simple
/// rings, a hole of which no such point is outside an outline has its whole inside within it.
fn first_on(ring: &[Point], other: &[Point], side: Against) -> Option<Point> {
    let there = |point: Point| against(other, point) == side && edges(other).all(|edge| !meets(edge, point));
    let corner = ring.iter().copied().find(|corner| there(*corner));
    corner.or_else(|| edges(ring).flat_map(|edge| middles(edge, other)).find(|middle| there(*middle)))
}

/// The middles of the parts of an edge between the corners of a ring that lie on it.
fn middles((a, b): (Point, Point), ring: &[Point]) -> Vec<Point> {
    let mut along: Vec<f64> =
        ring.iter().filter(|corner| meets((a, b), **corner)).map(|corner| a.gap(*corner) / a.gap(b)).collect();
    along.extend([0.0, 1.0]);
    along.sort_by(f64::total_cmp);
    along
        .windows(2)
        .map(|pair| f64::midpoint(pair[0], pair[1]))
        .map(|at| Point { x: a.x + at * (b.x - a.x), y: a.y + at * (b.y - a.y) })
        .collect()
}

/// Whether a point lies on an edge to within the rounding of a projection.
fn meets(edge: (Point, Point), point: Point) -> bool {
    foot(edge, point).gap(point) <= ROUNDING
}

/// The middle of a stretch that an edge of one ring and an edge of the other have in common.
fn first_shared(one: &[Point], other: &[Point]) -> Option<Point> {
    edges(one).find_map(|mine| edges(other).find_map(|theirs| shared_stretch(mine, theirs)))
}

fn shared_stretch(one: (Point, Point), other: (Point, Point)) -> Option<Point> {
    let ends = [(one, other.0), (one, other.1), (other, one.0), (other, one.1)];
    let common: Vec<Point> = ends.into_iter().filter(|(edge, end)| meets(*edge, *end)).map(|(_, end)| end).collect();
    let first = *common.first()?;
    let far = common.into_iter().max_by(|a, b| first.gap(*a).total_cmp(&first.gap(*b)))?;
    let middle = Point { x: f64::midpoint(first.x, far.x), y: f64::midpoint(first.y, far.y) };
    (first.gap(far) > 2.0 * ROUNDING).then_some(middle)
}

/// Where two rings cross in the midst of two edges; edges that meet at an end of either to within
/// rounding touch.
fn first_crossing(one: &[Point], other: &[Point]) -> Option<Point> {
    let plain = |mine: (Point, Point), theirs: (Point, Point)| {
        let touch = meets(mine, theirs.0) || meets(mine, theirs.1) || meets(theirs, mine.0) || meets(theirs, mine.1);
        crossing(mine, theirs).filter(|_| !touch)
    };
    edges(one).find_map(|mine| edges(other).find_map(|theirs| plain(mine, theirs)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::validity::polygon_faults;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|(x, y)| Point::from_metres(*x, *y)).collect()
    }

    #[test]
    fn holes_must_lie_inside_and_apart() {
        let outline = points(&[(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)]);
        let hole = |x: f64, y: f64| points(&[(x, y), (x + 2.0, y), (x + 2.0, y + 2.0), (x, y + 2.0)]);
        let slugs = |holes: &[Vec<Point>]| -> Vec<&str> {
            polygon_faults(&outline, holes).iter().map(ShapeFault::slug).collect()
        };
        assert_eq!(slugs(&[hole(1.0, 1.0), hole(5.0, 5.0)]), [""; 0]);
        assert_eq!(slugs(&[hole(8.0, 1.0)]), ["hole-outside"]);
        assert_eq!(slugs(&[hole(1.0, 1.0), hole(2.0, 2.0)]), ["hole-crossing"]);
        assert_eq!(slugs(&[hole(1.0, 1.0), hole(1.0, 1.0)]), ["hole-shares-edge"]);
        assert_eq!(slugs(&[hole(1.0, 1.0), hole(3.0, 2.0)]), ["hole-shares-edge"]);
        assert_eq!(slugs(&[hole(0.0, 1.0)]), ["hole-shares-edge"]);
        assert_eq!(slugs(&[hole(9.0, 1.0)]), ["hole-outside"]);
        // Holes may meet at a corner, and an outline at a corner of a hole.
        assert_eq!(slugs(&[hole(1.0, 1.0), hole(3.0, 3.0)]), [""; 0]);
        assert_eq!(slugs(&[points(&[(0.0, 5.0), (2.0, 4.0), (2.0, 6.0)])]), [""; 0]);
        // A hole in another, all its corners on it.
        assert_eq!(
            slugs(&[hole(2.0, 2.0), points(&[(2.0, 3.0), (3.0, 2.0), (4.0, 3.0), (3.0, 4.0)])]),
            ["hole-crossing"]
        );
    }

    #[test]
    fn a_hole_with_its_corners_on_the_outline_is_looked_at_between_them() {
        let u_shape = [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (6.0, 9.0), (6.0, 3.0), (3.0, 3.0), (3.0, 9.0), (0.0, 9.0)];
        let gap = [(3.0, 9.0), (6.0, 9.0), (6.0, 3.0), (3.0, 3.0)];
        // From one inner corner of the outline to another, inside it.
        let comb = [(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (8.0, 4.0), (5.0, 9.0), (4.0, 9.0), (1.0, 4.0), (0.0, 9.0)];
        let across = [(1.0, 4.0), (8.0, 4.0), (7.0, 1.0), (2.0, 1.0)];
        let teeth = [
            (0.0, 0.0),
            (9.0, 0.0),
            (9.0, 4.0),
            (7.0, 4.0),
            (6.0, 2.0),
            (5.0, 4.0),
            (4.0, 4.0),
            (3.0, 2.0),
            (2.0, 4.0),
            (0.0, 4.0),
        ];
        // Over two notches, its middle on the tooth between them.
        let over_teeth = [(1.0, 1.0), (7.0, 4.0), (2.0, 4.0)];
        let turned = |list: &[(f64, f64)]| -> Vec<Point> {
            let about = Point::from_metres(0.1, 0.7);
            points(list).iter().map(|point| point.rotated(about, quantity::Bearing::from_degrees(33.3))).collect()
        };
        for (outline, hole, slug) in [
            (u_shape.as_slice(), gap.as_slice(), "hole-outside"),
            (&comb, &across, ""),
            (&teeth, &over_teeth, "hole-outside"),
            (&u_shape, &u_shape, "hole-shares-edge"),
        ] {
            for (outline, hole) in [(points(outline), points(hole)), (turned(outline), turned(hole))] {
                let found = polygon_faults(&outline, &[hole]);
                let slugs: Vec<&str> = found.iter().map(ShapeFault::slug).collect();
                assert_eq!(slugs.join(" "), slug, "{found:?}");
            }
        }
        let found = polygon_faults(&points(&u_shape), &[points(&gap)]);
        assert_eq!(found, [ShapeFault::HoleOutside { hole: 0, at: Point::from_metres(4.5, 9.0) }]);
    }
}
