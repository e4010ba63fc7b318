//! Whether treatments worked, over HTTP.

use crate::support::{Client, House, refusal};
use crate::trade::{demo, keep, made, order, property_of, told};
use serde_json::{Value, json};

fn survey(property: &str, date: &str, counts: &[u32], check: &[u32]) -> Value {
    let station = |is_check: bool| move |count: &u32| json!({ "count": count, "is_check": is_check });
    let stations: Vec<Value> = counts.iter().map(station(false)).chain(check.iter().map(station(true))).collect();
    json!({
        "format": "tussock.kept-survey/1", "property": property, "date": date, "pest": "grasshopper", "method": "frame",
        "count_area": "1 sq ft", "by": "J. Example", "stations": stations,
    })
}

const BEFORE: [u32; 10] = [2, 3, 4, 2, 1, 3, 2, 5, 3, 2];
const AFTER: [u32; 10] = [0, 1, 0, 0, 0, 1, 0, 0, 0, 1];
const CHECK: [u32; 8] = [3, 2, 4, 3, 2, 3, 4, 2];

async fn asked(client: &Client, path: &str) -> Value {
    told(client, path).await
}

async fn posted(client: &Client, order: Value) -> (u16, Value) {
    let response = client.ask("post", "/api/efficacy", Some(order)).await;
    (response.status().as_u16(), response.json().await.expect("JSON"))
}

fn codes(body: &Value) -> Vec<&str> {
    body["problems"].as_array().expect("problems").iter().filter_map(|one| one["code"].as_str()).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn kept_counts_are_held_against_the_records_between_them() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let path = format!("/api/efficacy?property={property}");
    assert_eq!(asked(&client, &path).await["treatments"], json!([]));
    let record = made(&client, "/api/records/of-visit", &order()).await;
    // Treated, and nobody counted: that is told with what to count.
    let none = asked(&client, &path).await;
    assert_eq!(none["untold"][0]["record"], record.as_str(), "{none}");
    assert!(none["untold"][0]["count_next"][0].as_str().is_some_and(|next| next.contains("3 to 14 days")), "{none}");
    let before = made(&client, "/api/surveys", &survey(&property, "2026-07-06", &BEFORE, &CHECK)).await;
    let after = made(&client, "/api/surveys", &survey(&property, "2026-07-14", &AFTER, &CHECK)).await;
    let found = asked(&client, &path).await;
    assert_eq!(found["untold"], json!([]), "{found}");
    let one = &found["treatments"][0];
    assert_eq!(
        (&one["treated"], &one["counted"], &one["counted_before"]),
        (&json!("2026-07-07"), &json!("2026-07-14"), &json!("2026-07-06"))
    );
    assert_eq!(
        (&one["survey"], &one["survey_before"], &one["record"]),
        (&json!(after), &json!(before), &json!(record))
    );
    assert_eq!((&one["group"], &one["property"]), (&json!("3A"), &json!("Alder Bend")));
    assert!(one["products"].as_array().is_some_and(|products| !products.is_empty()), "{one}");
    // 1 - (3 / 10 / (27 / 10)) (23 / 23): by Henderson and Tilton, since both were counted before.
    assert!((one["control"].as_f64().expect("a share") - (1.0 - 3.0 / 27.0)).abs() < 1e-12, "{one}");
    assert_eq!(one["formula"], "henderson-tilton");
    assert!(one["because"].as_str().is_some_and(|because| because.contains("need not have been alike")), "{one}");
    let ends = [0, 1].map(|end| one["interval"][end].as_f64().expect("an end"));
    assert!(ends[0] < 1.0 - 3.0 / 27.0 && 1.0 - 3.0 / 27.0 < ends[1], "{ends:?}");
    assert_eq!(one["stations"]["check_after"], json!({ "stations": 8, "pests": 23, "mean": 23.0 / 8.0 }));
    assert_eq!(found["resistance"][0]["sign"], "too-few");
    let picture = client.ask("get", &format!("/api/efficacy/picture?property={property}"), None).await;
    assert_eq!(picture.headers()["content-type"], "image/svg+xml");
    assert!(picture.text().await.expect("text").contains("2026-07-14, grasshopper, Alder Bend, treated 2026-07-07"));
    // Of another pest nothing is told; of all properties the same.
    assert_eq!(asked(&client, &format!("{path}&pest=white+grub")).await["treatments"], json!([]));
    assert_eq!(asked(&client, "/api/efficacy").await["treatments"], found["treatments"]);
    assert_eq!(asked(&client, &format!("{path}&expected=0.99")).await["treatments"][0]["against_expected"], "below");
}

/// A check on the lawn that the record says was treated, and the same pest by its general word and by that of its kind.
#[tokio::test(flavor = "multi_thread")]
async fn checks_on_treated_ground_and_names_that_differ_are_told() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    made(&client, "/api/records/of-visit", &order()).await;
    made(&client, "/api/surveys", &survey(&property, "2026-07-06", &BEFORE, &CHECK)).await;
    let mut after = survey(&property, "2026-07-14", &AFTER, &CHECK);
    after["pest"] = "two-striped grasshopper".into();
    let path = format!("/api/efficacy?property={property}");
    let kept = made(&client, "/api/surveys", &after).await;
    let found = asked(&client, &path).await;
    let one = &found["treatments"][0];
    assert_eq!((&one["survey"], &one["formula"]), (&json!(kept), &json!("henderson-tilton")), "{found}");
    assert_eq!(found["treatments"].as_array().map(Vec::len), Some(1), "{found}");
    assert_eq!(codes(&found), ["scouting::names-differ"]);
    // The first check lies on the front lawn, the second on no ground of the record.
    after["date"] = "2026-07-15".into();
    after["stations"][10]["position"] = json!({ "longitude": -97.6198, "latitude": 38.84005 });
    made(&client, "/api/surveys", &after).await;
    let found = asked(&client, &path).await;
    let told = found["problems"].as_array().expect("problems").iter();
    let told: Vec<&str> =
        told.filter(|one| one["code"] == "scouting::check-treated").filter_map(|one| one["found"].as_str()).collect();
    assert!(
        matches!(told.as_slice(), [one] if one.starts_with("station 11 of the survey of Alder Bend on 2026-07-15")
            && one.ends_with("which was treated on 2026-07-07")),
        "{found}"
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_told_says_why_and_what_to_count() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    made(&client, "/api/records/of-visit", &order()).await;
    made(&client, "/api/surveys", &survey(&property, "2026-07-06", &BEFORE, &[])).await;
    made(&client, "/api/surveys", &survey(&property, "2026-07-14", &AFTER, &[])).await;
    let found = asked(&client, &format!("/api/efficacy?property={property}")).await;
    assert_eq!(found["treatments"], json!([]), "{found}");
    let untold = &found["untold"][0];
    assert_eq!(untold["counted"], "2026-07-14");
    assert!(untold["why"][0].as_str().is_some_and(|why| why.contains("tell no control")), "{untold}");
    assert!(untold["count_next"][0].as_str().is_some_and(|next| next.contains("leave a strip untreated")), "{untold}");
}

#[tokio::test(flavor = "multi_thread")]
async fn resistance_is_told_over_properties_and_treatments_of_one_alone() {
    let house = House::at_home().await;
    let client = house.client();
    let mut properties = Vec::new();
    for name in ["Alder Bend", "Birch Rise"] {
        let mut property = property_of(None);
        property["name"] = name.into();
        properties.push(made(&client, "/api/properties", &property).await);
    }
    for (number, left) in (3..).zip([0, 0, 1, 2, 3, 5, 6]) {
        let property = &properties[number % 2];
        let after: Vec<u32> = (0..8).map(|station| left + station % 2).collect();
        let many = [8, 10, 6, 9, 7, 8, 9, 8];
        made(&client, "/api/surveys", &survey(property, &format!("2026-{number:02}-02"), &many, &many)).await;
        let mut after = survey(property, &format!("2026-{number:02}-10"), &after, &many);
        after["treated"] = json!({ "on": format!("2026-{number:02}-03"), "group": "3A" });
        made(&client, "/api/surveys", &after).await;
    }
    let found = asked(&client, &format!("/api/efficacy?property={}", properties[1])).await;
    assert_eq!(found["treatments"].as_array().map(Vec::len), Some(4), "{found}");
    let sign = &found["resistance"][0];
    assert_eq!(
        (&sign["sign"], &sign["treatments"], &sign["properties"]),
        (&json!("signal"), &json!(7), &json!(2)),
        "{sign}"
    );
    assert!(found["treatments"][3]["to_check"].as_array().is_some_and(|causes| causes.len() == 6), "{found}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_survey_that_says_another_group_than_the_record_is_told() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    made(&client, "/api/records/of-visit", &order()).await;
    let mut after = survey(&property, "2026-07-14", &AFTER, &CHECK);
    after["treated"] = json!({ "on": "2026-07-07", "group": "4A" });
    made(&client, "/api/surveys", &after).await;
    let found = asked(&client, &format!("/api/efficacy?property={property}")).await;
    assert_eq!((codes(&found), &found["treatments"][0]["group"]), (vec!["scouting::groups-differ"], &json!("3A")));
    assert_eq!(found["treatments"][0]["formula"], "abbott");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_treatment_of_which_a_group_is_not_told_has_none() {
    const LABEL: &str = "../labels/brackwater-sc.toml";
    const TOLD: &str = "group = \"3A\"            # invented for this ingredient\n";
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let mut order = order();
    let label = order["files"][LABEL].as_str().expect("the label").to_owned();
    assert!(label.contains(TOLD));
    let other = "[[product.active_ingredient]]\nname = \"exampolid\"\ncontent = \"0.1 lb/gal\"\npercent = 1.1\n";
    order["files"][LABEL] = label.replace(TOLD, &format!("{TOLD}\n{other}")).into();
    made(&client, "/api/records/of-visit", &order).await;
    // One pest, in capitals or not: both counts tell of one treatment.
    let mut before = survey(&property, "2026-07-06", &BEFORE, &CHECK);
    before["pest"] = "Grasshopper".into();
    made(&client, "/api/surveys", &before).await;
    made(&client, "/api/surveys", &survey(&property, "2026-07-14", &AFTER, &CHECK)).await;
    let found = asked(&client, &format!("/api/efficacy?property={property}")).await;
    let all = found["treatments"].as_array().expect("treatments");
    assert_eq!((all.len(), &found["untold"]), (1, &json!([])), "{found}");
    assert_eq!((&all[0]["group"], &all[0]["counted_before"]), (&Value::Null, &json!("2026-07-06")), "{found}");
}

#[tokio::test(flavor = "multi_thread")]
async fn counts_that_are_not_kept_are_judged_the_same() {
    let house = House::at_home().await;
    let client = house.client();
    let lot = "01890000-0000-7000-8000-000000000000";
    let before = survey(lot, "2026-07-06", &BEFORE, &CHECK);
    let after = survey(lot, "2026-07-14", &AFTER, &CHECK);
    let treatments = json!([{ "on": "2026-07-07", "group": "3a" }]);
    let (status, found) = posted(&client, json!({ "surveys": [before, after], "treatments": treatments })).await;
    assert_eq!((status, &found["treatments"][0]["group"]), (200, &json!("3A")), "{found}");
    assert!((found["treatments"][0]["control"].as_f64().expect("a share") - (1.0 - 3.0 / 27.0)).abs() < 1e-12);
    // Everything wrong at once.
    let mut bad = before.clone();
    bad["stations"][0]["count"] = json!(-1);
    bad["stations"][1]["count"] = json!("many");
    bad["count_area"] = json!("1");
    let wrong = json!({ "surveys": [bad, after], "treatments": [{ "on": "July" }], "expected": 2 });
    let (status, found) = posted(&client, wrong).await;
    assert_eq!(status, 422);
    let told = codes(&found).join(" ");
    for code in ["scouting::expected", "json::wrong-type", "server::day"] {
        assert!(told.contains(code), "{code} in {found}");
    }
    assert_eq!(told.matches("json::wrong-type").count(), 2, "{found}");
    assert!(found.to_string().contains("/surveys/0/count_area"), "{found}");
    assert_eq!(posted(&client, json!({ "surveys": [] })).await.0, 422);
}

#[tokio::test(flavor = "multi_thread")]
async fn another_account_sees_nothing_of_it() {
    let house = House::of_a_company(|_| ()).await;
    let owner = house.signed_in("reed-owner").await;
    let property = made(&owner, "/api/properties", &property_of(None)).await;
    for (date, counts) in [("2026-07-06", BEFORE), ("2026-07-14", AFTER)] {
        let mut survey = survey(&property, date, &counts, &CHECK);
        if date == "2026-07-14" {
            survey["treated"] = json!({ "on": "2026-07-07", "group": "3A" });
        }
        made(&owner, "/api/surveys", &survey).await;
    }
    assert_eq!(asked(&owner, "/api/efficacy").await["treatments"].as_array().map(Vec::len), Some(1));
    let intruder = house.signed_in("other-owner").await;
    for path in ["/api/efficacy", "/api/efficacy/picture"] {
        let response = intruder.ask("get", &format!("{path}?property={property}"), None).await;
        assert_eq!(refusal(response).await, (404, "server::nothing-there".to_owned()), "{path}");
    }
    let all = asked(&intruder, "/api/efficacy").await;
    assert_eq!((&all["treatments"], &all["untold"], &all["resistance"]), (&json!([]), &json!([]), &json!([])));
    // A client of the account sees nothing either: the roles are those of the work.
    let client = house.signed_in("reed-client").await;
    assert_eq!(refusal(client.ask("get", "/api/efficacy", None).await).await, (403, "server::role".to_owned()));
}

#[tokio::test(flavor = "multi_thread")]
async fn bad_counts_are_told_all_at_once_and_a_double_station_is_not_kept() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let station = |count: Value, latitude: f64| json!({ "count": count, "is_check": false, "position": { "longitude": -97.6198, "latitude": latitude } });
    let mut bad = survey(&property, "2026-07-06", &[], &[]);
    bad["stations"] = json!([
        station(json!(-1), 38.84005),
        station(json!("many"), 38.84006),
        station(json!(3), 38.85),
        station(json!(4), 38.84006),
    ]);
    bad["count_area"] = json!("1");
    let order =
        json!({ "survey": bad, "ground": true, "k": -1, "threshold": { "count": 0, "per": "a yard", "source": " " } });
    let response = client.ask("post", "/api/scouting", Some(order)).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 422);
    let told = codes(&body).join(" ");
    for code in [
        "survey::station-twice",
        "scouting::outside",
        "scouting::count-basis",
        "scouting::threshold-source",
        "scouting::k",
    ] {
        assert!(told.contains(code), "{code} in {body}");
    }
    assert_eq!(told.matches("json::wrong-type").count(), 2, "{body}");
    for place in
        ["/survey/stations/0/count", "/survey/stations/1/count", "/survey/count_area", "/survey/stations/2/position"]
    {
        assert!(body.to_string().contains(place), "{place} in {body}");
    }
    // Kept: a double station is refused, a place outside the property is a warning.
    let mut double = survey(&property, "2026-07-06", &[], &[]);
    double["stations"] = json!([station(json!(1), 38.84005), station(json!(2), 38.84005)]);
    assert_eq!(refusal(keep(&client, "/api/surveys", &double).await).await, (422, "survey::station-twice".to_owned()));
    let mut outside = survey(&property, "2026-07-06", &[], &[]);
    outside["stations"] = json!([station(json!(1), 38.85)]);
    let kept = keep(&client, "/api/surveys", &outside).await;
    assert_eq!(kept.status(), 201);
    let kept: Value = kept.json().await.expect("JSON");
    assert_eq!(kept["warnings"][0]["code"], "scouting::outside", "{kept}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_chosen_threshold_is_read_again_and_a_visit_rests_on_a_kept_count() {
    let house = House::at_home().await;
    let client = house.client();
    let kept = client.request("post", "/api/demo").header("idempotency-key", "demo-of-this-test").send().await;
    let kept: Value = kept.expect("an answer").json().await.expect("JSON");
    let property = kept["property"].as_str().expect("a property");
    let mut places: Vec<Value> = Vec::new();
    for (index, line) in demo("alder-bend/places.toml").split("[[station]]").skip(1).enumerate() {
        let number = |after: &str| -> f64 {
            let from = line.find(after).expect(after) + after.len();
            line[from..].split([',', ' ', '\n', '}']).next().and_then(|text| text.parse().ok()).expect("a number")
        };
        assert!(index < 40);
        places.push(json!({
            "count": number("count = ") as u64,
            "is_check": false,
            "position": { "longitude": number("longitude = "), "latitude": number("latitude = ") },
        }));
    }
    let mut counted = survey(property, "2026-07-06", &[], &[]);
    counted["stations"] = places.into();
    counted["threshold"] = json!({ "count": 8, "per": "1 sq yd", "place": "rangeland", "source": "Parker 1930" });
    let thing = made(&client, "/api/surveys", &counted).await;
    let response = client.ask("post", "/api/scouting", Some(json!({ "kept": thing }))).await;
    let scouted: Value = response.json().await.expect("JSON");
    assert_eq!(scouted["threshold"]["source"], "rangeland; Parker 1930", "{scouted}");
    let visit = |survey: &str| {
        json!({ "visit": {
            "format": "tussock.visit-request/1", "name": "Alder Bend (invented)", "date": "2026-07-07", "state": "KS",
            "property": "books:property/Alder Bend (invented)", "history": "unknown",
            "labels": ["books:label/brackwater-sc"], "equipment": "books:equipment/Hand pump (invented)",
            "finding": { "pest": "grasshopper", "basis": "caught in a net", "survey": survey },
            "task": [{ "id": "spots", "method": "broadcast", "label": "brackwater-sc", "rate": "lowest",
                "equipment": "hand-pump", "calibration": "lawn", "target": { "hot_spots": "turf" } }],
        } })
    };
    for name in ["books:survey/Alder Bend (invented)/grasshopper 2026-07-06".to_owned(), format!("thing:{thing}")] {
        let response = client.ask("post", "/api/plan", Some(visit(&name))).await;
        let status = response.status().as_u16();
        let planned: Value = response.json().await.expect("JSON");
        assert_eq!(status, 200, "{planned}");
        let finding = &planned["visit"]["finding"];
        // The lawn as a whole is not decided; spots of it are shown.
        assert_eq!((&finding["call"], &finding["survey"]), (&json!("count-on"), &json!(name)), "{finding}");
        assert_eq!(finding["threshold_source"], "rangeland; Parker 1930");
        // The demo keeps its business with prices.
        let both = &planned["visit"]["side_by_side"][0];
        for way in ["broadcast", "spots"] {
            assert!(both[way]["products"][0]["cost"].as_str().is_some_and(|cost| cost.ends_with(" USD")), "{both}");
        }
    }
    let wrong =
        client.ask("post", "/api/plan", Some(visit("books:survey/Alder Bend (invented)/grub 2026-07-06"))).await;
    let wrong: Value = wrong.json().await.expect("JSON");
    assert!(wrong.to_string().contains("survey/alder bend (invented)/grasshopper 2026-07-06"), "{wrong}");
}
