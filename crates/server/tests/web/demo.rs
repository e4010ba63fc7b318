//! The demo property, one request away.

use crate::support::{Client, House, refusal};
use crate::trade::told;
use ledger::RequestKey;
use reqwest::Response;
use serde_json::{Value, json};

async fn keep(client: &Client, key: &str) -> Response {
    client.request("post", "/api/demo").header("idempotency-key", key).send().await.expect("an answer")
}

/// The order of a kept visit, as a page makes it: what is named out of the books is not sent along.
async fn order(client: &Client, visit: &str) -> Value {
    let document = told(client, &format!("/api/visits/{visit}")).await;
    let files = document["files"].as_object().expect("files").clone();
    let own = files.into_iter().filter(|(name, _)| !name.starts_with("thing:") && !name.starts_with("books:"));
    json!({ "visit": document["request"], "files": own.collect::<serde_json::Map<_, _>>() })
}

#[tokio::test(flavor = "multi_thread")]
async fn an_empty_book_is_one_request_from_a_first_plan() {
    let house = House::at_home().await;
    let client = house.client();
    let response = keep(&client, "first").await;
    assert_eq!(response.status(), 201);
    let demo: Value = response.json().await.expect("JSON");
    let visit = demo["visit"].as_str().expect("a visit");
    let planned = client.ask("post", "/api/plan", Some(order(&client, visit).await)).await;
    assert_eq!(planned.status(), 200);
    let planned: Value = planned.json().await.expect("JSON");
    assert_eq!(planned["visit"]["verdict"], "caution");
    assert_eq!(planned["people"], json!([]), "the person whom the books keep is found and may do it");
    assert_eq!(planned["visit"]["tasks"].as_array().map(Vec::len), Some(3));
    let kept = told(&client, &format!("/api/visits/{visit}")).await;
    assert_eq!((&kept["property"], &kept["result"]["verdict"]), (&demo["property"], &json!("caution")));
    for kind in ["businesses", "clients", "people", "properties", "equipment", "visits"] {
        let listed = told(&client, &format!("/api/{kind}")).await;
        let titles: Vec<_> =
            listed["entries"].as_array().expect("entries").iter().map(|e| e["title"].to_string()).collect();
        // The person is called as in the visit, by a name that is nobody's, and the note says the rest.
        let says = if kind == "people" { "J. Example" } else { "(invented)" };
        assert!(titles.len() == 1 && titles[0].contains(says), "{kind}: {titles:?}");
    }
    let room = told(&client, &format!("/api/properties/{}/room", demo["property"].as_str().expect("a name"))).await;
    assert_eq!(room["labels"].as_array().map(Vec::len), Some(3));
    assert_eq!(told(&client, "/api/stock").await["lots"].as_array().map(Vec::len), Some(1));
}

#[tokio::test(flavor = "multi_thread")]
async fn the_demo_is_kept_once_and_in_one_account() {
    let house = House::of_a_company(|_| ()).await;
    let planner = house.signed_in("reed-planner").await;
    let first: Value = keep(&planner, "one-click").await.json().await.expect("JSON");
    let again: Value = keep(&planner, "one-click").await.json().await.expect("JSON");
    assert_eq!(first, again);
    let twice = keep(&house.signed_in("reed-owner").await, RequestKey::fresh().as_str()).await;
    assert_eq!(refusal(twice).await, (409, "server::demo-kept".to_owned()));
    assert_eq!(told(&planner, "/api/properties").await["entries"].as_array().map(Vec::len), Some(1));

    let elsewhere = house.signed_in("other-owner").await;
    let visit = format!("/api/visits/{}", first["visit"].as_str().expect("a visit"));
    assert_eq!(told(&elsewhere, "/api/properties").await["entries"], json!([]));
    assert_eq!(refusal(elsewhere.ask("get", &visit, None).await).await.0, 404);
    // Its own demo has the same names, and is another: what one account changes, the other does not see.
    assert_eq!(keep(&elsewhere, "one-click").await.status(), 201);
    let mut document = told(&elsewhere, &visit).await;
    let key = RequestKey::fresh();
    document.as_object_mut().expect("a document").remove("result");
    let change = elsewhere.request("put", &visit).header("idempotency-key", key.as_str()).header("if-match", "\"1\"");
    assert_eq!(change.json(&document).send().await.expect("an answer").status(), 200);
    assert!(told(&planner, &visit).await["result"].is_object());
    for name in ["reed-technician", "reed-client"] {
        let refused = keep(&house.signed_in(name).await, RequestKey::fresh().as_str()).await;
        assert_eq!(refusal(refused).await, (403, "server::role".to_owned()), "{name}");
    }
    let no_key = planner.ask("post", "/api/demo", None).await;
    assert_eq!(refusal(no_key).await, (400, "server::no-key".to_owned()));
}

/// What a page does with a visit: opened as a form, changed, planned, and kept with all that it names.
#[tokio::test(flavor = "multi_thread")]
async fn a_kept_visit_is_opened_as_a_form_and_kept_again() {
    let house = House::at_home().await;
    let client = house.client();
    let demo: Value = keep(&client, "first").await.json().await.expect("JSON");
    let path = format!("/api/visits/{}", demo["visit"].as_str().expect("a visit"));
    let order = order(&client, demo["visit"].as_str().expect("a visit")).await;
    let opened = client.ask("post", "/api/plan/form", Some(json!({ "visit": order["visit"] }))).await;
    let mut fields = opened.json::<Value>().await.expect("JSON")["fields"].take();
    assert_eq!(fields["task"][2]["rate"], "0.4 fl oz/1,000 sq ft");
    fields["task"][2]["rate"] = json!("lowest");
    let changed = json!({ "visit": fields, "files": order["files"] });
    let document = client.ask("post", "/api/plan/document", Some(changed)).await;
    assert_eq!(document.status(), 200);
    let document: Value = document.json().await.expect("JSON");
    assert_eq!((&document["property"], &document["format"]), (&demo["property"], &json!("tussock.kept-visit/1")));
    assert!(document["request"].as_str().is_some_and(|text| text.contains("rate = \"lowest\"")), "{document}");
    let key = RequestKey::fresh();
    let put = client.request("put", &path).header("idempotency-key", key.as_str()).header("if-match", "\"1\"");
    assert_eq!(put.json(&document).send().await.expect("an answer").status(), 200);
    assert_eq!(told(&client, &path).await, document);
    let none = client.ask("post", "/api/plan/form", Some(json!({ "visit": "= no TOML" }))).await;
    assert_eq!(refusal(none).await, (422, "toml::syntax".to_owned()));
}
