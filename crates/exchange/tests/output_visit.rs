//! `visit.json`: its schema, its units, its partition, its bytes.

mod output_support;

use exchange::visit_json::{visit_schema, write_visit};
use output_support::{demo, refused};
use quantity::{AreaUnit, VolumeUnit};
use serde_json::Value;
use std::path::Path;

fn parsed(text: &str) -> Value {
    serde_json::from_str(text).expect("valid JSON")
}

#[test]
fn the_schema_in_the_repository_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/visit.schema.json");
    let committed = std::fs::read_to_string(path).expect("the schema is there");
    assert!(
        committed == visit_schema(),
        "write it anew: cargo run -p exchange --example visit_schema > schema/visit.schema.json"
    );
}

#[test]
fn visits_follow_their_schema() {
    let validator = jsonschema::validator_for(&parsed(&visit_schema())).expect("a schema");
    for visit in [demo(), refused()] {
        let document = parsed(&write_visit(&visit));
        let errors: Vec<String> = validator.iter_errors(&document).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{errors:#?}");
    }
    // The schema tells a visit from what is none.
    assert!(!validator.is_valid(&serde_json::json!({ "format": "tussock.visit/1" })));
}

/// Precautions, first aid, storage and spills: every sentence of the plan, in its order.
#[test]
fn every_caution_of_the_plan_is_written() {
    let visit = demo();
    let document = parsed(&write_visit(&visit));
    let written: Vec<&str> =
        document["cautions"].as_array().expect("a list").iter().filter_map(|one| one["text"].as_str()).collect();
    let planned: Vec<&str> = visit.cautions.iter().map(|caution| caution.sentence.text.as_str()).collect();
    assert!(planned.len() > 8 && visit.cautions.iter().any(|caution| caution.sentence.label.is_some()));
    assert_eq!(written, planned);
}

#[test]
fn the_same_visit_gives_the_same_bytes() {
    assert_eq!(write_visit(&demo()), write_visit(&demo()));
}

#[test]
fn zones_add_up_to_the_property() {
    let document = parsed(&write_visit(&demo()));
    let whole = document["property"]["area_m2"].as_f64().expect("a number");
    let zones = document["zones"].as_array().expect("a list");
    let sum: f64 = zones.iter().filter_map(|zone| zone["area_m2"].as_f64()).sum();
    assert!((sum / whole - 1.0).abs() < 1e-6, "{sum} of {whole}");
    for zone in zones {
        assert!(zone["task"].is_null() != zone["reason"].is_null(), "either treated or with a reason: {zone}");
    }
}

/// Numbers in fields that end in a unit are in that unit, and pairs carry the UCUM code.
#[test]
fn figures_say_their_unit() {
    let visit = demo();
    let document = parsed(&write_visit(&visit));
    let tasks = document["tasks"].as_array().expect("a list");
    for (task, written) in visit.tasks.iter().zip(tasks) {
        assert_eq!(written["id"].as_str(), Some(task.id.as_str()));
        assert_eq!(written["ground_m2"].as_f64(), Some(task.ground.to(AreaUnit::SquareMetre)));
        assert_eq!(written["spray_l"].as_f64(), task.spray.map(|spray| spray.to(VolumeUnit::Litre)));
        // A liquid has millilitres and no grams.
        assert!(written["product_ml"].is_f64() && written.get("product_g").is_none());
        assert_eq!(written["rate"]["value"].as_f64(), Some(task.product.rate.value()));
        for batch in written["batches"].as_array().expect("a list") {
            assert!(batch["measured_ml"].is_f64() && batch.get("measured_g").is_none());
        }
    }
    let lawn = tasks.iter().find(|task| task["id"] == "lawn").expect("the lawn");
    assert_eq!(lawn["rate"]["unit"], "[foz_us]/(1000.[sft_i])");
    assert_eq!(lawn["rate"]["symbol"], "fl oz/1,000 sq ft");
    let hedge = tasks.iter().find(|task| task["id"] == "hedge").expect("the hedge");
    assert_eq!(hedge["rate"]["unit"], "[foz_us]/[gal_us]");
}

#[test]
fn times_carry_the_offset_of_the_place() {
    let document = parsed(&write_visit(&demo()));
    assert_eq!(document["date"], "2026-07-07");
    assert_eq!(document["start_window"]["first"], "2026-07-07T07:00:00-05:00");
    assert_eq!(document["start_window"]["last"], "2026-07-07T09:20:00-05:00");
    assert_eq!(document["tasks"][0]["hours"][0]["start"], "2026-07-07T05:00:00-05:00");
    assert_eq!(document["tasks"][0]["hours"][0]["verdict"], "refused");
    assert!(document["tasks"][0]["hours"][0]["reasons"][0].is_string());
}

#[test]
fn a_refusal_names_its_sentence_and_its_mend() {
    let document = parsed(&write_visit(&refused()));
    assert_eq!(document["verdict"], "refused");
    let tasks = document["tasks"].as_array().expect("a list");
    let mut verdicts = tasks.iter().flat_map(|task| task["verdicts"].as_array().into_iter().flatten());
    let refusal = verdicts.find(|verdict| verdict["status"] == "refused").expect("a refusal");
    for field in ["rule", "text", "clause", "mend"] {
        assert!(refusal[field].as_str().is_some_and(|text| !text.is_empty()), "{field} in {refusal:#}");
    }
    assert!(refusal["measured"]["value"].as_f64() > refusal["limit"]["value"].as_f64());
}
