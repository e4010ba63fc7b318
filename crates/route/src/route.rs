//! The walk: passes, walks between them and refills, in order.

use geometry::Point;
use quantity::{Length, LengthUnit};

/// A walk that sprays a zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// In the order of the walk; each begins where the one before ended.
    pub legs: Vec<Leg>,
    /// How many refills no order could do without: the sprayed length over what one tank sprays.
    pub least_refills: usize,
    /// How many passes had to be stopped on the way because the tank was empty.
    pub cut_passes: usize,
    /// Pairs of neighbouring passes of which the upwind one is sprayed first although the wind was told.
    pub against_wind: usize,
}

/// One stretch of the walk.
#[derive(Debug, Clone, PartialEq)]
pub enum Leg {
    /// Sprayer on.
    Spray(Pass),
    /// Sprayer off.
    Walk(Vec<Point>),
    /// Sprayer off: to the tap, and from it to the next pass.
    Refill {
        /// The way there; its last place is where the tank is filled.
        to_tap: Vec<Point>,
        /// The way back; its first place is where the tank is filled.
        back: Vec<Point>,
    },
}

/// One pass with the sprayer on.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// The middle of the swath, in the direction of the walk.
    pub line: Vec<Point>,
    /// The width sprayed: the request's swath, or less where the nozzle is held lower.
    pub swath: Length,
    /// How the wand is turned where spraying begins.
    pub start_skew: Skew,
    /// How the wand is turned where spraying ends.
    pub end_skew: Skew,
    /// Why the pass is there.
    pub kind: PassKind,
}

/// How far a wand is turned from square to the walk, at most 45 degrees: its left end leads by a positive angle.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Skew(f64);

impl Skew {
    /// Square to the walk.
    pub const NONE: Self = Self(0.0);

    /// By how much the left end leads, per metre of half width; held to what 45 degrees give.
    pub(crate) fn of_slope(slope: f64) -> Self {
        Self(slope.clamp(-1.0, 1.0))
    }

    /// The tangent of the angle: how far the left end of the swath leads, over half the swath. Who walks the
    /// pass the other way turns the wand by the same angle, since left and ahead change together.
    pub fn slope(self) -> f64 {
        self.0
    }

    /// The angle in degrees, positive when the left end leads.
    pub fn degrees(self) -> f64 {
        self.0.atan().to_degrees()
    }
}

/// Why a pass is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PassKind {
    /// Along an edge.
    Ring,
    /// Through a part that is narrower than the swath.
    Narrow,
    /// One of many side by side.
    Row,
    /// Over a spot that the others left.
    Patch,
}

impl Pass {
    /// How long it is.
    pub fn length(&self) -> Length {
        length_of(&self.line)
    }

    /// How many times faster than with the full swath one walks, so that the dose is the same.
    pub fn pace_factor(&self, full_swath: Length) -> f64 {
        full_swath.ratio(self.swath)
    }
}

impl Leg {
    /// The places that are walked, in order.
    pub fn places(&self) -> Vec<Point> {
        match self {
            Self::Spray(pass) => pass.line.clone(),
            Self::Walk(line) => line.clone(),
            Self::Refill { to_tap, back } => to_tap.iter().chain(back.iter().skip(1)).copied().collect(),
        }
    }
}

impl Route {
    /// The passes, in order.
    pub fn passes(&self) -> impl Iterator<Item = &Pass> {
        self.legs.iter().filter_map(|leg| match leg {
            Leg::Spray(pass) => Some(pass),
            Leg::Walk(_) | Leg::Refill { .. } => None,
        })
    }

    /// How often the tank is filled on the way.
    pub fn refills(&self) -> usize {
        self.legs.iter().filter(|leg| matches!(leg, Leg::Refill { .. })).count()
    }

    /// The length sprayed.
    pub fn sprayed(&self) -> Length {
        self.passes().map(Pass::length).sum()
    }

    /// The length walked with the sprayer off, refill trips apart.
    pub fn dead_walk(&self) -> Length {
        let walks = self.legs.iter().filter_map(|leg| match leg {
            Leg::Walk(line) => Some(length_of(line)),
            Leg::Spray(_) | Leg::Refill { .. } => None,
        });
        walks.sum()
    }
}

/// The length of a line through places.
pub(crate) fn length_of(line: &[Point]) -> Length {
    line.windows(2)
        .map(|pair| pair[0].distance_to(pair[1]))
        .fold(Length::new(0.0, LengthUnit::Metre), |sum, gap| sum + gap)
}
