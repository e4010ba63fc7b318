//! A mended copy of a map: the same file with the shapes that could be mended in one way only. All
//! else that stands in the file stays.

use crate::geojson_map::read_map;
use problem::{Problem, Problems};
use property::{Change, RawPosition, RawShape};
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// The mended copy as text, with every change made to it; no change leaves the map as it was.
///
/// # Errors
/// The text is no GeoJSON.
pub fn repaired_map(file: &str, text: &str) -> Result<(String, Vec<Change>), Problems> {
    let in_file = |problem: Problem| Problems::from(problem.in_file(file));
    let map = read_map(text).map_err(in_file)?;
    let (mended, mut changes) = property::repair(&map.features);
    let mut document: Value = serde_json::from_str(text.trim_start_matches('\u{feff}'))
        .map_err(|error| in_file(Problem::error("map::not-json", error.to_string())))?;
    let in_list = document.get("type").and_then(Value::as_str) == Some("FeatureCollection");
    let mut written = BTreeSet::new();
    for (index, (number, (before, after))) in map.numbers().zip(map.features.iter().zip(&mended)).enumerate() {
        // What stands among the features and is none has a number too.
        let member =
            if in_list { document.pointer_mut(&format!("/features/{}", number - 1)) } else { Some(&mut document) };
        if let Some(member) = member.filter(|_| before.shape != after.shape) {
            member["geometry"] = geometry(&after.shape);
            written.insert(before.id_or_number(index));
        }
    }
    changes.retain(|change| written.contains(&change.feature));
    Ok((crate::json_text::pretty(&document), changes))
}

fn geometry(shape: &RawShape) -> Value {
    let one = |position: &RawPosition| json!([position.longitude, position.latitude]);
    let many = |positions: &[RawPosition]| positions.iter().map(one).collect::<Value>();
    let rings = |rings: &[Vec<RawPosition>]| rings.iter().map(|ring| many(ring)).collect::<Value>();
    let (kind, coordinates) = match shape {
        RawShape::Point(position) => ("Point", one(position)),
        RawShape::Points(positions) => ("MultiPoint", many(positions)),
        RawShape::Line(positions) => ("LineString", many(positions)),
        RawShape::Lines(lines) => ("MultiLineString", rings(lines)),
        RawShape::Polygon(polygon) => ("Polygon", rings(polygon)),
        RawShape::Polygons(polygons) => ("MultiPolygon", polygons.iter().map(|polygon| rings(polygon)).collect()),
    };
    json!({ "type": kind, "coordinates": coordinates })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_map_says_beside_its_shapes_stays() {
        let text = r#"{"type": "FeatureCollection", "name": "Lot", "drawn_by": "J. Example", "features": [
            {"type": "Feature", "id": "lot", "properties": {"kind": "boundary", "colour": "red"}, "geometry":
            {"type": "Polygon", "coordinates": [[[0.0, 0.0], [0.001, 0.0], [0.001, 0.001], [0.0, 0.001], [0.0, 0.0]]]}}]}"#;
        let (copy, changes) = repaired_map("lot.geojson", text).expect("a map");
        let (before, after): (Value, Value) =
            (serde_json::from_str(text).expect("JSON"), serde_json::from_str(&copy).expect("JSON"));
        assert_eq!(before, after);
        assert!(changes.is_empty());
    }

    /// A bare geometry among the features is none: what is mended beside it is written all the same.
    #[test]
    fn a_stranger_among_the_features_hinders_no_mending() {
        let text = r#"{"type": "FeatureCollection", "features": [
            {"type": "Polygon", "coordinates": [[[0.0, 0.0], [0.001, 0.0], [0.001, 0.001], [0.0, 0.0]]]},
            {"type": "Feature", "id": "lot", "properties": {"kind": "boundary"}, "geometry":
            {"type": "Polygon", "coordinates": [[[0.0, 0.0], [0.001, 0.0], [0.001, 0.001], [0.0, 0.001]]]}}]}"#;
        let (copy, changes) = repaired_map("lot.geojson", text).expect("a map");
        assert!(!changes.is_empty());
        let after: Value = serde_json::from_str(&copy).expect("JSON");
        let ring = after["features"][1]["geometry"]["coordinates"][0].as_array().expect("a ring");
        assert_eq!((ring.len(), &ring[0]), (5, &ring[4]));
        let before: Value = serde_json::from_str(text).expect("JSON");
        assert_eq!(after["features"][0], before["features"][0]);
    }

    /// A single feature is the map, whatever a member of its own is called.
    #[test]
    fn a_single_feature_is_mended_where_it_stands() {
        let text = r#"{"type": "Feature", "id": "lot", "properties": {"kind": "boundary"}, "features": ["of another maker"],
            "geometry": {"type": "Polygon", "coordinates": [[[0.0, 0.0], [0.001, 0.0], [0.001, 0.001], [0.0, 0.001]]]}}"#;
        let (copy, changes) = repaired_map("lot.geojson", text).expect("a map");
        let changed: Vec<&str> = changes.iter().map(|change| change.feature.as_str()).collect();
        assert_eq!(changed, ["lot"]);
        let after: Value = serde_json::from_str(&copy).expect("JSON");
        assert_eq!(after["geometry"]["coordinates"][0].as_array().map(Vec::len), Some(5));
        assert_eq!(after["features"], json!(["of another maker"]));
    }

    #[test]
    fn shapes_are_written_as_the_standard_names_them() {
        let at = RawPosition::new(1.0, 2.0);
        let ring = vec![at, RawPosition::new(3.0, 2.0), RawPosition::new(3.0, 4.0), at];
        let polygon = geometry(&RawShape::Polygon(vec![ring]));
        assert_eq!(polygon["type"], "Polygon");
        assert_eq!(polygon["coordinates"], json!([[[1.0, 2.0], [3.0, 2.0], [3.0, 4.0], [1.0, 2.0]]]));
        assert_eq!(geometry(&RawShape::Point(at)), json!({"type": "Point", "coordinates": [1.0, 2.0]}));
    }
}
