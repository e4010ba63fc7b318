//! What a survey says of its threshold and of the profile by which it was judged, over HTTP; and a visit that rests on one.

use crate::support::{Client, House};
use crate::trade::{keep, made, order, property_of, told};
use serde_json::{Value, json};

/// Counts of one station each, on a square foot.
fn survey(property: &str, pest: &str, counts: &[u32]) -> Value {
    let stations = counts.iter().map(|count| json!({ "count": count, "is_check": false }));
    json!({
        "format": "tussock.kept-survey/1", "property": property, "date": "2026-07-06", "pest": pest, "method": "sod cut",
        "count_area": "1 sq ft", "by": "J. Example", "stations": stations.collect::<Vec<_>>(),
    })
}

async fn posted(client: &Client, path: &str, order: Value) -> (u16, Value) {
    let response = client.ask("post", path, Some(order)).await;
    (response.status().as_u16(), response.json().await.expect("JSON"))
}

/// Code and field of what is wrong.
fn wrong(body: &Value) -> Vec<(&str, &str)> {
    let problems = body["problems"].as_array().into_iter().flatten();
    problems.filter_map(|one| Some((one["code"].as_str()?, one["path"].as_str().unwrap_or_default()))).collect()
}

/// Verdicts of a plan by rule.
fn verdicts<'v>(plan: &'v Value, rule: &str) -> Vec<&'v Value> {
    let of = |list: &'v Value| list.as_array().into_iter().flatten();
    let of_tasks = of(&plan["visit"]["tasks"]).flat_map(|task| of(&task["verdicts"]));
    of(&plan["visit"]["verdicts"]).chain(of_tasks).filter(|one| one["rule"] == rule).collect()
}

/// The demo's visit with another finding.
async fn planned(client: &Client, finding: &str) -> Value {
    let mut order = order();
    let text = order["visit"].as_str().expect("a visit").to_owned();
    let (from, to) = (text.find("[finding]").expect("a finding"), text.find("[[task]]").expect("a task"));
    order["visit"] = format!("{}[finding]\nbasis = \"dug up\"\n{finding}\n{}", &text[..from], &text[to..]).into();
    let (status, plan) = posted(client, "/api/plan", order).await;
    assert_eq!(status, 200, "{plan}");
    plan
}

/// Five mounds on a quarter acre are no five animals on it, whether they are sent, kept or told beside the counts.
#[tokio::test(flavor = "multi_thread")]
async fn a_threshold_of_mounds_is_not_held_against_animals() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let level = |of: &str| json!({ "count": 5, "of": of, "per": "0.25 acre", "source": "invented" });
    for (method, counted, other) in [("frame", "animals", "mounds"), ("mounds", "mounds", "animals")] {
        let mut survey = survey(&property, "red imported fire ant", &[12]);
        survey["method"] = method.into();
        survey["count_area"] = "0.1451 acre".into();
        let order = json!({ "survey": survey.clone(), "threshold": level(other) });
        let (status, body) = posted(&client, "/api/scouting", order).await;
        assert_eq!((status, wrong(&body)), (422, vec![("survey::threshold-of", "threshold.of")]), "{body}");
        survey["threshold"] = level(other);
        let (status, body) = posted(&client, "/api/scouting", json!({ "survey": survey.clone() })).await;
        assert_eq!((status, wrong(&body)), (422, vec![("survey::threshold-of", "/survey/threshold/of")]), "{body}");
        let response = keep(&client, "/api/surveys", &survey).await;
        let status = response.status().as_u16();
        let body: Value = response.json().await.expect("JSON");
        assert_eq!((status, wrong(&body)), (422, vec![("survey::threshold-of", "/threshold/of")]), "{body}");
        // Of what was counted it is kept as it was told, and used.
        survey["threshold"] = level(counted);
        survey["date"] = if method == "frame" { "2026-07-06" } else { "2026-07-05" }.into();
        let thing = made(&client, "/api/surveys", &survey).await;
        let kept = told(&client, &format!("/api/surveys/{thing}")).await;
        assert_eq!(kept["threshold"]["of"], counted);
        assert_eq!(kept["profile"], Value::Null);
        let (status, body) = posted(&client, "/api/scouting", json!({ "kept": thing })).await;
        assert_eq!((status, body["mounds"].is_object()), (200, counted == "mounds"), "{body}");
        // Left out it is what was counted, which is said.
        survey["threshold"].as_object_mut().expect("fields").remove("of");
        let kept: Value = keep(&client, "/api/surveys", &survey).await.json().await.expect("JSON");
        assert_eq!(kept["warnings"][0]["path"], "/threshold/of", "{kept}");
        let (status, body) = posted(&client, "/api/scouting", json!({ "survey": survey })).await;
        let untold = ("survey::threshold-of-untold", "/survey/threshold/of");
        assert!(status == 200 && wrong(&body).contains(&untold), "{body}");
    }
}

/// Of a general word the profile by which the counts were judged tells the threshold, here and in a visit.
#[tokio::test(flavor = "multi_thread")]
async fn the_profile_of_a_survey_is_read_back_and_used() {
    let house = House::at_home().await;
    let client = house.client();
    let property = made(&client, "/api/properties", &property_of(None)).await;
    let mut larvae = survey(&property, "billbug", &[30, 28, 35, 31, 29, 40]);
    larvae["stage"] = "larva".into();
    let (status, general) = posted(&client, "/api/scouting", json!({ "survey": larvae.clone() })).await;
    let codes: Vec<&str> = wrong(&general).into_iter().map(|(code, _)| code).collect();
    assert_eq!((status, codes), (422, vec!["scouting::general-name", "scouting::several-thresholds"]), "{general}");
    larvae["profile"] = "bluegrass-billbug".into();
    let thing = made(&client, "/api/surveys", &larvae).await;
    assert_eq!(told(&client, &format!("/api/surveys/{thing}")).await["profile"], "bluegrass-billbug");
    let (status, judged) = posted(&client, "/api/scouting", json!({ "kept": thing })).await;
    assert_eq!(
        (status, &judged["threshold"]["count"], &judged["treat"]),
        (200, &json!(10.0), &json!(true)),
        "{judged}"
    );
    // One of another pest is none of it.
    larvae["profile"] = "southern-chinch-bug".into();
    let (status, other) = posted(&client, "/api/scouting", json!({ "survey": larvae })).await;
    assert!(status == 422 && wrong(&other).iter().any(|(code, _)| *code == "scouting::several-thresholds"), "{other}");
    let plan = planned(&client, "pest = \"billbug\"\nsurvey = \"books:survey/Alder Bend/billbug 2026-07-06\"").await;
    let finding = &plan["visit"]["finding"];
    assert_eq!((&finding["profile"], &finding["call"]), (&json!("bluegrass-billbug"), &json!("treat")), "{finding}");
    assert!(
        finding["threshold_source"].as_str().is_some_and(|source| source.contains("northern Illinois")),
        "{finding}"
    );
}

/// A visit says whose k its stop lines go by, in the words of the scouting.
#[tokio::test(flavor = "multi_thread")]
async fn a_visit_says_that_it_used_the_k_of_a_profile() {
    let house = House::at_home().await;
    let client = house.client();
    let told = |area: &str| {
        format!(
            "pest = \"May or June beetle grub\"\ncounts = [2, 5, 1, 4, 3]\ncount_area = \"{area}\"\n\
             threshold = {{ count = 4, area = \"1 sq ft\", source = \"invented\" }}"
        )
    };
    let plan = planned(&client, &told("1 sq ft")).await;
    let of_profile = verdicts(&plan, "finding::k-of-profile");
    let [one] = of_profile[..] else { panic!("{plan}") };
    let grubs = survey("01890000-0000-7000-8000-000000000000", "May or June beetle grub", &[2, 5, 1, 4, 3]);
    let threshold = json!({ "count": 4, "per": "1 sq ft", "source": "invented" });
    let (_, scouted) = posted(&client, "/api/scouting", json!({ "survey": grubs, "threshold": threshold })).await;
    let said = scouted["problems"].as_array().into_iter().flatten().find(|one| one["code"] == "scouting::k-of-profile");
    let said = said.and_then(|said| said["found"].as_str()).expect("said");
    assert!(one["status"] == "caution" && one["text"].as_str().is_some_and(|text| text.starts_with(said)), "{one}");
    let plan = planned(&client, &told("0.2 sq ft")).await;
    assert_eq!(
        [verdicts(&plan, "finding::k-of-other-area").len(), verdicts(&plan, "finding::k-of-profile").len()],
        [1, 0]
    );
}

/// The profile has thresholds on a square foot alone: traps are held against none of them, and are no reason to treat.
#[tokio::test(flavor = "multi_thread")]
async fn counts_that_the_profile_has_no_threshold_for_refuse_the_visit() {
    let house = House::at_home().await;
    let client = house.client();
    let trapped = |more: &str| {
        format!(
            "pest = \"billbug\"\nprofile = \"bluegrass-billbug\"\ncounts = [9, 8, 12]\ncount_per = \"trap\"\n{more}"
        )
    };
    let plan = planned(&client, &trapped("")).await;
    assert_eq!(
        (&plan["visit"]["finding"]["call"], &plan["visit"]["verdict"]),
        (&json!("not-shown"), &json!("refused"))
    );
    let refused = verdicts(&plan, "finding::counts");
    let text = refused.first().and_then(|one| one["text"].as_str()).unwrap_or_default();
    assert!(refused[0]["status"] == "refused" && text.contains("has no threshold for counts `per trap`"), "{text}");
    // As the scouting refuses them.
    let mut traps = survey("01890000-0000-7000-8000-000000000000", "bluegrass billbug", &[9, 8, 12]);
    (traps["count_area"], traps["count_per"]) = (Value::Null, "trap".into());
    let (status, body) = posted(&client, "/api/scouting", json!({ "survey": traps })).await;
    assert_eq!((status, wrong(&body)), (422, vec![("scouting::no-threshold", "threshold")]), "{body}");
    let plan = planned(&client, &trapped("preventive = true")).await;
    assert_eq!(verdicts(&plan, "finding::counts")[0]["status"], "caution", "{plan}");
}
