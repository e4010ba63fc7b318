//! Documents of kept things: round trips, schemas, and what is told of broken ones.

mod kept_support;

use exchange::kept::{FORMATS, Kept, Lot, Person, Property, index_of, kept_schemas};
use kept_support::{demo, documents, rewritten};
use serde_json::{Value, json};
use std::path::Path;

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).expect("valid JSON")
}

#[test]
fn there_is_a_document_of_every_format_here() {
    let here: Vec<&str> = documents().into_iter().map(|(format, _)| format).collect();
    assert_eq!(here, FORMATS);
}

#[test]
fn a_document_read_and_written_is_the_same_document() {
    for (format, document) in documents() {
        let written =
            rewritten(format, &document.to_string()).unwrap_or_else(|problems| panic!("{format}: {problems}"));
        assert_eq!(parsed(&written), document, "{format}");
        assert!(written.starts_with(&format!("{{\n  \"format\": \"{format}\"")), "{written}");
        assert_eq!(rewritten(format, &written).as_ref(), Ok(&written), "{format}");
    }
}

#[test]
fn the_schemas_in_the_repository_are_current() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/kept");
    for (name, schema) in kept_schemas() {
        let committed = std::fs::read_to_string(folder.join(name)).unwrap_or_default();
        assert!(committed == schema, "{name}: write it anew: cargo run -p exchange --example kept_schemas");
    }
    let there = std::fs::read_dir(folder).expect("the schemas are there").count();
    assert_eq!(there, kept_schemas().len(), "a schema of no document");
}

#[test]
fn documents_follow_their_schemas() {
    for ((format, document), (name, schema)) in documents().into_iter().zip(kept_schemas()) {
        let validator = jsonschema::validator_for(&parsed(&schema)).expect("a schema");
        let errors: Vec<String> = validator.iter_errors(&document).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{format} {name}: {errors:#?}");
        let mut more = document.clone();
        more["more"] = json!(1);
        assert!(!validator.is_valid(&more), "{name}");
        let mut other = document;
        other["format"] = json!("tussock.other/1");
        assert!(!validator.is_valid(&other), "{name}");
    }
}

#[test]
fn a_thing_is_found_by_its_name_day_client_and_property() {
    let found: Vec<String> = documents()
        .into_iter()
        .map(|(format, document)| {
            let index = index_of(format, &document.to_string()).expect("a sound document");
            let mark = |is_there: bool, mark: &'static str| if is_there { mark } else { "" };
            let date = index.date.map(|date| format!(" {date}")).unwrap_or_default();
            let of_client = mark(index.client.is_some(), " client");
            format!("{}{date}{of_client}{}", index.title, mark(index.property.is_some(), " property"))
        })
        .collect();
    let expected = [
        "Example Lawn Care",
        "A. Client",
        "J. Example",
        "Alder Bend client",
        "brackwater-sc 2026-03-01",
        "hand pump",
        "brackwater-sc lot A-17 2026-03-02",
        "2 fl oz less: measuring cup knocked over on the bench 2026-05-01",
        "grasshopper at 2 stations 2026-07-07 property",
        "Alder Bend 2026-07-07 property",
        "hedge.jpg 2026-07-07",
    ];
    assert_eq!(found, expected);
    assert_eq!(
        index_of("tussock.visit/1", "{}").unwrap_err().iter().map(|p| p.code).collect::<Vec<_>>(),
        ["format::other"]
    );
}

/// The codes and places of the problems of a document with one change.
fn told(format: &str, change: impl FnOnce(&mut Value)) -> Vec<String> {
    let (_, mut document) = documents().into_iter().find(|(known, _)| *known == format).expect("a format");
    change(&mut document);
    let problems = rewritten(format, &document.to_string()).expect_err("a broken document");
    problems.iter().map(|p| format!("{} {}", p.code, p.place.path.clone().unwrap_or_default())).collect()
}

#[test]
fn every_fault_is_told_with_its_place() {
    let found = told(Person::FORMAT, |document| {
        document["certificates"][0]["valid_until"] = json!("2026-02-30");
        document["certificates"][0]["jurisdiction"] = json!("Kansas");
        document["training"][0]["kind"] = json!("handlr");
        document["nmae"] = json!(" x ");
    });
    let expected = [
        "jurisdiction::code /certificates/0/jurisdiction",
        "json::bad-date /certificates/0/valid_until",
        "json::unknown-word /training/0/kind",
        "json::unknown-field /nmae",
    ];
    assert_eq!(found, expected);
    let found = told(Person::FORMAT, |document| {
        document["certificates"][0]["valid_until"] = json!("2023-12-31");
        document["certificates"][0]["categories"] = json!([]);
    });
    assert_eq!(found, ["kept::day-order /certificates/0/valid_until", "kept::no-category /certificates/0/categories"]);
    let found = told(Lot::FORMAT, |document| {
        document["received"] = json!("-1 qt");
        document["price"] = json!({ "amount": "45,99", "currency": "usd" });
    });
    assert_eq!(found[..1], ["kept::quantity /received"]);
    let found = told(Lot::FORMAT, |document| {
        document["received"] = json!("0 qt");
        document["price"] = json!({ "amount": "45,99", "currency": "usd" });
    });
    assert_eq!(found, ["kept::no-amount /received", "kept::price /price/amount", "kept::currency /price/currency"]);
}

#[test]
fn a_weight_is_never_taken_for_a_length() {
    let found = told(exchange::kept::Survey::FORMAT, |document| document["count_area"] = json!("1 lb"));
    assert_eq!(found, ["kept::quantity /count_area"]);
}

/// A fault of a text within a document has the field for its place, and the line of the text.
#[test]
fn the_faults_of_texts_within_are_told() {
    let (_, mut document) = documents().swap_remove(3);
    let map = demo("alder-bend/property.geojson").replacen("\"kind\": \"structure\"", "\"kind\": \"strukture\"", 1);
    assert_ne!(map, demo("alder-bend/property.geojson"), "the map is written otherwise now");
    document["map"] = json!(map);
    let problems = Property::read(&document.to_string()).expect_err("a broken map");
    let first = problems.iter().next().expect("a problem");
    assert_eq!(first.place.path.as_deref(), Some("/map"));
    assert!(first.place.line.is_some() && first.found.starts_with("feature"), "{first}");

    let label = told(exchange::kept::Label::FORMAT, |document| document["id"] = json!("anthollow-rb"));
    assert_eq!(label, ["kept::other-label /id"]);
    let visit = told(exchange::kept::Visit::FORMAT, |document| {
        document["files"].as_object_mut().expect("files").remove("forecast.csv");
    });
    assert_eq!(visit, ["visit::unread-file /request"]);
    let visit = told(exchange::kept::Visit::FORMAT, |document| document["date"] = json!("2026-07-08"));
    assert_eq!(visit, ["kept::other-visit /date"]);
}
