//! The local plane round a place on the Earth.

use crate::Point;
use quantity::{Length, LengthUnit};
use std::fmt;

/// A longitude and latitude on the WGS 84 ellipsoid, in degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GeoPosition {
    longitude: f64,
    latitude: f64,
}

/// Why a pair of numbers is no position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PositionFault {
    /// Not a finite number of degrees.
    NotFinite,
    /// A longitude beyond 180 degrees east or west.
    Longitude(f64),
    /// A latitude beyond 90 degrees north or south.
    Latitude(f64),
}

impl fmt::Display for PositionFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotFinite => f.write_str("a coordinate is not a finite number"),
            Self::Longitude(degrees) => write!(f, "longitude `{degrees}` is beyond 180 degrees"),
            Self::Latitude(degrees) => write!(f, "latitude `{degrees}` is beyond 90 degrees"),
        }
    }
}

impl std::error::Error for PositionFault {}

impl GeoPosition {
    /// So many degrees east and north.
    ///
    /// # Errors
    /// A number that is not finite, a longitude beyond 180 or a latitude beyond 90 degrees.
    pub fn from_degrees(longitude: f64, latitude: f64) -> Result<Self, PositionFault> {
        if !longitude.is_finite() || !latitude.is_finite() {
            Err(PositionFault::NotFinite)
        } else if longitude.abs() > 180.0 {
            Err(PositionFault::Longitude(longitude))
        } else if latitude.abs() > 90.0 {
            Err(PositionFault::Latitude(latitude))
        } else {
            Ok(Self { longitude, latitude })
        }
    }

    /// Degrees east of Greenwich.
    pub fn longitude(self) -> f64 {
        self.longitude
    }

    /// Degrees north of the equator.
    pub fn latitude(self) -> f64 {
        self.latitude
    }
}

impl fmt::Display for GeoPosition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.6}, {:.6}", self.longitude, self.latitude)
    }
}

/// Equatorial radius of WGS 84 in metres (NGA.STND.0036, 2014, table 3.1).
const RADIUS: f64 = 6_378_137.0;
/// Flattening of WGS 84 (same table).
const FLATTENING: f64 = 1.0 / 298.257_223_563;
const ECCENTRICITY_SQUARED: f64 = FLATTENING * (2.0 - FLATTENING);

/// The plane that touches the ellipsoid at its origin; a place falls on it along the vertical of
/// the origin.
///
/// Azimuthal: bearings at the origin are true. At distance d scale is short by about d²/2R² along
/// the way, so that areas 5 km across are true to one part in a million and distances of 10 km to
/// about one part in a million as well.
///
/// # Source
/// Earth-centred coordinates: NGA.STND.0036 (2014), section 4; east-north-up axes at the origin are
/// the usual topocentric rotation (IOGP Guidance Note 7-2, section 4.1.2).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalPlane {
    origin: GeoPosition,
    centre: [f64; 3],
    east: [f64; 3],
    north: [f64; 3],
}

impl LocalPlane {
    /// The plane that touches the ground at a place.
    pub fn around(origin: GeoPosition) -> Self {
        let (sin_lon, cos_lon) = origin.longitude.to_radians().sin_cos();
        let (sin_lat, cos_lat) = origin.latitude.to_radians().sin_cos();
        Self {
            origin,
            centre: earth_centred(origin.longitude.to_radians(), origin.latitude.to_radians()),
            east: [-sin_lon, cos_lon, 0.0],
            north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
        }
    }

    /// Where the plane touches.
    pub fn origin(&self) -> GeoPosition {
        self.origin
    }

    /// Where a position falls on the plane.
    pub fn to_plane(&self, position: GeoPosition) -> Point {
        self.project(position.longitude.to_radians(), position.latitude.to_radians())
    }

    /// The position that falls on a point of the plane.
    ///
    /// Newton's method from the origin; good to a billionth of a degree within 100 km. A point that
    /// is off the Earth gives the nearest position the method reaches.
    pub fn to_position(&self, point: Point) -> GeoPosition {
        let mut longitude = self.origin.longitude.to_radians();
        let mut latitude = self.origin.latitude.to_radians();
        for _ in 0..20 {
            let here = self.project(longitude, latitude);
            let (dx, dy) = (point.x - here.x, point.y - here.y);
            let (by_longitude, by_latitude) = self.slopes(longitude, latitude);
            let determinant = by_longitude.0 * by_latitude.1 - by_latitude.0 * by_longitude.1;
            if determinant == 0.0 {
                break;
            }
            let turn = (dx * by_latitude.1 - by_latitude.0 * dy) / determinant;
            let rise = (by_longitude.0 * dy - by_longitude.1 * dx) / determinant;
            longitude += turn;
            latitude = (latitude + rise).clamp(-std::f64::consts::FRAC_PI_2, std::f64::consts::FRAC_PI_2);
            if turn.abs() < 1e-15 && rise.abs() < 1e-15 {
                break;
            }
        }
        let degrees = longitude.to_degrees();
        let wrapped = if degrees.abs() > 180.0 { (degrees + 180.0).rem_euclid(360.0) - 180.0 } else { degrees };
        GeoPosition { longitude: wrapped, latitude: latitude.to_degrees() }
    }

    /// The distance of a point from the origin, for telling how far the plane is stretched.
    pub fn distance_from_origin(&self, point: Point) -> Length {
        Length::new(point.x.hypot(point.y), LengthUnit::Metre)
    }

    fn project(&self, longitude: f64, latitude: f64) -> Point {
        let there = earth_centred(longitude, latitude);
        let away = [there[0] - self.centre[0], there[1] - self.centre[1], there[2] - self.centre[2]];
        Point { x: dot(away, self.east), y: dot(away, self.north) }
    }

    /// How the point on the plane moves with longitude and with latitude, in metres per radian.
    fn slopes(&self, longitude: f64, latitude: f64) -> ((f64, f64), (f64, f64)) {
        let (sin_lon, cos_lon) = longitude.sin_cos();
        let (sin_lat, cos_lat) = latitude.sin_cos();
        let w = 1.0 - ECCENTRICITY_SQUARED * sin_lat * sin_lat;
        let across = RADIUS / w.sqrt() * cos_lat;
        let meridian = RADIUS * (1.0 - ECCENTRICITY_SQUARED) / (w * w.sqrt());
        let eastward = [-sin_lon * across, cos_lon * across, 0.0];
        let northward = [-sin_lat * cos_lon * meridian, -sin_lat * sin_lon * meridian, cos_lat * meridian];
        ((dot(eastward, self.east), dot(eastward, self.north)), (dot(northward, self.east), dot(northward, self.north)))
    }
}

fn earth_centred(longitude: f64, latitude: f64) -> [f64; 3] {
    let (sin_lon, cos_lon) = longitude.sin_cos();
    let (sin_lat, cos_lat) = latitude.sin_cos();
    let prime = RADIUS / (1.0 - ECCENTRICITY_SQUARED * sin_lat * sin_lat).sqrt();
    [prime * cos_lat * cos_lon, prime * cos_lat * sin_lon, prime * (1.0 - ECCENTRICITY_SQUARED) * sin_lat]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_beyond_the_earth_are_refused() {
        assert_eq!(GeoPosition::from_degrees(38.84, -97.62), Err(PositionFault::Latitude(-97.62)));
        assert_eq!(GeoPosition::from_degrees(181.0, 0.0), Err(PositionFault::Longitude(181.0)));
        assert_eq!(GeoPosition::from_degrees(f64::NAN, 0.0), Err(PositionFault::NotFinite));
        assert!(GeoPosition::from_degrees(180.0, -90.0).is_ok());
    }

    #[test]
    fn the_antimeridian_is_no_edge() {
        let plane = LocalPlane::around(GeoPosition::from_degrees(179.9999, -17.0).unwrap());
        let east = plane.to_plane(GeoPosition::from_degrees(-179.9999, -17.0).unwrap());
        // 0.0002 degrees of a parallel: 0.0002 pi / 180 times N cos(latitude).
        let parallel = 0.0002_f64.to_radians() * 17_f64.to_radians().cos() * RADIUS
            / (1.0 - ECCENTRICITY_SQUARED * 17_f64.to_radians().sin().powi(2)).sqrt();
        assert!((east.x - parallel).abs() < 1e-6 && east.y.abs() < 1e-3, "{east:?}");
        assert!((plane.to_position(east).longitude() + 179.9999).abs() < 1e-9);
    }

    #[test]
    fn a_point_off_the_earth_still_gives_a_position() {
        let plane = LocalPlane::around(GeoPosition::from_degrees(0.0, 89.0).unwrap());
        let position = plane.to_position(Point::from_metres(9e6, -9e6));
        assert!(position.longitude.is_finite() && position.latitude.is_finite());
    }
}
