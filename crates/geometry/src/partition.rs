//! A whole cut into named parts, each square foot in exactly one of them.

use crate::Region;
use quantity::Area;

/// A whole being cut: each claim takes what is left of the ground it names, first come first served.
///
/// # Law
/// The parts do not overlap, leave nothing out, and their areas add up to the whole within a
/// millionth (the overlay engine's rounding is far below that on any lot).
#[derive(Debug, Clone)]
pub struct Partition<N> {
    parts: Vec<(N, Region)>,
    left: Region,
}

impl<N> Partition<N> {
    /// Nothing claimed yet.
    pub fn of(whole: Region) -> Self {
        Self { parts: Vec::new(), left: whole }
    }

    /// Cuts out, under a name, what is still left of a region. A claim that takes nothing makes no part.
    pub fn claim(&mut self, name: N, region: &Region) {
        let (taken, left) = self.left.cut(region);
        if !taken.is_empty() {
            self.parts.push((name, taken));
            self.left = left;
        }
    }

    /// What no claim has taken so far.
    pub fn left(&self) -> &Region {
        &self.left
    }

    /// The area that no claim has taken so far.
    pub fn area_left(&self) -> Area {
        self.left.area()
    }

    /// Ends the cutting: the rest takes a name, unless nothing is left, and the parts come in the
    /// order of the claims.
    pub fn rest(mut self, name: N) -> Vec<(N, Region)> {
        if !self.left.is_empty() {
            self.parts.push((name, self.left));
        }
        self.parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Point;
    use quantity::AreaUnit;

    fn strip(from: f64, to: f64) -> Region {
        Region::rectangle(Point::from_metres(from, 0.0), Point::from_metres(to, 10.0)).unwrap()
    }

    #[test]
    fn first_come_first_served() {
        let mut partition = Partition::of(strip(0.0, 10.0));
        partition.claim("first", &strip(2.0, 6.0));
        partition.claim("second", &strip(4.0, 8.0));
        partition.claim("late", &strip(3.0, 5.0));
        partition.claim("far", &strip(30.0, 40.0));
        assert!((partition.area_left().to(AreaUnit::SquareMetre) - 40.0).abs() < 1e-5);
        let parts: Vec<(&str, f64)> = partition
            .rest("rest")
            .into_iter()
            .map(|(name, part)| (name, (part.area().to(AreaUnit::SquareMetre) * 1e4).round() / 1e4))
            .collect();
        assert_eq!(parts, [("first", 40.0), ("second", 20.0), ("rest", 40.0)]);
    }

    #[test]
    fn a_whole_all_claimed_leaves_no_rest() {
        let mut partition = Partition::of(strip(0.0, 10.0));
        partition.claim("all", &strip(-1.0, 11.0));
        assert_eq!(partition.rest("rest").len(), 1);
    }
}
