//! Places for labels: inside their ground, as far from its edges as may be, on nothing else.

use crate::map::frame::Polygon;

/// An upright rectangle of the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rect {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Rect {
    /// Of this size, anywhere.
    pub(crate) const fn sized(width: f64, height: f64) -> Self {
        Self { left: 0.0, top: 0.0, right: width, bottom: height }
    }

    /// The same size round this centre.
    pub(crate) fn at(self, x: f64, y: f64) -> Self {
        let (half_width, half_height) = ((self.right - self.left) / 2.0, (self.bottom - self.top) / 2.0);
        Self { left: x - half_width, top: y - half_height, right: x + half_width, bottom: y + half_height }
    }

    /// Its centre.
    pub(crate) fn centre(self) -> (f64, f64) {
        (f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    fn meets(&self, other: &Self) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether any of a straight stretch lies within.
    fn is_crossed(&self, from: (f64, f64), to: (f64, f64)) -> bool {
        // Liang and Barsky, 1984: the part of the stretch between the four sides.
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        let sides = [
            (-dx, from.0 - self.left),
            (dx, self.right - from.0),
            (-dy, from.1 - self.top),
            (dy, self.bottom - from.1),
        ];
        for (step, room) in sides {
            if step == 0.0 {
                if room < 0.0 {
                    return false;
                }
            } else if step < 0.0 {
                enter = enter.max(room / step);
            } else {
                leave = leave.min(room / step);
            }
        }
        enter <= leave
    }
}

/// What stands on the map already.
#[derive(Debug, Default)]
pub(crate) struct Taken {
    rects: Vec<Rect>,
}

impl Taken {
    /// Keeps others off a rectangle.
    pub(crate) fn add(&mut self, rect: Rect) {
        self.rects.push(rect);
    }

    /// Whether nothing stands there yet.
    pub(crate) fn is_free(&self, rect: &Rect) -> bool {
        !self.rects.iter().any(|taken| taken.meets(rect))
    }
}

/// Area of a polygon of the picture, holes taken off.
pub(crate) fn area(polygon: &Polygon) -> f64 {
    let ring =
        |ring: &Vec<(f64, f64)>| -> f64 { edges(ring).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>().abs() / 2.0 };
    polygon.iter().enumerate().map(|(index, points)| if index == 0 { ring(points) } else { -ring(points) }).sum()
}

/// The free place wholly inside the polygon that is farthest from its edges.
pub(crate) fn best(polygon: &Polygon, size: Rect, taken: &Taken) -> Option<Rect> {
    search(polygon, size, taken, true)
}

/// The free place with its centre in the polygon and farthest from its edges; it may stand over them.
pub(crate) fn widest(polygon: &Polygon, size: Rect, taken: &Taken) -> Option<Rect> {
    search(polygon, size, taken, false)
}

/// Candidates per side of the rectangle round the polygon.
const STEPS: u32 = 36;

fn search(polygon: &Polygon, size: Rect, taken: &Taken, inside: bool) -> Option<Rect> {
    let outer = polygon.first()?;
    let span = |of: fn(&(f64, f64)) -> f64| {
        outer.iter().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    };
    let ((left, right), (top, bottom)) = (span(|point| point.0), span(|point| point.1));
    if inside && (right - left < size.right || bottom - top < size.bottom) {
        return None;
    }
    let mut found: Option<(f64, Rect)> = None;
    let at = |low: f64, high: f64, step: u32| low + (high - low) * (f64::from(step) + 0.5) / f64::from(STEPS);
    for row in 0..STEPS {
        for column in 0..STEPS {
            let (x, y) = (at(left, right, column), at(top, bottom, row));
            let rect = size.at(x, y);
            if !contains(polygon, (x, y)) || !taken.is_free(&rect) {
                continue;
            }
            let all_edges = || polygon.iter().flat_map(|ring| edges(ring));
            if inside && all_edges().any(|(a, b)| rect.is_crossed(a, b)) {
                continue;
            }
            let clearance = all_edges().map(|(a, b)| distance((x, y), a, b)).fold(f64::INFINITY, f64::min);
            // Of places equally clear, the one nearest to the middle.
            let aside = (x - f64::midpoint(left, right)).hypot(y - f64::midpoint(top, bottom));
            let worth = clearance - 0.03 * aside;
            if found.is_none_or(|(best, _)| worth > best) {
                found = Some((worth, rect));
            }
        }
    }
    found.map(|(_, rect)| rect)
}

fn contains(polygon: &Polygon, (x, y): (f64, f64)) -> bool {
    let mut inside = false;
    for (a, b) in polygon.iter().flat_map(|ring| edges(ring)) {
        if (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            inside = !inside;
        }
    }
    inside
}

fn distance(point: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let squared = dx * dx + dy * dy;
    let along = if squared > 0.0 { ((point.0 - a.0) * dx + (point.1 - a.1) * dy) / squared } else { 0.0 };
    let along = along.clamp(0.0, 1.0);
    (point.0 - a.0 - along * dx).hypot(point.1 - a.1 - along * dy)
}

type Edge = ((f64, f64), (f64, f64));

fn edges(ring: &[(f64, f64)]) -> impl Iterator<Item = Edge> + '_ {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Polygon {
        vec![
            vec![(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)],
            vec![(40.0, 40.0), (60.0, 40.0), (60.0, 60.0), (40.0, 60.0)],
        ]
    }

    #[test]
    fn labels_stand_inside_and_on_nothing_else() {
        let mut taken = Taken::default();
        for _ in 0..6 {
            let rect = best(&square(), Rect::sized(30.0, 12.0), &taken).expect("there is room for six");
            assert!(rect.left >= 0.0 && rect.right <= 100.0 && rect.top >= 0.0 && rect.bottom <= 100.0);
            assert!(!rect.meets(&Rect { left: 40.0, top: 40.0, right: 60.0, bottom: 60.0 }), "{rect:?}");
            assert!(taken.is_free(&rect));
            taken.add(rect);
        }
        assert_eq!(best(&square(), Rect::sized(101.0, 5.0), &taken), None);
    }

    #[test]
    fn the_hole_takes_area_off() {
        assert!((area(&square()) - 9600.0).abs() < 1e-9);
    }
}
