//! The map of a property: GeoJSON (RFC 7946), drawn or exported anywhere.
//!
//! A `FeatureCollection` or a single `Feature`, in longitude and latitude. The identifier of a
//! feature stands beside its `type` or among its properties; what it is stands in the property
//! `kind`, in any letter case, with blanks, `_` or `-` between words. The properties that are read
//! are told in `docs/map.md`; all others are passed over.

mod document;
mod properties;
mod shapes;

use crate::toml_source::shown;
use document::Entry;
use geometry::{GeoPosition, LocalPlane, Point, Region};
use problem::{Problem, Problems};
use property::{Property, RawFeature, RawPosition, RawShape};
use serde_json::Value;

/// Reads a map. `file` is the name that its user gave it and only serves messages.
///
/// With the property come warnings: what was seen and may be right.
///
/// # Errors
/// Everything wrong with the map, each with its feature and line: the text is no GeoJSON, a shape
/// cannot be read or lies off the earth, a state has no unit, and all that [`Property::new`] refuses.
///
/// # Example
/// ```
/// let map = r#"{"type": "Feature", "id": "lot", "properties": {"kind": "Boundary"}, "geometry":
///     {"type": "Polygon", "coordinates":
///         [[[-97.620, 38.840], [-97.619, 38.840], [-97.619, 38.841], [-97.620, 38.841], [-97.620, 38.840]]]}}"#;
/// let (property, _) = exchange::geojson_map::parse_property("lot.geojson", map).unwrap();
/// assert_eq!(property.features().len(), 0);
/// ```
pub fn parse_property(file: &str, text: &str) -> Result<(Property, Problems), Problems> {
    let map = read_map(text).map_err(|problem| Problems::from(problem.in_file(file)))?;
    // A map without a name is called after its file.
    let name = map.called().unwrap_or_else(|| file_stem(file).to_owned());
    map.into_property(&name)
        .map(|(property, problems)| (property, problems.in_file(file)))
        .map_err(|problems| problems.in_file(file))
}

fn file_stem(file: &str) -> &str {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    name.split_once('.').map_or(name, |(stem, _)| stem)
}

/// A map taken apart, before its features are held against each other.
pub(crate) struct Map {
    /// The name of the map, when it says one.
    pub(crate) name: Option<String>,
    /// Its features; those that could not be read have a shape without positions.
    pub(crate) features: Vec<RawFeature>,
    entries: Vec<Read>,
    problems: Problems,
}

/// Where a feature stands, and whether its shape could be read.
struct Read {
    number: usize,
    line: usize,
    column: usize,
    has_shape: bool,
}

/// Takes a map apart.
///
/// # Errors
/// The text is no GeoJSON: nothing more can be said of it.
pub(crate) fn read_map(text: &str) -> Result<Map, Problem> {
    let mut problems = Problems::new();
    let (name, entries) = document::entries(text, &mut problems)?;
    let mut map = Map { name, features: Vec::new(), entries: Vec::new(), problems: Problems::new() };
    for entry in entries {
        let mut found = Vec::new();
        let (feature, has_shape) = read_feature(&entry, &mut found);
        let path = feature_path(feature.id.as_deref(), entry.number);
        problems.extend(found.into_iter().map(|problem| problem.at(path.clone()).at_line(entry.line, entry.column)));
        map.features.push(feature);
        map.entries.push(Read { number: entry.number, line: entry.line, column: entry.column, has_shape });
    }
    map.problems = problems;
    Ok(map)
}

impl Map {
    /// The numbers that its features have in the file, from 1: whatever else stands among them is
    /// counted.
    pub(crate) fn numbers(&self) -> impl Iterator<Item = usize> + '_ {
        self.entries.iter().map(|entry| entry.number)
    }

    /// The number of each feature with its line and column.
    pub(crate) fn places(&self) -> impl Iterator<Item = (usize, (usize, usize))> + '_ {
        self.entries.iter().map(|entry| (entry.number, (entry.line, entry.column)))
    }

    /// Holds the features against each other. `name` is what the property is called.
    pub(crate) fn into_property(self, name: &str) -> Result<(Property, Problems), Problems> {
        let mut problems = self.problems;
        if self.features.is_empty() {
            return Err(problems);
        }
        let ids: Vec<String> = self.features.iter().enumerate().map(|(at, raw)| raw.id_or_number(at)).collect();
        let mut property = None;
        let found = match Property::new(name, &self.features) {
            Ok((made, warnings)) => {
                property = Some(made);
                warnings
            }
            Err(errors) => errors,
        };
        for problem in found {
            let about = problem.place.path.as_deref().and_then(|path| {
                let id = path.strip_prefix("feature \"")?.strip_suffix('"')?;
                ids.iter()
                    .position(|known| known == id)
                    .or_else(|| ids.iter().position(|known| id.strip_prefix(known.as_str()).is_some_and(is_part)))
            });
            // Of two boundaries the second is the one too many.
            let second = || {
                let is_boundary = |raw: &RawFeature| raw.kind.as_deref() == Some("boundary");
                let mut boundaries = (0..self.features.len()).filter(|at| is_boundary(&self.features[*at]));
                boundaries.nth(1).filter(|_| problem.code == "property::several-boundaries")
            };
            let Some(index) = about.or_else(second) else {
                problems.push(problem);
                continue;
            };
            let entry = &self.entries[index];
            // Its shape was reported as unreadable above, which is why it seems to have none.
            if entry.has_shape || problem.code != "property::no-shape" {
                let path = feature_path(self.features[index].id.as_deref(), entry.number);
                let place = problem::Place { path: Some(path), ..problem.place.clone() };
                problems.push(Problem { place, ..problem }.at_line(entry.line, entry.column));
            }
        }
        match property {
            Some(property) => problems.unless_errors(property),
            None => Err(problems),
        }
    }

    /// The name of the map, or else of its boundary.
    pub(crate) fn called(&self) -> Option<String> {
        let boundary = || self.features.iter().find(|raw| raw.kind.as_deref() == Some("boundary"));
        self.name.clone().or_else(|| boundary().and_then(|raw| raw.name.clone()))
    }
}

/// What follows the identifier of a feature of several parts in the name of one of them.
fn is_part(rest: &str) -> bool {
    rest.strip_prefix('/').is_some_and(|number| number.bytes().all(|b| b.is_ascii_digit()))
}

fn read_feature(entry: &Entry, problems: &mut Vec<Problem>) -> (RawFeature, bool) {
    let mut feature = RawFeature::new(RawShape::Points(Vec::new()));
    match properties::id_of(entry) {
        Ok(id) => feature.id = id,
        Err(problem) => problems.push(problem),
    }
    properties::fill(&mut feature, entry, problems);
    match shapes::shape_of(entry.members.get("geometry").unwrap_or(&Value::Null)) {
        Ok(shape) => {
            feature.shape = shape;
            (feature, true)
        }
        Err(faults) => {
            problems.extend(faults);
            (feature, false)
        }
    }
}

fn feature_path(id: Option<&str>, number: usize) -> String {
    match id {
        Some(id) => format!("feature \"{}\" (number {number})", shown(id)),
        None => format!("feature number {number}"),
    }
}

/// Ground drawn as a bare GeoJSON geometry, a polygon or several, on the plane of a property.
///
/// # Errors
/// Everything wrong with it: no polygon, positions off the earth, outlines that cross.
pub(crate) fn ground_of(geometry: &Value, plane: &LocalPlane) -> Result<Region, Vec<Problem>> {
    let polygons = match shapes::shape_of(geometry)? {
        RawShape::Polygon(rings) => vec![rings],
        RawShape::Polygons(polygons) => polygons,
        _ => {
            return Err(vec![
                Problem::error("map::no-ground", "points and lines cover no ground")
                    .expected("a `Polygon` or `MultiPolygon`")
                    .mend("draw the outline of the ground"),
            ]);
        }
    };
    let mut problems = Vec::new();
    let mut regions = Vec::new();
    for rings in polygons {
        match region_of(&rings, plane) {
            Ok(region) => regions.push(region),
            Err(problem) => problems.push(problem),
        }
    }
    if problems.is_empty() { Ok(Region::union_all(&regions)) } else { Err(problems) }
}

fn region_of(rings: &[Vec<RawPosition>], plane: &LocalPlane) -> Result<Region, Problem> {
    let mut outlines: Vec<Vec<Point>> = Vec::new();
    for ring in rings {
        let mut outline = Vec::new();
        for raw in ring {
            let position = GeoPosition::from_degrees(raw.longitude, raw.latitude).map_err(|fault| {
                Problem::error("map::bad-position", fault.to_string())
                    .expected("longitude from -180 to 180, then latitude from -90 to 90, in degrees")
            })?;
            outline.push(plane.to_plane(position));
        }
        outlines.push(outline);
    }
    let (outer, holes) = outlines
        .split_first()
        .ok_or_else(|| Problem::error("map::empty-geometry", "a polygon has no ring").expected("an outer ring"))?;
    Region::polygon(outer, holes).map_err(|fault| {
        Problem::error("map::bad-outline", fault.to_string())
            .expected("an outline that neither crosses nor touches itself, with holes inside it")
            .mend("draw the outline again, corner after corner in walking order")
    })
}
