//! The pests that the program knows, and its key.

use crate::support::{Client, House, refusal};
use crate::trade::told;
use serde_json::{Value, json};

async fn identified(client: &Client, order: Value) -> Value {
    let response = client.ask("post", "/api/identification", Some(order)).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 200, "{body}");
    body
}

#[tokio::test(flavor = "multi_thread")]
async fn pests_are_listed_and_each_tells_its_sources() {
    let house = House::at_home().await;
    let client = house.client();
    let list = told(&client, "/api/pests").await;
    let pests = list["pests"].as_array().expect("pests");
    assert!(list["format"] == "tussock.pests/1" && pests.len() >= 40, "{list}");
    assert!(pests.iter().any(|pest| pest["kind"] == "look-alike"));
    let one = told(&client, "/api/pests/southern-chinch-bug").await;
    assert_eq!((&one["format"], &one["id"]), (&json!("tussock.pest/1"), &json!("southern-chinch-bug")));
    let source = one["thresholds"][0]["source"].as_str().expect("a source");
    assert!(one["sources"].as_array().expect("sources").iter().any(|known| known["id"] == source));
    for path in ["/api/pests/nothing", "/api/pests/..%2f..%2fetc", "/api/pests/%ff"] {
        let refused = refusal(client.ask("get", path, None).await).await;
        assert_eq!(refused, (404, "server::nothing-there".into()), "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_key_comes_whole_and_once() {
    let house = House::at_home().await;
    let client = house.client();
    let response = client.ask("get", "/api/key", None).await;
    let tag = response.headers()["etag"].to_str().expect("text").to_owned();
    let key: Value = response.json().await.expect("JSON");
    assert_eq!(key["format"], "tussock.key/1");
    let states = |id: &Value| {
        let characters = key["characters"].as_array().expect("characters");
        characters.iter().find(|one| one["id"] == *id).expect("a character")["states"].as_array().expect("states").len()
    };
    for profile in key["profiles"].as_array().expect("profiles") {
        for told in profile["characters"].as_array().expect("characters") {
            let chances: Vec<f64> = told["chances"]
                .as_array()
                .expect("chances")
                .iter()
                .map(|chance| chance.as_f64().expect("a chance"))
                .collect();
            assert_eq!(chances.len(), states(&told["character"]), "{told}");
            assert!(
                (chances.iter().sum::<f64>() - 1.0).abs() < 1e-12 && chances.iter().all(|chance| *chance > 0.0),
                "{told}"
            );
        }
    }
    let again = client.request("get", "/api/key").header("if-none-match", &tag).send().await.expect("an answer");
    assert_eq!((again.status().as_u16(), again.headers()["etag"].to_str().expect("text")), (304, tag.as_str()));
    let other = client.request("get", "/api/key").header("if-none-match", "\"7\"").send().await.expect("an answer");
    assert_eq!(other.status(), 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn answers_come_to_chances_and_to_the_next_question() {
    let house = House::at_home().await;
    let client = house.client();
    let none = identified(&client, json!({ "answers": [] })).await;
    assert_eq!((&none["format"], &none["verdict"]), (&json!("tussock.identification/1"), &json!("refused")));
    let answers = json!([
        { "character": "hind-legs", "states": ["jumping"] },
        { "character": "feelers", "states": ["short-thread", "tiny"] },
        { "character": "colour", "states": [] },
    ]);
    let told = identified(&client, json!({ "answers": answers, "questions": 3, "named_from": 0.8 })).await;
    let chances: Vec<f64> =
        told["candidates"].as_array().expect("candidates").iter().filter_map(|one| one["chance"].as_f64()).collect();
    assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-9 && chances.is_sorted_by(|one, other| one >= other));
    assert!(told["next"].as_array().is_some_and(|next| next.len() == 3), "{told}");
    let at_the_damage = identified(&client, json!({ "answers": [], "has": ["damage"] })).await;
    let asked = at_the_damage["next"].as_array().expect("questions");
    assert!(!asked.is_empty() && asked.iter().all(|question| question["needs"] == "damage"));
}

#[tokio::test(flavor = "multi_thread")]
async fn all_that_is_wrong_with_answers_is_told_at_once() {
    let house = House::at_home().await;
    let client = house.client();
    let wrong = json!({
        "answers": [{ "character": "ears", "states": [] }, { "character": "legs", "states": ["seven"] }],
        "has": ["patience"],
        "named_from": 1.5,
    });
    let response = client.ask("post", "/api/identification", Some(wrong)).await;
    assert_eq!(response.status(), 422);
    let body: Value = response.json().await.expect("JSON");
    let codes: Vec<&str> =
        body["problems"].as_array().expect("problems").iter().filter_map(|one| one["code"].as_str()).collect();
    assert_eq!(codes, ["pest::named-from", "pest::unknown-needs", "pest::unknown-character", "pest::unknown-state"]);
    let many: Vec<Value> = (0..201).map(|number| json!({ "character": number.to_string(), "states": [] })).collect();
    let many = client.ask("post", "/api/identification", Some(json!({ "answers": many }))).await;
    assert_eq!(refusal(many).await, (422, "server::too-many".into()));
}
