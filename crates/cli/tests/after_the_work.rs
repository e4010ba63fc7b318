//! What is made of a record, and what is asked while the tank is still in hand, end to end.

mod support;

use support::{Ran, Yard};

const VISIT: &str = "demo/alder-bend/visit.toml";
const ACTUAL: &str = "demo/alder-bend/as-applied.toml";
const PAPERS: [&str; 4] = ["--business", "demo/business.toml", "--client", "demo/alder-bend/client.toml"];

fn on_books(yard: &Yard, arguments: &[&str]) -> Ran {
    yard.run(&[arguments, &["--books", "lawns.db"][..]].concat())
}

fn done(yard: &Yard, arguments: &[&str]) -> Ran {
    let ran = on_books(yard, arguments);
    assert_eq!(ran.code, 0, "{}", ran.told());
    ran
}

fn sheet(yard: &Yard, more: &[&str]) -> Ran {
    on_books(yard, &[&["record", "sheet", "Alder Bend"], &PAPERS[..], more].concat())
}

fn recorded() -> Yard {
    let yard = Yard::with_demo();
    done(&yard, &["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend"]);
    done(&yard, &["label", "keep", "demo/labels/brackwater-sc.toml"]);
    done(&yard, &["record", VISIT, "--actual", ACTUAL]);
    yard
}

/// Whom the record does not name is not told of somebody else's lawn without a word.
#[test]
fn a_sheet_for_another_client_than_the_records_says_so() {
    let yard = recorded();
    let own = sheet(&yard, &["--json"]);
    assert!(!own.stderr.contains("papers::other-client"), "{}", own.told());
    yard.change("demo/alder-bend/client.toml", "A. Example (invented)", "B. Example (invented)");
    let other = sheet(&yard, &["--json"]);
    assert_eq!(other.code, 0, "{}", other.told());
    assert!(other.stderr.contains("papers::other-client"), "{}", other.told());
}

#[test]
fn the_sheet_tells_what_was_applied_and_counts_from_the_end_of_the_work() {
    let yard = recorded();
    let ran = sheet(&yard, &["--out", "here"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    insta::assert_snapshot!("sheet", ran.told());
    assert!(std::fs::read(yard.path("here/applied-sheet.pdf")).expect("a file").starts_with(b"%PDF-"));
    let json = sheet(&yard, &["--json"]);
    assert_eq!(json.stdout, yard.read("here/applied.json"));
    let told = json.json();
    assert_eq!(
        (told["format"].as_str(), told["start"].as_str()),
        (Some("tussock.applied/1"), Some("2026-07-07T07:05:00-05:00"))
    );
    // The label's two hours after 08:50.
    assert_eq!(told["keep_off_until"], "2026-07-07T10:50:00-05:00");
    let places: Vec<&str> =
        told["places"].as_array().expect("places").iter().filter_map(|one| one["places"][0].as_str()).collect();
    assert_eq!(places.len(), 3, "{places:?}");
    assert_eq!(told["products"][0]["name"], "Brackwater 1 SC (invented)");
    // What was put down is what the record says, the leftover taken off.
    let record = done(&yard, &["record", "show", "Alder Bend", "--json"]).json();
    let of_record: f64 = record["tasks"]
        .as_array()
        .expect("tasks")
        .iter()
        .map(|task| task["products"][0]["amount"]["volume_ml"].as_f64().expect("a volume"))
        .sum();
    let of_sheet = told["products"][0]["amount"]["volume_ml"].as_f64().expect("a volume");
    assert!((of_record - of_sheet).abs() < 1e-9, "{of_record} {of_sheet}");
    assert!(
        told["why"][0].as_str().is_some_and(|why| why.starts_with("grasshopper, 38 counted at 18 stations")),
        "{told}"
    );
    // Without a paper only the data are written, and the paper of the run before is gone.
    assert_eq!(sheet(&yard, &["--out", "here", "--no-pdf"]).code, 0);
    assert!(!yard.path("here/applied-sheet.pdf").exists());
}

#[test]
fn a_sheet_lacking_times_and_labels_is_refused_with_both_told() {
    let yard = Yard::with_demo();
    done(&yard, &["record", VISIT]);
    let ran = sheet(&yard, &["--json"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    let codes: Vec<String> = ran.json()["problems"]
        .as_array()
        .expect("problems")
        .iter()
        .filter_map(|problem| problem["code"].as_str().map(str::to_owned))
        .collect();
    assert_eq!(codes, ["record::no-time", "record::no-time", "record::no-label"]);
    assert!(!yard.path("out").exists());
    let ran = on_books(&yard, &[&["record", "sheet", "Elder Bend"], &PAPERS[..]].concat());
    assert!(ran.code == 1 && ran.stderr.contains("trade::unknown-name"), "{}", ran.told());
    yard.change("demo/business.toml", "telephone =", "telefone =");
    yard.change("demo/alder-bend/client.toml", "address =", "adress =");
    let ran = sheet(&yard, &[]);
    assert!(ran.stderr.contains("telefone") && ran.stderr.contains("adress"), "{}", ran.stderr);
}

#[test]
fn another_version_of_the_label_is_told() {
    let yard = Yard::with_demo();
    done(&yard, &["record", VISIT, "--actual", ACTUAL]);
    let label = yard.read("demo/labels/brackwater-sc.toml");
    let version = label.lines().find(|line| line.trim_start().starts_with("label_version")).expect("a version");
    yard.change("demo/labels/brackwater-sc.toml", version, "label_version = \"another (invented)\"");
    done(&yard, &["label", "keep", "demo/labels/brackwater-sc.toml"]);
    let ran = sheet(&yard, &["--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stderr.contains("record::label-version"), "{}", ran.stderr);
    // The label that was on the container is kept as well: then that one is read, newest or not.
    yard.write("own.toml", &label);
    done(&yard, &["label", "keep", "own.toml"]);
    yard.change("own.toml", version, "label_version = \"a third (invented)\"");
    done(&yard, &["label", "keep", "own.toml"]);
    assert!(!sheet(&yard, &["--json"]).stderr.contains("record::label-version"));
}

#[test]
fn a_list_tells_the_standing_of_every_record() {
    let yard = recorded();
    let listed = || done(&yard, &["record", "list", "--json"]).json();
    let lies_in = |place: &str| {
        let map = "demo/alder-bend/property.geojson";
        done(&yard, &["property", "keep", map, "--name", "Alder Bend", "--jurisdiction", place]);
    };
    assert_eq!(listed()["format"], "tussock.records/1");
    let nowhere = listed()["records"][0].clone();
    assert!(nowhere["place"].is_null() && nowhere["standing"].is_null(), "{nowhere}");
    lies_in("US-TX");
    let complete = listed()["records"][0].clone();
    assert_eq!(
        (complete["standing"].as_str(), complete["lacking"].as_array().map(Vec::len)),
        (Some("complete"), Some(0))
    );
    assert!(complete["kept_until"]["until"].is_string(), "{complete}");

    // Ohio asks for the record on the day of the application.
    lies_in("US-OH");
    yard.change(VISIT, "date = 2026-07-07", "date = 2026-07-21");
    done(&yard, &["record", VISIT]);
    let document = listed();
    let draft = &document["records"][1];
    assert_eq!((draft["date"].as_str(), draft["place"].as_str()), (Some("2026-07-21"), Some("US-OH")));
    assert_eq!((draft["standing"].as_str(), draft["due_local"].as_str()), (Some("draft"), Some("2026-07-22T00:00:00")));
    let lacking = draft["lacking"].as_array().expect("a list");
    assert!(!lacking.is_empty(), "{draft}");
    for lack in lacking {
        assert!(lack["demanded_by"][0]["rule"].as_str().is_some_and(|rule| rule.starts_with("oh-")), "{lack}");
        assert_eq!(lack["by_local"], "2026-07-22T00:00:00");
    }
    // The day has passed: what is lacking is overdue, and was not on the day itself.
    let on = |day: &str| done(&yard, &["record", "list", "--json", "--on", day]).json()["records"][1].clone();
    let is_overdue = |record: &serde_json::Value| {
        let each =
            record["lacking"].as_array().expect("a list").iter().all(|lack| lack["overdue"] == record["overdue"]);
        assert!(each, "{record}");
        record["overdue"].as_bool()
    };
    assert_eq!((is_overdue(&on("2026-07-21")), is_overdue(&on("2026-07-22"))), (Some(false), Some(true)));
    let told = |day: &str| done(&yard, &["record", "list", "--on", day]).stdout;
    assert!(told("2026-07-22").contains("OVERDUE since 2026-07-22 00:00"), "{}", told("2026-07-22"));
    assert!(!told("2026-07-21").contains("OVERDUE"));
    let thing = draft["thing"].as_str().expect("a name").to_owned();
    let shown = |day: &str| done(&yard, &["record", "show", &thing, "--on", day]).stdout;
    assert!(shown("2026-07-22").contains("by 2026-07-22 00:00, OVERDUE"), "{}", shown("2026-07-22"));
    assert!(!shown("2026-07-21").contains("OVERDUE"));
    assert!(document["confirm"].as_str().is_some_and(|words| words.contains("local law")), "{document}");
}

#[test]
fn one_is_told_as_one() {
    let yard = Yard::with_demo();
    done(&yard, &["equipment", "keep", "demo/alder-bend/equipment.toml", "--name", "hand pump"]);
    let ran = done(&yard, &["record", "verify"]);
    assert!(ran.stdout.starts_with("1 entry, 0 attachments: as they were kept\n"), "{}", ran.stdout);
    done(&yard, &["label", "keep", "demo/labels/brackwater-sc.toml"]);
    assert!(done(&yard, &["record", "verify"]).stdout.starts_with("2 entries, "));
    done(&yard, &["record", VISIT]);
    let totals = done(&yard, &["record", "totals"]).stdout;
    assert!(totals.contains("Brackwater 1 SC (invented): 1 time, last on 2026-07-07"), "{totals}");
}

#[test]
fn a_leftover_finds_its_place_before_anything_is_kept() {
    let yard = Yard::with_demo();
    let none = yard.run(&["record", "leftover", VISIT, "--left", "0.2 gal"]);
    assert_eq!(none.code, 3, "{}", none.told());
    for part in
        ["left over of lawn: 0.200 gal", "no place of this property", "up to 5 % of the next mix", "Never pour it out"]
    {
        let words = none.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(part), "{part} in {}", none.stdout);
    }
    // Half of the lawn was not treated yet: the rest may go there, at the rate at which it was mixed.
    yard.write("half.toml", half_of_the_lawn(&yard));
    let ran = yard.run(&["record", "leftover", VISIT, "--left", "0.2 gal", "--actual", "half.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stdout.contains("turf not treated today may take all of it"), "{}", ran.stdout);
    let json = yard.run(&["record", "leftover", VISIT, "--left", "0.2 gal", "--actual", "half.toml", "--json"]).json();
    assert_eq!((json["format"].as_str(), json["task"].as_str()), (Some("tussock.leftover/1"), Some("lawn")));
    assert_eq!(
        (json["places"][0]["site"].as_str(), json["places"][0]["takes_all"].as_bool()),
        (Some("turf"), Some(true))
    );
    // Nothing was kept, and the books that are named only tell what was before.
    assert!(!yard.path("lawns.db").exists());
    done(&yard, &["record", VISIT]);
    let own = on_books(&yard, &["record", "leftover", VISIT, "--left", "0.2 gal", "--actual", "half.toml", "--json"]);
    assert_eq!(own.code, 0, "the visit is not its own past: {}", own.told());
}

#[test]
fn rinsate_goes_into_the_next_mix_as_far_as_it_may() {
    let yard = Yard::with_demo();
    let ask = |more: &[&str]| {
        let ran = yard.run(&[&["record", "leftover", VISIT, "--left", "0.1 gal", "--json"], more].concat());
        ran.json()["rinsate"][0].as_str().expect("words").to_owned()
    };
    let some = ask(&["--rinsate", "0.05 gal", "--next-mix", "2 gal"]);
    assert!(some.starts_with("add the 0.0500 gal (0.189 L) of rinsate to the next mix of Brackwater 1 SC"), "{some}");
    let much = ask(&["--rinsate", "0.5 gal", "--next-mix", "2 gal"]);
    assert!(much.starts_with("add up to 0.100 gal") && much.ends_with("never pour it out"), "{much}");
    assert!(ask(&["--rinsate", "0.5 gal"]).starts_with("no next mix of Brackwater 1 SC (invented) is planned"));
}

#[test]
fn a_leftover_that_cannot_be_is_refused() {
    let yard = Yard::with_demo();
    for (arguments, code, at) in [
        (&["--left", "30 gal"][..], "as-applied::leftover-too-much", "--left"),
        (&["--left", "0 gal"], "record::nothing-left", "--left"),
        (&["--left", "0.2 gal", "--task", "lawns"], "as-applied::unknown-task", "--task"),
    ] {
        let ran = yard.run(&[&["record", "leftover", VISIT, "--json"], arguments].concat());
        let problem = &ran.json()["problems"][0];
        assert_eq!(
            (ran.code, problem["code"].as_str(), problem["path"].as_str()),
            (1, Some(code), Some(at)),
            "{}",
            ran.told()
        );
    }
    for arguments in [&["--left", "2 lb"][..], &["--left", "1 gal", "--next-mix", "2 gal"], &[]] {
        assert_eq!(yard.run(&[&["record", "leftover", VISIT], arguments].concat()).code, 2, "{arguments:?}");
    }
}

/// An as-applied file by which the lawn was treated on one of its pieces alone: a strip along its southern edge.
fn half_of_the_lawn(yard: &Yard) -> String {
    let map: serde_json::Value = serde_json::from_str(&yard.read("demo/alder-bend/property.geojson")).expect("a map");
    let features = map["features"].as_array().expect("features");
    let boundary = features.iter().find(|one| one["properties"]["kind"] == "boundary").expect("a boundary");
    let ring = boundary["geometry"]["coordinates"][0].as_array().expect("a ring");
    let of = |index: usize| -> Vec<f64> { ring.iter().filter_map(|position| position[index].as_f64()).collect() };
    let least = |values: &[f64]| values.iter().copied().fold(f64::INFINITY, f64::min);
    let most = |values: &[f64]| values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let (west, east) = (least(&of(0)), most(&of(0)));
    let (south, north) = (least(&of(1)), most(&of(1)));
    let (inset, top) = ((east - west) * 0.1, south + (north - south) * 0.1);
    let (west, east, south) = (west + inset, east - inset, south + (north - south) * 0.02);
    let ring = serde_json::json!([[west, south], [east, south], [east, top], [west, top], [west, south]]);
    let ground = serde_json::json!({ "type": "Polygon", "coordinates": [ring] });
    format!("format = \"tussock.as-applied/1\"\n[[task]]\nid = \"lawn\"\nground = '''{ground}'''\n")
}
