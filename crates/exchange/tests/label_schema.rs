//! The JSON Schema of label files: it takes what the reader takes, refuses what it can know to be
//! wrong, and knows the same fields and words as the reader.

use exchange::label_file::{check_label, fields_asked, parse_label};
use serde_json::{Map, Value};
use std::collections::BTreeSet;
use toml_edit::{Document, Item, TableLike};

const SCHEMA: &str = include_str!("../../../schema/label.schema.json");
const EVERY_FIELD: &str = include_str!("label_every_field.toml");

fn schema() -> Value {
    serde_json::from_str(SCHEMA).expect("JSON")
}

fn json(text: &str) -> Option<Value> {
    let document = Document::parse(text).ok()?;
    Some(of_table(document.as_table()))
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

#[test]
fn good_labels_fit_the_schema() {
    let validator = jsonschema::validator_for(&schema()).expect("a schema");
    for text in [
        include_str!("../../../demo/labels/brackwater-sc.toml"),
        include_str!("../../../demo/labels/gravelhome-gr.toml"),
        include_str!("../../../demo/labels/anthollow-rb.toml"),
        EVERY_FIELD,
    ] {
        let value = json(text).expect("TOML");
        let errors: Vec<String> =
            validator.iter_errors(&value).map(|error| format!("{}: {error}", error.instance_path())).collect();
        assert!(errors.is_empty(), "{errors:#?}");
    }
}

/// A broken file is refused by the schema, unless only arithmetic or a person can know.
#[test]
fn broken_labels_do_not_fit_the_schema() {
    const BEYOND_A_SCHEMA: &[&str] = &[
        "acre_rate_per_thousand",
        "bases_differ",
        "cap_below_maximum",
        "content_disagrees",
        "dates_beyond_the_month",
        "density_missing",
        "dilution_above_maximum",
        "ends_exchanged",
        "fluid_ounces_of_granules",
        "gallons_for_fluid_ounces",
        "imperial_and_us",
        "ingredient_of_cap_unknown",
        "looser_than_restraint",
        "lowest_above_highest",
        "number_beyond_cap",
        "ounces_of_weight_of_a_liquid",
        "permits_what_a_restraint_forbids",
        "quantities_unreadable",
        "silent",
        "use_named_twice",
    ];
    let validator = jsonschema::validator_for(&schema()).expect("a schema");
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad/label");
    let mut refused = 0;
    for entry in std::fs::read_dir(folder).expect("the folder") {
        let path = entry.expect("an entry").path();
        let name = path.file_stem().and_then(|stem| stem.to_str()).expect("a name").to_owned();
        // What is not TOML never reaches a schema.
        let Some(value) = json(&std::fs::read_to_string(&path).expect("a text")) else { continue };
        let fits = validator.is_valid(&value);
        assert_eq!(fits, BEYOND_A_SCHEMA.contains(&name.as_str()), "{name}");
        refused += usize::from(!fits);
    }
    assert!(refused >= 10, "only {refused}");
    let wrong = json(include_str!("../../../demo/broken/label-wrong.toml")).expect("TOML");
    assert!(!validator.is_valid(&wrong));
}

#[test]
fn the_file_with_every_field_is_read() {
    let (label, problems) = check_label("label_every_field.toml", EVERY_FIELD);
    assert!(label.is_some() && !problems.has_errors(), "{problems}");
    assert!(parse_label("label_every_field.toml", EVERY_FIELD).is_ok());
}

/// Fields of the schema, without the numbers of list entries: `use[].rate.highest`.
fn fields(schema: &Value, node: &Value, path: &str, out: &mut BTreeSet<String>) {
    if let Some(reference) = node.get("$ref").and_then(Value::as_str) {
        let target = schema.pointer(reference.trim_start_matches('#')).expect("a definition");
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
    for choice in ["oneOf", "anyOf"] {
        for inner in node.get(choice).and_then(Value::as_array).into_iter().flatten() {
            fields(schema, inner, path, out);
        }
    }
}

#[test]
fn reader_and_schema_know_the_same_fields() {
    let schema = schema();
    let mut of_schema = BTreeSet::new();
    fields(&schema, &schema, "", &mut of_schema);
    let of_reader: BTreeSet<String> = fields_asked(EVERY_FIELD).into_iter().collect();
    let only_schema: Vec<_> = of_schema.difference(&of_reader).collect();
    let only_reader: Vec<_> = of_reader.difference(&of_schema).collect();
    assert!(
        only_schema.is_empty() && only_reader.is_empty(),
        "schema only: {only_schema:#?}, reader only: {only_reader:#?}"
    );
    assert!(of_schema.len() > 200);
}

#[test]
fn schema_and_types_know_the_same_words() {
    let schema = schema();
    let check = |pointer: &str, words: Vec<&str>| {
        let listed: Vec<&str> = schema
            .pointer(pointer)
            .and_then(|node| node.get("enum"))
            .and_then(Value::as_array)
            .unwrap_or_else(|| panic!("no {pointer}"))
            .iter()
            .filter_map(Value::as_str)
            .collect();
        assert_eq!(listed, words, "{pointer}");
    };
    let all = |all: &[label::Site]| all.iter().map(|site| site.word()).collect();
    check("/$defs/site", all(label::Site::ALL));
    check("/$defs/method", label::Method::ALL.iter().map(|method| method.word()).collect());
    check("/$defs/feature", label::BufferedFeature::ALL.iter().map(|feature| feature.word()).collect());
    check("/$defs/window", label::Window::ALL.iter().map(|window| window.word()).collect());
    check("/$defs/strength", label::Strength::ALL.iter().map(|strength| strength.word()).collect());
    check(
        "/properties/product/properties/formulation",
        label::Formulation::ALL.iter().map(|formulation| formulation.code()).collect(),
    );
    check(
        "/properties/product/properties/signal_word",
        label::SignalWord::ALL.iter().map(|word| word.word()).collect(),
    );
    check("/properties/product/properties/use_class", label::UseClass::ALL.iter().map(|class| class.word()).collect());
    check(
        "/properties/use/items/properties/pest/items/properties/claim",
        label::Claim::ALL.iter().map(|claim| claim.word()).collect(),
    );
    check(
        "/properties/use/items/properties/preventive/oneOf/0/properties/value",
        label::PreventiveUse::ALL.iter().map(|word| word.word()).collect(),
    );
    check(
        "/$defs/subject_ppe/items/oneOf/0/properties/tasks/items",
        label::PpeTask::ALL.iter().map(|t| t.word()).collect(),
    );
    check(
        "/$defs/subject_bloom/oneOf/0/properties/value",
        label::BloomRule::ALL.iter().map(|rule| rule.word()).collect(),
    );
}
