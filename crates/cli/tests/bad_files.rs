//! Files that are not what they should be: every message, through the built command.

mod support;

use support::Yard;

const VISIT: &str = "demo/alder-bend/visit.toml";

#[track_caller]
fn told(yard: &Yard, name: &str, arguments: &[&str]) {
    let ran = yard.run(arguments);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert_eq!(ran.stdout, "", "nothing is answered");
    insta::assert_snapshot!(name, ran.told());
}

#[test]
fn files_of_the_wrong_kind_are_named() {
    let yard = Yard::empty();
    yard.write("label.toml", "%PDF-1.7\n%\u{e2}\u{e3}\n");
    yard.write("map.geojson", b"PK\x03\x04\x14\x00");
    yard.write("empty.toml", " \n\n");
    yard.write("latin.toml", b"# ok\nname = \"Caf\xe9\"\n");
    yard.write("folder/inside.txt", "x");
    told(&yard, "missing", &["plan", "nowhere/visit.toml"]);
    told(&yard, "pdf-as-visit", &["plan", "label.toml"]);
    told(&yard, "archive-as-map", &["measure", "map.geojson"]);
    told(&yard, "empty", &["plan", "empty.toml"]);
    told(&yard, "not-utf-8", &["plan", "latin.toml"]);
    told(&yard, "folder-as-map", &["measure", "folder"]);
}

#[test]
fn a_file_with_a_byte_order_mark_is_read() {
    let yard = Yard::with_demo();
    let text = yard.read(VISIT);
    yard.write(VISIT, format!("\u{feff}{text}"));
    assert_eq!(yard.run(&["plan", VISIT, "--no-pdf"]).code, 0);
}

#[test]
fn a_named_file_that_is_missing_is_told_where_it_is_named() {
    let yard = Yard::with_demo();
    yard.change(VISIT, "\"forecast.csv\"", "\"forecasts.csv\"");
    told(&yard, "named-file-missing", &["plan", VISIT]);
}

#[test]
fn every_problem_of_every_file_is_told_at_once() {
    let yard = Yard::with_demo();
    yard.change(VISIT, "date = 2026-07-07", "date = \"some day\"");
    yard.change(VISIT, "band_width = \"3 ft\"", "band_width = \"3 gal\"");
    yard.change("demo/alder-bend/equipment.toml", "tank = \"2 gal\"", "tank = \"2 ft\"");
    let ran = yard.run(&["plan", VISIT]);
    assert_eq!(ran.code, 1);
    for place in ["some day", "band_width", "equipment.toml"] {
        assert!(ran.stderr.contains(place), "{place} in {}", ran.stderr);
    }
    let json = yard.run(&["plan", VISIT, "--json"]);
    let document = json.json();
    assert_eq!((json.code, document["format"].as_str()), (1, Some("tussock.problems/1")));
    assert!(document["errors"].as_u64() >= Some(3));
    assert!(document["problems"][0]["line"].is_u64());
}

#[test]
fn a_place_that_cannot_be_written_is_told() {
    let yard = Yard::with_demo();
    yard.write("taken", "a file stands here");
    let ran = yard.run(&["plan", VISIT, "--no-pdf", "--out", "taken"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("file::unwritable"), "{}", ran.stderr);
}

/// A file on its way that cannot take its place is cleared away.
#[test]
fn nothing_is_left_of_a_file_that_cannot_be_written() {
    let yard = Yard::with_demo();
    yard.write("here/map.svg/taken", "a folder stands where the map belongs");
    let ran = yard.run(&["plan", VISIT, "--no-pdf", "--out", "here"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("file::unwritable"), "{}", ran.stderr);
    let left: Vec<_> =
        std::fs::read_dir(yard.path("here")).expect("a folder").flatten().map(|e| e.file_name()).collect();
    assert_eq!(left, ["map.svg"]);
}

#[test]
fn a_wrong_label_is_told_line_by_line() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["label", "check", "demo/broken/label-wrong.toml"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stdout.starts_with("demo/broken/label-wrong.toml: "), "{}", ran.stdout);
    for code in ["label::rate-above-maximum", "label::cap-below-maximum", "toml::unknown-field"] {
        assert!(ran.stderr.contains(code), "{code} in {}", ran.stderr);
    }
    let json = yard.run(&["label", "check", "demo/broken/label-wrong.toml", "--json"]);
    assert!(json.json()["errors"].as_u64() > Some(0));
    let fine = yard.run(&["label", "check", "demo/labels/brackwater-sc.toml", "missing.toml"]);
    assert_eq!(fine.code, 1);
    assert!(fine.stderr.contains("file::missing"));
    assert_eq!(yard.run(&["label", "check", "demo/labels/brackwater-sc.toml"]).code, 0);
}
