//! The JSON Schema of visit requests: it takes what the reader takes, refuses what a schema can
//! know to be wrong, and knows the same fields and words as the reader.

use exchange::visit_file::{fields_asked, parse_visit};
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use toml_edit::{Document, Item, TableLike};

const SCHEMA: &str = include_str!("../../../schema/visit-request.schema.json");
const EVERY_FIELD: &str = include_str!("input_every_field.toml");
const SEVERAL_FINDINGS: &str = include_str!("input_several_findings.toml");

fn schema() -> Value {
    serde_json::from_str(SCHEMA).unwrap()
}

fn json(text: &str) -> Option<Value> {
    Some(of_table(Document::parse(text).ok()?.as_table()))
}

fn of_table(table: &dyn TableLike) -> Value {
    Value::Object(table.iter().map(|(key, item)| (key.to_owned(), of_item(item))).collect::<Map<_, _>>())
}

fn of_item(item: &Item) -> Value {
    match item {
        Item::None => Value::Null,
        Item::Value(value) => of_value(value),
        Item::Table(table) => of_table(table),
        Item::ArrayOfTables(tables) => tables.iter().map(|table| of_table(table)).collect(),
    }
}

fn of_value(value: &toml_edit::Value) -> Value {
    match value {
        toml_edit::Value::String(text) => text.value().as_str().into(),
        toml_edit::Value::Integer(number) => (*number.value()).into(),
        toml_edit::Value::Float(number) => (*number.value()).into(),
        toml_edit::Value::Boolean(flag) => (*flag.value()).into(),
        toml_edit::Value::Datetime(date) => date.value().to_string().into(),
        toml_edit::Value::Array(values) => values.iter().map(of_value).collect(),
        toml_edit::Value::InlineTable(table) => of_table(table),
    }
}

fn faults(schema: &Value, text: &str) -> Vec<String> {
    let validator = jsonschema::validator_for(schema).unwrap();
    let value = json(text).unwrap();
    validator.iter_errors(&value).map(|error| format!("{}: {error}", error.instance_path())).collect()
}

#[test]
fn sound_files_fit() {
    let schema = schema();
    let none: [String; 0] = [];
    assert_eq!(faults(&schema, include_str!("../../../demo/alder-bend/visit.toml")), none);
    assert_eq!(faults(&schema, EVERY_FIELD), none);
    assert_eq!(faults(&schema, SEVERAL_FINDINGS), none);
    assert_eq!(faults(&schema, include_str!("../../../demo/alder-bend/spots.visit.toml")), none);
    // Files of their own have the same fields as the tables inline.
    let part = |name: &str| {
        let mut part = schema.pointer(&format!("/$defs/{name}")).unwrap().clone();
        part["$defs"] = schema["$defs"].clone();
        part
    };
    assert_eq!(faults(&part("history"), include_str!("../../../demo/alder-bend/history.toml")), none);
    let equipment = json(include_str!("../../../demo/alder-bend/equipment.toml")).unwrap();
    let validator = jsonschema::validator_for(&part("equipment")).unwrap();
    for piece in equipment["equipment"].as_array().unwrap() {
        assert!(validator.is_valid(piece));
    }
}

#[test]
fn broken_visits_do_not_fit() {
    // What lies in other files, leads nowhere or is arithmetic, no schema can know.
    const BEYOND_A_SCHEMA: &[&str] = &[
        "every-file",
        "findings-nowhere",
        "inline-map-table",
        "missing-file",
        "names-nowhere",
        "no-finding",
        "rates",
        "tasks-without-finding",
        "wrong-file",
    ];
    let schema = schema();
    let mut refused = 0;
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad/visit");
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.is_file() {
            continue;
        }
        let name = path.file_stem().and_then(|stem| stem.to_str()).unwrap().to_owned();
        let text = std::fs::read_to_string(&path).unwrap();
        // What is not TOML never reaches a schema.
        if json(&text).is_none() {
            continue;
        }
        let fits = faults(&schema, &text).is_empty();
        assert_eq!(fits, BEYOND_A_SCHEMA.contains(&name.as_str()), "{name}");
        refused += usize::from(!fits);
    }
    assert!(refused >= 6, "only {refused}");
}

#[test]
fn the_file_with_every_field_is_read() {
    let label = |file: &str| match file {
        "../labels/gravelhome-gr.toml" => include_str!("../../../demo/labels/gravelhome-gr.toml").to_owned(),
        _ => include_str!("../../../demo/labels/brackwater-sc.toml").to_owned(),
    };
    let result = parse_visit("input_every_field.toml", EVERY_FIELD, &mut |file| Ok(label(file)));
    assert!(result.is_ok(), "{}", result.unwrap_err());
}

/// Fields of the schema, without the numbers of list entries: `task[].target.site`.
fn fields(schema: &Value, node: &Value, path: &str, out: &mut BTreeSet<String>) {
    if let Some(reference) = node.get("$ref").and_then(Value::as_str) {
        let target = schema.pointer(reference.trim_start_matches('#')).unwrap();
        return fields(schema, target, path, out);
    }
    for (key, inner) in node.get("properties").and_then(Value::as_object).into_iter().flatten() {
        let inner_path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        out.insert(inner_path.clone());
        fields(schema, inner, &inner_path, out);
    }
    if let Some(items) = node.get("items") {
        fields(schema, items, &format!("{path}[]"), out);
    }
    if let Some(more) = node.get("additionalProperties").filter(|more| more.is_object()) {
        // The one feature of the file with every field.
        fields(schema, more, &format!("{path}.house"), out);
    }
    for inner in node.get("oneOf").and_then(Value::as_array).into_iter().flatten() {
        // A choice that only says which fields go together names no new ones.
        if inner.get("required").is_none() || inner.get("type").is_some() {
            fields(schema, inner, path, out);
        }
    }
}

#[test]
fn reader_and_schema_know_the_same_fields() {
    let schema = schema();
    let mut of_schema = BTreeSet::new();
    fields(&schema, &schema, "", &mut of_schema);
    // A finding stands alone, or in a list.
    let of_reader: BTreeSet<String> =
        fields_asked(EVERY_FIELD).into_iter().chain(fields_asked(SEVERAL_FINDINGS)).collect();
    let only_schema: Vec<_> = of_schema.difference(&of_reader).collect();
    let only_reader: Vec<_> = of_reader.difference(&of_schema).collect();
    assert!(
        only_schema.is_empty() && only_reader.is_empty(),
        "schema only: {only_schema:#?}, reader only: {only_reader:#?}"
    );
    assert!(of_schema.len() > 120, "only {}", of_schema.len());
}

#[test]
fn schema_and_types_know_the_same_words() {
    let schema = schema();
    let words = |pointer: &str| -> Vec<String> {
        let list = schema.pointer(pointer).and_then(Value::as_array).unwrap_or_else(|| panic!("no {pointer}"));
        list.iter().map(|word| word.as_str().unwrap().to_owned()).collect()
    };
    let methods: Vec<&str> = label::Method::ALL.iter().map(|method| method.word()).collect();
    assert_eq!(words("/$defs/task/properties/method/enum"), methods);
    let sites: Vec<&str> = label::Site::ALL.iter().map(|site| site.word()).collect();
    assert_eq!(words("/$defs/target/properties/site/enum"), sites);
    let kinds: Vec<&str> = sprayer::EquipmentKind::ALL.iter().map(|kind| kind.word()).collect();
    assert_eq!(words("/$defs/equipment/properties/kind/enum"), kinds);
    let mut features: Vec<&str> = label::BufferedFeature::ALL.iter().map(|feature| feature.word()).collect();
    features.sort_unstable();
    let setbacks = schema.pointer("/properties/setbacks/properties").and_then(Value::as_object).unwrap();
    let mut listed: Vec<&str> = setbacks.keys().map(String::as_str).collect();
    listed.sort_unstable();
    assert_eq!(listed, features);
}
