//! The box of longitudes and latitudes that ground lies in, for finding it again.

use crate::GeoPosition;
use quantity::{Length, LengthUnit};

/// Steps to a degree: a step is eleven millimetres of latitude at most.
const STEPS: f64 = 10_000_000.0;
/// Metres to a degree of latitude, at the least: at the equator of WGS 84, where it is 110,574 m.
const LEAST_METRES_PER_DEGREE: f64 = 110_574.0;

/// A box of longitudes and latitudes, in whole ten-millionths of a degree, rounded outward.
///
/// Meant for finding what may concern a place: two grounds that share a point have boxes that overlap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct GeoExtent {
    south: i32,
    west: i32,
    north: i32,
    east: i32,
}

impl GeoExtent {
    /// Every place on the Earth.
    pub const EARTH: Self = Self { south: -900_000_000, west: -1_800_000_000, north: 900_000_000, east: 1_800_000_000 };

    /// The box round positions, with so much margin. `None` without a position, and where the box would cross
    /// the 180th meridian: half the Earth or more apart in longitude.
    pub fn around(positions: impl IntoIterator<Item = GeoPosition>, margin: Length) -> Option<Self> {
        let mut positions = positions.into_iter();
        let first = positions.next()?;
        let (mut low, mut high) = ((first.longitude(), first.latitude()), (first.longitude(), first.latitude()));
        for position in positions {
            low = (low.0.min(position.longitude()), low.1.min(position.latitude()));
            high = (high.0.max(position.longitude()), high.1.max(position.latitude()));
        }
        let rise = margin.to(LengthUnit::Metre).max(0.0) / LEAST_METRES_PER_DEGREE;
        let (south, north) = ((low.1 - rise).max(-90.0), (high.1 + rise).min(90.0));
        // A degree of longitude is shortest where the box comes nearest to a pole.
        let shortest = south.abs().max(north.abs()).to_radians().cos();
        let turn = if shortest > 0.0 { rise / shortest } else { 360.0 };
        let (west, east) = (low.0 - turn, high.0 + turn);
        if west < -180.0 || east > 180.0 || east - west >= 180.0 {
            return None;
        }
        let step = |degrees: f64| degrees * STEPS;
        Some(Self {
            south: step(south).floor() as i32,
            west: step(west).floor() as i32,
            north: step(north).ceil() as i32,
            east: step(east).ceil() as i32,
        })
    }

    /// The box of these bounds, in ten-millionths of a degree: south, west, north, east. `None` where they are
    /// none: beyond the Earth, or the wrong way round.
    pub fn of_bounds(bounds: [i64; 4]) -> Option<Self> {
        let mut read = [0; 4];
        for (to, from) in read.iter_mut().zip(bounds) {
            *to = i32::try_from(from).ok()?;
        }
        let [south, west, north, east] = read;
        let found = Self { south, west, north, east };
        let is_one = south <= north
            && west <= east
            && south >= Self::EARTH.south
            && north <= Self::EARTH.north
            && west >= Self::EARTH.west
            && east <= Self::EARTH.east;
        is_one.then_some(found)
    }

    /// Its bounds in ten-millionths of a degree: south, west, north, east.
    pub fn bounds(self) -> [i64; 4] {
        [self.south, self.west, self.north, self.east].map(i64::from)
    }

    /// Whether the boxes share a point.
    pub fn overlaps(self, other: Self) -> bool {
        self.south <= other.north && other.south <= self.north && self.west <= other.east && other.west <= self.east
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{LocalPlane, Point};
    use proptest::prelude::*;

    fn metres(metres: f64) -> Length {
        Length::new(metres, LengthUnit::Metre)
    }

    fn at(longitude: f64, latitude: f64) -> GeoPosition {
        GeoPosition::from_degrees(longitude, latitude).unwrap()
    }

    #[test]
    fn a_box_across_the_180th_meridian_is_none() {
        assert_eq!(GeoExtent::around([at(179.9999, 1.0), at(-179.9999, 1.0)], metres(0.0)), None);
        assert_eq!(GeoExtent::around([at(179.999_999, 1.0)], metres(50.0)), None);
        assert_eq!(GeoExtent::around([at(10.0, 90.0)], metres(1.0)), None, "every meridian meets at a pole");
        assert_eq!(GeoExtent::around([], metres(1.0)), None);
    }

    #[test]
    fn bounds_that_are_none_are_refused() {
        assert_eq!(GeoExtent::of_bounds([2, 0, 1, 0]), None);
        assert_eq!(GeoExtent::of_bounds([0, 0, 900_000_001, 0]), None);
        assert_eq!(GeoExtent::of_bounds([0, i64::MAX, 0, i64::MAX]), None);
        assert_eq!(GeoExtent::of_bounds(GeoExtent::EARTH.bounds()), Some(GeoExtent::EARTH));
    }

    proptest! {
        /// Whatever lies within the margin of a position is in the box with the margin.
        #[test]
        fn what_is_within_the_margin_is_in_the_box(
            longitude in -179.0..179.0, latitude in -85.0..85.0, margin in 0.0..2_000.0, turn in 0.0..std::f64::consts::TAU, share in 0.0..0.999,
        ) {
            let plane = LocalPlane::around(at(longitude, latitude));
            let away = margin * share;
            let there = plane.to_position(Point { x: away * turn.cos(), y: away * turn.sin() });
            let around = GeoExtent::around([plane.origin()], metres(margin)).unwrap();
            let spot = GeoExtent::around([there], metres(0.0)).unwrap();
            prop_assert!(around.overlaps(spot) && spot.overlaps(around));
            prop_assert_eq!(GeoExtent::of_bounds(around.bounds()), Some(around));
        }

        /// And what is farther off than the margin's diagonal is not.
        #[test]
        fn what_is_far_off_is_outside(longitude in -170.0..170.0, latitude in -60.0..60.0, turn in 0.0..std::f64::consts::TAU) {
            let plane = LocalPlane::around(at(longitude, latitude));
            let there = plane.to_position(Point { x: 3_000.0 * turn.cos(), y: 3_000.0 * turn.sin() });
            let around = GeoExtent::around([plane.origin()], metres(1_000.0)).unwrap();
            prop_assert!(!around.overlaps(GeoExtent::around([there], metres(1_000.0)).unwrap()));
        }
    }
}
