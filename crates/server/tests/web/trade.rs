//! The trade over HTTP: kept things, plans, records, totals, complaints, stock, files.

use crate::support::{Client, House, refusal};
use ledger::access::Role;
use ledger::trade::Keeping;
use ledger::{Actor, Expected, RequestKey, ThingId};
use reqwest::Response;
use serde_json::{Value, json};
use std::path::Path;
use std::sync::LazyLock;

pub(crate) fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name);
    std::fs::read_to_string(path).expect("the demo is there")
}

/// The demo visit with the files that it names, moved to Georgia: the kept property of these tests lies there.
pub(crate) fn order() -> Value {
    let visit = demo("alder-bend/visit.toml").replace("state = \"KS\"", "state = \"GA\"");
    let names = ["property.geojson", "equipment.toml", "forecast.csv", "history.toml"];
    let mut files: serde_json::Map<String, Value> =
        names.iter().map(|name| ((*name).to_owned(), demo(&format!("alder-bend/{name}")).into())).collect();
    for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/labels")).expect("labels") {
        let name = entry.expect("a label").file_name().into_string().expect("a name");
        let label = demo(&format!("labels/{name}")).replace("[\"KS\", \"NC\"]", "[\"KS\", \"NC\", \"GA\"]");
        files.insert(format!("../labels/{name}"), label.into());
    }
    json!({ "visit": visit, "files": files })
}

pub(crate) fn client_named(name: &str) -> Value {
    json!({ "format": "tussock.kept-client/1", "name": name, "address": "7 Invented Lane" })
}

pub(crate) fn property_of(client: Option<&str>) -> Value {
    let mut property = json!({
        "format": "tussock.kept-property/1",
        "name": "Alder Bend",
        "jurisdiction": "US-GA",
        "map": demo("alder-bend/property.geojson"),
    });
    if let Some(client) = client {
        property["client"] = client.into();
    }
    property
}

pub(crate) fn lot() -> Value {
    json!({
        "format": "tussock.kept-lot/1",
        "label": "brackwater-sc",
        "number": "A-17",
        "received_on": "2026-03-02",
        "received": "1 qt",
    })
}

pub(crate) async fn keep(client: &Client, path: &str, document: &Value) -> Response {
    let key = RequestKey::fresh();
    client.request("post", path).header("idempotency-key", key.as_str()).json(document).send().await.expect("an answer")
}

pub(crate) async fn change(client: &Client, path: &str, tag: &str, document: &Value) -> Response {
    let key = RequestKey::fresh();
    let request = client.request("put", path).header("idempotency-key", key.as_str()).header("if-match", tag);
    request.json(document).send().await.expect("an answer")
}

/// Keeps a thing and gives its name.
pub(crate) async fn made(client: &Client, path: &str, document: &Value) -> String {
    let response = keep(client, path, document).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 201, "{path}: {body}");
    let kept = if body["kept"].is_object() { &body["kept"] } else { &body };
    kept["thing"].as_str().expect("a thing").to_owned()
}

pub(crate) async fn told(client: &Client, path: &str) -> Value {
    let response = client.ask("get", path, None).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 200, "{path}: {body}");
    body
}

async fn verdict(client: &Client) -> String {
    let response = client.ask("post", "/api/plan", Some(order())).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 200, "{body}");
    body["visit"]["verdict"].as_str().expect("a verdict").to_owned()
}

fn left(stock: &Value) -> f64 {
    stock["lots"][0]["left"]["volume_ml"].as_f64().unwrap_or_else(|| panic!("{stock}"))
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_done_decides_what_may_still_be_done() {
    let house = House::at_home().await;
    let client = house.client();
    let who = made(&client, "/api/clients", &client_named("Invented Client")).await;
    let property = made(&client, "/api/properties", &property_of(Some(&who))).await;
    made(&client, "/api/lots", &lot()).await;
    // A form that is sent twice makes no second lot of one number.
    assert_eq!(refusal(keep(&client, "/api/lots", &lot()).await).await, (422, "stock::received-already".to_owned()));
    assert_eq!(verdict(&client).await, "caution");
    let full = left(&told(&client, "/api/stock").await);

    let record = made(&client, "/api/records/of-visit", &order()).await;
    assert!(left(&told(&client, "/api/stock").await) < full, "stock falls");
    assert_eq!(verdict(&client).await, "refused", "the record is the past of the next plan");

    // Amended with a reason on top of what was seen; the original stays.
    let path = format!("/api/records/{record}");
    let response = client.ask("get", &path, None).await;
    let tag = response.headers()["etag"].to_str().expect("a tag").to_owned();
    let document: Value = response.json().await.expect("JSON");
    let told_why = format!("{path}?reason=told+later");
    assert_eq!(refusal(change(&client, &path, &tag, &document).await).await, (422, "trade::no-reason".to_owned()));
    assert_eq!(change(&client, &told_why, &tag, &document).await.status(), 200);
    assert_eq!(refusal(change(&client, &told_why, &tag, &document).await).await, (412, "ledger::conflict".to_owned()));
    let versions = told(&client, &format!("{path}/versions")).await;
    assert_eq!(versions.as_array().map(Vec::len), Some(2));
    assert_eq!(versions[1]["reason"], "told later");
    assert_eq!(told(&client, &format!("{path}?version=1")).await, document);

    let whole = told(&client, &format!("{path}/told")).await;
    let headings: Vec<&str> =
        whole["sections"].as_array().expect("sections").iter().filter_map(|one| one["heading"].as_str()).collect();
    for heading in ["Application", "Against the labels", "Standing", "Versions in the books"] {
        assert!(headings.contains(&heading), "{headings:?}");
    }
    assert!(whole["found_by"].as_str().is_some_and(|found| found.contains("version 2, entry ")), "{whole}");
    let earlier = told(&client, &format!("{path}/told?version=1")).await;
    assert!(earlier["found_by"].as_str().is_some_and(|found| found.contains("version 1, entry ")), "{earlier}");
    let paper = client.ask("get", &format!("{path}/paper?paper=a4"), None).await;
    assert_eq!(paper.headers()["content-type"], "application/pdf");
    assert!(paper.bytes().await.expect("bytes").starts_with(b"%PDF-"));

    let standing = told(&client, &format!("{path}/standing")).await;
    assert_eq!((&standing["place"], &standing["standing"]), (&json!("US-GA"), &json!("draft")), "{standing}");
    assert!(standing["lacking"].as_array().is_some_and(|lacking| !lacking.is_empty()));
    // Overdue as soon as the time of anything that is lacking has passed.
    let lacking = standing["lacking"].as_array().expect("a list");
    let any = lacking.iter().any(|lack| lack["overdue"] == json!(true));
    assert_eq!(standing["overdue"], json!(any), "{standing}");
    assert!(standing["caution"].as_str().is_some_and(|caution| caution.contains("confirm local law")));
    let discard = client.request("delete", &told_why).header("if-match", "\"2\"").send().await.expect("an answer");
    assert_eq!(refusal(discard).await, (422, "trade::retention".to_owned()));

    let totals = told(&client, &format!("/api/totals?property={property}&until=2026-12-31")).await;
    let places = totals["places"].as_array().expect("places");
    assert!(places.len() >= 3, "lawn, band and hedge: {totals}");
    let ground = &places[0]["ground"];
    assert!(ground.is_object(), "{ground}");

    let map: Value = serde_json::from_str(&demo("alder-bend/property.geojson")).expect("JSON");
    let mut corner = &map["features"][0]["geometry"]["coordinates"];
    while corner[0].is_array() {
        corner = &corner[0];
    }
    let near = format!(
        "/api/complaints?longitude={}&latitude={}&within_m=60&from=2026-07-07T00:00:00-05:00&until=2026-07-08T00:00:00-05:00",
        corner[0], corner[1]
    );
    let found = told(&client, &near).await;
    assert_eq!(found["near"].as_array().map(Vec::len), Some(3), "{found}");
    let day_before = near.replace("07-07T", "07-05T").replace("07-08T", "07-06T");
    assert_eq!(told(&client, &day_before).await["near"], json!([]));

    let events = client.ask("get", "/api/verification", None).await.text().await.expect("events");
    assert!(events.contains("event: progress") && events.contains("\"sound\":true"), "{events}");
}

/// Where the books keep people, somebody whom they do not know is told of, before and after the work.
#[tokio::test(flavor = "multi_thread")]
async fn who_may_not_do_the_work_is_told() {
    let house = House::at_home().await;
    let client = house.client();
    let plan: Value = client.ask("post", "/api/plan", Some(order())).await.json().await.expect("JSON");
    assert_eq!(plan["people"], json!([]), "the books keep nobody");
    let person = json!({ "format": "tussock.kept-person/1", "name": "Somebody Else (invented)" });
    made(&client, "/api/people", &person).await;
    let order = order();
    let plan: Value = client.ask("post", "/api/plan", Some(order.clone())).await.json().await.expect("JSON");
    let codes: Vec<_> = plan["people"].as_array().expect("people").iter().map(|problem| &problem["code"]).collect();
    assert!(!codes.is_empty(), "{plan}");
    let kept: Value = keep(&client, "/api/records/of-visit", &order).await.json().await.expect("JSON");
    assert!(codes.iter().all(|code| kept["warnings"].to_string().contains(&code.to_string())), "{kept}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_sent_again_is_done_once() {
    let house = House::at_home().await;
    let client = house.client();
    let send = |document: Value| {
        let request = client.request("post", "/api/clients").header("idempotency-key", "one-call").json(&document);
        async move { request.send().await.expect("an answer") }
    };
    let first: Value = send(client_named("Invented Client")).await.json().await.expect("JSON");
    let again: Value = send(client_named("Invented Client")).await.json().await.expect("JSON");
    assert_eq!(first, again);
    assert_eq!(refusal(send(client_named("Another")).await).await, (422, "ledger::key-reused".to_owned()));
    let listed = told(&client, "/api/clients").await;
    assert_eq!(listed["entries"].as_array().map(Vec::len), Some(1));
    let none = client.ask("post", "/api/clients", Some(client_named("x"))).await;
    assert_eq!(refusal(none).await, (400, "server::no-key".to_owned()));
}

/// A phone that did not hear the answer asks again, hours later: it has the answer that it had.
#[tokio::test(flavor = "multi_thread")]
async fn a_record_sent_again_has_its_first_answer_whatever_the_books_have_become() {
    let house = House::at_home().await;
    let client = house.client();
    let send = |order: &Value| {
        let request = client.request("post", "/api/records/of-visit").header("idempotency-key", "from-the-yard");
        let request = request.json(order);
        async move { request.send().await.expect("an answer") }
    };
    let first: Value = send(&order()).await.json().await.expect("JSON");
    let path = format!("/api/records/{}", first["kept"]["thing"].as_str().expect("a thing"));
    let document = told(&client, &path).await;
    assert_eq!(change(&client, &format!("{path}?reason=told+later"), "\"1\"", &document).await.status(), 200);
    let who = made(&client, "/api/clients", &client_named("Invented Client")).await;
    made(&client, "/api/properties", &property_of(Some(&who))).await;
    let mut later = order();
    later["visit"] = later["visit"].as_str().expect("a text").replace("name = \"", "name = \"Later \u{2013} ").into();
    made(&client, "/api/records/of-visit", &later).await;

    let again = send(&order()).await;
    assert_eq!(again.status(), 201);
    assert_eq!(again.headers()["etag"], "\"1\"");
    let again: Value = again.json().await.expect("JSON");
    assert_eq!((&again["replayed"], &again["kept"]), (&json!(true), &first["kept"]));
    assert_eq!(again["breaches"], first["breaches"]);
    assert_eq!(refusal(send(&later).await).await, (422, "ledger::key-reused".to_owned()));
}

/// What a document says of its own breaches is not believed where the books can judge; what they cannot judge stands
/// in the record that is kept.
#[tokio::test(flavor = "multi_thread")]
async fn a_record_that_is_sent_is_judged_by_the_books() {
    let house = House::at_home().await;
    let client = house.client();
    let first: Value = client
        .request("post", "/api/records/of-visit")
        .header("idempotency-key", RequestKey::fresh().as_str())
        .json(&order())
        .send()
        .await
        .expect("an answer")
        .json()
        .await
        .expect("JSON");
    let first = first["kept"]["thing"].as_str().expect("a thing");
    let mut document = told(&client, &format!("/api/records/{first}")).await;
    document["visit"] = Value::Null;
    document["name"] = "Told afterwards".into();
    for product in document["tasks"]
        .as_array_mut()
        .expect("tasks")
        .iter_mut()
        .flat_map(|task| task["products"].as_array_mut().expect("products"))
    {
        let amount = product["amount"].as_object_mut().expect("an amount").values_mut().next().expect("a figure");
        *amount = (amount.as_f64().expect("a number") * 5.0).into();
    }
    let kept = |thing: String| {
        let client = &client;
        async move { told(client, &format!("/api/records/{thing}")).await }
    };
    let thing = made(&client, "/api/records", &document).await;
    let standing = told(&client, &format!("/api/records/{thing}/standing")).await;
    let unjudged = kept(thing).await;
    assert_eq!(unjudged["breaches"], json!([]));
    let why = unjudged["not_judged"].as_array().expect("what was not judged");
    assert!(why.iter().any(|why| why.as_str().is_some_and(|why| why.contains("brackwater-sc"))), "{why:?}");
    assert_eq!((&standing["breaches"], &standing["not_judged"]), (&json!(0), &json!(why.len())), "{standing}");
    let label = json!({
        "format": "tussock.kept-label/1", "id": "brackwater-sc", "label": demo("labels/brackwater-sc.toml"),
        "compared_on": null, "compared_by": null, "note": null
    });
    made(&client, "/api/labels", &label).await;
    document["name"] = "Told again".into();
    let thing = made(&client, "/api/records", &document).await;
    let standing = told(&client, &format!("/api/records/{thing}/standing")).await;
    let judged = kept(thing).await;
    assert!(!judged["breaches"].as_array().expect("breaches").is_empty(), "{judged}");
    assert!(standing["breaches"].as_u64().is_some_and(|passed| passed > 0), "{standing}");
}

#[tokio::test(flavor = "multi_thread")]
async fn nobody_overwrites_what_they_have_not_seen() {
    let house = House::at_home().await;
    let client = house.client();
    let path = format!("/api/clients/{}", made(&client, "/api/clients", &client_named("One")).await);
    let key = RequestKey::fresh();
    let unseen = client.request("put", &path).header("idempotency-key", key.as_str()).json(&client_named("Two"));
    assert_eq!(refusal(unseen.send().await.expect("an answer")).await, (428, "server::unseen".to_owned()));
    assert_eq!(change(&client, &path, "\"1\"", &client_named("Two")).await.status(), 200);
    let late = change(&client, &path, "\"1\"", &client_named("Three")).await;
    assert_eq!(late.headers()["etag"], "\"2\"", "the refusal says which version is there");
    assert_eq!(refusal(late).await, (412, "ledger::conflict".to_owned()));
    let had = client.request("get", &path).header("if-none-match", "\"2\"").send().await.expect("an answer");
    assert_eq!(had.status(), 304);
    assert_eq!(told(&client, &path).await["name"], "Two");
}

#[tokio::test(flavor = "multi_thread")]
async fn lists_come_page_by_page() {
    let house = House::at_home().await;
    let client = house.client();
    for number in 0..7 {
        made(&client, "/api/clients", &client_named(&format!("Client {number}"))).await;
    }
    let mut titles = Vec::new();
    let mut path = "/api/clients?limit=3".to_owned();
    loop {
        let page = told(&client, &path).await;
        titles.extend(page["entries"].as_array().expect("entries").iter().map(|entry| entry["title"].to_string()));
        let Some(next) = page["next"].as_str() else { break };
        let url =
            reqwest::Url::parse_with_params("http://x/api/clients?limit=3", [("after", next)]).expect("an address");
        path = format!("{}?{}", url.path(), url.query().expect("a query"));
    }
    let words = vec!["word"; 41].join("+");
    let searched = client.ask("get", &format!("/api/clients?text={words}"), None).await;
    assert_eq!(refusal(searched).await, (400, "ledger::search".to_owned()));
    assert_eq!(titles.len(), 7);
    assert!(titles.is_sorted(), "{titles:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_broken_document_is_refused_with_every_problem() {
    let house = House::at_home().await;
    let client = house.client();
    let broken = json!({ "format": "tussock.kept-lot/1", "label": 7, "received": "1 furlong" });
    let response = keep(&client, "/api/lots", &broken).await;
    assert_eq!(response.status(), 422);
    let body: Value = response.json().await.expect("JSON");
    assert!(body["problems"].as_array().is_some_and(|problems| problems.len() >= 3), "{body}");
    assert_eq!(told(&client, "/api/lots").await["entries"], json!([]));
    let wrong = json!({ "visit": "format = \"tussock.visit-request/1\"" });
    assert_eq!(client.ask("post", "/api/plan", Some(wrong)).await.status(), 422);
}

pub(crate) static PHOTO: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let picture = image::RgbImage::from_fn(32, 24, |x, y| image::Rgb([(x * 7) as u8, (y * 9) as u8, 90]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, image::ImageFormat::Jpeg).expect("a picture");
    bytes.into_inner()
});

pub(crate) async fn photo(client: &Client, owner: &str, kind: &str, bytes: Vec<u8>) -> Response {
    let path = format!("/api/files?name=photo.jpg&belongs_to={owner}");
    let key = RequestKey::fresh();
    let request = client.request("post", &path).header("idempotency-key", key.as_str());
    request.header("content-type", kind).body(bytes).send().await.expect("an answer")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photo_is_kept_when_it_is_one() {
    let house = House::at_home().await;
    let client = house.client();
    let owner = made(&client, "/api/clients", &client_named("One")).await;
    let kept: Value = photo(&client, &owner, "image/jpeg", PHOTO.to_vec()).await.json().await.expect("JSON");
    let path = format!("/api/files/{}", kept["thing"].as_str().expect("a thing"));
    let response = client.ask("get", &path, None).await;
    assert_eq!(response.headers()["content-type"], "image/jpeg");
    assert_eq!(response.headers()["content-disposition"], "attachment");
    assert_eq!(response.bytes().await.expect("bytes"), *PHOTO);
    let broken_off = photo(&client, &owner, "image/jpeg", PHOTO[..PHOTO.len() / 3].to_vec()).await;
    assert_eq!(refusal(broken_off).await, (422, "server::file-unreadable".to_owned()));
    let page = photo(&client, &owner, "image/jpeg", b"<html>".to_vec()).await;
    assert_eq!(refusal(page).await, (415, "server::file-kind".to_owned()));
    let mut large = PHOTO.to_vec();
    large.resize(12 * 1024 * 1024 + 1, 0);
    assert_eq!(refusal(photo(&client, &owner, "image/jpeg", large).await).await.0, 413);
    let nobody = ThingId::fresh().to_string();
    assert_eq!(photo(&client, &nobody, "image/jpeg", PHOTO.to_vec()).await.status(), 404);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_client_sees_their_own_property_and_no_other() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let everybody = house.everybody().await;
    let sign_in = everybody.iter().find(|sign_in| sign_in.role == Role::Client).expect("a client");
    let own = sign_in.client.expect("a link");
    let ledger = house.running.app().ledger().clone();
    let book = ledger.book(sign_in.account, Actor::local("test")).await.expect("a book");
    let keeping = Keeping { thing: own, expected: Expected::New, reason: None, recorded_at: jiff::Timestamp::now() };
    let document = exchange::kept::Kept::read(&client_named("Theirs").to_string()).expect("a client");
    book.keep_thing::<exchange::kept::Client>(&document, keeping, RequestKey::fresh()).await.expect("kept");

    let other = made(&owner, "/api/clients", &client_named("Other")).await;
    let theirs = made(&owner, "/api/properties", &property_of(Some(&own.to_string()))).await;
    let mut elsewhere = property_of(Some(&other));
    elsewhere["name"] = "Elsewhere".into();
    let others = made(&owner, "/api/properties", &elsewhere).await;
    let record = made(&owner, "/api/records/of-visit", &order()).await;
    // Sold to them by another client: what was the other's stays with the other.
    let mut sold = property_of(Some(&other));
    sold["name"] = "Sold".into();
    let bought = made(&owner, "/api/properties", &sold).await;
    let counts = |property: &str| {
        json!({
            "format": "tussock.kept-survey/1", "property": property, "date": "2026-07-06", "pest": "grasshopper",
            "method": "frame", "count_area": "1 sq ft", "stations": [{ "count": 3, "is_check": false }],
            "by": "J. Example",
        })
    };
    let shown = async |property: &str| {
        let kept: Value = photo(&owner, property, "image/jpeg", PHOTO.to_vec()).await.json().await.expect("JSON");
        kept["thing"].as_str().expect("a thing").to_owned()
    };
    let counted_before = made(&owner, "/api/surveys", &counts(&bought)).await;
    let shown_before = shown(&bought).await;
    sold["client"] = own.to_string().into();
    assert_eq!(change(&owner, &format!("/api/properties/{bought}"), "\"1\"", &sold).await.status(), 200);

    let counted = made(&owner, "/api/surveys", &counts(&bought)).await;
    let shown_now = shown(&bought).await;

    let client = house.signed_in("reed-client").await;
    let listed = |page: &Value, of: &str| -> Vec<String> {
        let list = if of.is_empty() { page } else { &page[of] };
        let things = list.as_array().expect("a list").iter();
        things.map(|one| one["thing"].as_str().expect("a thing").to_owned()).collect()
    };
    let files = told(&client, &format!("/api/files/of/{bought}")).await;
    assert_eq!(listed(&files, ""), std::slice::from_ref(&shown_now), "what was shown to the other stays theirs");
    assert_eq!(listed(&told(&owner, &format!("/api/files/of/{bought}")).await, "").len(), 2);
    assert_eq!(client.ask("get", &format!("/api/files/{shown_before}"), None).await.status(), 404);
    assert_eq!(listed(&told(&client, "/api/surveys").await, "entries"), std::slice::from_ref(&counted));
    let of_other = told(&owner, &format!("/api/surveys?client={other}")).await;
    assert_eq!(listed(&of_other, "entries"), std::slice::from_ref(&counted_before));
    assert_eq!(client.ask("get", &format!("/api/surveys/{counted}"), None).await.status(), 200);
    assert_eq!(client.ask("get", &format!("/api/surveys/{counted_before}"), None).await.status(), 404);
    let versions = told(&client, &format!("/api/properties/{bought}/versions")).await;
    assert_eq!(versions.as_array().map(Vec::len), Some(1), "{versions}");
    assert_eq!(client.ask("get", &format!("/api/properties/{bought}?version=2"), None).await.status(), 200);
    assert_eq!(client.ask("get", &format!("/api/properties/{bought}?version=1"), None).await.status(), 404);
    for path in [
        format!("/api/clients/{own}"),
        format!("/api/properties/{theirs}"),
        format!("/api/records/{record}"),
        format!("/api/totals?property={theirs}&until=2026-12-31"),
    ] {
        assert_eq!(client.ask("get", &path, None).await.status(), 200, "{path}");
    }
    let totals = told(&client, &format!("/api/totals?property={theirs}&until=2026-12-31")).await;
    assert_eq!(totals["complete_since"], json!([]), "others may have treated it, for others");
    assert!(totals["caution"].as_str().is_some_and(|caution| caution.contains("for this client")), "{totals}");
    for path in [
        format!("/api/clients/{other}"),
        format!("/api/properties/{others}"),
        format!("/api/properties/{others}/versions"),
        format!("/api/properties/{others}?version=1"),
        format!("/api/totals?property={others}&until=2026-12-31"),
    ] {
        assert_eq!(client.ask("get", &path, None).await.status(), 404, "{path}");
    }
    for (path, expected) in [("/api/clients", &["Theirs"][..]), ("/api/properties", &["Alder Bend", "Sold"])] {
        let listed = told(&client, path).await;
        let titles: Vec<_> =
            listed["entries"].as_array().expect("entries").iter().map(|entry| &entry["title"]).collect();
        assert_eq!(titles, expected, "{path}");
    }
    for path in [format!("/api/clients?client={other}"), format!("/api/properties?client={other}")] {
        assert!(!told(&client, &path).await.to_string().contains("Elsewhere"), "{path}");
    }
    assert_eq!(refusal(client.ask("get", "/api/stock", None).await).await.0, 403);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lot_is_held_against_its_label_and_its_day() {
    let house = House::at_home().await;
    let client = house.client();
    let body: Value = keep(&client, "/api/lots", &lot()).await.json().await.expect("JSON");
    assert_eq!(body["warnings"][0]["code"], "stock::unknown-label", "{body}");
    let label =
        json!({ "format": "tussock.kept-label/1", "id": "brackwater-sc", "label": demo("labels/brackwater-sc.toml") });
    made(&client, "/api/labels", &label).await;
    let with = |field: &str, value: &str| {
        let mut lot = lot();
        lot["number"] = "B-1".into();
        lot[field] = value.into();
        lot
    };
    for (field, value, code) in
        [("received", "2 lb", "stock::other-measure"), ("received_on", "2999-01-01", "stock::not-yet")]
    {
        let refused = refusal(keep(&client, "/api/lots", &with(field, value)).await).await;
        assert_eq!(refused, (422, code.to_owned()), "{field}");
    }
    let response = keep(&client, "/api/lots", &with("received", "1 gal")).await;
    let body: Value = response.json().await.expect("JSON");
    assert_eq!((body["version"].as_u64(), body["warnings"].as_array().map(Vec::len)), (Some(1), Some(0)), "{body}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_record_of_a_kept_visit_names_it() {
    let house = House::at_home().await;
    let client = house.client();
    made(&client, "/api/properties", &property_of(None)).await;
    let document: Value = client.ask("post", "/api/plan/document", Some(order())).await.json().await.expect("JSON");
    let visit = made(&client, "/api/visits", &document).await;
    let other = {
        let mut order = order();
        let text = order["visit"].as_str().expect("a text").replace("date = 2026-07-07", "date = 2026-07-08");
        order["visit"] = text.into();
        let document: Value = client.ask("post", "/api/plan/document", Some(order)).await.json().await.expect("JSON");
        made(&client, "/api/visits", &document).await
    };
    let of = |kept: &str| {
        let mut order = json!({ "visit": document["request"], "files": document["files"] });
        order["kept"] = kept.into();
        order
    };
    let refused = refusal(keep(&client, "/api/records/of-visit", &of(&other)).await).await;
    assert_eq!(refused, (422, "trade::other-visit".to_owned()));
    // The visit was put off since it was taken along: what was done is the record of it all the same.
    let mut put_off = document.clone();
    put_off["date"] = "2026-07-09".into();
    put_off["request"] =
        document["request"].as_str().expect("a text").replace("date = 2026-07-07", "date = 2026-07-09").into();
    assert_eq!(change(&client, &format!("/api/visits/{visit}"), "\"1\"", &put_off).await.status(), 200);
    let record = made(&client, "/api/records/of-visit", &of(&visit)).await;
    let record = told(&client, &format!("/api/records/{record}")).await;
    assert_eq!(record["visit"]["reference"], visit.as_str(), "{}", record["visit"]);
}

/// The property lies in Ohio, by the books; the visit says Georgia.
#[tokio::test(flavor = "multi_thread")]
async fn a_visit_is_planned_where_the_books_say_that_the_property_lies() {
    let house = House::at_home().await;
    let client = house.client();
    let mut property = property_of(None);
    property["jurisdiction"] = "US-OH".into();
    made(&client, "/api/properties", &property).await;
    let response = client.ask("post", "/api/plan", Some(order())).await;
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(body["visit"]["verdict"], "refused", "{}", body["visit"]["verdict"]);
    assert!(body["visit"].to_string().contains("is not registered in OH"), "{}", body["visit"]);
    let codes: Vec<&str> =
        body["warnings"].as_array().expect("a list").iter().filter_map(|one| one["code"].as_str()).collect();
    assert!(codes.contains(&"trade::other-place"), "{codes:?}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_notice_that_came_too_late_is_told_with_the_standing() {
    let house = House::at_home().await;
    let client = house.client();
    made(&client, "/api/properties", &property_of(None)).await;
    let mut order = order();
    order["as_applied"] = json!({
        "format": "tussock.as-applied/1",
        "started": "2026-07-07T07:05:00-05:00",
        "ended": "2026-07-07T08:50:00-05:00",
        "notice": [{ "to": "front lawn", "how": "sign", "given": "2026-07-07T08:51:00-05:00" }],
    });
    let record = made(&client, "/api/records/of-visit", &order).await;
    let standing = told(&client, &format!("/api/records/{record}/standing")).await;
    let late = &standing["late"][0];
    assert_eq!(
        (&late["rule"], &late["by"]),
        (&json!("ga-landscape-sign"), &json!("2026-07-07T08:50:00")),
        "{standing}"
    );
    let shown = told(&client, &format!("/api/records/{record}/told")).await.to_string();
    assert!(shown.contains("Too late: the sign at front lawn"), "{shown}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_record_that_was_discarded_says_so_wherever_it_is_asked_for() {
    let house = House::at_home().await;
    let client = house.client();
    let record = made(&client, "/api/records/of-visit", &order()).await;
    let path = format!("/api/records/{record}");
    let document = told(&client, &path).await;
    // As the books give one up once no rule keeps it any longer.
    let ledger = house.running.app().ledger().clone();
    let account = ledger.accounts().await.expect("accounts")[0].account;
    let book = ledger.book(account, Actor::local("test")).await.expect("a book");
    let thing = ThingId::parse(&record).expect("a thing");
    book.discard(thing, 1, "no room", jiff::Timestamp::now(), RequestKey::fresh()).await.expect("discarded");

    let otherwise =
        json!({ "as_applied": { "format": "tussock.as-applied/1", "location": "behind" }, "clock": "-05:00" });
    for tag in ["\"1\"", "\"2\""] {
        let again = client.request("delete", &format!("{path}?reason=again&place=US-GA")).header("if-match", tag);
        let told = refusal(again.send().await.expect("an answer")).await;
        assert_eq!(told, (409, "ledger::discarded".to_owned()), "{tag}");
        let amended = change(&client, &format!("{path}/as-applied?reason=told+later"), tag, &otherwise).await;
        assert_eq!(refusal(amended).await, (409, "ledger::discarded".to_owned()), "{tag}");
        let amended = change(&client, &format!("{path}?reason=told+later"), tag, &document).await;
        assert_eq!(refusal(amended).await, (409, "ledger::discarded".to_owned()), "{tag}");
    }
    for of in ["", "/standing", "/told", "/paper"] {
        let told = refusal(client.ask("get", &format!("{path}{of}"), None).await).await;
        assert_eq!(told, (410, "server::discarded".to_owned()), "{of}");
    }
}

/// Moves every place of a document east by so many degrees; how many there are.
fn moved_east(value: &mut Value, degrees: f64) -> usize {
    match value {
        Value::Array(pair) if pair.len() == 2 && pair.iter().all(Value::is_number) => {
            pair[0] = (pair[0].as_f64().expect("a longitude") + degrees).into();
            1
        }
        Value::Array(list) => list.iter_mut().map(|one| moved_east(one, degrees)).sum(),
        Value::Object(fields) => fields.values_mut().map(|one| moved_east(one, degrees)).sum(),
        _ => 0,
    }
}

/// Ground is one, whatever the records on it belong to: a plan's past counts them all, and so do totals.
#[tokio::test(flavor = "multi_thread")]
async fn totals_of_a_property_count_what_lies_on_its_ground() {
    let house = House::at_home().await;
    let client = house.client();
    // Kept before the property was: it belongs to nothing.
    let unlinked = made(&client, "/api/records/of-visit", &order()).await;
    let mut document = told(&client, &format!("/api/records/{unlinked}")).await;
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let mut beside = property_of(None);
    beside["name"] = "Beside".into();
    let beside = made(&client, "/api/properties", &beside).await;
    // A record of the lot beside, some 17 m east: a part of what it treated lies on this lot.
    document["visit"] = Value::Null;
    document["name"] = "Beside".into();
    document["property"] = "Beside".into();
    let moved = moved_east(&mut document, 0.0002);
    assert!(moved > 20, "{moved} corners");
    let neighbour = made(&client, &format!("/api/records?property={beside}"), &document).await;

    let of = async |property: &str| told(&client, &format!("/api/totals?property={property}&until=2026-12-31")).await;
    let area = |totals: &Value, record: &str, alone: bool| -> f64 {
        let places = totals["places"].as_array().expect("places").iter();
        let of_record = places.filter(|place| {
            let layers = place["layers"].as_array().expect("layers");
            let is_it = |layer: &Value| layer["thing"] == record;
            if alone { layers.iter().all(is_it) } else { layers.iter().any(is_it) }
        });
        of_record.map(|place| place["area_m2"].as_f64().expect("an area")).sum()
    };
    let (here, there) = (of(&property).await, of(&beside).await);
    let records = |totals: &Value| {
        let records = totals["records"].as_array().expect("records").iter();
        records.map(|one| one["thing"].as_str().expect("a thing").to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(records(&here).len(), 2, "{}", here["records"]);
    assert!(records(&here).contains(&unlinked) && records(&here).contains(&neighbour));
    let (whole, part) = (area(&there, &neighbour, false), area(&here, &neighbour, false));
    assert!(part > 1.0 && part < 0.99 * whole, "{part} of {whole} m2");
    assert!(area(&here, &neighbour, true) < area(&there, &neighbour, true), "beyond the lot nothing of theirs counts");
    // What is on walls is told of the house that it was put on.
    let walls = here["off_ground"].as_array().expect("walls");
    assert!(!walls.is_empty() && walls.iter().all(|one| one["thing"] == unlinked.as_str()), "{walls:?}");
    assert_eq!(here["complete_since"], json!([{ "property": "Alder Bend", "complete_since": null }]));
    let nobody = ThingId::fresh();
    assert_eq!(client.ask("get", &format!("/api/totals?property={nobody}"), None).await.status(), 404);
}
