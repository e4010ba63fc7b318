//! The invented lots of the reference folder as requests.

use geometry::{Point, Region};
use quantity::{Bearing, Length, LengthUnit};
use route::RouteRequest;
use serde_json::Value;

/// A lot and what is known of it.
pub(crate) struct Lot {
    pub(crate) name: String,
    pub(crate) request: RouteRequest,
    /// The wind that the lot tells; requests do not take it unless asked to.
    pub(crate) wind: Option<Bearing>,
}

/// Every lot of the reference files, in their order.
pub(crate) fn lots() -> Vec<Lot> {
    let mut lots = Vec::new();
    for file in [include_str!("../../reference/lots.geojson"), include_str!("../../reference/hard.geojson")] {
        let value: Value = serde_json::from_str(file).expect("the reference files are JSON");
        lots.extend(value["features"].as_array().expect("features").iter().map(lot));
    }
    lots
}

fn lot(feature: &Value) -> Lot {
    let told = &feature["properties"];
    let metres = |name: &str| Length::new(told[name].as_f64().expect(name), LengthUnit::Metre);
    let mut request = RouteRequest::new(region(&feature["geometry"]), metres("w"), metres("L"), point(&told["tap"]));
    if !told["walkable"].is_null() {
        // Paving beside the lawn; where the two were drawn over each other it is lawn.
        request.walkable = region(&told["walkable"]).difference(&request.zone);
    }
    Lot {
        name: told["id"].as_str().expect("id").to_owned(),
        request,
        wind: told["wind_deg"].as_f64().map(Bearing::from_degrees),
    }
}

fn point(value: &Value) -> Point {
    Point::from_metres(value[0].as_f64().expect("x"), value[1].as_f64().expect("y"))
}

fn region(geometry: &Value) -> Region {
    let coordinates = geometry["coordinates"].as_array().expect("coordinates");
    let polygons: Vec<&Vec<Value>> = match geometry["type"].as_str() {
        Some("Polygon") => vec![coordinates],
        _ => coordinates.iter().map(|polygon| polygon.as_array().expect("polygon")).collect(),
    };
    let ring = |value: &Value| value.as_array().expect("ring").iter().map(point).collect::<Vec<_>>();
    let polygons: Vec<Vec<Vec<Point>>> =
        polygons.into_iter().map(|polygon| polygon.iter().map(ring).collect()).collect();
    Region::rejoined(&polygons).expect("a valid outline")
}
