//! Mending a ring where only one mend is possible.
//!
//! Closing a ring, dropping a repeated point, cutting off a spike and turning the winding change no
//! ground that anybody could have meant. A ring that crosses itself is left alone: a bow tie may be
//! two corners out of order or two pieces of ground, and only the surveyor knows.

use crate::Point;
use crate::region::ring_area;
use crate::validity::{ShapeFault, is_spike, ring_faults};

/// Which way a ring should go round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Winding {
    /// Outer rings, the ground to the left (RFC 7946, section 3.1.6).
    Anticlockwise,
    /// Holes.
    Clockwise,
}

/// One change made to a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RingMend {
    /// The first point was repeated at the end.
    Closed,
    /// A point that repeated the one before it was dropped.
    DroppedRepeat(Point),
    /// The tip of a spike was cut off.
    CutSpike(Point),
    /// The order of the points was reversed.
    Turned,
}

/// A mended ring.
#[derive(Debug, Clone, PartialEq)]
pub struct Untangled {
    /// Which points of the given ring are kept, in their new order; the closing point is not listed.
    pub kept: Vec<usize>,
    /// What was changed, in the order done.
    pub mends: Vec<RingMend>,
    /// What is still wrong, because more than one mend is possible.
    pub left: Vec<ShapeFault>,
}

/// Mends a ring that should state its closing point.
pub fn untangle(ring: &[Point], winding: Winding) -> Untangled {
    let mut mends = Vec::new();
    let mut kept: Vec<usize> = Vec::with_capacity(ring.len());
    let end = if ring.len() > 1 && ring.first() == ring.last() { ring.len() - 1 } else { ring.len() };
    if end == ring.len() && end > 1 {
        mends.push(RingMend::Closed);
    }
    for index in 0..end {
        let repeats = kept.last().is_some_and(|last| ring[*last] == ring[index]);
        if repeats { mends.push(RingMend::DroppedRepeat(ring[index])) } else { kept.push(index) }
    }
    // The ring may also end on its first point twice.
    while kept.len() > 1 && ring[kept[0]] == ring[kept[kept.len() - 1]] {
        mends.push(RingMend::DroppedRepeat(ring[kept[0]]));
        kept.pop();
    }
    while let Some(position) = first_spike(ring, &kept) {
        mends.push(RingMend::CutSpike(ring[kept[position]]));
        kept.remove(position);
        // What stood beside the tip may be one point now.
        let mut position = 1;
        while position < kept.len() {
            if ring[kept[position]] == ring[kept[position - 1]] {
                let _ = kept.remove(position);
            } else {
                position += 1;
            }
        }
        while kept.len() > 1 && ring[kept[0]] == ring[kept[kept.len() - 1]] {
            kept.pop();
        }
    }
    let points: Vec<Point> = kept.iter().map(|index| ring[*index]).collect();
    let area = ring_area(&points);
    if area != 0.0 && (area > 0.0) != (winding == Winding::Anticlockwise) {
        // The first point stays first, so that the ring still starts where its owner started it.
        kept[1..].reverse();
        mends.push(RingMend::Turned);
    }
    let left = ring_faults(&points);
    Untangled { kept, mends, left }
}

fn first_spike(ring: &[Point], kept: &[usize]) -> Option<usize> {
    let count = kept.len();
    if count < 4 {
        return None;
    }
    (0..count).find(|position| {
        let at = |step: usize| ring[kept[(position + step) % count]];
        is_spike(at(count - 1), at(0), at(1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|(x, y)| Point::from_metres(*x, *y)).collect()
    }

    #[test]
    fn an_open_clockwise_ring_with_a_repeat_and_a_spike_is_mended() {
        let ring = points(&[(0.0, 0.0), (0.0, 4.0), (4.0, 4.0), (4.0, 4.0), (9.0, 4.0), (4.0, 4.0), (4.0, 0.0)]);
        let mended = untangle(&ring, Winding::Anticlockwise);
        assert_eq!(
            mended.mends,
            [
                RingMend::Closed,
                RingMend::DroppedRepeat(Point::from_metres(4.0, 4.0)),
                RingMend::CutSpike(Point::from_metres(9.0, 4.0)),
                RingMend::Turned
            ]
        );
        assert_eq!(mended.kept, [0, 6, 2, 1]);
        assert!(mended.left.is_empty());
    }

    #[test]
    fn a_bow_tie_is_left_alone_and_named() {
        let ring = points(&[(0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0), (0.0, 0.0)]);
        let mended = untangle(&ring, Winding::Anticlockwise);
        assert_eq!(mended.left, [ShapeFault::SelfCrossing { at: Point::from_metres(2.0, 2.0) }]);
        assert_eq!(mended.kept, [0, 1, 2, 3]);
    }

    #[test]
    fn a_sound_ring_is_untouched() {
        let ring = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 0.0)]);
        let mended = untangle(&ring, Winding::Anticlockwise);
        assert_eq!((mended.kept.as_slice(), mended.mends.is_empty()), ([0, 1, 2].as_slice(), true));
        assert_eq!(untangle(&ring, Winding::Clockwise).kept, [0, 2, 1]);
    }
}
