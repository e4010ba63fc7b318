//! What counts call for, over HTTP.

use crate::support::{Client, House, refusal};
use crate::trade::{demo, made, property_of};
use serde_json::{Value, json};

/// Counts on the demo's lawn, most of them in the west; the place is invented. `places` of them are noted.
fn survey(property: &str, places: usize) -> Value {
    let counts = [14, 9, 4, 1, 0, 0, 12, 8, 3, 1, 0, 1, 11, 7, 5, 0];
    let stations: Vec<Value> = (0..)
        .zip(counts)
        .map(|(index, count)| {
            let mut station = json!({ "count": count, "is_check": false });
            if index < places {
                let (column, row) = ((index % 6) as f64, (index / 6) as f64);
                station["position"] =
                    json!({ "longitude": -97.61996 + column * 0.00005, "latitude": 38.84003 + row * 0.00006 });
            }
            station
        })
        .collect();
    json!({
        "format": "tussock.kept-survey/1", "property": property, "date": "2026-07-06", "pest": "grasshopper",
        "method": "frame", "count_area": "1 sq ft", "by": "J. Example", "stations": stations,
    })
}

fn threshold() -> Value {
    json!({ "count": 8, "per": "1 sq yd", "source": "rangeland, invented for this test" })
}

async fn scouted(client: &Client, order: Value) -> Value {
    let response = client.ask("post", "/api/scouting", Some(order)).await;
    let status = response.status().as_u16();
    let body: Value = response.json().await.expect("JSON");
    assert_eq!(status, 200, "{body}");
    body
}

fn codes(body: &Value) -> Vec<&str> {
    body["problems"].as_array().expect("problems").iter().filter_map(|one| one["code"].as_str()).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn counts_are_held_against_a_threshold_in_another_unit() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let told = scouted(&client, json!({ "survey": survey(&property, 0), "threshold": threshold() })).await;
    assert_eq!((&told["format"], &told["stop"]), (&json!("tussock.scouting/1"), &json!("treat")));
    let level = told["threshold"]["per_station"].as_f64().expect("a level");
    assert!((level - 8.0 / 9.0).abs() < 1e-12, "{level}");
    assert_eq!(told["walk"].as_array().expect("a walk").last(), Some(&json!(76)));
    assert!(told["hot_spots"].is_null());
    assert!(!codes(&told).iter().any(|code| code.contains("interval")), "{told}");
    // The same, kept.
    let kept = made(&client, "/api/surveys", &survey(&property, 0)).await;
    let again = scouted(&client, json!({ "kept": kept, "threshold": threshold() })).await;
    assert_eq!(again, told);
    let none = client.ask("post", "/api/scouting", Some(json!({ "kept": property, "threshold": threshold() }))).await;
    assert_eq!(refusal(none).await, (404, "server::nothing-there".into()));
}

#[tokio::test(flavor = "multi_thread")]
async fn places_make_a_surface_on_the_kept_map_or_on_one_that_is_sent() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let order = json!({ "survey": survey(&property, 16), "threshold": threshold(), "ground": true, "squares": true });
    let told = scouted(&client, order.clone()).await;
    let spots = &told["hot_spots"];
    let (turf, treat) = (spots["turf_sq_ft"].as_f64().expect("turf"), spots["treat_sq_ft"].as_f64().expect("ground"));
    assert!(treat > 0.0 && treat < turf, "{treat} of {turf}: {:?}", codes(&told));
    let squares = spots["surface"]["squares"].as_array().expect("squares");
    let edge = spots["surface"]["square_m"].as_f64().expect("an edge");
    let sum: f64 = squares.iter().filter_map(|square| square["turf"].as_f64()).sum();
    // Nine places a square measure the turf to a hundredth or so.
    assert!((sum * edge * edge / (turf * 0.092_903_04) - 1.0).abs() < 0.03, "{sum} squares");
    assert!(!spots["next_places"].as_array().expect("places").is_empty());
    let mut by_map = order.clone();
    by_map["map"] = demo("alder-bend/property.geojson").into();
    by_map["survey"]["property"] = "01890000-0000-7000-8000-000000000000".into();
    assert_eq!(scouted(&client, by_map).await["hot_spots"], *spots);
    for (path, words) in [("/api/scouting/lines", "Stop lines"), ("/api/scouting/surface", "<svg")] {
        let response = client.ask("post", path, Some(order.clone())).await;
        assert_eq!(response.headers()["content-type"], "image/svg+xml", "{path}");
        assert!(response.text().await.expect("text").contains(words), "{path}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn too_few_places_and_too_many_have_no_surface_and_say_so() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let order = |survey: Value| json!({ "survey": survey, "threshold": threshold(), "ground": true });
    let few = scouted(&client, order(survey(&property, 7))).await;
    assert!(few["hot_spots"].is_null() && codes(&few).contains(&"scouting::surface-few"), "{few}");
    let picture = client.ask("post", "/api/scouting/surface", Some(order(survey(&property, 7)))).await;
    assert_eq!(refusal(picture).await.0, 422);
    let mut many = survey(&property, 0);
    let station = |index: i32| {
        let (column, row) = (f64::from(index % 20), f64::from(index / 20));
        let position = json!({ "longitude": -97.61998 + column * 1e-5, "latitude": 38.84002 + row * 1e-5 });
        json!({ "count": index % 5, "is_check": false, "position": position })
    };
    many["stations"] = (0..201).map(station).collect();
    let many = scouted(&client, order(many)).await;
    assert!(many["hot_spots"].is_null() && codes(&many).contains(&"scouting::surface-many"), "{:?}", codes(&many));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_held_against_each_other_is_refused_all_at_once() {
    let house = House::at_home().await;
    let client = house.client();
    let nobody = "01890000-0000-7000-8000-000000000000";
    let ask = async |order: Value| {
        let response = client.ask("post", "/api/scouting", Some(order)).await;
        let status = response.status().as_u16();
        let body: Value = response.json().await.expect("JSON");
        (status, codes(&body).join(" "))
    };
    let wrong = json!({
        "survey": survey(nobody, 0), "pest": "unicorn", "k": -1, "may_stay": 1, "in_vain_at": 1,
        "threshold": { "count": 0, "per": "a yard", "source": " " },
    });
    assert_eq!(
        ask(wrong).await,
        (
            422,
            "pest::unknown scouting::count-basis scouting::threshold scouting::threshold-source scouting::k \
             scouting::in-vain-at scouting::may-stay"
                .into()
        )
    );
    let flush =
        json!({ "survey": survey(nobody, 0), "threshold": { "count": 8, "per": "flush", "source": "invented" } });
    assert_eq!(ask(flush).await, (422, "scouting::basis".into()));
    let general = (422, "scouting::general-name scouting::several-thresholds".into());
    assert_eq!(ask(json!({ "survey": survey(nobody, 0) })).await, general);
    let mut unknown = survey(nobody, 0);
    unknown["pest"] = "unicorn".into();
    assert_eq!(ask(json!({ "survey": unknown })).await, (422, "scouting::no-threshold".into()));
    let mut adults = survey(nobody, 0);
    adults["stage"] = "adult".into();
    let nymphs = json!({ "count": 15, "per": "1 sq yd", "stage": "nymph", "source": "invented" });
    assert_eq!(ask(json!({ "survey": adults, "threshold": nymphs })).await, (422, "scouting::other-stage".into()));
    assert_eq!(ask(json!({ "threshold": threshold() })).await, (422, "scouting::no-counts".into()));
    let several = json!({ "survey": survey(nobody, 0), "pest": "two-striped-grasshopper" });
    assert_eq!(ask(several).await, (422, "scouting::several-thresholds".into()));
    // A threshold at which nothing could be reckoned in time.
    let much =
        json!({ "survey": survey(nobody, 0), "threshold": { "count": 1e12, "per": "sq ft", "source": "invented" } });
    assert_eq!(ask(much).await, (422, "scouting::stop-width".into()));
    let mut outside = survey(nobody, 9);
    outside["stations"][0]["position"]["latitude"] = 39.0.into();
    let map = demo("alder-bend/property.geojson");
    let outside = json!({ "survey": outside, "threshold": threshold(), "ground": true, "map": map });
    assert_eq!(ask(outside).await, (422, "scouting::outside".into()));
}

/// Twelve mounds on 0.1451 acre are 82.7 an acre, of 20.
#[tokio::test(flavor = "multi_thread")]
async fn mounds_are_held_against_the_level_above_which_to_broadcast() {
    let house = House::at_home().await;
    let client = house.client();
    let mut mounds = survey("01890000-0000-7000-8000-000000000000", 0);
    mounds["pest"] = "red imported fire ant".into();
    mounds["method"] = "mounds".into();
    mounds["count_area"] = "0.1451 acre".into();
    mounds["stations"] = json!([{ "count": 12, "is_check": false }]);
    let told = scouted(&client, json!({ "survey": mounds.clone() })).await;
    assert_eq!((&told["mounds"]["call"], &told["treat"]), (&json!("broadcast"), &json!(true)));
    assert!((told["mounds"]["per_acre"].as_f64().expect("a density") - 82.70).abs() < 0.005, "{told}");
    assert!(told["stop_lines"].is_null() && told["mean_per_sq_ft"].is_null());
    let lines = client.ask("post", "/api/scouting/lines", Some(json!({ "survey": mounds }))).await;
    assert_eq!(refusal(lines).await, (422, "scouting::no-lines".into()));
}

/// What is to be known of an interval the server says as the command does.
#[tokio::test(flavor = "multi_thread")]
async fn intervals_that_hold_less_or_are_wide_are_told() {
    let house = House::at_home().await;
    let client = house.client();
    let counted = |counts: &[u32]| {
        let mut survey = survey("01890000-0000-7000-8000-000000000000", 0);
        let stations = counts.iter().map(|count| json!({ "count": count, "is_check": false }));
        survey["stations"] = stations.collect();
        survey
    };
    for (counts, code) in [
        (&[4, 6, 3, 5][..], "scouting::interval-wide"),
        (&[0, 0, 21, 0, 1, 0, 0, 14, 0, 0, 0, 2], "scouting::interval-holds-less"),
    ] {
        let told = scouted(&client, json!({ "survey": counted(counts), "threshold": threshold() })).await;
        assert!(codes(&told).contains(&code), "{told}");
    }
    let mut parts = counted(&[3, 1, 4, 2, 0, 3]);
    (parts["pest"], parts["method"]) = ("red imported fire ant".into(), "mounds".into());
    parts["count_area"] = "500 sq ft".into();
    let told = scouted(&client, json!({ "survey": parts.clone() })).await;
    let wide = told["problems"].as_array().expect("problems").iter();
    let wide: Vec<&Value> = wide.filter(|one| one["code"] == "scouting::mounds-interval-wide").collect();
    let ends = [0, 1].map(|end| told["mounds"]["interval_per_acre"][end].as_f64().expect("an end"));
    let words = format!("`{:.1}` to `{:.1}` mounds per acre on the whole lawn is wider than need be", ends[0], ends[1]);
    assert!(matches!(wide[..], [one] if one["found"].as_str().is_some_and(|found| found.contains(&words))), "{told}");
    // A lawn that was walked whole leaves nothing open.
    parts["count_area"] = "0.05 acre".into();
    let order = json!({ "survey": parts, "map": demo("alder-bend/property.geojson"), "ground": true });
    let whole = scouted(&client, order).await;
    assert!(!codes(&whole).contains(&"scouting::mounds-interval-wide"), "{whole}");
}

/// A survey that is told per flush alone has no density on ground.
#[tokio::test(flavor = "multi_thread")]
async fn flushes_are_held_against_a_threshold_per_flush() {
    let house = House::at_home().await;
    let client = house.client();
    let mut flushes = survey("01890000-0000-7000-8000-000000000000", 0);
    flushes["method"] = "soap flush".into();
    flushes["count_area"] = Value::Null;
    flushes["count_per"] = "flush".into();
    let threshold = json!({ "count": 2, "per": "flush", "source": "invented" });
    let told = scouted(&client, json!({ "survey": flushes, "threshold": threshold })).await;
    assert_eq!((&told["stop"], &told["mean"], &told["mean_per_sq_ft"]), (&json!("treat"), &json!(4.75), &Value::Null));
}
