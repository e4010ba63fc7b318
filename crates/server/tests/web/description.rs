//! The description of the routes.

use crate::support::House;

#[test]
fn the_description_in_the_repository_is_current() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/openapi.json");
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    assert!(kept == server::routes::openapi_text(), "write it anew: cargo run -p server --example openapi");
}

#[tokio::test]
async fn the_server_tells_the_description_that_the_repository_keeps() {
    let house = House::at_home().await;
    let told: serde_json::Value =
        house.client().ask("get", "/api/openapi.json", None).await.json().await.expect("JSON");
    let kept: serde_json::Value = serde_json::from_str(&server::routes::openapi_text()).expect("JSON");
    assert_eq!(told, kept);
}

#[test]
fn every_route_says_its_permission_its_summary_and_each_answer() {
    let description: serde_json::Value = serde_json::from_str(&server::routes::openapi_text()).expect("JSON");
    let mut seen = 0;
    let mut names = std::collections::BTreeSet::new();
    for (path, item) in description["paths"].as_object().expect("paths") {
        for (method, operation) in item.as_object().expect("operations") {
            seen += 1;
            assert!(operation["x-permission"].is_string(), "{method} {path} says no permission");
            assert!(operation["summary"].is_string(), "{method} {path} has no summary");
            // What is made from the description knows a route by this name.
            let name = operation["operationId"].as_str().expect("a name").to_owned();
            assert!(names.insert(name.clone()), "{method} {path}: another route is called `{name}` as well");
            for (status, response) in operation["responses"].as_object().expect("responses") {
                let told = response["description"].as_str().unwrap_or_default();
                assert!(!told.is_empty(), "{method} {path} {status} has no description");
            }
        }
    }
    assert!(seen >= 14, "{seen}");
}
