//! Watering and mowing a lawn over the interface.

use crate::support::{Client, House, refusal};
use crate::trade::{demo, order};
use serde_json::{Value, json};

/// The lawn of the demo with its files and those of its visit.
pub(crate) fn lawn() -> Value {
    let visit = order();
    let mut files = visit["files"].as_object().expect("files").clone();
    files.insert("visit.toml".to_owned(), visit["visit"].clone());
    for name in ["property.geojson", "days.csv", "days-ahead.csv"] {
        files.insert(name.to_owned(), demo(&format!("alder-bend/{name}")).into());
    }
    json!({ "lawn": demo("alder-bend/lawn.toml"), "files": files })
}

async fn answer(client: &Client, path: &str, body: Value) -> Value {
    let response = client.ask("post", path, Some(body)).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 200, "{path}: {body}");
    body
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lawn_is_watered_and_mown_around_its_treatment() {
    let house = House::at_home().await;
    let client = house.client();
    let water = answer(&client, "/api/water", lawn()).await;
    assert_eq!((&water["format"], &water["plan_from"]), (&json!("tussock.water/1"), &json!("2026-07-06")));
    let none = &water["prohibitions"][0];
    let touches = |one: &Value| {
        one["start"].as_str().expect("a time") < none["until"].as_str().expect("a time")
            && none["from"].as_str().expect("a time") < one["end"].as_str().expect("a time")
    };
    let waterings = water["waterings"].as_array().expect("waterings");
    assert!(!waterings.is_empty() && !waterings.iter().any(touches), "{water:#}");
    let mow = answer(&client, "/api/mow", lawn()).await;
    assert!(mow["mowings"].as_array().is_some_and(|list| !list.is_empty()), "{mow:#}");
    assert_eq!(mow["prohibitions"].as_array().map(Vec::len), Some(1));
    let picture = client.ask("post", "/api/water/picture?units=metric", Some(lawn())).await;
    assert_eq!(picture.status().as_u16(), 200);
    assert!(picture.text().await.expect("text").contains("mm"));
    let mut later = lawn();
    later["from"] = json!("2026-07-10");
    assert_eq!(answer(&client, "/api/water", later).await["plan_from"], "2026-07-10");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lawn_that_cannot_be_planned_says_why() {
    let house = House::at_home().await;
    let client = house.client();
    let refused = |body: Value, path: &'static str| {
        let client = &client;
        async move { refusal(client.ask("post", path, Some(body)).await).await }
    };
    let mut order = lawn();
    order["from"] = json!("soon");
    assert_eq!(refused(order, "/api/water").await, (422, "server::day".to_owned()));
    let mut order = lawn();
    order["files"].as_object_mut().expect("files").remove("visit.toml");
    assert_eq!(refused(order, "/api/mow").await, (422, "visit::unread-file".to_owned()));
    let text = demo("alder-bend/lawn.toml");
    let mut order = lawn();
    order["lawn"] = json!(text.replace("[root_zone]", "[rootzone]"));
    assert_eq!(refused(order, "/api/water").await, (422, "toml::unknown-field".to_owned()));
    let (head, _) = text.split_once("[root_zone]").expect("the table");
    let mut order = lawn();
    order["lawn"] = json!(head);
    assert_eq!(refused(order.clone(), "/api/water").await, (422, "lawn::no-root-zone".to_owned()));
    assert_eq!(refused(order, "/api/mow").await, (422, "lawn::no-mowing".to_owned()));
    let mut order = lawn();
    order["lawn"] = json!(text.replace("\"visit.toml\"", "\"books:visit/Nowhere\""));
    assert_eq!(refused(order, "/api/water").await.0, 422);
}
