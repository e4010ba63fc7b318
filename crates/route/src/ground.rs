//! The ground as the nozzle meets it: what needs spray, what is covered how often, where one may walk.

use crate::RouteRequest;
use crate::raster::{Frame, NOWHERE, rings_of};
use crate::vector::Vector;
use geometry::Region;
use quantity::LengthUnit;

/// One byte a cell tells what the ground is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Must not be sprayed, cannot be walked.
    Blocked,
    /// May be walked, must not be sprayed.
    Walkable,
    /// Spray does no harm there.
    Harmless,
    /// To be sprayed.
    Zone,
}

/// The planner's raster of a request.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    pub(crate) frame: Frame,
    pub(crate) kind: Vec<Kind>,
    /// Cells that a person may stand on.
    pub(crate) walk: Vec<bool>,
    /// How many passes cover a cell.
    pub(crate) count: Vec<u8>,
    pub(crate) swath: f64,
    zone_cells: usize,
}

impl Ground {
    pub(crate) fn of(request: &RouteRequest) -> Self {
        let swath = request.swath.to(LengthUnit::Metre);
        let cell = (swath / 16.0).clamp(0.05, 0.07);
        let places = [&request.zone, &request.walkable]
            .into_iter()
            .flat_map(rings_of)
            .flat_map(|rings| rings.into_iter().flatten());
        let frame = Frame::around(places, 1.5 * swath + 0.5, cell);
        let (zone, walkable, harmless) =
            (frame.mask(&request.zone), frame.mask(&request.walkable), frame.mask(&request.harmless));
        let kind: Vec<Kind> = (0..frame.len())
            .map(|cell| match (zone[cell], harmless[cell], walkable[cell]) {
                (true, _, _) => Kind::Zone,
                (_, true, _) => Kind::Harmless,
                (_, _, true) => Kind::Walkable,
                _ => Kind::Blocked,
            })
            .collect();
        let walk = with_brink(&frame, [&request.zone, &request.walkable]);
        let zone_cells = zone.iter().filter(|inside| **inside).count();
        let count = vec![0; frame.len()];
        Self { frame, kind, walk, count, swath, zone_cells }
    }

    pub(crate) fn may_walk(&self, place: Vector) -> bool {
        let cell = self.frame.at(place);
        cell != NOWHERE && self.walk[cell as usize]
    }

    /// The share of the zone that is covered.
    pub(crate) fn covered(&self) -> f64 {
        let pairs = self.kind.iter().zip(&self.count);
        let covered = pairs.filter(|(kind, count)| **kind == Kind::Zone && **count > 0).count();
        covered as f64 / self.zone_cells.max(1) as f64
    }

    pub(crate) fn area(&self) -> f64 {
        self.zone_cells as f64 * self.frame.cell * self.frame.cell
    }

    /// Shares of the zone covered twice or more, and of spray beyond it where it does harm.
    pub(crate) fn waste(&self) -> (f64, f64) {
        let (mut twice, mut off) = (0_usize, 0_usize);
        for (kind, count) in self.kind.iter().zip(&self.count) {
            match kind {
                Kind::Zone => twice += usize::from(*count > 1),
                Kind::Harmless => {}
                Kind::Walkable | Kind::Blocked => off += usize::from(*count),
            }
        }
        (twice as f64 / self.zone_cells.max(1) as f64, off as f64 / self.zone_cells.max(1) as f64)
    }

    pub(crate) fn clear(&mut self) {
        self.count.fill(0);
    }
}

/// Cells of ground that may be walked: those of which some place near the middle is on it. A pass may so end right at an
/// edge, and a wall of a cell's breadth stays a wall.
fn with_brink(frame: &Frame, grounds: [&Region; 2]) -> Vec<bool> {
    let mut walk = vec![false; frame.len()];
    for (x, y) in [(0.3, 0.3), (-0.3, 0.3), (-0.3, -0.3), (0.3, -0.3)] {
        let low = frame.low + Vector::new(x * frame.cell, y * frame.cell);
        let shifted = Frame { low, ..frame.clone() };
        for ground in grounds {
            for (walk, is_on) in walk.iter_mut().zip(shifted.mask(ground)) {
                *walk |= is_on;
            }
        }
    }
    walk
}
