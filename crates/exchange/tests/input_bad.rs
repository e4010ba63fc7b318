//! Broken files, each with the whole text of its messages.
//!
//! A practitioner must be able to mend the file from the message alone: which file, which line or
//! feature, what was found, what was expected, what to do.

mod output_support;

use problem::Problems;
use std::path::{Path, PathBuf};

fn folder(kind: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad").join(kind)
}

fn demo() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend")
}

/// Reads every file of a folder and compares its messages; a file that is read without an error
/// is no broken file.
fn check(kind: &str, at_least: usize, read: impl Fn(&str, &str) -> Option<Problems>) {
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder(kind)).unwrap().map(|entry| entry.unwrap().path()).filter(|p| p.is_file()).collect();
    files.sort();
    assert!(files.len() >= at_least, "only {} broken files of kind {kind}", files.len());
    for path in files {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let text = std::fs::read_to_string(&path).unwrap();
        let problems = read(&name, &text).unwrap_or_else(|| panic!("{kind}/{name} was read without an error"));
        assert!(problems.has_errors(), "{kind}/{name} has warnings only");
        for problem in &problems {
            let place = &problem.place;
            // What is missing from a map stands on no line of it.
            let placed = place.line.is_some() || problem.code == "property::no-boundary";
            assert!(place.file.is_some() && placed, "{kind}/{name}: without file and line: {problem}");
            assert!(problem.expected.is_some() || problem.mend.is_some(), "{kind}/{name}: no way out: {problem}");
            assert!(!problem.found.ends_with('.'), "{kind}/{name}: final stop: {problem}");
        }
        let stem = name.split('.').next().unwrap();
        insta::with_settings!({ snapshot_path => format!("bad/{kind}/messages"), prepend_module_to_snapshot => false, omit_expression => true }, {
            insta::assert_snapshot!(stem, problems.to_string());
        });
    }
}

#[test]
fn maps() {
    check("map", 10, |name, text| exchange::geojson_map::parse_property(name, text).err());
}

#[test]
fn forecasts() {
    check("forecast", 6, |name, text| exchange::forecast_csv::parse_forecast(name, text).err());
}

#[test]
fn equipment() {
    check("equipment", 3, |name, text| exchange::equipment_file::parse_equipment(name, text).err());
}

#[test]
fn histories() {
    let map = std::fs::read_to_string(demo().join("property.geojson")).unwrap();
    let (property, _) = exchange::geojson_map::parse_property("property.geojson", &map).unwrap();
    check("history", 3, |name, text| exchange::history_file::parse_history(name, text, property.plane()).err());
}

#[test]
fn visits() {
    // A broken visit names files of the demonstration, or broken ones beside it.
    let fetch = |name: &str| {
        let beside = folder("visit").join(name);
        let path = if beside.is_file() { beside } else { demo().join(name) };
        std::fs::read_to_string(path).map_err(|_| "no such file".to_owned())
    };
    check("visit", 8, |name, text| exchange::visit_file::parse_visit(name, text, &mut { fetch }).err());
}

#[test]
fn as_applied() {
    let planned = output_support::demo_record();
    let read = |name: &str, text: &str| {
        exchange::as_applied_file::record_as_applied(
            name,
            text,
            &planned,
            jiff::tz::offset(-5),
            &output_support::demo_request().equipment,
        )
        .err()
    };
    check("as-applied", 4, read);
}

#[test]
fn rules() {
    check("rules", 4, |name, text| exchange::rule_file::parse_rules([(name, text)]).err());
}

#[test]
fn businesses() {
    check("business", 5, |name, text| exchange::business_file::parse_business(name, text).err());
}

#[test]
fn clients() {
    check("client", 3, |name, text| exchange::client_file::parse_client(name, text).err());
}

#[test]
fn surveys() {
    check("survey", 4, |name, text| exchange::survey_file::parse_survey(name, text).err());
}
