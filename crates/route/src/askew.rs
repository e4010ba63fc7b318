//! The plane turned so that edges do not run along the planner's cells, which would deceive it: most lots have square
//! corners. A lot that is turned is thereby planned much the same.

use crate::raster::rings_of;
use crate::{Leg, Pass, Route, RouteRequest};
use geometry::{Point, Region};
use quantity::Bearing;

/// The angle from east at which most of the edges shall lie, in degrees.
const ASKEW_DEGREES: f64 = 19.0;
/// Edges within so many degrees of each other are told together.
const BIN_DEGREES: f64 = 1.0;

/// A turn, there and back.
pub(crate) struct Askew {
    about: Point,
    by: Bearing,
}

impl Askew {
    /// The turn after which most edges of a zone lie askew.
    pub(crate) fn of(zone: &Region) -> Self {
        let about = zone.bounds().map_or(Point::from_metres(0.0, 0.0), |bounds| {
            let (low, high) = (bounds.south_west().metres(), bounds.north_east().metres());
            Point::from_metres(f64::midpoint(low.0, high.0), f64::midpoint(low.1, high.1))
        });
        let bins = (90.0 / BIN_DEGREES) as usize;
        let mut lengths = vec![(0.0_f64, 0.0_f64); bins];
        for ring in rings_of(zone).into_iter().flatten() {
            for (index, from) in ring.iter().enumerate() {
                let along = ring[(index + 1) % ring.len()] - *from;
                // Half a bin on, so that edges to the east do not fall into two.
                let angle = along.y.atan2(along.x).to_degrees() + BIN_DEGREES / 2.0;
                let angle = angle.rem_euclid(90.0);
                let bin = &mut lengths[((angle / BIN_DEGREES) as usize).min(bins - 1)];
                bin.0 += along.length();
                bin.1 += along.length() * (angle - BIN_DEGREES / 2.0);
            }
        }
        let most = lengths.into_iter().fold((0.0, 0.0), |most, bin| if bin.0 > most.0 + 1e-9 { bin } else { most });
        let angle = if most.0 > 0.0 { most.1 / most.0 } else { 0.0 };
        // Bearings turn with the clock, angles against it.
        Self { about, by: Bearing::from_degrees(angle - ASKEW_DEGREES) }
    }

    pub(crate) fn region(&self, region: &Region) -> Region {
        region.rotated(self.about, self.by)
    }

    pub(crate) fn request(&self, request: &RouteRequest) -> RouteRequest {
        RouteRequest {
            zone: self.region(&request.zone),
            walkable: self.region(&request.walkable),
            harmless: self.region(&request.harmless),
            tap: request.tap.rotated(self.about, self.by),
            start: request.start.map(|start| start.rotated(self.about, self.by)),
            wind_from: request.wind_from.map(|wind| Bearing::from_degrees(wind.degrees() + self.by.degrees())),
            ..request.clone()
        }
    }

    pub(crate) fn pass(&self, pass: Pass) -> Pass {
        Pass { line: self.line(pass.line), ..pass }
    }

    pub(crate) fn back(&self, route: Route) -> Route {
        let legs = route.legs.into_iter().map(|leg| match leg {
            Leg::Spray(pass) => Leg::Spray(self.pass(pass)),
            Leg::Walk(places) => Leg::Walk(self.line(places)),
            Leg::Refill { to_tap, back } => Leg::Refill { to_tap: self.line(to_tap), back: self.line(back) },
        });
        Route { legs: legs.collect(), ..route }
    }

    fn line(&self, line: Vec<Point>) -> Vec<Point> {
        let back = Bearing::from_degrees(-self.by.degrees());
        line.into_iter().map(|place| place.rotated(self.about, back)).collect()
    }
}
