//! What pages ask while somebody draws, plans and fills in.

use crate::support::{Client, House, refusal};
use crate::trade::{PHOTO, client_named, demo, made, order, photo, property_of, told};
use serde_json::{Value, json};

async fn answer(client: &Client, path: &str, body: Value) -> Value {
    let response = client.ask("post", path, Some(body)).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 200, "{path}: {body}");
    body
}

#[tokio::test(flavor = "multi_thread")]
async fn a_map_is_measured_while_it_is_drawn() {
    let house = House::at_home().await;
    let client = house.client();
    let map = demo("alder-bend/property.geojson");
    let path = "/api/map/measure";
    let told = answer(&client, path, json!({ "map": map, "distances": true, "repair": true })).await;
    assert_eq!((&told["usable"], &told["totals"]["perimeter"]["us"]), (&json!(true), &json!("480.0 ft")));
    assert!(told["repair"].is_null() && told["distances"].as_array().is_some_and(|list| !list.is_empty()));
    // Dragged across the lot, a corner of the house makes a crossing: told with its place, not refused.
    let mut broken: Value = serde_json::from_str(&map).expect("JSON");
    broken["features"][1]["geometry"]["coordinates"][0].as_array_mut().expect("a ring").swap(1, 2);
    let told = answer(&client, path, json!({ "map": broken.to_string() })).await;
    let crossing = &told["problems"][0];
    assert_eq!((&told["usable"], &crossing["feature"]), (&json!(false), &json!(2)), "{crossing}");
    assert!(crossing["longitude_deg"].is_f64() && crossing["mend"].is_string(), "{crossing}");
    assert!(told["features"][1]["area"].is_null() && told["features"][1]["perimeter"]["m"].is_f64());
    let none = client.ask("post", path, Some(json!({ "map": "{" }))).await;
    assert_eq!(refusal(none).await, (422, "map::syntax".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn one_answer_draws_the_page_of_a_visit() {
    let house = House::at_home().await;
    let client = house.client();
    let told = answer(&client, "/api/plan", order()).await;
    let zones = told["zones"]["features"].as_array().expect("zones");
    assert_eq!(zones.len(), told["visit"]["zones"].as_array().expect("zones").len());
    let area: f64 = zones.iter().map(|zone| zone["properties"]["area_m2"].as_f64().expect("an area")).sum();
    let lot = told["visit"]["property"]["area_m2"].as_f64().expect("an area");
    assert!((area / lot - 1.0).abs() < 1e-6, "{area} of {lot}");
    assert!(zones.iter().all(|zone| zone["properties"]["layer"] == "zone" && zone["geometry"].is_object()));
    let setbacks = told["setbacks"]["features"].as_array().expect("setbacks");
    assert_eq!(setbacks.len(), told["visit"]["setbacks"].as_array().expect("setbacks").len());
    assert!(setbacks.iter().all(|setback| setback["properties"]["layer"] == "setback"));
    let hours = told["visit"]["hours"].as_array().expect("hours");
    assert!(hours.len() > 6 && hours[0]["verdict"].is_string() && hours[0]["wind_m_per_s"].is_f64());
    assert!(told["visit"]["tasks"].as_array().expect("tasks").iter().all(|task| task["hours"] == json!([])));
}

/// The same request as an object, its map a draft that nothing keeps yet, the rest by the things' own names.
#[tokio::test(flavor = "multi_thread")]
async fn a_draft_is_planned_with_kept_things_by_their_names() {
    let house = House::at_home().await;
    let client = house.client();
    let planned = answer(&client, "/api/plan", order()).await;
    let label = made(
        &client,
        "/api/labels",
        &json!({ "format": "tussock.kept-label/1", "id": "brackwater-sc", "label": demo("labels/brackwater-sc.toml") }),
    )
    .await;
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let equipment = made(
        &client,
        "/api/equipment",
        &json!({ "format": "tussock.kept-equipment/1", "name": "Hand tools", "equipment": demo("alder-bend/equipment.toml") }),
    )
    .await;
    let text = demo("alder-bend/visit.toml");
    let mut request = exchange::toml_text::toml_to_json("visit", &text).expect("TOML");
    request["labels"] = json!([format!("thing:{label}")]);
    request["equipment"] = json!(format!("thing:{equipment}"));
    request["property"] = json!(format!("thing:{property}"));
    let mut files = order()["files"].clone();
    let by_name = answer(&client, "/api/plan", json!({ "visit": request, "files": files })).await;
    assert_eq!(by_name["zones"], planned["zones"]);
    assert_eq!(by_name["visit"]["tasks"][0]["batches"], planned["visit"]["tasks"][0]["batches"]);

    request["property"] = json!("draft.geojson");
    let mut map: Value = serde_json::from_str(files["property.geojson"].as_str().expect("a map")).expect("JSON");
    // The house a foot shorter.
    let corners = map["features"][1]["geometry"]["coordinates"][0].as_array_mut().expect("a ring");
    let moved = corners[1][0].as_f64().expect("degrees") - 0.000_003;
    for corner in corners.iter_mut().filter(|corner| corner[0].as_f64().is_some_and(|at| at > moved)) {
        corner[0] = json!(moved);
    }
    files["draft.geojson"] = json!(map.to_string());
    let draft = answer(&client, "/api/plan", json!({ "visit": request, "files": files })).await;
    assert_ne!(draft["zones"], planned["zones"]);
    // The zones alone are those of the plan, and need neither forecast nor past.
    let mut drawn = request.clone();
    drawn.as_object_mut().expect("fields").remove("forecast");
    drawn["history"] = json!("unknown");
    let zones = answer(&client, "/api/plan/zones", json!({ "visit": drawn, "files": files })).await;
    // Arcs are coarser, which moves an area by less than a hundredth.
    let of = |zones: &Value| -> Vec<(String, f64)> {
        let all = zones["features"].as_array().expect("zones").iter();
        all.map(|zone| (zone["id"].to_string(), zone["properties"]["area_m2"].as_f64().expect("an area"))).collect()
    };
    let (sketched, whole) = (of(&zones), of(&draft["zones"]));
    assert_eq!(sketched.len(), whole.len());
    for ((id, area), (known, wanted)) in sketched.iter().zip(&whole) {
        assert!(id == known && (area / wanted - 1.0).abs() < 0.01, "{id}: {area}, {known}: {wanted}");
    }
    drawn["task"][0]["target"] = json!("nowhere");
    let refused = client.ask("post", "/api/plan/zones", Some(json!({ "visit": drawn, "files": files }))).await;
    assert_eq!(refused.status(), 422);

    request["property"] = json!(format!("thing:{}", ledger::ThingId::fresh()));
    request["name"] = json!(7);
    let response = client.ask("post", "/api/plan", Some(json!({ "visit": request, "files": files }))).await;
    assert_eq!(response.status(), 422);
    let body: Value = response.json().await.expect("JSON");
    let told: Vec<&str> =
        body["problems"].as_array().expect("problems").iter().filter_map(|p| p["path"].as_str()).collect();
    assert!(told.contains(&"name") && told.contains(&"property"), "{body}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_visit_comes_on_paper_as_a_picture_and_in_a_calendar() {
    let house = House::at_home().await;
    let client = house.client();
    let file = async |path: &str, order: Value| {
        let response = client.ask("post", path, Some(order)).await;
        let kind = response.headers()["content-type"].to_str().expect("text").to_owned();
        assert_eq!(response.status(), 200, "{path}");
        assert!(response.headers()["content-disposition"].to_str().expect("text").starts_with("attachment"));
        (kind, response.bytes().await.expect("bytes"))
    };
    let (kind, pdf) = file("/api/plan/sheet?paper=a4&units=metric", order()).await;
    assert!(kind == "application/pdf" && pdf.starts_with(b"%PDF-"));
    let (_, letter) = file("/api/plan/sheet", order()).await;
    assert_ne!(letter, pdf, "another paper");
    let (kind, colour) = file("/api/plan/map", order()).await;
    assert!(kind == "image/svg+xml" && colour.starts_with(b"<svg"));
    assert_ne!(file("/api/plan/map?black_and_white=true", order()).await.1, colour);
    let (kind, calendar) = file("/api/plan/calendar", order()).await;
    assert!(kind.starts_with("text/calendar") && calendar.starts_with(b"BEGIN:VCALENDAR"));
    let wrong = client.ask("post", "/api/plan/map?paper=a5", Some(order())).await;
    assert_eq!(refusal(wrong).await, (400, "server::query".to_owned()));

    // A refused visit has a sheet that says so, and no times.
    let mut refused = order();
    refused["files"]["forecast.csv"] = json!("start,temperature_f,wind_mph,rain_in\n2026-07-07T07:00-05:00,69,30,1\n");
    let told = answer(&client, "/api/plan", refused.clone()).await;
    assert_eq!(told["visit"]["verdict"], "refused");
    assert!(file("/api/plan/sheet", refused.clone()).await.1.starts_with(b"%PDF-"));
    assert_eq!(client.ask("post", "/api/plan/calendar", Some(refused)).await.status(), 204);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_label_is_read_out_checked_and_turned_into_a_form_and_back() {
    let house = House::at_home().await;
    let client = house.client();
    let text = demo("labels/brackwater-sc.toml");
    let told = answer(&client, "/api/label/check", json!({ "label": text })).await;
    assert_eq!((&told["usable"], &told["problems"]), (&json!(true), &json!([])));
    let sayings = |reading: &Value| -> Vec<Value> {
        let sections = reading["label"]["sections"].as_array().expect("sections");
        sections.iter().flat_map(|section| section["sayings"].as_array().expect("sayings").clone()).collect()
    };
    let rate = sayings(&told).into_iter().find(|saying| saying["path"] == "use[1].rate").expect("a rate");
    assert!(rate["figure"].as_str().is_some_and(|figure| figure.contains("fl oz/1,000 sq ft")), "{rate}");
    assert!(text.contains(rate["clause"]["text"].as_str().expect("a sentence")), "{rate}");

    let form = answer(&client, "/api/label/form", json!({ "label": text })).await;
    assert_eq!((&form["text"], &form["reading"]), (&json!(text), &told));
    let back = answer(&client, "/api/label/form", json!({ "label": form["fields"] })).await;
    assert_eq!((&back["fields"], &back["reading"]["label"]), (&form["fields"], &told["label"]));
    assert!(back["text"].as_str().is_some_and(|text| text.starts_with("format = \"tussock.label/1\"\nid = ")));

    // Half filled in: what is wrong by field, what is open, and no refusal.
    let half = json!({ "format": "tussock.label/1", "id": "begun", "product": { "name": "Begun (invented)", "label_version": null } });
    let told = answer(&client, "/api/label/check", json!({ "label": half })).await;
    assert_eq!((&told["usable"], &told["label"]), (&json!(false), &json!(null)));
    let paths: Vec<&str> =
        told["problems"].as_array().expect("problems").iter().filter_map(|problem| problem["found"].as_str()).collect();
    assert!(paths.iter().any(|found| found.contains("label_version")), "{paths:?}");
    let broken = answer(&client, "/api/label/check", json!({ "label": demo("broken/label-wrong.toml") })).await;
    assert!(broken["problems"].as_array().is_some_and(|problems| problems.iter().all(|p| p["line"].is_u64())));
    assert!(
        broken["questions"].as_array().is_some_and(|questions| questions.iter().any(|q| q["code"] == "label::silent"))
    );
    let none = client.ask("post", "/api/label/form", Some(json!({ "label": "= no TOML" }))).await;
    assert_eq!(refusal(none).await, (422, "toml::syntax".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn two_labels_are_compared_by_section() {
    let house = House::at_home().await;
    let client = house.client();
    let older = demo("labels/brackwater-sc.toml");
    let newer = older
        .replace("Do not irrigate treated areas for 24 hours", "Do not irrigate treated areas for 48 hours")
        .replace("prohibited_for = \"24 h\"", "prohibited_for = \"48 h\"");
    let told = answer(&client, "/api/label/compare", json!({ "older": older, "newer": newer })).await;
    let differences = told["differences"].as_array().expect("differences");
    assert_eq!(differences.len(), 1, "{told}");
    let one = &differences[0];
    assert_eq!((&one["section"], &one["change"]), (&json!("restraints"), &json!("changed")));
    assert_eq!((&one["older_figure"], &one["newer_figure"]), (&json!("none for 24.0 h"), &json!("none for 48.0 h")));
    let same = answer(&client, "/api/label/compare", json!({ "older": older, "newer": older })).await;
    assert_eq!(same["differences"], json!([]));
    let broken = json!({ "older": demo("broken/label-wrong.toml"), "newer": "x" });
    let response = client.ask("post", "/api/label/compare", Some(broken)).await;
    assert_eq!(response.status(), 422);
    let body: Value = response.json().await.expect("JSON");
    let files: std::collections::BTreeSet<&str> =
        body["problems"].as_array().expect("problems").iter().filter_map(|p| p["file"].as_str()).collect();
    assert_eq!(files.into_iter().collect::<Vec<_>>(), ["newer", "older"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn equipment_is_read_out_and_runs_are_judged() {
    let house = House::at_home().await;
    let client = house.client();
    let text = demo("alder-bend/equipment.toml");
    let told = answer(&client, "/api/equipment/check", json!({ "equipment": text })).await;
    assert_eq!(told["usable"], true);
    let first = &told["equipment"][0];
    assert!(first["capacity"].as_str().is_some_and(|words| words.contains("gal")), "{first}");
    assert!(first["calibrations"][0]["result"]["output"][0]["value"].is_f64(), "{first}");
    let form = answer(&client, "/api/equipment/form", json!({ "equipment": text })).await;
    let back = answer(&client, "/api/equipment/form", json!({ "equipment": form["fields"] })).await;
    assert_eq!(back["reading"], form["reading"]);

    // 54 fl oz on 250 sq ft are 216 fl oz, 1.6875 gal, on 1,000 sq ft; 4 gal cover 2,370 sq ft (220.2 m²).
    let runs = json!({ "method": "test-area", "area": "250 sq ft", "refills": ["53 fl oz", "55 fl oz", "54 fl oz"] });
    let told = answer(&client, "/api/calibrate", json!({ "runs": runs, "full": "4 gal" })).await;
    assert_eq!(told["usable"], true);
    assert!((told["output"][0]["value"].as_f64().expect("an output") - 1.6875).abs() < 1e-9, "{told}");
    assert!((told["covers_m2"].as_f64().expect("an area") - 220.214).abs() < 0.01, "{told}");
    assert!((told["variation"].as_f64().expect("a variation") - 1.0 / 54.0).abs() < 1e-9, "{told}");
    let strict = answer(&client, "/api/calibrate", json!({ "runs": runs, "highest_variation": 0.01 })).await;
    assert_eq!((&strict["usable"], &strict["findings"][0]["code"]), (&json!(false), &json!("sprayer::variation")));
    let spread = json!({ "method": "spreader-catch", "area": "100 sq ft", "caught": ["0.2 lb", "0.2 lb", "0.2 lb"] });
    let told = answer(&client, "/api/calibrate", json!({ "runs": spread, "full": "20 lb" })).await;
    assert!((told["covers_m2"].as_f64().expect("an area") - 929.03).abs() < 0.01, "{told}");

    let wrong =
        json!({ "runs": { "method": "test-area", "area": "250", "refills": ["53 fl oz", "x"] }, "full": "4 ft" });
    let response = client.ask("post", "/api/calibrate", Some(wrong)).await;
    assert_eq!(response.status(), 422);
    let body: Value = response.json().await.expect("JSON");
    let paths: Vec<&str> =
        body["problems"].as_array().expect("problems").iter().filter_map(|p| p["path"].as_str()).collect();
    assert_eq!(paths, ["full", "area", "refills[2]"], "{body}");
}

#[tokio::test(flavor = "multi_thread")]
async fn what_a_label_still_allows_falls_with_what_was_done() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let label =
        json!({ "format": "tussock.kept-label/1", "id": "brackwater-sc", "label": demo("labels/brackwater-sc.toml") });
    let label = made(&owner, "/api/labels", &label).await;
    let property = made(&owner, "/api/properties", &property_of(None)).await;
    let path = format!("/api/properties/{property}/room?date=2026-07-08");
    let least = |rooms: &Value| -> f64 {
        let places = rooms["labels"][0]["places"].as_array().expect("places");
        let shares = places.iter().flat_map(|place| place["caps"].as_array().expect("caps").clone());
        shares.map(|cap| cap["left_share"].as_f64().expect("a share")).fold(1.0, f64::min)
    };
    let before = told(&owner, &path).await;
    let places = before["labels"][0]["places"].as_array().expect("places");
    assert!(places.iter().all(|place| place["proved"] == false), "nobody says since when the books are complete");
    assert!(places.iter().any(|place| place["site"] == "turf" && place["open"] == true && place["ground"].is_object()));
    assert!((least(&before) - 1.0).abs() < 1e-12, "{}", least(&before));

    made(&owner, "/api/records/of-visit", &order()).await;
    let after = told(&owner, &path).await;
    assert!(least(&after) < 0.9, "{}", least(&after));
    let places = after["labels"][0]["places"].as_array().expect("places");
    let treated = places.iter().find(|place| place["last"] == "2026-07-07").expect("a treated place");
    assert_eq!((&treated["open"], &treated["applied"][0]["product"]), (&json!(false), &json!("brackwater-sc")));
    assert!(treated["not_before"].as_str().is_some_and(|day| day > "2026-07-08"), "{treated}");
    let by_name = told(&owner, &format!("{path}&label={label}")).await;
    assert_eq!(by_name, after, "the only label");
    let none = owner.ask("get", &format!("{path}&label=other"), None).await;
    assert_eq!(refusal(none).await, (404, "server::nothing-there".to_owned()));
    let wrong = owner.ask("get", &format!("/api/properties/{property}/room?date=soon"), None).await;
    assert_eq!(refusal(wrong).await, (400, "server::day".to_owned()));
    let intruder = house.signed_in("other-owner").await;
    assert_eq!(refusal(intruder.ask("get", &path, None).await).await.0, 404);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_forecast_is_read_with_its_gaps() {
    let house = House::at_home().await;
    let client = house.client();
    let whole = demo("alder-bend/forecast.csv");
    let told = answer(&client, "/api/forecast/check", json!({ "forecast": whole })).await;
    assert_eq!((&told["usable"], &told["gaps"]), (&json!(true), &json!([])));
    let hours = told["hours"].as_array().expect("hours").len();
    let gone = whole.lines().filter(|line| !line.starts_with("2026-07-07T08")).collect::<Vec<_>>().join("\n");
    assert_ne!(gone.lines().count(), whole.lines().count());
    let told = answer(&client, "/api/forecast/check", json!({ "forecast": gone })).await;
    assert_eq!((told["hours"].as_array().map(Vec::len), &told["gaps"][0]["hours"]), (Some(hours - 1), &json!(1)));
    let told = answer(&client, "/api/forecast/check", json!({ "forecast": "start,wind\n" })).await;
    assert!(told["usable"] == false && told["problems"][0]["line"].is_u64(), "{told}");
}

#[tokio::test(flavor = "multi_thread")]
async fn the_photos_of_a_thing_are_listed_for_who_may_see_it() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let property = made(&owner, "/api/properties", &property_of(None)).await;
    let other = made(&owner, "/api/clients", &client_named("Other")).await;
    for (thing, count) in [(&property, 2), (&other, 1)] {
        for _ in 0..count {
            assert_eq!(photo(&owner, thing, "image/jpeg", PHOTO.to_vec()).await.status(), 201);
        }
    }
    let files = told(&owner, &format!("/api/files/of/{property}")).await;
    assert_eq!(files.as_array().map(Vec::len), Some(2));
    assert_eq!((&files[0]["media_type"], &files[0]["size_bytes"]), (&json!("image/jpeg"), &json!(PHOTO.len())));
    // Among the files of the property stand its own.
    let listed = told(&owner, &format!("/api/files?property={property}")).await;
    assert_eq!(listed["entries"].as_array().map(Vec::len), Some(2));
    for name in ["other-owner", "reed-client"] {
        let stranger = house.signed_in(name).await;
        let refused = stranger.ask("get", &format!("/api/files/of/{property}"), None).await;
        assert_eq!(refusal(refused).await.0, 404, "{name}");
    }
}
