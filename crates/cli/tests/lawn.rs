//! `tussock water` and `tussock mow`: the demo, other readings, treatments, and bad files.

mod support;

use support::Yard;

const LAWN: &str = "demo/alder-bend/lawn.toml";

#[test]
fn the_demo_is_watered_and_mown_around_its_treatment() {
    let yard = Yard::with_demo();
    let water = yard.run(&["water", LAWN, "--out", "out/lawn"]);
    assert_eq!(water.code, 0, "{}", water.told());
    insta::assert_snapshot!("water", water.told());
    let mow = yard.run(&["mow", LAWN, "--out", "out/lawn"]);
    assert_eq!(mow.code, 0, "{}", mow.told());
    insta::assert_snapshot!("mow", mow.told());
    let svg = yard.read("out/lawn/water-balance.svg");
    assert!(svg.contains("no water is given") && svg.contains("url(#water-none)"), "{svg}");
    for (command, file) in [("water", "out/lawn/water.json"), ("mow", "out/lawn/mow.json")] {
        let json = yard.run(&[command, LAWN, "--json"]);
        assert_eq!(json.stdout, yard.read(file));
        assert_eq!(json.json()["format"], format!("tussock.{command}/1"));
    }
    assert!(yard.read("out/lawn/water.ics").contains("BEGIN:VEVENT"));
    assert!(yard.read("out/lawn/mow.ics").contains("BEGIN:VEVENT"));
}

#[test]
fn both_unit_systems_stand_in_words() {
    let yard = Yard::with_demo();
    let metric = yard.run(&["water", LAWN, "--units", "metric", "--out", "out/lawn"]);
    assert_eq!(metric.code, 0, "{}", metric.told());
    assert!(metric.stdout.contains("39.4 mm (1.55 in)"), "{}", metric.stdout);
    let mow = yard.run(&["mow", LAWN, "--units", "metric", "--out", "out/lawn"]);
    assert!(mow.stdout.contains("76.2 mm (3.00 in)"), "{}", mow.stdout);
}

#[test]
fn a_day_to_plan_from_and_more_readings_are_taken() {
    let yard = Yard::with_demo();
    yard.write("more.csv", "date,highest_f,lowest_f,rain_in\n2026-07-17,99,76,0\n2026-07-18,99,76,0\n");
    let ran = yard.run(&["water", LAWN, "--from", "2026-07-10", "--weather", "more.csv", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let read = ran.json();
    assert_eq!(read["plan_from"], "2026-07-10");
    assert_eq!(read["days"].as_array().unwrap().last().unwrap()["date"], "2026-07-18");
    let waterings = read["waterings"].as_array().unwrap();
    assert!(waterings.iter().all(|one| one["start"].as_str().unwrap() >= "2026-07-10"), "{waterings:#?}");
}

/// A label that wants its granules watered in within two hours: sprinklers that run longer are refused, and said.
#[test]
fn a_treatment_that_cannot_be_watered_in_is_refused() {
    let yard = Yard::with_demo();
    let label = "demo/labels/brackwater-sc.toml";
    yard.change(label, "prohibited_for = \"24 h\"", "water_in_depth = \"0.5 in\"\nwater_in_within = \"24 h\"");
    let ran = yard.run(&["water", LAWN, "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    let read = ran.json();
    let waters_in = |one: &&serde_json::Value| one["waters_in"] == "Alder Bend";
    let waterings = read["waterings"].as_array().unwrap();
    assert_eq!(waterings.iter().filter(waters_in).count(), 1, "{waterings:#?}");
    assert_eq!(read["water_in"][0]["unmet"], serde_json::Value::Null);
    yard.change(label, "water_in_within = \"24 h\"", "water_in_within = \"2 h\"");
    let ran = yard.run(&["water", LAWN, "--out", "out/lawn"]);
    assert_eq!(ran.code, 3, "{}", ran.told());
    assert!(ran.stdout.contains("REFUSED: Alder Bend has to be watered in with 0.50 in (12.7 mm)"), "{}", ran.stdout);
}

#[test]
fn a_refused_visit_is_left_out_and_a_visit_beside_the_file_is_heeded() {
    let yard = Yard::with_demo();
    yard.change(LAWN, "visits = [\"visit.toml\"]\n", "");
    let alone = yard.run(&["mow", LAWN, "--json"]);
    assert_eq!(alone.json()["prohibitions"].as_array().unwrap().len(), 0, "{}", alone.told());
    let beside = yard.run(&["mow", LAWN, "--visit", "demo/alder-bend/visit.toml", "--json"]);
    assert_eq!(beside.json()["prohibitions"].as_array().unwrap().len(), 1, "{}", beside.told());
    yard.change("demo/alder-bend/visit.toml", "\"0.55 fl oz/1,000 sq ft\"", "\"0.8 fl oz/1,000 sq ft\"");
    let refused = yard.run(&["mow", LAWN, "--visit", "demo/alder-bend/visit.toml", "--json"]);
    assert_eq!(refused.code, 0, "{}", refused.told());
    assert!(refused.stderr.contains("season::refused-visit"), "{}", refused.stderr);
}

#[test]
fn hours_that_make_no_whole_day_add_nothing_and_that_is_told() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["mow", LAWN, "--weather", "demo/alder-bend/forecast.csv", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stderr.contains("weather::no-whole-day"), "{}", ran.stderr);
    let hours: Vec<String> = (0..24).map(|hour| format!("2026-07-17T{hour:02}:00-05:00,{},0", 60 + hour)).collect();
    yard.write("whole.csv", format!("start,temperature_f,rain_in\n{}\n", hours.join("\n")));
    let ran = yard.run(&["water", LAWN, "--weather", "whole.csv", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert_eq!(ran.json()["days"].as_array().unwrap().last().unwrap()["date"], "2026-07-17");
}

#[test]
fn the_dates_may_stand_on_the_clients_sheet() {
    let yard = Yard::with_demo();
    let notice = |more: &[&str]| {
        let mut all = vec!["notice", "demo/alder-bend/visit.toml", "--business", "demo/business.toml"];
        all.extend(["--client", "demo/alder-bend/client.toml", "--out", "out/papers"]);
        all.extend(more);
        let ran = yard.run(&all);
        assert_eq!(ran.code, 0, "{}", ran.told());
        std::fs::read(yard.path("out/papers/client-sheet.pdf")).expect("the sheet")
    };
    let (with, without) = (notice(&["--lawn", LAWN]), notice(&[]));
    assert_ne!(with, without);
    assert_eq!(with, notice(&["--lawn", LAWN]));
    yard.change(LAWN, "grass = \"cool-season\"", "grass = \"cold-season\"");
    let bad = ["--client", "demo/alder-bend/client.toml", "--lawn", LAWN, "--no-pdf", "--json"];
    let ran = yard
        .run(&[&["notice", "demo/alder-bend/visit.toml", "--business", "demo/business.toml"][..], &bad[..]].concat());
    assert_eq!(ran.code, 1, "{}", ran.told());
}

#[test]
fn everything_wrong_is_told_at_once() {
    let yard = Yard::with_demo();
    yard.change(LAWN, "grass = \"cool-season\"", "grass = \"cold-season\"");
    yard.change(LAWN, "depth = \"10 in\"", "depth = \"6 lb\"");
    yard.change(LAWN, "\"days-ahead.csv\"", "\"days-to-come.csv\"");
    yard.change("demo/alder-bend/days.csv", "2026-07-03,93,69", "2026-07-03,63,69");
    let ran = yard.run(&["water", LAWN, "--weather", "nowhere.csv"]);
    assert_eq!(ran.code, 1);
    insta::assert_snapshot!("water-bad", ran.told());
}

#[test]
fn what_is_not_told_is_asked_for() {
    let yard = Yard::with_demo();
    let text = yard.read(LAWN);
    let (head, _) = text.split_once("[root_zone]").unwrap();
    yard.write("demo/alder-bend/bare.toml", head);
    for (command, code) in [("water", "lawn::no-root-zone"), ("mow", "lawn::no-mowing")] {
        let ran = yard.run(&[command, "demo/alder-bend/bare.toml"]);
        assert_eq!(ran.code, 1, "{}", ran.told());
        assert!(ran.stderr.contains(code), "{}", ran.stderr);
    }
    // A day that no reading tells cannot be planned from.
    let ran = yard.run(&["water", LAWN, "--from", "2027-01-01"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("season::plan-from"), "{}", ran.stderr);
}
