//! Every fault of an outline, with its place: one variant per broken rule.
//!
//! # Source
//! The rules for a valid polygon are those of OGC Simple Feature Access, part 1 (OGC 06-103r4),
//! section 6.1.11; repeated points and spikes are listed besides because a surveyor wants to know.

use crate::Point;
use crate::holes::hole_faults;
use crate::nearest::{crossing, on_segment};
use crate::region::{edges, ring_area};
use std::fmt;

/// A rule that an outline breaks, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShapeFault {
    /// The last point of a ring is not its first.
    Unclosed {
        /// Where it starts.
        start: Point,
        /// Where it ends.
        end: Point,
    },
    /// Fewer different points than the shape needs.
    TooFewPoints {
        /// How many different points there are.
        distinct: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A point stands twice in a row.
    RepeatedPoint {
        /// Which point of the ring, from 0.
        index: usize,
        /// Where it is.
        at: Point,
    },
    /// The ring runs out to a point and back the same way.
    Spike {
        /// Which point of the ring is the tip, from 0.
        index: usize,
        /// Where the tip is.
        at: Point,
    },
    /// The ring crosses itself.
    SelfCrossing {
        /// Where.
        at: Point,
    },
    /// The ring touches or runs along itself.
    SelfTouching {
        /// Where.
        at: Point,
    },
    /// The ring encloses no ground.
    NoArea {
        /// A point of the ring.
        at: Point,
    },
    /// A hole lies outside the outer ring.
    HoleOutside {
        /// Which hole, from 0.
        hole: usize,
        /// A point of it that is outside.
        at: Point,
    },
    /// A hole crosses the outer ring, or another hole, or lies in another hole.
    HoleCrossing {
        /// Which hole, from 0.
        hole: usize,
        /// Where.
        at: Point,
    },
    /// A hole has a stretch of edge in common with the outer ring or another hole.
    HoleSharesEdge {
        /// Which hole, from 0.
        hole: usize,
        /// The middle of the stretch.
        at: Point,
    },
}

impl ShapeFault {
    /// The last part of a stable problem code.
    pub const fn slug(&self) -> &'static str {
        match self {
            Self::Unclosed { .. } => "unclosed",
            Self::TooFewPoints { .. } => "too-few-points",
            Self::RepeatedPoint { .. } => "repeated-point",
            Self::Spike { .. } => "spike",
            Self::SelfCrossing { .. } => "self-crossing",
            Self::SelfTouching { .. } => "self-touching",
            Self::NoArea { .. } => "no-area",
            Self::HoleOutside { .. } => "hole-outside",
            Self::HoleCrossing { .. } => "hole-crossing",
            Self::HoleSharesEdge { .. } => "hole-shares-edge",
        }
    }

    /// Where, when the fault has a place.
    pub const fn place(&self) -> Option<Point> {
        match self {
            Self::TooFewPoints { .. } => None,
            Self::Unclosed { end: at, .. }
            | Self::RepeatedPoint { at, .. }
            | Self::Spike { at, .. }
            | Self::SelfCrossing { at }
            | Self::SelfTouching { at }
            | Self::NoArea { at }
            | Self::HoleOutside { at, .. }
            | Self::HoleCrossing { at, .. }
            | Self::HoleSharesEdge { at, .. } => Some(*at),
        }
    }
}

impl fmt::Display for ShapeFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unclosed { .. } => f.write_str("the ring does not end where it starts"),
            Self::TooFewPoints { distinct, needed } => {
                write!(f, "`{distinct}` different points where at least `{needed}` are needed")
            }
            Self::RepeatedPoint { index, .. } => write!(f, "point {} repeats the one before it", index + 1),
            Self::Spike { index, .. } => write!(f, "the ring runs out to point {} and back the same way", index + 1),
            Self::SelfCrossing { .. } => f.write_str("the ring crosses itself"),
            Self::SelfTouching { .. } => f.write_str("the ring touches itself"),
            Self::NoArea { .. } => f.write_str("the ring encloses no ground"),
            Self::HoleOutside { hole, .. } => write!(f, "hole {} lies outside the outline", hole + 1),
            Self::HoleCrossing { hole, .. } => write!(f, "hole {} crosses the outline or another hole", hole + 1),
            Self::HoleSharesEdge { hole, .. } => {
                write!(f, "hole {} shares an edge with the outline or another hole", hole + 1)
            }
        }
    }
}

impl std::error::Error for ShapeFault {}

/// A needle narrower than this is a spike: no tape or mower can follow it (common practice, no source).
const SPIKE_WIDTH: f64 = 1e-3;

/// Every fault of a ring that must state its closing point, as GeoJSON rings do (RFC 7946, 3.1.6).
pub fn stated_ring_faults(ring: &[Point]) -> Vec<ShapeFault> {
    let mut faults = Vec::new();
    if let (Some(start), Some(end)) = (ring.first(), ring.last())
        && start != end
    {
        faults.push(ShapeFault::Unclosed { start: *start, end: *end });
    }
    faults.extend(ring_faults(ring));
    faults
}

/// Every fault of a ring that closes itself.
pub fn ring_faults(ring: &[Point]) -> Vec<ShapeFault> {
    let mut faults = repeats(ring);
    let ring = open_ring(ring);
    faults.extend(shape_faults(&ring));
    faults
}

/// Every fault of a polygon whose rings close themselves; points repeated at once, which change no
/// ground, are passed over.
pub fn polygon_faults(exterior: &[Point], holes: &[Vec<Point>]) -> Vec<ShapeFault> {
    let exterior = open_ring(exterior);
    let holes: Vec<Vec<Point>> = holes.iter().map(|hole| open_ring(hole)).collect();
    let mut faults = shape_faults(&exterior);
    for hole in &holes {
        faults.extend(shape_faults(hole));
    }
    if faults.is_empty() {
        faults.extend(hole_faults(&exterior, &holes));
    }
    faults
}

/// The ring without its closing point and without points repeated at once.
pub(crate) fn open_ring(ring: &[Point]) -> Vec<Point> {
    let mut open = ring.to_vec();
    open.dedup();
    while open.len() > 1 && open.first() == open.last() {
        open.pop();
    }
    open
}

/// Where a line crosses itself.
pub(crate) fn line_crossings(points: &[Point]) -> Vec<Point> {
    let segments: Vec<_> = points.windows(2).map(|pair| (pair[0], pair[1])).collect();
    let mut found = Vec::new();
    for_each_near_pair(&segments, |first, second| {
        found.extend(crossing(segments[first], segments[second]));
    });
    found
}

fn repeats(ring: &[Point]) -> Vec<ShapeFault> {
    let pairs = ring.windows(2).enumerate();
    pairs
        .filter(|(_, pair)| pair[0] == pair[1])
        .map(|(index, pair)| ShapeFault::RepeatedPoint { index: index + 1, at: pair[1] })
        .collect()
}

fn shape_faults(ring: &[Point]) -> Vec<ShapeFault> {
    let distinct = count_distinct(ring);
    if distinct < 3 {
        return vec![ShapeFault::TooFewPoints { distinct, needed: 3 }];
    }
    let mut faults = spikes(ring);
    faults.extend(self_meetings(ring));
    if faults.is_empty() && ring_area(ring) == 0.0 {
        faults.push(ShapeFault::NoArea { at: ring[0] });
    }
    faults
}

fn count_distinct(ring: &[Point]) -> usize {
    let mut sorted = ring.to_vec();
    sorted.sort_by(|a, b| a.low_left_order(*b));
    sorted.dedup();
    sorted.len()
}

/// Whether the ring turns back on itself at `tip`.
pub(crate) fn is_spike(before: Point, tip: Point, after: Point) -> bool {
    let (ax, ay) = (before.x - tip.x, before.y - tip.y);
    let (bx, by) = (after.x - tip.x, after.y - tip.y);
    let longer = ax.hypot(ay).max(bx.hypot(by));
    let shorter = ax.hypot(ay).min(bx.hypot(by));
    let width = (ax * by - ay * bx).abs() / longer;
    ax * bx + ay * by > 0.0 && width < SPIKE_WIDTH.min(shorter * 0.01)
}

fn spikes(ring: &[Point]) -> Vec<ShapeFault> {
    let count = ring.len();
    (0..count)
        .filter(|index| is_spike(ring[(index + count - 1) % count], ring[*index], ring[(index + 1) % count]))
        .map(|index| ShapeFault::Spike { index, at: ring[index] })
        .collect()
}

fn self_meetings(ring: &[Point]) -> Vec<ShapeFault> {
    let segments: Vec<_> = edges(ring).collect();
    let count = segments.len();
    let mut faults: Vec<ShapeFault> = Vec::new();
    for_each_near_pair(&segments, |first, second| {
        if second == first + 1 || (first == 0 && second == count - 1) {
            return;
        }
        let (one, other) = (segments[first], segments[second]);
        if let Some(at) = crossing(one, other) {
            faults.push(ShapeFault::SelfCrossing { at });
            return;
        }
        // Each vertex belongs to two edges; looking at starts only reports it once.
        if on_segment(one, other.0) {
            faults.push(ShapeFault::SelfTouching { at: other.0 });
        } else if on_segment(other, one.0) {
            faults.push(ShapeFault::SelfTouching { at: one.0 });
        }
    });
    faults.dedup();
    let mut once: Vec<ShapeFault> = Vec::new();
    for fault in faults {
        if !once.contains(&fault) {
            once.push(fault);
        }
    }
    once
}

/// Calls with every pair of segments whose boxes meet, the lower index first, in a fixed order.
fn for_each_near_pair(segments: &[(Point, Point)], mut found: impl FnMut(usize, usize)) {
    let mut order: Vec<usize> = (0..segments.len()).collect();
    let west = |index: usize| segments[index].0.x.min(segments[index].1.x);
    let east = |index: usize| segments[index].0.x.max(segments[index].1.x);
    let south = |index: usize| segments[index].0.y.min(segments[index].1.y);
    let north = |index: usize| segments[index].0.y.max(segments[index].1.y);
    order.sort_by(|a, b| west(*a).total_cmp(&west(*b)).then(a.cmp(b)));
    let mut pairs = Vec::new();
    for (position, one) in order.iter().copied().enumerate() {
        for other in order[position + 1..].iter().copied() {
            if west(other) > east(one) {
                break;
            }
            if south(one) <= north(other) && south(other) <= north(one) {
                pairs.push((one.min(other), one.max(other)));
            }
        }
    }
    pairs.sort_unstable();
    for (first, second) in pairs {
        found(first, second);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|(x, y)| Point::from_metres(*x, *y)).collect()
    }

    fn check(ring: &[(f64, f64)], slugs: &[&str]) -> Vec<ShapeFault> {
        let faults = stated_ring_faults(&points(ring));
        assert_eq!(faults.iter().map(ShapeFault::slug).collect::<Vec<_>>(), slugs);
        faults
    }

    #[test]
    fn each_rule_has_its_fault() {
        check(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 0.0)], &[]);
        check(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0)], &["unclosed"]);
        check(&[(0.0, 0.0), (4.0, 0.0), (0.0, 0.0)], &["too-few-points"]);
        check(&[], &["too-few-points"]);
        check(&[(0.0, 0.0), (4.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 0.0)], &["repeated-point"]);
        check(
            &[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (9.0, 9.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0)],
            &["spike", "self-touching"],
        );
        check(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0), (0.0, 0.0)], &["self-crossing"]);
        check(
            &[(0.0, 0.0), (4.0, 0.0), (2.0, 2.0), (4.0, 4.0), (0.0, 4.0), (2.0, 2.0), (0.0, 0.0)],
            &["self-touching"],
        );
    }

    #[test]
    fn every_crossing_is_listed_with_its_place() {
        let zigzag = [(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (8.0, -1.0), (6.0, 5.0), (0.0, 5.0), (0.0, 0.0)];
        let faults = check(&zigzag, &["self-crossing", "self-crossing"]);
        let places: Vec<(f64, f64)> = faults.iter().map(|fault| fault.place().unwrap().metres()).collect();
        for (found, expected) in places.iter().zip([(25.0 / 3.0, 0.0), (23.0 / 3.0, 0.0)]) {
            assert!((found.0 - expected.0).hypot(found.1 - expected.1) < 1e-12, "{places:?}");
        }
    }
}
