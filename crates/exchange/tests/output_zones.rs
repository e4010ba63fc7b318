//! `zones.geojson` against RFC 7946.

mod output_support;

use exchange::zones_geojson::{ZoneLayers, write_zones};
use geojson::{Feature, FeatureCollection, GeometryValue, Position};
use output_support::demo;

fn collection(layers: ZoneLayers) -> FeatureCollection {
    write_zones(&demo(), layers).parse().expect("a feature collection")
}

/// Twice the signed area of a ring, in square degrees: above nothing when it runs anticlockwise.
fn turning(ring: &[Position]) -> f64 {
    ring.windows(2).map(|pair| pair[0][0] * pair[1][1] - pair[1][0] * pair[0][1]).sum()
}

fn polygons(feature: &Feature) -> Vec<Vec<Vec<Position>>> {
    match feature.geometry.as_ref().map(|geometry| &geometry.value) {
        Some(GeometryValue::Polygon { coordinates }) => vec![coordinates.clone()],
        Some(GeometryValue::MultiPolygon { coordinates }) => coordinates.clone(),
        other => panic!("{other:?}"),
    }
}

/// RFC 7946, section 3.1.6: rings are closed, have four positions or more, outer ones run
/// anticlockwise and holes clockwise.
#[test]
fn rings_follow_the_right_hand_rule() {
    for feature in collection(ZoneLayers::ZonesAndSetbacks).features {
        for polygon in polygons(&feature) {
            for (index, ring) in polygon.iter().enumerate() {
                assert!(ring.len() >= 4 && ring.first() == ring.last(), "{:?}", feature.id);
                // Offsets from a corner, so that the small difference is not lost.
                let moved: Vec<Position> =
                    ring.iter().map(|at| Position::from([at[0] - ring[0][0], at[1] - ring[0][1]])).collect();
                assert_eq!(turning(&moved) > 0.0, index == 0, "ring {index} of {:?}", feature.id);
            }
        }
    }
}

#[test]
fn coordinates_are_longitude_and_latitude_with_nine_decimals() {
    for feature in collection(ZoneLayers::Zones).features {
        for position in polygons(&feature).iter().flatten().flatten() {
            // The demo lies in Kansas.
            assert!((-98.0..-97.0).contains(&position[0]) && (38.0..39.0).contains(&position[1]), "{position:?}");
            for degrees in [position[0], position[1]] {
                let written = degrees.to_string();
                let decimals = written.split_once('.').map_or(0, |(_, decimals)| decimals.len());
                assert!(decimals <= 9, "{written}");
            }
        }
    }
}

#[test]
fn every_zone_says_what_becomes_of_it() {
    let visit = demo();
    let zones = collection(ZoneLayers::Zones);
    assert_eq!(zones.features.len(), visit.zones.len());
    for (zone, feature) in visit.zones.iter().zip(&zones.features) {
        let property = |name: &str| feature.property(name).cloned().unwrap_or_default();
        assert_eq!(property("id"), zone.id.as_str());
        assert_eq!(property("kind"), zone.kind.word());
        assert!(property("area_m2").is_f64());
        assert_ne!(property("task").is_null(), property("reason").is_null());
    }
    let with_setbacks = collection(ZoneLayers::ZonesAndSetbacks);
    assert_eq!(with_setbacks.features.len(), visit.zones.len() + visit.setbacks.len());
    assert!(!visit.setbacks.is_empty());
}

/// The areas of the written polygons, by the geodesic on the ellipsoid, are those that the
/// properties state, within 0.1 %.
#[test]
fn written_ground_has_the_area_it_states() {
    for feature in collection(ZoneLayers::Zones).features {
        let stated = feature.property("area_m2").and_then(serde_json::Value::as_f64).expect("an area");
        let metres_per_degree_north = 111_000.0;
        let mut found = 0.0;
        for polygon in polygons(&feature) {
            for ring in &polygon {
                let (sin, cos) = ring[0][1].to_radians().sin_cos();
                // Radii of curvature of WGS 84 (NGA.STND.0036, 2014): a and the first eccentricity squared.
                let (a, e2) = (6_378_137.0, 6.694_379_990_14e-3);
                let w = (1.0 - e2 * sin * sin).sqrt();
                let (north, east) = (a * (1.0 - e2) / w.powi(3), a / w * cos);
                assert!((north.to_radians() / metres_per_degree_north - 1.0).abs() < 0.01);
                let flat: Vec<Position> = ring
                    .iter()
                    .map(|at| {
                        let (x, y) = (at[0] - ring[0][0], at[1] - ring[0][1]);
                        Position::from([x.to_radians() * east, y.to_radians() * north])
                    })
                    .collect();
                found += turning(&flat) / 2.0;
            }
        }
        assert!((found / stated - 1.0).abs() < 1e-3, "{:?}: {found} of {stated}", feature.id);
    }
}

#[test]
fn the_same_visit_gives_the_same_bytes() {
    assert_eq!(write_zones(&demo(), ZoneLayers::Zones), write_zones(&demo(), ZoneLayers::Zones));
}
