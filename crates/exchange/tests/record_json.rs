//! Records as JSON: the schema, the round trip, and what is wrong with a broken one.

mod output_support;

use exchange::record_json::{parse_record, record_schema, write_record};
use output_support::{demo_record, demo_record_with};
use quantity::AreaUnit;
use record::ApplicationRecord;
use serde_json::Value;
use std::path::Path;

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).expect("valid JSON")
}

fn read(text: &str) -> ApplicationRecord {
    parse_record("record.json", text).unwrap_or_else(|problems| panic!("{problems}"))
}

#[test]
fn the_schema_in_the_repository_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/record.schema.json");
    let committed = std::fs::read_to_string(path).expect("the schema is there");
    assert!(
        committed == record_schema(),
        "write it anew: cargo run -p exchange --example record_schema > schema/record.schema.json"
    );
}

#[test]
fn records_follow_their_schema() {
    let validator = jsonschema::validator_for(&parsed(&record_schema())).expect("a schema");
    let document = parsed(&write_record(&demo_record()));
    let errors: Vec<String> = validator.iter_errors(&document).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    assert!(!validator.is_valid(&serde_json::json!({ "format": "tussock.record/1" })));
}

#[test]
fn a_record_read_is_written_with_the_same_bytes() {
    let record = demo_record();
    let text = write_record(&record);
    let again = read(&text);
    assert_eq!(write_record(&again), text);
    assert_eq!(read(&write_record(&again)), again);
    // And it is the same record: its ground to a millionth, its facts exactly.
    assert_eq!(again.tasks.len(), record.tasks.len());
    for (one, other) in record.tasks.iter().zip(&again.tasks) {
        assert_eq!(
            (&one.id, &one.products.len(), &one.tanks.len()),
            (&other.id, &other.products.len(), &other.tanks.len())
        );
        for (zone, same) in one.zones.iter().zip(&other.zones) {
            let apart = zone.ground.difference(&same.ground).area() + same.ground.difference(&zone.ground).area();
            assert!(apart.ratio(zone.ground.area()) < 1e-6, "{}", zone.id);
            assert!((same.ground.area().ratio(zone.ground.area()) - 1.0).abs() < 1e-6);
        }
        assert!((one.ground.to(AreaUnit::SquareMetre) - other.ground.to(AreaUnit::SquareMetre)).abs() < 1e-9);
    }
    assert_eq!((again.name, again.date, again.applicator), (record.name, record.date, record.applicator));
}

#[test]
fn every_problem_of_a_record_has_its_line_and_field() {
    let text = write_record(&demo_record())
        .replacen("\"method\": \"perimeter\"", "\"method\": \"perimetre\"", 1)
        .replacen("\"date\": \"2026-07-07\"", "\"date\": \"2026-07-32\"", 1)
        .replacen("\"unit\": \"[foz_us]\"", "\"unit\": \"[foz]\"", 1);
    let problems = parse_record("record.json", &text).expect_err("three wrong values");
    let found: Vec<(&str, Option<&str>)> =
        problems.iter().map(|problem| (problem.code, problem.place.path.as_deref())).collect();
    assert_eq!(
        found,
        [
            ("record::date", Some("date")),
            ("record::word", Some("tasks[1].method")),
            ("record::unit", Some("tasks[1].products[1].rate.recorded.unit")),
        ]
    );
    for problem in &problems {
        let line = problem.place.line.expect("a line");
        let field = problem.place.path.as_deref().and_then(|path| path.rsplit('.').next()).expect("a field");
        assert!(text.lines().nth(line - 1).expect("the line").contains(field), "{problem}");
    }
}

#[test]
fn what_is_no_record_is_told_from_one() {
    for (text, code) in [
        ("{", "json::syntax"),
        ("{}", "format::missing"),
        ("{\"format\": \"tussock.visit/1\"}", "format::other"),
        ("{\"format\": \"tussock.record/2\"}", "format::version"),
        ("{\"format\": \"tussock.record/1\"}", "json::shape"),
        ("[]", "format::missing"),
        ("", "json::syntax"),
    ] {
        let problems = parse_record("record.json", text).expect_err(text);
        let codes: Vec<&str> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, [code], "{text}");
    }
    // A field that nobody knows is no field passed over.
    let more = write_record(&demo_record()).replacen("\"name\":", "\"nom\": 1, \"name\":", 1);
    let problems = parse_record("record.json", &more).expect_err("an unknown field");
    assert!(problems.to_string().contains("unknown field 'nom'"), "{problems}");
}

#[test]
fn ground_that_no_map_can_hold_is_refused() {
    let record = demo_record();
    let text = write_record(&record);
    let at = text.find("\"coordinates\": [").expect("ground");
    let number = |new: &str| {
        let from = at + text[at..].find("-97.").expect("a longitude");
        let to = from + text[from..].find(',').expect("its end");
        format!("{}{new}{}", &text[..from], &text[to..])
    };
    for (longitude, words) in [("-197.0", "beyond 180"), ("12.5", "far from the property"), ("-97.7", "ring")] {
        let problems = parse_record("record.json", &number(longitude)).expect_err(longitude);
        assert!(problems.to_string().contains(words), "{longitude}: {problems}");
    }
}

#[test]
fn a_request_without_a_finding_and_an_applicator_makes_a_record_that_says_so() {
    let record = demo_record_with(|request| {
        request.findings.clear();
        request.applicator = None;
        for task in &mut request.tasks {
            task.pest = Some("grasshopper".to_owned());
        }
    });
    let document = parsed(&write_record(&record));
    assert_eq!((&document["target_counts"], &document["applicator"]), (&"absent".into(), &"absent".into()));
    assert_eq!(read(&write_record(&record)), read(&write_record(&read(&write_record(&record)))));
}
