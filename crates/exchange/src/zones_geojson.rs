//! `zones.geojson`: the partition of the property in longitude and latitude, for maps elsewhere.
//!
//! Outer rings run anticlockwise, holes clockwise, rings are closed, and coordinates carry nine
//! decimals of a degree: a tenth of a millimetre.
//!
//! # Source
//! RFC 7946, sections 3.1.6 (rings and the right-hand rule), 3.2, 3.3 and 11.2 (precision).

use crate::visit_json::task_and_reason;
use geometry::{LocalPlane, Point, Region};
use quantity::{AreaUnit, LengthUnit};
use serde::Serialize;
use treatment::{DrawnSetback, Visit, Zone};

/// What the collection holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ZoneLayers {
    /// The zones: a partition of the property.
    #[default]
    Zones,
    /// The zones, and after them the setbacks as drawn, which overlap them and one another.
    ZonesAndSetbacks,
}

#[derive(Serialize)]
struct Collection {
    r#type: &'static str,
    features: Vec<Feature>,
}

#[derive(Serialize)]
struct Feature {
    r#type: &'static str,
    id: String,
    properties: Properties,
    geometry: Option<Geometry>,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Properties {
    Zone {
        layer: &'static str,
        id: String,
        kind: &'static str,
        task: Option<String>,
        reason: Option<String>,
        area_m2: f64,
    },
    Setback {
        layer: &'static str,
        feature: String,
        distance_m: f64,
        area_m2: f64,
    },
}

type Ring = Vec<[f64; 2]>;

#[derive(Serialize)]
#[serde(tag = "type", content = "coordinates")]
enum Geometry {
    Polygon(Vec<Ring>),
    MultiPolygon(Vec<Vec<Ring>>),
}

/// The zones of a visit as a feature collection, ended by a new line.
pub fn write_zones(visit: &Visit, layers: ZoneLayers) -> String {
    let plane = visit.property.plane();
    let zones = visit.zones.iter().map(|zone| zone_feature(zone, plane));
    let setbacks = match layers {
        ZoneLayers::Zones => &[],
        ZoneLayers::ZonesAndSetbacks => visit.setbacks.as_slice(),
    };
    let setbacks = setbacks.iter().enumerate().map(|(index, setback)| setback_feature(index, setback, plane));
    crate::json_text::compact(&Collection { r#type: "FeatureCollection", features: zones.chain(setbacks).collect() })
}

fn zone_feature(zone: &Zone, plane: &LocalPlane) -> Feature {
    let (task, reason) = task_and_reason(&zone.use_of);
    Feature {
        r#type: "Feature",
        id: zone.id.clone(),
        properties: Properties::Zone {
            layer: "zone",
            id: zone.id.clone(),
            kind: zone.kind.word(),
            task,
            reason,
            area_m2: zone.area.to(AreaUnit::SquareMetre),
        },
        geometry: geometry(&zone.region, plane),
    }
}

fn setback_feature(index: usize, setback: &DrawnSetback, plane: &LocalPlane) -> Feature {
    Feature {
        r#type: "Feature",
        id: format!("setback-{}", index + 1),
        properties: Properties::Setback {
            layer: "setback",
            feature: setback.feature.clone(),
            distance_m: setback.distance.to(LengthUnit::Metre),
            area_m2: setback.region.area().to(AreaUnit::SquareMetre),
        },
        geometry: geometry(&setback.region, plane),
    }
}

/// A region without ground has no geometry (RFC 7946, section 3.2: an unlocated feature).
fn geometry(region: &Region, plane: &LocalPlane) -> Option<Geometry> {
    let mut polygons: Vec<Vec<Ring>> = region
        .outlines()
        .filter_map(|outline| {
            let mut rings = vec![ring(outline.exterior(), plane)?];
            rings.extend(outline.holes().filter_map(|hole| ring(hole, plane)));
            Some(rings)
        })
        .collect();
    match polygons.len() {
        0 => None,
        1 => polygons.pop().map(Geometry::Polygon),
        _ => Some(Geometry::MultiPolygon(polygons)),
    }
}

/// A closed ring; `None` when nothing of it is left on a grid of nine decimals.
fn ring(points: &[Point], plane: &LocalPlane) -> Option<Ring> {
    let mut ring: Ring = Vec::with_capacity(points.len() + 1);
    for &point in points {
        let position = plane.to_position(point);
        let position = [nine_decimals(position.longitude()), nine_decimals(position.latitude())];
        if ring.last() != Some(&position) {
            ring.push(position);
        }
    }
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    if ring.len() < 3 {
        return None;
    }
    ring.push(ring[0]);
    Some(ring)
}

fn nine_decimals(degrees: f64) -> f64 {
    // Adding nothing turns a negative zero into a plain one.
    (degrees * 1e9).round() / 1e9 + 0.0
}
