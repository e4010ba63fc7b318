//! What the properties of a feature say of it.

use super::document::Entry;
use super::shapes::named;
use crate::toml_source::{nearest, shown};
use jiff::civil::Date;
use problem::Problem;
use property::{RawFeature, RawOpening};
use quantity::Length;
use serde_json::{Map, Value};

/// The properties that are read; every other is passed over.
const KNOWN: &[&str] =
    &["id", "kind", "name", "note", "in_bloom", "seen_on", "wall_height", "eaves", "openings", "intermittent"];

/// The identifier, beside `type` or among the properties.
pub(super) fn id_of(entry: &Entry) -> Result<Option<String>, Problem> {
    let among = entry.members.get("properties").and_then(|properties| properties.get("id"));
    match entry.members.get("id").or(among) {
        None | Some(Value::Null) => Ok(None),
        Some(Value::String(text)) if text.trim().is_empty() => Ok(None),
        Some(Value::String(text)) => Ok(Some(text.trim().to_owned())),
        Some(Value::Number(number)) => Ok(Some(number.to_string())),
        Some(other) => Err(Problem::error("map::bad-id", format!("{} stands where an `id` belongs", named(other)))
            .expected("a text or a number that no other feature has")),
    }
}

/// Fills in what the properties say, and reports what they say wrongly.
pub(super) fn fill(feature: &mut RawFeature, entry: &Entry, problems: &mut Vec<Problem>) {
    let properties = match entry.members.get("properties") {
        Some(Value::Object(properties)) => properties,
        None | Some(Value::Null) => return,
        Some(other) => {
            problems.push(
                Problem::error("map::bad-properties", format!("{} stands where `properties` belong", named(other)))
                    .expected("an object such as `{\"kind\": \"turf\"}`"),
            );
            return;
        }
    };
    let mut read = Reader { properties, problems };
    feature.kind = read.text("kind").map(|kind| kebab(&kind));
    feature.name = read.text("name");
    feature.note = read.text("note");
    feature.in_bloom = read.flag("in_bloom");
    feature.bloom_seen_on = read.date("seen_on");
    feature.wall_height = read.length("wall_height");
    feature.eaves = read.length("eaves");
    feature.intermittent = read.flag("intermittent");
    feature.openings = read.openings();
    read.report_near_misses();
}

/// `Bare soil`, `bare_soil` and `BARE-SOIL` are the same word.
fn kebab(word: &str) -> String {
    let words: Vec<&str> = word.split(|c: char| c.is_whitespace() || c == '_' || c == '-').collect();
    words.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-").to_lowercase()
}

struct Reader<'e> {
    properties: &'e Map<String, Value>,
    problems: &'e mut Vec<Problem>,
}

impl<'e> Reader<'e> {
    /// A property that says something; exporters write `null` and empty texts for what is unset.
    fn get(&self, key: &str) -> Option<&'e Value> {
        self.properties
            .get(key)
            .filter(|value| !value.is_null() && value.as_str().is_none_or(|text| !text.trim().is_empty()))
    }

    fn wrong(&mut self, key: &str, value: &Value, expected: &str, mend: &str) {
        let mut problem = Problem::error("map::bad-property", format!("{} stands in `{key}`", named(value)))
            .expected(expected.to_owned());
        if !mend.is_empty() {
            problem = problem.mend(mend.to_owned());
        }
        self.problems.push(problem);
    }

    fn text(&mut self, key: &str) -> Option<String> {
        match self.get(key)? {
            Value::String(text) => Some(text.trim().to_owned()),
            // A name may be a house number; a kind that is none is reported with the words that are.
            Value::Number(number) if key != "note" => Some(number.to_string()),
            other => {
                self.wrong(key, other, "a text", "");
                None
            }
        }
    }

    fn flag(&mut self, key: &str) -> Option<bool> {
        let value = self.get(key)?;
        let word = value.as_str().map(|text| text.trim().to_lowercase());
        match (value, word.as_deref()) {
            (Value::Bool(flag), _) => Some(*flag),
            (_, Some("true" | "yes")) => Some(true),
            (_, Some("false" | "no")) => Some(false),
            _ => {
                self.wrong(key, value, "`true` or `false`", "leave it out when nobody looked");
                None
            }
        }
    }

    fn date(&mut self, key: &str) -> Option<Date> {
        let value = self.get(key)?;
        let text = value.as_str().unwrap_or("").trim();
        let date = if text.len() == 10 { text.parse::<Date>().ok() } else { None };
        if date.is_none() {
            self.wrong(key, value, "a day as year-month-day, such as `2026-07-07`", "");
        }
        date
    }

    fn length(&mut self, key: &str) -> Option<Length> {
        let value = self.get(key)?;
        self.length_of(key, value)
    }

    fn length_of(&mut self, key: &str, value: &Value) -> Option<Length> {
        let Some(text) = value.as_str() else {
            self.wrong(key, value, "a length as text with its unit, such as `\"3 ft\"`", "say the unit");
            return None;
        };
        match quantity::parse_length(text) {
            Ok((length, _)) => Some(length),
            Err(error) => {
                let problem = error.into_problem("map::bad-length");
                self.problems.push(Problem { found: format!("in `{key}`: {}", problem.found), ..problem });
                None
            }
        }
    }

    fn openings(&mut self) -> Vec<RawOpening> {
        const EXPECTED: &str =
            "a list such as `[{\"what\": \"front door\", \"width\": \"3 ft\", \"height\": \"7 ft\"}]`";
        let Some(value) = self.get("openings") else { return Vec::new() };
        // Exporters that know no nested values write them as text.
        let unpacked = value.as_str().and_then(|text| serde_json::from_str::<Value>(text).ok());
        let Value::Array(list) = unpacked.as_ref().unwrap_or(value) else {
            self.wrong("openings", value, EXPECTED, "");
            return Vec::new();
        };
        let mut openings = Vec::new();
        for (index, entry) in list.iter().enumerate() {
            let place = format!("openings[{}]", index + 1);
            let Value::Object(members) = entry else {
                self.wrong(&place, entry, EXPECTED, "");
                continue;
            };
            for key in members.keys().filter(|key| !["what", "width", "height", "sill"].contains(&key.as_str())) {
                self.problems.push(
                    Problem::error("map::unknown-property", format!("`{}` is not known in `{place}`", shown(key)))
                        .expected("`what`, `width`, `height` and perhaps `sill`, lengths as text with their unit"),
                );
            }
            let what = members.get("what").and_then(Value::as_str).unwrap_or("opening").trim().to_owned();
            let mut side = |key: &str| {
                let place = format!("{place}.{key}");
                if let Some(value) = members.get(key) {
                    return self.length_of(&place, value);
                }
                self.problems.push(
                    Problem::error("map::opening-size", format!("`{place}` is missing"))
                        .expected("width and height of the opening, as text with their unit"),
                );
                None
            };
            let (width, height) = (side("width"), side("height"));
            let sill = members.get("sill").map(|value| self.length_of(&format!("{place}.sill"), value));
            if let (Some(width), Some(height), false) = (width, height, sill == Some(None)) {
                openings.push(RawOpening { what, width, height, sill: sill.flatten() });
            }
        }
        openings
    }

    /// A property whose name is nearly one of those read would be lost in silence.
    fn report_near_misses(&mut self) {
        for key in self.properties.keys().filter(|key| !KNOWN.contains(&key.as_str())) {
            // Short words such as `width` or `date` come near by chance.
            let Some(near) = nearest(key, KNOWN.iter().copied().filter(|known| known.len() > 4)) else { continue };
            if self.get(near).is_some() {
                continue;
            }
            self.problems.push(
                Problem::warning("map::unknown-property", format!("the property `{}` is not read", shown(key)))
                    .expected(format!(
                        "one of {}",
                        KNOWN.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")
                    ))
                    .mend(format!("did you mean `{near}`?")),
            );
        }
    }
}
