//! The outermost object of a map, down to its features.

use super::shapes::named;
use crate::json_place::{entries_of_list, line_and_column, lines_and_columns};
use crate::toml_source::shown;
use problem::{Problem, Problems};
use serde_json::{Map, Value};

/// One feature of the file, with its place.
pub(super) struct Entry {
    /// From 1.
    pub(super) number: usize,
    pub(super) line: usize,
    pub(super) column: usize,
    pub(super) members: Map<String, Value>,
}

/// The name of the map and the features of a GeoJSON text, in its order.
///
/// # Errors
/// The text is no JSON, or its outermost object no GeoJSON that a map can be read from.
pub(super) fn entries(text: &str, problems: &mut Problems) -> Result<(Option<String>, Vec<Entry>), Problem> {
    let text = text.trim_start_matches('\u{feff}');
    let root: Value = serde_json::from_str(text).map_err(|error| syntax(&error))?;
    let top = |problem: Problem| problem.at_line(1, 1);
    let Value::Object(mut root) = root else {
        return Err(top(Problem::error("map::not-geojson", format!("the file holds {}", named(&root)))
            .expected("a GeoJSON object of type `FeatureCollection` or `Feature`")));
    };
    if let Some(problem) = reference_system(&root) {
        problems.push(top(problem));
    }
    let kind = root.get("type").and_then(Value::as_str).unwrap_or("").to_owned();
    let name = root.get("name").and_then(Value::as_str).map(|name| name.trim().to_owned()).filter(|n| !n.is_empty());
    match kind.as_str() {
        "Feature" => {
            let (line, column) = line_and_column(text, text.find('{').unwrap_or(0));
            Ok((name, vec![Entry { number: 1, line, column, members: root }]))
        }
        "FeatureCollection" => {
            let Some(Value::Array(features)) = root.remove("features") else {
                return Err(top(Problem::error("map::no-features", "the collection has no list `features`")
                    .expected("`\"features\": [...]` with one feature for each thing on the property")));
            };
            if features.is_empty() {
                return Err(top(Problem::error("map::no-features", "the map has no feature")
                    .expected("at least the boundary of the property")
                    .mend("draw the boundary as a polygon of kind `boundary`")));
            }
            let places = lines_and_columns(text, &entries_of_list(text, "features"));
            let entries = features
                .into_iter()
                .enumerate()
                .filter_map(|(index, feature)| {
                    let (line, column) = places.get(index).copied().unwrap_or((1, 1));
                    entry(feature, index + 1, (line, column), problems)
                })
                .collect();
            Ok((name, entries))
        }
        "Topology" => Err(top(Problem::error("map::not-geojson", "the file is TopoJSON")
            .expected("GeoJSON of type `FeatureCollection`")
            .mend("export the map as GeoJSON"))),
        "Point" | "MultiPoint" | "LineString" | "MultiLineString" | "Polygon" | "MultiPolygon"
        | "GeometryCollection" => Err(top(Problem::error(
            "map::bare-geometry",
            format!("the file is a bare `{kind}`, which has neither `id` nor `kind`"),
        )
        .expected("a GeoJSON object of type `FeatureCollection` or `Feature`")
        .mend("put it into a feature: `{\"type\": \"Feature\", \"id\": \"lot\", \"properties\": {\"kind\": \"boundary\"}, \"geometry\": ...}`"))),
        "" => Err(top(Problem::error("map::not-geojson", "the outermost object has no `type`")
            .expected("a GeoJSON object of type `FeatureCollection` or `Feature`")
            .mend("export the map as GeoJSON"))),
        other => Err(top(Problem::error("map::not-geojson", format!("`{}` is no type of GeoJSON", shown(other)))
            .expected("a GeoJSON object of type `FeatureCollection` or `Feature`"))),
    }
}

fn entry(feature: Value, number: usize, at: (usize, usize), problems: &mut Problems) -> Option<Entry> {
    let (line, column) = at;
    let report = |problem: Problem| problem.at(format!("feature number {number}")).at_line(line, column);
    let members = match feature {
        Value::Object(members) => members,
        other => {
            problems.push(report(
                Problem::error("map::not-feature", format!("{} stands where a feature belongs", named(&other)))
                    .expected("an object of type `Feature`"),
            ));
            return None;
        }
    };
    match members.get("type").and_then(Value::as_str) {
        Some("Feature") => Some(Entry { number, line, column, members }),
        found => {
            let found =
                found.map_or_else(|| "an object without `type`".to_owned(), |word| format!("a `{}`", shown(word)));
            problems.push(report(
                Problem::error("map::not-feature", format!("{found} stands where a feature belongs"))
                    .expected("an object of type `Feature`, with `properties` and `geometry`")
                    .mend("put the shape into a feature, with its `id` and `kind`"),
            ));
            None
        }
    }
}

fn syntax(error: &serde_json::Error) -> Problem {
    let wording = error.to_string();
    let reason = wording.rsplit_once(" at line ").map_or(wording.as_str(), |(reason, _)| reason);
    let mut problem = Problem::error("map::syntax", format!("this is not JSON: {}", shown(reason)))
        .expected("a GeoJSON text (RFC 7946)")
        .at_line(error.line().max(1), error.column().max(1));
    problem = if error.is_eof() {
        problem.mend("the file ends too early: export or copy it once more")
    } else if reason.contains("number out of range") {
        problem.mend("a number there is larger than any coordinate")
    } else {
        problem.mend("mend the text there; `NaN`, comments and commas before a closing bracket are no JSON")
    };
    problem
}

/// The old `crs` member, when it names another reference system than RFC 7946 prescribes.
fn reference_system(root: &Map<String, Value>) -> Option<Problem> {
    let system = root.get("crs")?;
    let name = system.pointer("/properties/name").and_then(Value::as_str).unwrap_or("");
    let plain: String = name.to_ascii_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
    // Files that say EPSG:4326 in a `crs` member write longitude first all the same.
    let is_wgs84 = plain.ends_with("crs84") || (plain.contains("epsg") && plain.rsplit(':').next() == Some("4326"));
    if is_wgs84 {
        return None;
    }
    let found = if name.is_empty() {
        "the map has a `crs` member that names no reference system".to_owned()
    } else {
        format!("the map is drawn in the reference system `{}`", shown(name))
    };
    Some(
        Problem::error("map::reference-system", found)
            .expected("longitude and latitude in WGS 84, which RFC 7946 prescribes")
            .mend("export the map as WGS 84 (EPSG:4326), without a `crs` member")
            .at("crs"),
    )
}
