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
use schemars::JsonSchema;
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
    /// The setbacks as drawn, alone.
    Setbacks,
}

/// Zones, and perhaps setbacks, as a GeoJSON feature collection.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ZoneCollectionJson {
    /// `FeatureCollection`.
    pub r#type: &'static str,
    /// The zones, then the setbacks.
    pub features: Vec<ZoneFeatureJson>,
}

/// A zone or a setback.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ZoneFeatureJson {
    /// `Feature`.
    pub r#type: &'static str,
    /// The zone's id, or `setback-1` and so on.
    pub id: String,
    /// What it is.
    pub properties: ZonePropertiesJson,
    /// Its ground; null when nothing of it is left.
    pub geometry: Option<GroundGeometryJson>,
}

/// What a zone or a setback is.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum ZonePropertiesJson {
    /// A zone of the partition.
    Zone {
        /// `zone`.
        layer: &'static str,
        /// Short name, unique in the visit.
        id: String,
        /// What it is, such as `turf`, `band`, `setback`.
        kind: &'static str,
        /// The task that treats it.
        task: Option<String>,
        /// Why it is not treated.
        reason: Option<String>,
        /// Its area, square metres.
        area_m2: f64,
    },
    /// A setback as drawn; it overlaps zones.
    Setback {
        /// `setback`.
        layer: &'static str,
        /// The feature from which it is kept.
        feature: String,
        /// How far, metres.
        distance_m: f64,
        /// Its area, square metres.
        area_m2: f64,
    },
}

/// A closed ring of positions, longitude before latitude.
type Ring = Vec<[f64; 2]>;

/// Ground as a GeoJSON geometry: outer rings anticlockwise, holes clockwise, longitude before latitude.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "type", content = "coordinates")]
pub enum GroundGeometryJson {
    /// The outer ring, then its holes.
    Polygon(Vec<Ring>),
    /// Several of them.
    MultiPolygon(Vec<Vec<Ring>>),
}

impl ZoneCollectionJson {
    /// The zones of a partition, which lie on `plane`.
    pub fn of_zones(zones: &[Zone], plane: &LocalPlane) -> Self {
        Self { r#type: "FeatureCollection", features: zones.iter().map(|zone| zone_feature(zone, plane)).collect() }
    }

    /// The zones of a visit, and what else is asked for.
    pub fn new(visit: &Visit, layers: ZoneLayers) -> Self {
        let plane = visit.property.plane();
        let (zones, setbacks): (&[Zone], &[DrawnSetback]) = match layers {
            ZoneLayers::Zones => (&visit.zones, &[]),
            ZoneLayers::ZonesAndSetbacks => (&visit.zones, &visit.setbacks),
            ZoneLayers::Setbacks => (&[], &visit.setbacks),
        };
        let zones = zones.iter().map(|zone| zone_feature(zone, plane));
        let setbacks = setbacks.iter().enumerate().map(|(index, setback)| setback_feature(index, setback, plane));
        Self { r#type: "FeatureCollection", features: zones.chain(setbacks).collect() }
    }
}

/// The zones of a visit as a feature collection, ended by a new line.
pub fn write_zones(visit: &Visit, layers: ZoneLayers) -> String {
    crate::json_text::compact(&ZoneCollectionJson::new(visit, layers))
}

fn zone_feature(zone: &Zone, plane: &LocalPlane) -> ZoneFeatureJson {
    let (task, reason) = task_and_reason(&zone.use_of);
    ZoneFeatureJson {
        r#type: "Feature",
        id: zone.id.clone(),
        properties: ZonePropertiesJson::Zone {
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

fn setback_feature(index: usize, setback: &DrawnSetback, plane: &LocalPlane) -> ZoneFeatureJson {
    ZoneFeatureJson {
        r#type: "Feature",
        id: format!("setback-{}", index + 1),
        properties: ZonePropertiesJson::Setback {
            layer: "setback",
            feature: setback.feature.clone(),
            distance_m: setback.distance.to(LengthUnit::Metre),
            area_m2: setback.region.area().to(AreaUnit::SquareMetre),
        },
        geometry: geometry(&setback.region, plane),
    }
}

/// A region without ground has no geometry (RFC 7946, section 3.2: an unlocated feature).
pub(crate) fn geometry(region: &Region, plane: &LocalPlane) -> Option<GroundGeometryJson> {
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
        1 => polygons.pop().map(GroundGeometryJson::Polygon),
        _ => Some(GroundGeometryJson::MultiPolygon(polygons)),
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
