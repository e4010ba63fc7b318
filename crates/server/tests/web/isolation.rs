//! No kept thing is reached from another account: every route that names one, with one that is there.

use crate::support::{Client, House, refusal};
use crate::trade::{PHOTO, client_named, demo, keep, lot, made, order, photo, property_of, told};
use crate::walk::routes;
use ledger::RequestKey;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// One thing of every kind that has routes, and a document that its owner could change it to.
async fn things(owner: &Client) -> BTreeMap<&'static str, (String, Value)> {
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

/// The kind of thing that a path names, as in `/api/lots/{thing}/versions`.
fn kind_of(path: &str) -> Option<&str> {
    let (kind, rest) = path.strip_prefix("/api/")?.split_once('/')?;
    rest.starts_with("{thing}").then_some(kind)
}

#[tokio::test(flavor = "multi_thread")]
async fn no_kept_thing_is_reached_from_another_account() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let intruder = house.signed_in("other-owner").await;
    let things = things(&owner).await;
    let mut refused = 0;
    for route in routes() {
        let Some(kind) = kind_of(&route.path) else { continue };
        let what = format!("{} {}", route.method, route.path);
        let (thing, document) = things.get(kind).unwrap_or_else(|| panic!("{what}: no {kind} to try it with"));
        let otherwise =
            json!({ "as_applied": { "format": "tussock.as-applied/1", "location": "behind" }, "clock": "-05:00" });
        let document = if route.path.ends_with("/as-applied") { &otherwise } else { document };
        let path = route.path.replace("{thing}", thing);
        let query = if kind == "records" && route.method != "get" { "?reason=tried" } else { "" };
        let ask = |client: &Client| {
            let request = client.request(&route.method, &format!("{path}{query}")).header("if-match", "\"1\"");
            let request = request.header("idempotency-key", RequestKey::fresh().as_str());
            if route.method == "put" { request.json(document) } else { request }
        };
        let told = refusal(ask(&intruder).send().await.expect("an answer")).await;
        assert_eq!(told, (404, "server::nothing-there".to_owned()), "{what}");
        // The same request is none that would be refused to its owner as well.
        if route.method == "get" || route.method == "put" {
            let status = ask(&owner).send().await.expect("an answer").status().as_u16();
            assert!(matches!(status, 200..300) || (kind, status) == ("records", 412), "{what}: {status}");
        }
        refused += 1;
    }
    assert!(refused >= 12 * 3 - 2, "{refused}");
    for kind in things.keys() {
        assert_eq!(told(&intruder, &format!("/api/{kind}")).await["entries"], json!([]), "{kind}");
    }
    let client = &things["clients"].0;
    let hung_on = photo(&intruder, client, "image/jpeg", PHOTO.to_vec()).await;
    assert_eq!(hung_on.status(), 404, "a file does not hang on another account's thing");
    assert_eq!(told(&intruder, "/api/stock").await["lots"], json!([]));
    let survey = keep(&intruder, "/api/surveys", &things["surveys"].1).await;
    assert_eq!(refusal(survey).await, (422, "trade::unknown-link".to_owned()), "another account's property");
}
