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
