//! The local plane against geodesics on the ellipsoid.
//!
//! # Source
//! Karney, "Algorithms for geodesics", J. Geodesy 87 (2013), doi:10.1007/s00190-012-0578-z, through
//! `geographiclib-rs`.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic, PolygonArea, Winding};
use geometry::{GeoPosition, LocalPlane, Point, Region};
use proptest::prelude::*;
use quantity::AreaUnit;

/// Corners of a star-shaped lot given by geodesics from its middle.
fn lot(longitude: f64, latitude: f64, reach: f64, parts: &[f64]) -> Vec<GeoPosition> {
    let ellipsoid = Geodesic::wgs84();
    parts
        .iter()
        .enumerate()
        .map(|(index, part)| {
            let azimuth = -360.0 * index as f64 / parts.len() as f64;
            let (lat, lon) = ellipsoid.direct(latitude, longitude, azimuth, reach * part);
            GeoPosition::from_degrees(lon, lat).unwrap()
        })
        .collect()
}

fn geodesic_area(corners: &[GeoPosition]) -> f64 {
    let ellipsoid = Geodesic::wgs84();
    let mut area = PolygonArea::new(&ellipsoid, Winding::CounterClockwise);
    for corner in corners {
        area.add_point(corner.latitude(), corner.longitude());
    }
    area.compute(true).1
}

proptest! {
    /// Lots up to 5 km across, up to 80 degrees of latitude, and across the antimeridian. The origin
    /// is the middle or any corner. The promise is 0.1 %; the plane keeps 2e-6, and the test asks for
    /// 5e-6 so that a slip of the ellipsoid (1 part in 300) or of the radius cannot hide in the 0.1 %.
    #[test]
    fn areas_agree_with_geodesic_areas(
        longitude in prop_oneof![-180.0..180.0, 179.97..180.0, -180.0..-179.97],
        latitude in -80.0..80.0,
        reach in 10.0..2_500.0,
        parts in prop::collection::vec(0.3..1.0, 3..12),
        from_corner in any::<bool>(),
    ) {
        let corners = lot(longitude, latitude, reach, &parts);
        let origin = if from_corner { corners[0] } else { GeoPosition::from_degrees(longitude, latitude).unwrap() };
        let plane = LocalPlane::around(origin);
        let ring: Vec<Point> = corners.iter().map(|corner| plane.to_plane(*corner)).collect();
        let area = Region::from_ring(&ring).unwrap().area().to(AreaUnit::SquareMetre);
        let truth = geodesic_area(&corners);
        // Below 100 m the nanodegrees of the corners' own rounding show.
        prop_assert!((area - truth).abs() <= 5e-6 * truth + 1e-6, "{area} against {truth}");
    }

    #[test]
    fn positions_come_back_within_a_billionth_of_a_degree(
        longitude in -180.0..180.0,
        latitude in -80.0..80.0,
        azimuth in 0.0..360.0,
        away in 0.0..10_000.0,
    ) {
        let plane = LocalPlane::around(GeoPosition::from_degrees(longitude, latitude).unwrap());
        let (lat, lon) = Geodesic::wgs84().direct(latitude, longitude, azimuth, away);
        let there = GeoPosition::from_degrees(lon, lat).unwrap();
        let back = plane.to_position(plane.to_plane(there));
        prop_assert!((back.latitude() - there.latitude()).abs() < 1e-9);
        let turn = (back.longitude() - there.longitude()).rem_euclid(360.0);
        prop_assert!(turn.min(360.0 - turn) < 1e-9, "{} against {}", back.longitude(), there.longitude());
    }

    #[test]
    fn distances_and_bearings_from_the_origin_are_true(
        longitude in -180.0..180.0,
        latitude in -80.0..80.0,
        azimuth in 0.0..360.0,
        away in 1.0..5_000.0,
    ) {
        let plane = LocalPlane::around(GeoPosition::from_degrees(longitude, latitude).unwrap());
        let (lat, lon) = Geodesic::wgs84().direct(latitude, longitude, azimuth, away);
        let (x, y) = plane.to_plane(GeoPosition::from_degrees(lon, lat).unwrap()).metres();
        // The chord of an arc of 5 km seen square on is short by d²/6R²: 1e-7.
        prop_assert!((x.hypot(y) - away).abs() <= 2e-7 * away + 1e-6);
        let turn = (x.atan2(y).to_degrees() - azimuth).rem_euclid(360.0);
        prop_assert!(turn.min(360.0 - turn) * away < 0.01, "{turn}");
    }
}

#[test]
fn the_inverse_geodesic_gives_the_side_of_a_lot() {
    // The south side of the demonstration lot, 110 ft.
    let (s12, _, _, _): (f64, f64, f64, f64) =
        Geodesic::wgs84().inverse(38.84, -97.62, 38.839_999_999, -97.619_613_827);
    let plane = LocalPlane::around(GeoPosition::from_degrees(-97.62, 38.84).unwrap());
    let (x, y) = plane.to_plane(GeoPosition::from_degrees(-97.619_613_827, 38.839_999_999).unwrap()).metres();
    assert!((x.hypot(y) - s12).abs() < 1e-6);
    assert!((s12 / 0.3048 - 110.0).abs() < 0.01);
}
