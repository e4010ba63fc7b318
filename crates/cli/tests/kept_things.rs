//! The business, surveys and planned visits in the books, end to end.

mod support;

use serde_json::Value;
use support::{Ran, Yard};

const VISIT: &str = "demo/alder-bend/visit.toml";
const SURVEY: &str = "demo/alder-bend/survey.toml";
const BUSINESS: &str = "demo/business.toml";

fn on_books(yard: &Yard, arguments: &[&str]) -> Ran {
    yard.run(&[arguments, &["--books", "lawns.db"][..]].concat())
}

/// What was kept, when it was.
fn kept(yard: &Yard, arguments: &[&str]) -> Value {
    let ran = on_books(yard, &[arguments, &["--json"][..]].concat());
    assert_eq!(ran.code, 0, "{}", ran.told());
    ran.json()
}

fn with_property() -> Yard {
    let yard = Yard::with_demo();
    kept(&yard, &["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend"]);
    yard
}

#[test]
fn a_business_is_kept_from_its_file_without_its_prices() {
    let yard = Yard::with_demo();
    let first = kept(&yard, &["business", "keep", BUSINESS, "--licence-until", "2026-12-31"]);
    assert_eq!((first["kind"].as_str(), first["version"].as_u64()), (Some("business"), Some(1)));
    let shown = on_books(&yard, &["business", "show", "Example Yard Care (invented)"]).json();
    assert_eq!(shown["format"], "tussock.kept-business/1");
    assert_eq!((shown["licence_until"].as_str(), shown["jurisdiction"].as_str()), (Some("2026-12-31"), Some("US-KS")));
    assert_eq!(shown["contacts"][0]["reach"], "620-555-0142");
    assert!(!shown.to_string().contains("58.00"), "{shown}");
    // The same again is the same; another day of the licence is a new version.
    let again = kept(&yard, &["business", "keep", BUSINESS, "--licence-until", "2026-12-31"]);
    assert_eq!((again["replayed"].as_bool(), again["version"].as_u64()), (Some(true), Some(1)));
    let renewed = kept(&yard, &["business", "keep", BUSINESS, "--licence-until", "2027-12-31"]);
    assert_eq!((renewed["version"].as_u64(), &renewed["thing"]), (Some(2), &first["thing"]));
    // What it prints is what it takes.
    yard.write("business.json", on_books(&yard, &["business", "show", "Example Yard Care (invented)"]).stdout);
    assert_eq!(kept(&yard, &["business", "keep", "business.json"])["replayed"], true);
    // Prices are kept where that is said, and stay then.
    kept(&yard, &["business", "keep", BUSINESS, "--prices"]);
    let priced = on_books(&yard, &["business", "show", "Example Yard Care (invented)"]).json();
    assert_eq!(priced["prices"], yard.read(BUSINESS));
    kept(&yard, &["business", "keep", BUSINESS, "--insured-until", "2027-01-31"]);
    let still = on_books(&yard, &["business", "show", "Example Yard Care (invented)"]).json();
    assert_eq!((&still["prices"], still["insured_until"].as_str()), (&priced["prices"], Some("2027-01-31")));
}

#[test]
fn a_visit_rests_on_a_kept_survey_with_the_threshold_that_was_chosen() {
    let yard = with_property();
    let survey = "demo/alder-bend/places.toml";
    let threshold = "[threshold]\ncount = 8\nper = \"1 sq yd\"\nplace = \"rangeland\"\nsource = \"Parker 1930\"\n\n";
    let text = yard.read(survey).replacen("[[station]]", &format!("{threshold}[[station]]"), 1);
    yard.write(survey, text);
    // The command reads the threshold again.
    let scouted = yard.run(&["scout", survey, "--json"]).json();
    assert_eq!(scouted["threshold"]["source"], "rangeland; Parker 1930");
    let first = kept(&yard, &["survey", "keep", survey]);
    let visit = "demo/alder-bend/spots.visit.toml";
    yard.change(visit, "property = \"property.geojson\"", "property = \"books:property/Alder Bend\"");
    yard.change(visit, "\"places.toml\"", "\"books:survey/Alder Bend/grasshopper 2026-07-06\"");
    let stated = yard.read(visit).lines().find(|line| line.starts_with("threshold")).expect("one").to_owned();
    yard.change(visit, &stated, "");
    kept(&yard, &["business", "keep", BUSINESS, "--prices"]);
    let planned = on_books(&yard, &["plan", visit, "--json"]);
    let document = planned.json();
    assert_eq!(planned.code, 0, "{}", planned.told());
    let finding = &document["finding"];
    // The lawn as a whole is not decided; spots of it are shown.
    assert_eq!((finding["call"].as_str(), finding["counts"].as_u64()), (Some("count-on"), Some(30)), "{finding}");
    assert_eq!(finding["threshold_source"], "rangeland; Parker 1930");
    assert_eq!(finding["survey"], "books:survey/Alder Bend/grasshopper 2026-07-06");
    // Money of both ways by the kept prices, as by the file.
    let costs = |document: &Value| {
        ["broadcast", "spots"].map(|way| document["side_by_side"][0][way]["products"][0]["cost"].clone())
    };
    let by_file = on_books(&yard, &["plan", visit, "--json", "--business", BUSINESS]).json();
    assert!(costs(&document)[0].is_string(), "{document}");
    assert_eq!(costs(&document), costs(&by_file));
    // A wrong name tells what there is; of two surveys of one day each is called with its method.
    yard.change(visit, "grasshopper 2026-07-06", "grasshopper 2026-07-07");
    let wrong = on_books(&yard, &["plan", visit]);
    assert!(wrong.code == 1 && wrong.stderr.contains("survey/alder bend/grasshopper 2026-07-06"), "{}", wrong.told());
    yard.change(survey, "method = \"frame\"", "method = \"soap flush\"");
    let second = kept(&yard, &["survey", "keep", survey]);
    assert_ne!(first["thing"], second["thing"]);
    yard.change(visit, "grasshopper 2026-07-07", "grasshopper 2026-07-06");
    let several = on_books(&yard, &["plan", visit]);
    assert!(several.code == 1 && several.stderr.contains("2026-07-06 (frame)"), "{}", several.told());
    yard.change(visit, "grasshopper 2026-07-06", "grasshopper 2026-07-06 (soap flush)");
    assert_eq!(on_books(&yard, &["plan", visit, "--json"]).code, 0);
}

#[test]
fn a_wrong_business_is_told_whole_and_not_kept() {
    let yard = Yard::with_demo();
    yard.change(BUSINESS, "telephone =", "telefone =");
    yard.change(BUSINESS, "hourly = \"58.00\"", "hourly = \"$58\"");
    let ran = on_books(&yard, &["business", "keep", BUSINESS]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    for part in ["telefone", "money::amount", "demo/business.toml:"] {
        assert!(ran.stderr.contains(part), "{part} in {}", ran.stderr);
    }
    yard.write("business.json", "{ \"format\": \"tussock.kept-business/1\", \"nme\": 3 }");
    let ran = on_books(&yard, &["business", "keep", "business.json", "--json"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(ran.json()["problems"].as_array().is_some_and(|problems| problems.len() >= 2), "{}", ran.stdout);
    // Nothing was kept, so that no books were made.
    assert!(on_books(&yard, &["business", "list"]).stderr.contains("ledger::no-ledger"));
}

#[test]
fn a_survey_belongs_to_its_property_and_is_one_for_a_day_a_pest_and_a_method() {
    let yard = with_property();
    let property = kept(&yard, &["property", "list"])["things"][0]["thing"].clone();
    let first = kept(&yard, &["survey", "keep", SURVEY]);
    assert_eq!(first["title"], "grasshopper at 23 stations");
    let name = first["thing"].as_str().expect("a name").to_owned();
    let shown = on_books(&yard, &["survey", "show", &name]);
    let document = shown.json();
    assert_eq!((document["format"].as_str(), &document["property"]), (Some("tussock.kept-survey/1"), &property));
    assert_eq!(document["stations"].as_array().map(Vec::len), Some(23));
    assert_eq!(document["stations"][22]["position"]["longitude"], -97.61965);

    // Counted once more: a new version, whatever the number of stations. Another day is another survey.
    yard.change(SURVEY, "check_counts = [3, 2, 4, 3]", "check_counts = [3, 2, 4]");
    let again = kept(&yard, &["survey", "keep", SURVEY]);
    assert_eq!((&again["thing"], again["version"].as_u64()), (&first["thing"], Some(2)));
    yard.change(SURVEY, "2026-07-06", "2026-07-20");
    let later = kept(&yard, &["survey", "keep", SURVEY]);
    assert_eq!(later["version"], 1);
    assert_ne!(later["thing"], first["thing"]);
    let listed = kept(&yard, &["survey", "list"]);
    assert_eq!(listed["things"].as_array().map(Vec::len), Some(2));

    // The document that is printed is taken, too.
    yard.write("survey.json", on_books(&yard, &["survey", "show", &name]).stdout);
    assert_eq!(kept(&yard, &["survey", "keep", "survey.json"])["replayed"], true);
}

#[test]
fn a_survey_of_unknown_ground_is_refused_with_the_way_out() {
    let yard = Yard::with_demo();
    let ran = on_books(&yard, &["survey", "keep", SURVEY, "--json"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    let problem = &ran.json()["problems"][0];
    assert_eq!((problem["code"].as_str(), problem["file"].as_str()), (Some("trade::unknown-name"), Some(SURVEY)));
    assert!(ran.stderr.contains("tussock property keep"), "{}", ran.stderr);
    let other = "01997fb2-7a4e-7c11-8b52-6f0d6a3c9e01";
    let document = serde_json::json!({ "format": "tussock.kept-survey/1", "property": other, "date": "2026-07-06",
        "pest": "grasshopper", "method": "frame", "count_area": "1 sq ft", "by": "J. Example",
        "stations": [{ "count": 1, "is_check": false }] });
    yard.write("survey.json", document.to_string());
    let ran = on_books(&yard, &["survey", "keep", "survey.json"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(ran.stderr.contains("trade::unknown-name"), "{}", ran.stderr);
    // Everything wrong in the file is told, and nothing is asked of the books before.
    yard.change(SURVEY, "count_area = \"1 sq ft\"", "count_area = \"1 lb\"");
    yard.change(SURVEY, "by = ", "from = ");
    let ran = on_books(&yard, &["survey", "keep", SURVEY]);
    for part in ["count_area", "`by` is missing", "`from` is no field"] {
        assert!(ran.stderr.contains(part), "{part} in {}", ran.stderr);
    }
    assert!(on_books(&yard, &["survey", "list"]).stdout.contains("the books keep no survey"));
}

#[test]
fn a_visit_is_kept_with_everything_that_it_was_planned_from() {
    let yard = with_property();
    let property = kept(&yard, &["property", "list"])["things"][0]["thing"].clone();
    yard.change(VISIT, "property = \"property.geojson\"", "property = \"books:property/Alder Bend\"");
    let first = kept(&yard, &["visit", "keep", VISIT]);
    assert_eq!((first["kind"].as_str(), first["title"].as_str()), (Some("visit"), Some("Alder Bend")));
    let document = on_books(&yard, &["visit", "show", "Alder Bend"]).json();
    assert_eq!((document["format"].as_str(), &document["property"]), (Some("tussock.kept-visit/1"), &property));
    assert_eq!(document["request"], yard.read(VISIT));
    let files = document["files"].as_object().expect("files");
    assert_eq!(files["books:property/Alder Bend"], yard.read("demo/alder-bend/property.geojson"));
    assert_eq!(files["forecast.csv"], yard.read("demo/alder-bend/forecast.csv"));
    assert_eq!(files.len(), 7, "{:?}", files.keys());
    let planned = on_books(&yard, &["plan", VISIT, "--json"]).json();
    assert_eq!(document["result"]["verdict"], planned["verdict"]);
    assert_eq!(document["result"]["spray_litres"], planned["spray_l"]);

    assert_eq!(kept(&yard, &["visit", "keep", VISIT])["replayed"], true);
    yard.change(VISIT, "id = \"hedge\"", "id = \"hedge-by-the-walk\"");
    let again = kept(&yard, &["visit", "keep", VISIT]);
    assert_eq!((&again["thing"], again["version"].as_u64()), (&first["thing"], Some(2)));
    assert_eq!(kept(&yard, &["visit", "list"])["things"].as_array().map(Vec::len), Some(1));
}

#[test]
fn a_refused_visit_is_kept_and_says_so() {
    let yard = Yard::with_demo();
    yard.change(VISIT, "\"0.55 fl oz/1,000 sq ft\"", "\"0.8 fl oz/1,000 sq ft\"");
    let ran = on_books(&yard, &["visit", "keep", VISIT, "--json"]);
    assert_eq!((ran.code, ran.json()["version"].as_u64()), (3, Some(1)), "{}", ran.told());
    let document = on_books(&yard, &["visit", "show", "Alder Bend"]).json();
    assert_eq!(document["result"]["verdict"], "refused");
    // One that cannot be planned is not kept.
    yard.change(VISIT, "id = \"lawn\"", "id = \"lawn\"\nsise = 3");
    yard.change(VISIT, "date = 2026-07-07", "date = 2026-07-08");
    let ran = on_books(&yard, &["visit", "keep", VISIT]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(ran.stderr.contains("sise"), "{}", ran.stderr);
    assert_eq!(kept(&yard, &["visit", "list"])["things"].as_array().map(Vec::len), Some(1));
}

#[test]
fn the_variable_names_the_books_and_the_argument_wins() {
    let yard = with_property();
    let listed = yard.run_where("lawns.db", &["property", "list"]);
    assert!(listed.code == 0 && listed.stdout.contains("Alder Bend"), "{}", listed.told());
    let other = yard.run_where("lawns.db", &["property", "list", "--books", "other.db"]);
    assert!(other.stderr.contains("ledger::no-ledger") && !yard.path("other.db").exists(), "{}", other.told());
    // A plan looks there, too.
    yard.change(VISIT, "property = \"property.geojson\"", "property = \"books:property/Alder Bend\"");
    assert_eq!(yard.run_where("lawns.db", &["plan", VISIT, "--json"]).code, 0);
    assert_eq!(yard.run_where("lawns.db", &["plan", VISIT, "--json", "--books", "other.db"]).code, 1);
    assert_eq!(yard.run_where("", &["plan", VISIT, "--json"]).code, 1);
    // An account of no books is nobody's.
    let ran = yard.run(&["plan", VISIT, "--account", "home", "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("books::not-named")));
}
