//! `tussock stages`: an invented station through its stages, corrections, dates ahead, and what is refused.

mod support;

use std::fmt::Write as _;
use support::Yard;

/// The sum of an ordinary year's heat is reached by a wave over the year; each year is a little warmer or colder. Invented.
fn station(first_year: i16, last: &str) -> String {
    let mut text = "# Invented readings of no station.\ndate,highest_f,lowest_f\n".to_owned();
    let last: jiff::civil::Date = last.parse().unwrap();
    let days = jiff::civil::date(first_year, 1, 1).series(jiff::ToSpan::days(1)).take_while(|day| *day <= last);
    for day in days {
        let turn = f64::from(day.day_of_year() - 20) / 365.0 * std::f64::consts::TAU;
        let year = [0.0, 1.5, -2.0, 3.0, -1.0, 2.0, -3.0][usize::try_from(day.year()).unwrap() % 7];
        // Days in a row are never alike, as a stuck sensor's would be.
        let wave = f64::from(i32::from(day.day_of_year()) * 37 % 11) - 5.0;
        let mean = 52.0 - 26.0 * turn.cos() + year + wave;
        let _ = writeln!(text, "{day},{:.1},{:.1}", mean + 10.5, mean - 10.5);
    }
    text
}

fn yard() -> Yard {
    let yard = Yard::empty();
    yard.write("station.csv", station(2018, "2026-05-06"));
    yard
}

const WEEVIL: &[&str] = &["stages", "annual-bluegrass-weevil", "--weather", "station.csv"];
const SMALL: &[&str] = &["--stage", "small larva"];

#[test]
fn a_profile_and_a_station_tell_stages_window_and_dates_ahead() {
    let yard = yard();
    let ran = yard.run(&[WEEVIL, SMALL].concat());
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    insta::assert_snapshot!("weevil", ran.stdout);
    let svg = yard.read("out/stages/annual-bluegrass-weevil/stages.svg");
    assert!(svg.contains("small larva") && svg.contains("url(#stages-2)") && svg.contains("read through 2026-05-06"));
    assert!(svg.contains("window from 2026-04-") && svg.contains("window closes"), "{svg}");
    // The profile says that treatment reaches all of them: then there is no window.
    let plain = yard.run(&[WEEVIL, &["--black-and-white", "--out", "plain"]].concat());
    assert_eq!(plain.code, 0);
    assert!(plain.stderr.contains("stages::all-susceptible") && !plain.stdout.contains("Window"), "{}", plain.told());
    assert!(!yard.read("plain/stages.svg").contains("#dff0d8") && svg.contains("#dff0d8"));
}

#[test]
fn the_document_follows_its_schema_and_adds_up() {
    let yard = yard();
    let ran = yard.run(&[WEEVIL, SMALL, &["--json"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let json = ran.json();
    assert_eq!((&json["format"], &json["susceptible"][0]), (&"tussock.stages/1".into(), &"small larva".into()));
    let days = json["days"].as_array().unwrap();
    assert_eq!(days.len(), 67);
    let mut before = 0.0;
    for day in days {
        let shares: f64 = day["shares"].as_array().unwrap().iter().map(|share| share.as_f64().unwrap()).sum();
        let total = day["total_cel_d"].as_f64().unwrap();
        assert!((shares - 1.0).abs() < 1e-9 && total >= before, "{day}");
        before = total;
    }
    assert_eq!(json["past_years"].as_array().unwrap().len(), 8);
    // One year in ten, half, and nine in ten: in that order.
    let ahead = &json["window_ahead"]["last"];
    assert!(ahead["early"].as_str() <= ahead["middle"].as_str() && ahead["middle"].as_str() <= ahead["late"].as_str());
    assert!(!yard.path("out").exists(), "with --json nothing is written");
    let schema = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../schema/answers/stages.schema.json");
    let schema: serde_json::Value = serde_json::from_str(&std::fs::read_to_string(schema).unwrap()).unwrap();
    let known = schema["properties"].as_object().unwrap();
    assert!(json.as_object().unwrap().keys().all(|key| known.contains_key(key)));
}

#[test]
fn own_sightings_are_told_and_move_the_dates() {
    let yard = yard();
    yard.write(
        "seen.csv",
        "date,stage,count\n2026-05-02,adult,4\n2026-05-02,small larva,30\n2026-05-05,large larva,6\n",
    );
    let ran =
        yard.run(&[WEEVIL, &["--sighting", "2026-04-29: adult 9, small larva 9", "--sightings", "seen.csv"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("By own sightings they are"), "{}", ran.stdout);
    let json = yard.run(&[WEEVIL, &["--sightings", "seen.csv", "--json"]].concat()).json();
    let (low, high) = (json["correction"]["low"].as_f64().unwrap(), json["correction"]["high"].as_f64().unwrap());
    let factor = json["correction"]["factor"].as_f64().unwrap();
    assert!(low < factor && factor < high && low > 0.6 && high < 1.7, "{low} {factor} {high}");
    let taken = json["steps"][0]["taken_at_cel_d"].as_f64().unwrap();
    assert!((taken - json["steps"][0]["middle_cel_d"].as_f64().unwrap() / factor).abs() < 1e-9);
}

#[test]
fn other_tables_days_and_starts() {
    let yard = Yard::empty();
    let mut table = String::new();
    for line in station(2026, "2026-06-30").lines().skip(2) {
        let [day, high, low] = line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let day: jiff::civil::Date = day.parse().unwrap();
        let _ = writeln!(table, "{}/{}/{},{high},{low}", day.month(), day.day(), day.year());
    }
    yard.write("log.csv", format!("Day,Hi,Lo\n{table}"));
    let cutworm = ["stages", "black cutworm", "--weather", "log.csv"];
    let map = ["--columns", "Day=date,Hi=highest_f", "--columns", "Lo=lowest_f", "--dates", "mdy"];
    let ran =
        yard.run(&[&cutworm[..], &map, &["--biofix", "2026-04-18", "--through", "2026-06-20", "--json"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let json = ran.json();
    assert_eq!((&json["from"], &json["through"]), (&"2026-04-18".into(), &"2026-06-20".into()));
    assert_eq!((&json["counted_by"], &json["susceptible"][0]), (&"single sine".into(), &"larva".into()));
    assert!(json["steps"][0]["reached"].is_string() && json["window_ahead"].is_null());
    assert!(ran.stderr.contains("weather::few-years"), "{}", ran.stderr);
    // Without the day from which to count nothing can be told.
    let ran = yard.run(&[&cutworm[..], &map].concat());
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("stages::no-biofix") && ran.stderr.contains("catch of moths"), "{}", ran.stderr);
}

#[test]
fn what_a_label_claims_is_what_it_reaches() {
    let yard = Yard::with_demo();
    yard.write("station.csv", station(2018, "2026-05-06"));
    let label = yard.read("demo/labels/brackwater-sc.toml");
    let claims = |from: &str, to: &str| {
        assert!(label.contains(from), "{from}");
        yard.write("other.toml", label.replacen(from, to, 1));
        let ran = yard.run(&[WEEVIL, &["--label", "other.toml", "--json"]].concat());
        assert_eq!(ran.code, 0, "{}", ran.stderr);
        let stages: Vec<String> = serde_json::from_value(ran.json()["susceptible"].clone()).unwrap();
        (stages, ran.stderr)
    };
    let worm = r#"{ name = "sod webworm", stages = ["larva"] }"#;
    let (stages, told) = claims(worm, r#"{ name = "annual bluegrass weevil", stages = ["larva", "pupa"] }"#);
    assert_eq!(stages, ["small larva", "large larva"]);
    assert!(told.contains("stages::claim-left-out") && told.contains("pupa"), "{told}");
    // A claim for any stage leaves it to the profile.
    let (stages, _) = claims(worm, r#"{ name = "annual bluegrass weevil" }"#);
    assert_eq!(stages, ["adult", "small larva", "large larva"]);
    let ran = yard.run(&[WEEVIL, &["--label", "demo/labels/brackwater-sc.toml"]].concat());
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("stages::not-claimed"), "{}", ran.stderr);
}

#[test]
fn a_pest_without_stages_by_heat_is_told_what_to_give_instead() {
    let yard = yard();
    let ran = yard.run(&["stages", "two-striped grasshopper", "--weather", "station.csv"]);
    insta::assert_snapshot!("no-development", ran.told());
    let file = "format = \"tussock.development/1\"\nname = \"grasshopper\"\n[[source]]\nid = \"own\"\n\
                cite = \"Invented, from memory of nothing\"\nseen = false\n[development]\nbase = \"17.8 °C\"\n\
                start = \"04-01\"\nfirst = \"egg\"\nvariance_per_degree_day = 1.2\nsusceptible = [\"nymph\"]\n\
                place = \"nowhere\"\nsource = \"own\"\n[[development.step]]\nto = \"nymph\"\ndegree_days = 20\n\
                source = \"own\"\n[[development.step]]\nto = \"adult\"\ndegree_days = 180\nsource = \"own\"\n";
    yard.write("hopper.toml", file);
    let ran = yard.run(&[
        "stages",
        "two-striped grasshopper",
        "--weather",
        "station.csv",
        "--development",
        "hopper.toml",
        "--json",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert_eq!((&ran.json()["pest"], &ran.json()["stages"][1]), (&"two-striped grasshopper".into(), &"nymph".into()));
    // A file alone needs no profile.
    let ran = yard.run(&["stages", "--weather", "station.csv", "--development", "hopper.toml", "--json"]);
    assert_eq!((ran.code, &ran.json()["pest"]), (0, &"grasshopper".into()));
}

#[test]
fn everything_wrong_is_told_at_once() {
    let yard = yard();
    yard.write("bad.csv", "date,highest_f,lowest_f\n2026-03-01,48,58\n2026-03-02,warm,30\n");
    yard.write("seen.csv", "date,stage,count\n2026-05-32,adult,4\n");
    yard.write(
        "bad.toml",
        "format = \"tussock.development/1\"\nname = \"x\"\n[development]\nbase = \"50\"\nupper = \"86 °F\"\nfirst = \"egg\"\n\
         place = \"p\"\nsource = \"a\"\n[[development.step]]\nto = \"egg\"\ndegree_days = \"many\"\nlogistic_scale = 1\n\
         standard_deviation = 2\n",
    );
    let ran = yard.run(&[
        "stages",
        "--weather",
        "bad.csv",
        "--development",
        "bad.toml",
        "--sighting",
        "May: egg",
        "--sightings",
        "seen.csv",
        "--clumping",
        "0.5",
    ]);
    insta::assert_snapshot!("all-wrong", ran.told());
    let ran = yard.run(&[WEEVIL, &["--columns", "Hi=high,Lo", "--columns", "Lo=lowest_f"]].concat());
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("weather-table::columns") && ran.stderr.contains("weather-table::unknown-name"));
    let ran = yard.run(&[WEEVIL, &["--stage", "nymph", "--sighting", "2026-01-05: adult 3"]].concat());
    insta::assert_snapshot!("no-such-stage", ran.told());
    // Figures that contradict each other.
    yard.write(
        "crossed.toml",
        "format = \"tussock.development/1\"\nname = \"x\"\n[[source]]\nid = \"a\"\ncite = \"A 1990\"\nseen = true\n\
         [development]\nbase = \"50 °F\"\nupper = \"40 °F\"\ncutoff = \"vertical\"\nstart = \"02-30\"\nfirst = \"egg\"\n\
         place = \"p\"\nsource = \"a\"\n[[development.step]]\nto = \"larva\"\ndegree_days = 200\nsource = \"b\"\n\
         [[development.step]]\nto = \"pupa\"\ndegree_days = 100\n",
    );
    let ran = yard.run(&["stages", "--weather", "station.csv", "--development", "crossed.toml"]);
    insta::assert_snapshot!("crossed-start", ran.told());
    yard.change("crossed.toml", "02-30", "03-01");
    let ran = yard.run(&["stages", "--weather", "station.csv", "--development", "crossed.toml", "--json"]);
    insta::assert_snapshot!("crossed", ran.told());
}

#[test]
fn a_long_gap_refuses_and_a_short_one_is_told() {
    let yard = yard();
    let whole = yard.read("station.csv");
    let without = |days: &[&str]| {
        let kept = whole.lines().filter(|line| !days.iter().any(|day| line.starts_with(day)));
        kept.flat_map(|line| [line, "\n"]).collect::<String>()
    };
    yard.write("station.csv", without(&["2026-04-10", "2026-04-11"]));
    let ran = yard.run(WEEVIL);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("2 days rest on temperatures put between"), "{}", ran.stdout);
    yard.write("station.csv", without(&["2026-04-10", "2026-04-11", "2026-04-12"]));
    let ran = yard.run(WEEVIL);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("weather::long-gap"), "{}", ran.stderr);
}

#[test]
fn a_profile_shows_its_stages_by_heat_and_is_checked_for_them() {
    let yard = yard();
    let ran = yard.run(&["pest", "show", "black-cutworm"]);
    assert!(
        ran.stdout.contains("Stages by heat") && ran.stdout.contains("larva at 93.60 degree-days (°F)"),
        "{}",
        ran.stdout
    );
    let profile = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../pests/black-cutworm.toml");
    let text = std::fs::read_to_string(profile).unwrap();
    let wrong =
        text.replace("degree_days = 729.0", "degree_days = 29.0").replace("upper = \"86.0 °F\"", "upper = \"30 °F\"");
    yard.write("mine.toml", wrong.replace("to = \"larva\"\ndegree_days = 93.6", "to = \"larva\"\ndegree_days = -1"));
    let ran = yard.run(&["pest", "check", "mine.toml"]);
    assert_eq!(ran.code, 1);
    for code in ["pest::heat-range", "pest::step]"] {
        assert!(ran.stderr.contains(code), "{code}: {}", ran.stderr);
    }
    assert!(ran.stderr.contains("development.step[1].degree_days"), "{}", ran.stderr);
}
