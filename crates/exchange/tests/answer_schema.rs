//! The schemas of the commands' answers in the repository are those of the types that write them.

use exchange::answer_schema::answer_schemas;
use std::path::Path;

#[test]
fn the_schemas_in_the_repository_are_current() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/answers");
    for (name, schema) in answer_schemas() {
        let committed = std::fs::read_to_string(folder.join(name)).unwrap_or_default();
        assert!(committed == schema, "{name}: write it anew: cargo run -p exchange --example answer_schemas");
    }
    let there = std::fs::read_dir(folder).expect("the schemas are there").count();
    assert_eq!(there, answer_schemas().len(), "a schema that no type writes");
}

#[test]
fn answers_follow_their_schemas() {
    let (_, schema) = answer_schemas().into_iter().find(|(name, _)| *name == "problems.schema.json").expect("a schema");
    let schema: serde_json::Value = serde_json::from_str(&schema).expect("JSON");
    let problems = exchange::label_file::check_label("x.toml", "format = 1").1;
    let answer = exchange::problems_json::write_problems(&problems);
    let answer: serde_json::Value = serde_json::from_str(&answer).expect("JSON");
    assert!(jsonschema::is_valid(&schema, &answer), "{answer}");
    assert!(!jsonschema::is_valid(&schema, &serde_json::json!({ "format": "tussock.problems/1" })));
}
