//! No kept thing is reached from another account: every route that names one, with one that is there.

use crate::naming::{Things, namings};
use crate::support::{Client, House, WORDS, refusal};
use crate::trade::{PHOTO, client_named, demo, lot, made, order, photo, property_of, told};
use crate::walk::routes;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// One thing of every kind that has routes, and a document that its owner could change it to.
async fn things(owner: &Client) -> Things {
    let client = made(owner, "/api/clients", &client_named("One")).await;
    let property = made(owner, "/api/properties", &property_of(Some(&client))).await;
    let lot_kept = made(owner, "/api/lots", &lot()).await;
    let file: Value = photo(owner, &client, "image/jpeg", PHOTO.to_vec()).await.json().await.expect("JSON");
    let mut things = BTreeMap::from([
        ("clients", (client, client_named("One"))),
        ("properties", (property.clone(), property_of(None))),
        ("lots", (lot_kept.clone(), lot())),
        ("files", (file["thing"].as_str().expect("a thing").to_owned(), json!({}))),
    ]);
    let order = order();
    let record = made(owner, "/api/records/of-visit", &order).await;
    let body = told(owner, &format!("/api/records/{record}")).await;
    things.insert("records", (record, body));
    let others = [
        (
            "people",
            json!({ "format": "tussock.kept-person/1", "name": "J. Example", "certificates": [], "training": [] }),
        ),
        ("businesses", json!({ "format": "tussock.kept-business/1", "name": "Example Yard Care", "contacts": [] })),
        (
            "labels",
            json!({ "format": "tussock.kept-label/1", "id": "brackwater-sc", "label": demo("labels/brackwater-sc.toml") }),
        ),
        (
            "equipment",
            json!({
                "format": "tussock.kept-equipment/1",
                "name": "hand pump",
                "equipment": demo("alder-bend/equipment.toml"),
            }),
        ),
        (
            "surveys",
            json!({
                "format": "tussock.kept-survey/1",
                "property": property,
                "date": "2026-07-06",
                "pest": "grasshopper",
                "method": "square-foot count",
                "count_area": "1 sq ft",
                "stations": [{ "count": 3, "is_check": false }],
                "by": "J. Example",
            }),
        ),
        (
            "visits",
            json!({
                "format": "tussock.kept-visit/1",
                "name": "Alder Bend",
                "date": "2026-07-07",
                "request": order["visit"],
                "files": order["files"],
            }),
        ),
        (
            "stock-adjustments",
            json!({
                "format": "tussock.kept-stock-adjustment/1",
                "lot": lot_kept,
                "date": "2026-07-08",
                "direction": "less",
                "amount": "1 fl oz",
                "reason": "spilled",
            }),
        ),
    ];
    for (kind, document) in others {
        things.insert(kind, (made(owner, &format!("/api/{kind}"), &document).await, document));
    }
    things
}

#[tokio::test(flavor = "multi_thread")]
async fn no_kept_thing_is_reached_from_another_account() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let intruder = house.signed_in("other-owner").await;
    let (things, own) = (things(&owner).await, things(&intruder).await);
    let everything: Vec<&str> = things.values().map(|(thing, _)| thing.as_str()).collect();
    let mut refused = BTreeMap::new();
    for route in routes().iter().filter(|route| !route.path.contains("{sign_in}")) {
        for naming in namings(route, &own, &things) {
            let what = format!("{} {} ({})", route.method, naming.path, naming.place);
            if naming.nothing_there(&intruder).await.is_none() {
                // A list of what belongs to something that is not there is empty.
                let response = naming.of(&intruder).send().await.expect("an answer");
                let (status, text) = (response.status().as_u16(), response.text().await.expect("a text"));
                let told: Value = serde_json::from_str(&text).unwrap_or_default();
                let is_empty = told["entries"] == json!([]) || route.path == "/api/clients";
                assert!(status == 200 && is_empty, "{what}: {status} {text}");
                assert!(everything.iter().all(|thing| !text.contains(thing)), "{what}: {text}");
            }
            *refused.entry(naming.place.split(',').next().unwrap_or_default().to_owned()).or_insert(0) += 1;
        }
        // The same request is none that would be refused to its owner as well.
        for naming in namings(route, &things, &things).iter().filter(|naming| naming.method != "delete") {
            let refused = naming.nothing_there(&owner).await;
            assert_eq!(refused, None, "{} {} ({})", route.method, naming.path, naming.place);
        }
    }
    // The routes of a sign-in are walked elsewhere; the client whom a new role names is one of these things.
    let everybody = house.everybody().await;
    let own_sign_in = everybody.iter().find(|one| one.name == "other-owner").expect("a sign-in").sign_in;
    let role = json!({ "role": "client", "client": things["clients"].0 });
    let told_role = intruder.ask("put", &format!("/api/sign-ins/{own_sign_in}/role"), Some(role)).await;
    assert_eq!(refusal(told_role).await, (422, "server::unknown-client".to_owned()));
    // Each place in which something can be named was tried, and the path of every kind.
    assert!(refused["path thing"] >= 12 * 3 - 2, "{refused:?}");
    for place in ["query client", "query property", "query label", "query belongs_to", "body kept", "body visit"] {
        assert!(refused.contains_key(place), "{place}: {refused:?}");
    }
    for kind in things.keys() {
        let listed = told(&intruder, &format!("/api/{kind}")).await.to_string();
        assert!(everything.iter().all(|thing| !listed.contains(thing)), "{kind}: {listed}");
    }
    let stock = told(&intruder, "/api/stock").await.to_string();
    assert!(!stock.contains(&things["lots"].0), "{stock}");
}

/// A client reaches nothing of another client of the same business, by whatever name.
#[tokio::test(flavor = "multi_thread")]
async fn no_kept_thing_is_reached_from_another_client() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let theirs = things(&owner).await;
    // A sign-in of another client, who has a property and a photo of it.
    let own_client = made(&owner, "/api/clients", &client_named("Own")).await;
    let order = json!({ "name": "own-client", "role": "client", "client": own_client, "password": WORDS });
    assert_eq!(owner.ask("post", "/api/sign-ins", Some(order)).await.status(), 201);
    let mut document = property_of(Some(&own_client));
    document["name"] = "Own".into();
    let property = made(&owner, "/api/properties", &document).await;
    let mut own = theirs.clone();
    own.insert("clients", (own_client.clone(), client_named("Own")));
    own.insert("properties", (property.clone(), document));
    let client = house.signed_in("own-client").await;
    let everything: Vec<&str> = theirs.values().map(|(thing, _)| thing.as_str()).collect();
    let mut tried = 0;
    for route in routes().iter().filter(|route| route.permission == "signed-in") {
        assert_eq!(route.method, "get", "{}: what a client may change is not tried here", route.path);
        for naming in namings(route, &own, &theirs) {
            let what = format!("{} ({})", naming.path, naming.place);
            let response = naming.of(&client).send().await.expect("an answer");
            let (status, text) = (response.status().as_u16(), response.text().await.expect("a text"));
            assert!(matches!(status, 200 | 404), "{what}: {status} {text}");
            assert!(status == 404 || naming.place.starts_with("query"), "{what}: {text}");
            assert!(everything.iter().all(|thing| !text.contains(thing)), "{what}: {text}");
            tried += 1;
        }
        if !route.path.contains('{') {
            let response = client.ask("get", &route.path, None).await;
            let text = response.text().await.expect("a text");
            assert!(everything.iter().all(|thing| !text.contains(thing)), "{}: {text}", route.path);
        }
    }
    assert!(tried >= 30, "{tried}");
    // What is theirs they reach.
    for path in [format!("/api/clients/{own_client}"), format!("/api/properties/{property}")] {
        assert_eq!(client.ask("get", &path, None).await.status(), 200, "{path}");
    }
}
