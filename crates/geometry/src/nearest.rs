//! The nearest two points of two shapes.

use crate::overlay::Rings;
use crate::region::edges;
use crate::{Bounds, Line, Point, Region, Shape};
use geo::kernels::{Kernel, Orientation, RobustKernel};
use std::cmp::Ordering;

type Pair = (Point, Point);
type Segment = (Point, Point);

/// The nearest two points of two shapes, ties to the lowest, then leftmost.
pub(crate) fn between(here: &Shape, there: &Shape) -> Option<Pair> {
    if let (Shape::Region(here), Shape::Region(there)) = (here, there) {
        return between_regions(here, there);
    }
    if here.bounds().is_none() || there.bounds().is_none() {
        return None;
    }
    let mut best = Best::default();
    let shared = match (here, there) {
        (Shape::Region(region), other) | (other, Shape::Region(region)) => inside(region, other),
        _ => None,
    };
    if let Some(point) = shared {
        best.offer(point, point);
    }
    approach(&segments(here), &segments(there), &mut best);
    best.pair
}

pub(crate) fn region_to_shape(here: &Region, there: &Shape) -> Option<Pair> {
    if let Shape::Region(there) = there {
        return between_regions(here, there);
    }
    if here.is_empty() {
        return None;
    }
    let mut best = Best::default();
    if let Some(point) = inside(here, there) {
        best.offer(point, point);
    }
    approach(&region_segments(here), &segments(there), &mut best);
    best.pair
}

pub(crate) fn between_regions(here: &Region, there: &Region) -> Option<Pair> {
    if here.is_empty() || there.is_empty() {
        return None;
    }
    let mut best = Best::default();
    for polygon in there.outlines() {
        for point in polygon.exterior() {
            if here.contains(*point) {
                best.offer(*point, *point);
            }
        }
    }
    for polygon in here.outlines() {
        for point in polygon.exterior() {
            if there.contains(*point) {
                best.offer(*point, *point);
            }
        }
    }
    approach(&region_segments(here), &region_segments(there), &mut best);
    best.pair
}

/// The lowest, then leftmost vertex of a point or line that a region covers.
fn inside(region: &Region, shape: &Shape) -> Option<Point> {
    let points = match shape {
        Shape::Point(point) => std::slice::from_ref(point),
        Shape::Line(line) => line.points(),
        Shape::Region(_) => &[],
    };
    points.iter().copied().filter(|point| region.contains(*point)).min_by(|a, b| a.low_left_order(*b))
}

fn segments(shape: &Shape) -> Vec<Segment> {
    match shape {
        Shape::Point(point) => vec![(*point, *point)],
        Shape::Line(line) => line_segments(line),
        Shape::Region(region) => region_segments(region),
    }
}

fn line_segments(line: &Line) -> Vec<Segment> {
    line.points().windows(2).map(|pair| (pair[0], pair[1])).collect()
}

fn region_segments(region: &Region) -> Vec<Segment> {
    region.polygons().iter().flatten().flat_map(|ring| edges(ring)).collect()
}

#[derive(Default)]
struct Best {
    pair: Option<Pair>,
    gap: f64,
}

impl Best {
    fn offer(&mut self, here: Point, there: Point) {
        let gap = here.gap(there);
        let better = match self.pair {
            None => true,
            Some((old_here, old_there)) => {
                // Rounding must not decide a tie: a gap within a billionth is the same gap.
                let slack = 1e-9 * (1.0 + gap);
                if gap < self.gap - slack {
                    true
                } else if gap > self.gap + slack {
                    false
                } else {
                    here.low_left_order(old_here).then(there.low_left_order(old_there)) == Ordering::Less
                }
            }
        };
        if better {
            // The least gap stays the measure, lest ties drift away from it one by one.
            self.gap = if self.pair.is_some() { self.gap.min(gap) } else { gap };
            self.pair = Some((here, there));
        }
    }
}

fn approach(here: &[Segment], there: &[Segment], best: &mut Best) {
    let boxes: Vec<Bounds> = there.iter().map(|segment| bounds(*segment)).collect();
    for mine in here {
        let my_box = bounds(*mine);
        for (theirs, their_box) in there.iter().zip(&boxes) {
            if best.pair.is_some() && my_box.is_farther(their_box, best.gap * (1.0 + 1e-9) + 1e-9) {
                continue;
            }
            if let Some(point) = crossing(*mine, *theirs) {
                best.offer(point, point);
            }
            best.offer(mine.0, foot(*theirs, mine.0));
            best.offer(mine.1, foot(*theirs, mine.1));
            best.offer(foot(*mine, theirs.0), theirs.0);
            best.offer(foot(*mine, theirs.1), theirs.1);
        }
    }
}

fn bounds((a, b): Segment) -> Bounds {
    Bounds { low: Point { x: a.x.min(b.x), y: a.y.min(b.y) }, high: Point { x: a.x.max(b.x), y: a.y.max(b.y) } }
}

/// The point of a segment nearest to a point.
pub(crate) fn foot((a, b): Segment, point: Point) -> Point {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let square = dx * dx + dy * dy;
    if square == 0.0 {
        return a;
    }
    let along = ((point.x - a.x) * dx + (point.y - a.y) * dy) / square;
    if along <= 0.0 {
        a
    } else if along >= 1.0 {
        b
    } else {
        Point { x: a.x + along * dx, y: a.y + along * dy }
    }
}

/// On which side of the line from `a` to `b` the point lies, decided without rounding.
pub(crate) fn side(a: Point, b: Point, point: Point) -> Orientation {
    RobustKernel::orient2d(a.coord(), b.coord(), point.coord())
}

/// Where two segments cross in their insides.
pub(crate) fn crossing((a, b): Segment, (c, d): Segment) -> Option<Point> {
    let opposite = |one: Orientation, other: Orientation| {
        matches!(
            (one, other),
            (Orientation::Clockwise, Orientation::CounterClockwise)
                | (Orientation::CounterClockwise, Orientation::Clockwise)
        )
    };
    if !opposite(side(a, b, c), side(a, b, d)) || !opposite(side(c, d, a), side(c, d, b)) {
        return None;
    }
    let (rx, ry) = (b.x - a.x, b.y - a.y);
    let (sx, sy) = (d.x - c.x, d.y - c.y);
    let cross = rx * sy - ry * sx;
    let along = ((c.x - a.x) * sy - (c.y - a.y) * sx) / cross;
    let along = if along.is_finite() { along.clamp(0.0, 1.0) } else { 0.5 };
    Some(Point { x: a.x + along * rx, y: a.y + along * ry })
}

/// Whether a point lies on a segment, ends included.
pub(crate) fn on_segment((a, b): Segment, point: Point) -> bool {
    let within = bounds((a, b));
    within.low.x <= point.x
        && point.x <= within.high.x
        && within.low.y <= point.y
        && point.y <= within.high.y
        && side(a, b, point) == Orientation::Collinear
}

/// Where a point lies against a ring.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Against {
    Inside,
    On,
    Outside,
}

pub(crate) fn against(ring: &[Point], point: Point) -> Against {
    let mut inside = false;
    for (a, b) in edges(ring) {
        if on_segment((a, b), point) {
            return Against::On;
        }
        if (a.y > point.y) != (b.y > point.y) {
            let (low, high) = if a.y < b.y { (a, b) } else { (b, a) };
            if side(low, high, point) == Orientation::CounterClockwise {
                inside = !inside;
            }
        }
    }
    if inside { Against::Inside } else { Against::Outside }
}

/// Whether a polygon covers a point, its edges included.
pub(crate) fn polygon_covers(rings: &Rings, point: Point) -> bool {
    match against(&rings[0], point) {
        Against::Outside => false,
        Against::On => true,
        Against::Inside => rings[1..].iter().all(|hole| against(hole, point) != Against::Inside),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> Point {
        Point::from_metres(x, y)
    }

    fn square(x: f64, y: f64, side: f64) -> Shape {
        Region::rectangle(at(x, y), at(x + side, y + side)).unwrap().into()
    }

    #[test]
    fn ties_go_to_the_lowest_then_the_leftmost_point() {
        // Two facing walls: every height ties, the lowest shared one wins.
        assert_eq!(between(&square(0.0, 0.0, 4.0), &square(6.0, 1.0, 4.0)), Some((at(4.0, 1.0), at(6.0, 1.0))));
        // A hive as far from both corners of a wall.
        assert_eq!(between(&square(0.0, 0.0, 4.0), &at(2.0, -3.0).into()), Some((at(2.0, 0.0), at(2.0, -3.0))));
        let line: Shape = Line::new([at(-1.0, 5.0), at(0.0, 9.0), at(1.0, 5.0)]).unwrap().into();
        assert_eq!(between(&line, &at(0.0, 0.0).into()), Some((at(-1.0, 5.0), at(0.0, 0.0))));
    }

    #[test]
    fn shapes_that_meet_share_a_point() {
        let creek: Shape = Line::new([at(-5.0, 2.0), at(9.0, 2.0)]).unwrap().into();
        assert_eq!(between(&square(0.0, 0.0, 4.0), &creek).map(|(here, there)| here.gap(there)), Some(0.0));
        assert_eq!(between(&square(0.0, 0.0, 9.0), &square(3.0, 3.0, 1.0)), Some((at(3.0, 3.0), at(3.0, 3.0))));
        let hive: Shape = at(1.0, 1.0).into();
        assert_eq!(between(&hive, &square(0.0, 0.0, 4.0)), Some((at(1.0, 1.0), at(1.0, 1.0))));
        assert_eq!(between(&hive, &Region::empty().into()), None);
    }

    #[test]
    fn a_point_in_a_hole_is_outside() {
        let around = Region::rectangle(at(0.0, 0.0), at(9.0, 9.0)).unwrap();
        let ring = around.difference(&Region::rectangle(at(3.0, 3.0), at(6.0, 6.0)).unwrap());
        assert!(!ring.contains(at(4.0, 4.0)));
        assert!(ring.contains(at(3.0, 4.0)) && ring.contains(at(0.0, 0.0)) && ring.contains(at(1.0, 1.0)));
        assert_eq!(ring.nearest_approach(&at(5.0, 4.0).into()), Some((at(5.0, 3.0), at(5.0, 4.0))));
    }
}
