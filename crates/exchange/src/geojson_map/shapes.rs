//! Geometry objects of GeoJSON, taken apart and checked position by position.

use crate::toml_source::shown;
use problem::Problem;
use property::{RawPosition, RawShape};
use serde_json::Value;

/// Takes a geometry object apart.
///
/// # Errors
/// Everything wrong with it, alike faults of many positions in one problem. What the shape itself
/// is worth (crossing, open or empty rings) is left to the property.
pub(super) fn shape_of(geometry: &Value) -> Result<RawShape, Vec<Problem>> {
    let mut faults = Faults::default();
    let shape = take_apart(geometry, &mut faults);
    let problems = faults.into_problems();
    match shape {
        Some(shape) if problems.is_empty() => Ok(shape),
        _ => Err(problems),
    }
}

const KINDS: &str = "a `Point`, `LineString`, `Polygon`, or one of their `Multi` forms";

fn take_apart(geometry: &Value, faults: &mut Faults) -> Option<RawShape> {
    let Value::Object(members) = geometry else {
        let problem = match geometry {
            Value::Null => Problem::error("map::no-geometry", "the feature is drawn nowhere: its geometry is `null`")
                .mend("draw it on the map, or delete the feature"),
            other => Problem::error("map::bad-geometry", format!("{} stands where a geometry belongs", named(other))),
        };
        faults.other.push(problem.expected(KINDS));
        return None;
    };
    let kind = members.get("type").and_then(Value::as_str).unwrap_or("");
    if kind == "GeometryCollection" {
        faults.other.push(
            Problem::error("map::geometry-collection", "the feature is a `GeometryCollection`, a mixture of shapes")
                .expected(KINDS)
                .mend("make a feature of its own of each part, each with its `id` and `kind`"),
        );
        return None;
    }
    if !["Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"].contains(&kind) {
        let mut problem = Problem::error(
            "map::unknown-geometry",
            if kind.is_empty() {
                "the geometry has no `type`".to_owned()
            } else {
                format!("`{}` is no type of geometry", shown(kind))
            },
        )
        .expected(KINDS);
        if kind == "Feature" || kind == "FeatureCollection" {
            problem = problem.mend("one feature stands inside another: take it out of there");
        }
        faults.other.push(problem);
        return None;
    }
    let Some(Value::Array(coordinates)) = members.get("coordinates") else {
        faults.other.push(
            Problem::error("map::no-coordinates", "the geometry has no list `coordinates`")
                .expected("`\"coordinates\": [...]` beside its `type`"),
        );
        return None;
    };
    let whole = members.get("coordinates").unwrap_or(&Value::Null);
    let shape = match kind {
        "Point" => RawShape::Point(faults.position(whole)?),
        "MultiPoint" => RawShape::Points(faults.positions(coordinates)),
        "LineString" => RawShape::Line(faults.line(whole)),
        "MultiLineString" => RawShape::Lines(coordinates.iter().map(|line| faults.line(line)).collect()),
        "Polygon" => RawShape::Polygon(faults.polygon(whole)),
        _ => RawShape::Polygons(coordinates.iter().map(|polygon| faults.polygon(polygon)).collect()),
    };
    if coordinates.is_empty() {
        faults.other.push(
            Problem::error("map::empty-geometry", "the feature is drawn nowhere: its `coordinates` are empty")
                .expected("at least one position")
                .mend("draw it on the map, or delete the feature"),
        );
    }
    Some(shape)
}

/// Faults found on the way; alike positions are counted, so that a thousand make one problem.
#[derive(Default)]
struct Faults {
    seen: usize,
    malformed: usize,
    first_malformed: String,
    other: Vec<Problem>,
}

impl Faults {
    fn position(&mut self, value: &Value) -> Option<RawPosition> {
        self.seen += 1;
        let numbers: Option<Vec<f64>> = value
            .as_array()
            .filter(|parts| (2..=4).contains(&parts.len()))
            .and_then(|parts| parts.iter().map(|part| part.as_f64().filter(|number| number.is_finite())).collect());
        if let Some(numbers) = numbers {
            return Some(RawPosition::new(numbers[0], numbers[1]));
        }
        if self.malformed == 0 {
            self.first_malformed = shown(&value.to_string());
        }
        self.malformed += 1;
        None
    }

    fn positions(&mut self, values: &[Value]) -> Vec<RawPosition> {
        values.iter().filter_map(|value| self.position(value)).collect()
    }

    fn list<'v>(&mut self, value: &'v Value, what: &str) -> Option<&'v [Value]> {
        if let Value::Array(values) = value {
            return Some(values);
        }
        self.other.push(
            Problem::error("map::bad-coordinates", format!("{} stands where {what} belongs", named(value)))
                .expected("lists of positions, nested as deep as the type of geometry asks")
                .mend(
                    "compare `type` with `coordinates`: a Polygon is a list of rings, a MultiPolygon a list of those",
                ),
        );
        None
    }

    fn line(&mut self, value: &Value) -> Vec<RawPosition> {
        self.list(value, "a line, a list of positions,").map(|values| self.positions(values)).unwrap_or_default()
    }

    fn polygon(&mut self, value: &Value) -> Vec<Vec<RawPosition>> {
        let Some(rings) = self.list(value, "a polygon, a list of rings,") else { return Vec::new() };
        if rings.is_empty() {
            self.other.push(
                Problem::error("map::empty-geometry", "a polygon has no ring")
                    .expected("an outer ring of four positions or more")
                    .mend("draw it, or delete it"),
            );
        }
        rings
            .iter()
            .map(|ring| self.list(ring, "a ring, a list of positions,").map(|ring| self.positions(ring)))
            .map(Option::unwrap_or_default)
            .collect()
    }

    fn into_problems(self) -> Vec<Problem> {
        let mut problems = self.other;
        if self.malformed > 0 {
            let first = &self.first_malformed;
            let found = if self.seen == 1 {
                format!("the position `{first}` cannot be read")
            } else {
                format!("`{}` of `{}` positions cannot be read, first `{first}`", self.malformed, self.seen)
            };
            problems.push(
                Problem::error("map::bad-position", found)
                    .expected("`[longitude, latitude]` in degrees, as numbers; a height may follow")
                    .mend("export the map once more, or mend the position by hand"),
            );
        }
        problems
    }
}

/// A value in words.
pub(super) fn named(value: &Value) -> String {
    match value {
        Value::Null => "`null`".to_owned(),
        Value::Bool(flag) => format!("`{flag}`"),
        Value::Number(number) => format!("the number `{number}`"),
        Value::String(text) => format!("the text `{}`", shown(text)),
        Value::Array(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    }
}
