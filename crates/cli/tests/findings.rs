//! The finding of a visit: when the plan refuses for want of need, and what spots take beside broadcast.

mod support;

use serde_json::Value;
use support::{Ran, Yard};

const VISIT: &str = "demo/alder-bend/visit.toml";
const SPOTS: &str = "demo/alder-bend/spots.visit.toml";
const COUNTS: &str = "counts = [2, 1, 3, 0, 2, 4, 1, 2, 3, 5, 2, 1, 0, 3, 4, 2, 1, 2]";

fn planned(yard: &Yard, visit: &str) -> (Ran, Value) {
    let told = yard.run(&["plan", visit, "--out", "planned", "--no-pdf"]);
    let json = yard.run(&["plan", visit, "--json"]).json();
    (told, json)
}

fn rules<'v>(visit: &'v Value, rule: &str, status: &str) -> Vec<&'v Value> {
    let of = |list: &'v Value| list.as_array().into_iter().flatten();
    let of_tasks = of(&visit["tasks"]).flat_map(|task| of(&task["verdicts"]));
    of(&visit["verdicts"]).chain(of_tasks).filter(|one| one["rule"] == rule && one["status"] == status).collect()
}

#[test]
fn the_demo_names_what_justifies_it() {
    let yard = Yard::with_demo();
    let (told, visit) = planned(&yard, VISIT);
    assert_eq!(told.code, 0, "{}", told.told());
    assert!(told.stdout.contains("treat. For perimeter, hedge, lawn"), "{}", told.stdout);
    assert_eq!(visit["finding"]["call"], "treat");
    assert!(visit["tasks"].as_array().is_some_and(|tasks| tasks.iter().all(|task| task["finding"] == "grasshopper")));
    assert_eq!(rules(&visit, "finding::threshold", "allowed").len(), 1);
}

#[test]
fn below_the_threshold_nothing_is_applied() {
    let yard = Yard::with_demo();
    yard.change(VISIT, COUNTS, "counts = [0, 0, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]");
    let (told, visit) = planned(&yard, VISIT);
    assert_eq!((told.code, visit["finding"]["call"].as_str()), (3, Some("do-not-treat")), "{}", told.told());
    assert_eq!(rules(&visit, "finding::threshold", "refused").len(), 3);
    let refused = told.stdout.split("\nFound\n").next().unwrap_or_default();
    insta::assert_snapshot!("below-threshold", refused);
}

#[test]
fn undecided_it_says_how_many_more() {
    let yard = Yard::with_demo();
    yard.change(VISIT, COUNTS, "counts = [1, 0, 2, 0, 1]");
    let (told, visit) = planned(&yard, VISIT);
    let more = visit["finding"]["more_counts"].as_u64().expect("more counts");
    assert_eq!((told.code, visit["finding"]["call"].as_str()), (3, Some("count-on")));
    assert!(told.stdout.contains(&format!("count at about {more} more station")), "{}", told.stdout);
}

/// Counted by traps against a threshold on ground: no reason to treat, as `scout` says; and as little where there are none.
#[test]
fn counts_on_another_basis_than_the_threshold_refuse_the_visit() {
    for counts in ["counts = [9, 8, 12, 9, 11, 10]", "counts = [0, 0, 0, 0, 0, 0]"] {
        let yard = Yard::with_demo();
        yard.change(VISIT, COUNTS, counts);
        yard.change(VISIT, "count_area = \"1 sq ft\"", "count_per = \"3 trap nights\"");
        let (told, visit) = planned(&yard, VISIT);
        assert_eq!((told.code, visit["finding"]["call"].as_str()), (3, Some("not-shown")), "{}", told.told());
        let refused = rules(&visit, "finding::counts", "refused");
        let text = refused.first().and_then(|one| one["text"].as_str()).unwrap_or_default();
        assert!(
            text.starts_with("counts are `per 3 trap nights` and the threshold is `per 9 sq ft`"),
            "{}",
            told.told()
        );
    }
}

/// Mounds are no animals: a threshold that says which it counts is not taken for the other.
#[test]
fn mounds_are_held_against_no_threshold_of_animals() {
    let yard = Yard::with_demo();
    let demo = yard.read(VISIT);
    let of = |of: &str| {
        let text = demo.replace(COUNTS, "counts = [12]\nmethod = \"mounds\"");
        let text = text.replace("count_area = \"1 sq ft\"", "count_area = \"0.1451 acre\"");
        yard.write(VISIT, text.replace("threshold = { count = 8,", &format!("threshold = {{ count = 8, {of}")));
        planned(&yard, VISIT)
    };
    let (told, visit) = of("of = \"animals\", ");
    assert_eq!((told.code, rules(&visit, "finding::counts", "refused").len()), (3, 1), "{}", told.told());
    for mounds in ["", "of = \"mounds\", "] {
        let (told, visit) = of(mounds);
        assert_eq!(rules(&visit, "finding::counts", "refused").len(), 0, "{}", told.told());
    }
}

/// Of a general word the profiles of all its kinds tell what they tell alike, which is said.
#[test]
fn a_pest_that_is_named_by_a_general_word_is_told() {
    let yard = Yard::with_demo();
    let text = yard.read(VISIT);
    let line = |start: &str| text.lines().find(|line| line.starts_with(start)).expect(start).to_owned();
    yard.change(VISIT, &line("threshold = "), "");
    yard.change(VISIT, &line("profile = "), "");
    let told = yard.run(&["plan", VISIT, "--no-pdf"]);
    assert!(
        told.stderr.contains("visit::general-name") && told.stderr.contains("two-striped-grasshopper"),
        "{}",
        told.told()
    );
}

/// A visit of granules against grubs that nobody has seen.
fn against_grubs(yard: &Yard, label: &str) {
    let text = yard.read(VISIT);
    let end = text.find("[finding]").expect("a finding");
    let setbacks = text.find("# Distances that").expect("setbacks");
    let finding = "[finding]\npest = \"white grub\"\nbasis = \"beetles swarmed in June\"\ncounts = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0]\n\
                   count_area = \"0.25 sq ft\"\npreventive = true\n\
                   threshold = { count = 8, area = \"1 sq ft\", place = \"invented\", source = \"invented\" }\n";
    let task = "[[task]]\nid = \"grubs\"\nmethod = \"granular-broadcast\"\nlabel = \"gravelhome-gr\"\nrate = \"lowest\"\n\
                equipment = \"spreader\"\ntarget = { site = \"turf\" }\n\n";
    let spreader = "\n[[equipment]]\nid = \"spreader\"\nkind = \"drop-spreader\"\nhopper = \"25 lb\"\ngraduations = [\"1 g\"]\n\
                    walking_speed = \"3 mph\"\nswath = \"22 in\"\n";
    yard.write("demo/alder-bend/equipment.toml", yard.read("demo/alder-bend/equipment.toml") + spreader);
    yard.write(VISIT, format!("{}{finding}{task}{}", &text[..end], &text[setbacks..]));
    yard.write("demo/labels/gravelhome-gr.toml", label);
}

#[test]
fn prevention_goes_by_a_sentence_of_the_label() {
    let yard = Yard::with_demo();
    let label = yard.read("demo/labels/gravelhome-gr.toml");
    against_grubs(&yard, &label);
    let (told, visit) = planned(&yard, VISIT);
    let allowed = rules(&visit, "finding::preventive", "allowed");
    assert_eq!(allowed.len(), 1, "{}", told.told());
    assert!(allowed[0]["clause"].as_str().is_some_and(|clause| clause.contains("need not be seen first")));
    assert!(rules(&visit, "finding::threshold", "refused").is_empty());
    // Without the sentence the claim alone permits nothing.
    let start = label.find("[use.preventive]").expect("the sentence");
    yard.write("demo/labels/gravelhome-gr.toml", &label[..start]);
    let (told, visit) = planned(&yard, VISIT);
    let refused = rules(&visit, "finding::preventive", "refused");
    assert_eq!((told.code, refused.len()), (3, 1), "{}", told.told());
    let text = refused[0]["text"].as_str().unwrap_or_default();
    assert!(text.contains("no sentence of use `turf-granular` permits that against white grub"), "{text}");
}

#[test]
fn a_stage_that_the_label_does_not_claim_tells_the_next_dates() {
    let yard = Yard::with_demo();
    yard.change(VISIT, "stage = \"nymph\"", "stage = \"adult\"");
    let (told, visit) = planned(&yard, VISIT);
    assert_eq!(told.code, 0, "{}", told.told());
    // The lawn's use claims nymphs; the others name no stage, and the profile says that adults are hard to reach.
    let claimed = rules(&visit, "use::stage", "caution");
    assert_eq!((claimed.len(), claimed[0]["concerns"].as_str()), (1, Some("lawn")));
    assert_eq!(rules(&visit, "stage::seldom-reached", "caution").len(), 2);
    let dates = "nymph is usual until 2026-07-31 and from 2027-05-01 to 2027-07-31";
    assert!(claimed[0]["mend"].as_str().is_some_and(|mend| mend.contains(dates)), "{claimed:?}");
}

#[test]
fn spots_stand_beside_broadcast_with_the_same_numbers_everywhere() {
    let yard = Yard::with_demo();
    // At a threshold that the whole lawn reaches there are spots in several places.
    yard.change(SPOTS, "count = 8, area", "count = 6, area");
    let told = yard.run(&["plan", SPOTS, "--out", "planned", "--no-pdf", "--business", "demo/business.toml"]);
    assert_eq!(told.code, 0, "{}", told.told());
    let visit: Value = serde_json::from_str(&yard.read("planned/visit.json")).expect("JSON");
    let both = &visit["side_by_side"][0];
    let number = |value: &Value| value.as_f64().expect("a number");
    let (spots, broadcast) = (number(&both["spots"]["area_m2"]), number(&both["broadcast"]["area_m2"]));
    let zones: Vec<&Value> =
        visit["zones"].as_array().expect("zones").iter().filter(|zone| zone["task"] == "spots").collect();
    let sum: f64 = zones.iter().map(|zone| number(&zone["area_m2"])).sum();
    assert!((sum / spots - 1.0).abs() < 1e-9 && zones.len() > 1 && spots < broadcast, "{both}");
    assert!((number(&visit["tasks"][0]["ground_m2"]) / spots - 1.0).abs() < 1e-9);
    let of = |way: &str, field: &str| number(&both[way]["products"][0][field]);
    assert!((of("spots", "product_ml") / of("broadcast", "product_ml") / (spots / broadcast) - 1.0).abs() < 1e-9);
    assert!((of("spots", "product_ml") / number(&visit["tasks"][0]["product_ml"]) - 1.0).abs() < 1e-9);
    let grams = |way: &str| number(&both[way]["products"][0]["active_ingredients"][0]["mass_g"]);
    // 1 lb/gal is 119.826 g/L.
    assert!((grams("spots") / (of("spots", "product_ml") * 0.119_826_427) - 1.0).abs() < 1e-6);
    // The dearer of two lots, 192.00 USD the gallon of 3785.41 mL.
    let cost = |way: &str| both[way]["products"][0]["cost"].as_str().expect("a cost").to_owned();
    for way in ["spots", "broadcast"] {
        let dollars = of(way, "product_ml") / 3_785.411_784 * 192.0;
        assert_eq!(cost(way), format!("{dollars:.2} USD"));
        assert!(told.stdout.contains(&cost(way)), "{}", told.stdout);
    }
    let geojson: Value = serde_json::from_str(&yard.read("planned/zones.geojson")).expect("JSON");
    let drawn = geojson["features"].as_array().expect("features").iter();
    assert_eq!(drawn.filter(|one| one["properties"]["task"] == "spots").count(), zones.len());
}

#[test]
fn a_survey_of_another_day_is_told() {
    let yard = Yard::with_demo();
    let survey = "demo/alder-bend/places.toml";
    yard.change(survey, "date = 2026-07-06", "date = 2026-06-01");
    let (told, visit) = planned(&yard, SPOTS);
    assert_eq!(told.code, 0, "{}", told.told());
    let old = rules(&visit, "finding::survey-old", "caution");
    assert!(old[0]["text"].as_str().is_some_and(|text| text.contains("36 days before the visit")), "{old:?}");
    yard.change(survey, "date = 2026-06-01", "date = 2026-07-08");
    let later = yard.run(&["plan", SPOTS, "--no-pdf"]);
    assert!(later.code == 1 && later.stderr.contains("visit::survey-later"), "{}", later.told());
    yard.change(SPOTS, "\"places.toml\"", "\"no-places.toml\"");
    let unknown = yard.run(&["plan", SPOTS, "--no-pdf"]);
    assert!(unknown.code == 1 && unknown.stderr.contains("visit::unread-file"), "{}", unknown.told());
}

#[test]
fn the_record_keeps_the_counts_of_the_survey() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["record", SPOTS, "--books", "books.db", "--by", "J. Example"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    let shown = yard.run(&["record", "show", "Alder Bend by spots", "--books", "books.db", "--json"]).json();
    let counts = shown["target_counts"].to_string();
    assert!(counts.contains("grasshopper") && counts.contains("11"), "{shown}");
}
