//! TOML texts out of JSON documents of the same fields, and back: what a page edits as a form is the text
//! that a person could have written.
//!
//! Knows no trade word. Comments, the order of fields, and how a value was written (`'a'` or `"a"`) do not
//! come through; what the readers of this crate see does.
//!
//! # Source
//! TOML 1.0.0: sections Keys, String, Integer, Float, Array, Inline Table, Table, Array of Tables.

use crate::toml_source::Source;
use problem::{Problem, Problems};
use serde_json::{Map, Value};
use std::fmt::Write;

/// A table stands in braces on one line of at most so many characters, unless that buries sentences.
const LONGEST_INLINE: usize = 110;

/// A TOML text as a JSON document. Dates become texts, which the readers of this crate take for dates.
///
/// # Errors
/// `toml::syntax` when the text is not TOML.
pub fn toml_to_json(file: &str, text: &str) -> Result<Value, Problems> {
    Ok(Source::parse(file, text)?.json())
}

/// A JSON document as a TOML text. Fields that are `null` are left out. `order` names the fields that come
/// first at every level; the others follow by name.
///
/// # Errors
/// What TOML cannot say: `toml::no-table` when the document is no object, `toml::null-in-list`,
/// `toml::number-out-of-range` for whole numbers past 64 bits with a sign.
pub fn json_to_toml(document: &Value, order: &[&str]) -> Result<String, Problems> {
    let Value::Object(root) = document else {
        return Err(Problem::error("toml::no-table", "the document is no object")
            .expected("an object with the fields of the file")
            .into());
    };
    let mut problems = Problems::new();
    sayable(document, "", &mut problems);
    if problems.has_errors() {
        return Err(problems);
    }
    let mut writer = Writer { order, text: String::new() };
    writer.fields(root, "");
    Ok(writer.text)
}

/// Reports what TOML cannot say.
fn sayable(value: &Value, path: &str, problems: &mut Problems) {
    match value {
        Value::Array(list) => {
            for (index, entry) in list.iter().enumerate() {
                let path = format!("{path}[{}]", index + 1);
                if entry.is_null() {
                    problems.push(
                        Problem::error("toml::null-in-list", "an entry of the list is `null`")
                            .expected("a value")
                            .mend("leave the entry out")
                            .at(path.clone()),
                    );
                }
                sayable(entry, &path, problems);
            }
        }
        Value::Object(members) => {
            for (key, member) in members {
                let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                sayable(member, &path, problems);
            }
        }
        Value::Number(number) if number.is_u64() && !number.is_i64() => {
            problems.push(
                Problem::error("toml::number-out-of-range", format!("`{number}` is out of range"))
                    .expected(format!("at most {}", i64::MAX))
                    .at(path),
            );
        }
        _ => {}
    }
}

struct Writer<'o> {
    order: &'o [&'o str],
    text: String,
}

impl Writer<'_> {
    /// The members of a table: first what stands on a line of its own, then the tables under headings,
    /// since a heading holds all that follows it.
    fn fields(&mut self, members: &Map<String, Value>, path: &str) {
        let members = self.in_order(members);
        let has_heading = |value: &Value| is_under_heading(value);
        for (name, value) in members.iter().filter(|(_, value)| !has_heading(value)) {
            let _ = writeln!(self.text, "{} = {}", key(name), inline(value));
        }
        for (name, value) in members.iter().filter(|(_, value)| has_heading(value)) {
            let path = if path.is_empty() { key(name) } else { format!("{path}.{}", key(name)) };
            match value {
                Value::Object(table) => self.table(&format!("[{path}]"), table, &path),
                Value::Array(list) => {
                    for table in list.iter().filter_map(Value::as_object) {
                        self.table(&format!("[[{path}]]"), table, &path);
                    }
                }
                _ => {}
            }
        }
    }

    fn table(&mut self, heading: &str, members: &Map<String, Value>, path: &str) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        let _ = writeln!(self.text, "{heading}");
        self.fields(members, path);
    }

    fn in_order<'m>(&self, members: &'m Map<String, Value>) -> Vec<(&'m str, &'m Value)> {
        let mut list: Vec<(&str, &Value)> =
            members.iter().filter(|(_, value)| !value.is_null()).map(|(key, value)| (key.as_str(), value)).collect();
        let rank = |key: &str| self.order.iter().position(|first| *first == key).unwrap_or(self.order.len());
        list.sort_by(|(a, _), (b, _)| rank(a).cmp(&rank(b)).then_with(|| a.cmp(b)));
        list
    }
}

/// Whether a value is written under a heading of its own.
fn is_under_heading(value: &Value) -> bool {
    match value {
        Value::Object(members) => !is_short(value) || members.contains_key("text"),
        Value::Array(list) => {
            !list.is_empty()
                && list.iter().all(Value::is_object)
                && (!is_short(value) || list.iter().any(|entry| entry.get("text").is_some()))
        }
        _ => false,
    }
}

fn is_short(value: &Value) -> bool {
    inline(value).chars().count() <= LONGEST_INLINE
}

/// A value on one line.
fn inline(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(flag) => flag.to_string(),
        Value::Number(number) => match number.as_i64() {
            Some(whole) => whole.to_string(),
            None => format!("{:?}", number.as_f64().unwrap_or_default()),
        },
        Value::String(text) => quoted(text),
        Value::Array(list) => format!("[{}]", list.iter().map(inline).collect::<Vec<_>>().join(", ")),
        Value::Object(members) => {
            let members = members.iter().filter(|(_, value)| !value.is_null());
            let members: Vec<String> =
                members.map(|(name, value)| format!("{} = {}", key(name), inline(value))).collect();
            if members.is_empty() { "{}".to_owned() } else { format!("{{ {} }}", members.join(", ")) }
        }
    }
}

fn key(name: &str) -> String {
    let is_bare = !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
    if is_bare { name.to_owned() } else { quoted(name) }
}

/// A text in quotes. One of several lines without quotes or backslashes in it, such as a map, stands as it
/// is.
fn quoted(text: &str) -> String {
    let is_plain = |c: char| c == '\n' || c == '\t' || !c.is_control();
    if text.contains('\n') && !text.contains("'''") && !text.ends_with('\'') && text.chars().all(is_plain) {
        return format!("'''\n{text}'''");
    }
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::json;

    #[test]
    fn sentences_stand_under_headings_and_small_things_on_a_line() {
        let document = json!({
            "use": [{ "id": "turf", "sites": ["turf"], "rate": { "highest": "0.4 fl oz/1,000 sq ft", "text": "Apply." },
                "pest": [{ "name": "chinch bug", "stages": ["nymph"] }] }],
            "format": "tussock.label/1", "id": "x", "note": null, "percent": 11.5, "page": 4,
        });
        let text = json_to_toml(&document, &["format", "id"]).expect("TOML");
        let expected = "format = \"tussock.label/1\"\nid = \"x\"\npage = 4\npercent = 11.5\n\n[[use]]\nid = \"turf\"\n\
            pest = [{ name = \"chinch bug\", stages = [\"nymph\"] }]\nsites = [\"turf\"]\n\n[use.rate]\n\
            highest = \"0.4 fl oz/1,000 sq ft\"\ntext = \"Apply.\"\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn what_toml_cannot_say_is_told_with_its_place() {
        let document = json!({ "a": { "b": [1, null] }, "c": u64::MAX });
        let problems = json_to_toml(&document, &[]).expect_err("problems");
        let told: Vec<_> = problems.iter().map(|problem| (problem.code, problem.place.path.as_deref())).collect();
        assert_eq!(told, [("toml::null-in-list", Some("a.b[2]")), ("toml::number-out-of-range", Some("c"))]);
        assert!(json_to_toml(&json!([1]), &[]).is_err());
    }

    fn any_value() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            any::<f64>().prop_filter("finite", |number| number.is_finite()).prop_map(Value::from),
            any::<String>().prop_map(Value::from),
            "(?s)[a-z'\"\\\\\n\r\t]{0,12}".prop_map(Value::from),
        ];
        leaf.prop_recursive(4, 40, 5, |inner| {
            prop_oneof![
                proptest::collection::vec(inner.clone(), 0..4).prop_map(Value::from),
                proptest::collection::btree_map("[a-z_]{1,6}|text|\\PC{0,3}", inner, 0..5)
                    .prop_map(|members| Value::Object(members.into_iter().collect())),
            ]
        })
    }

    proptest! {
        /// Every document comes back as it was.
        #[test]
        fn a_document_comes_back(document in any_value().prop_filter("an object", Value::is_object)) {
            let text = json_to_toml(&document, &["text", "a"]).expect("TOML");
            let back = toml_to_json("", &text);
            prop_assert_eq!(back, Ok(document), "{}", text);
        }
    }
}
