//! The key, the profiles and what counts call for, as a person uses them.

mod support;

use std::io::Write as _;
use std::process::{Command, Stdio};
use support::Yard;

#[test]
fn profiles_are_listed_and_shown_with_their_sources() {
    let yard = Yard::with_demo();
    let list = yard.run(&["pest", "list"]);
    assert!(list.code == 0 && list.stdout.contains("two-striped-grasshopper"), "{}", list.told());
    let listed = yard.run(&["pest", "list", "--json"]).json();
    assert!(listed["pests"].as_array().is_some_and(|pests| pests.len() >= 30));
    let shown = yard.run(&["pest", "show", "southern chinch bug"]);
    for part in ["When", "How to count", "From how many on", "Mistaken for", "Sources", "drought"] {
        assert!(shown.stdout.contains(part), "{part} in {}", shown.stdout);
    }
    let unknown = yard.run(&["pest", "show", "grasshopper"]);
    assert!(unknown.code == 1 && unknown.stderr.contains("red-legged-grasshopper"), "{}", unknown.told());
}

#[test]
fn a_profile_without_sources_is_refused_and_one_of_ones_own_is_used() {
    let yard = Yard::with_demo();
    let text = "format = \"tussock.pest-profile/1\"\nid = \"own\"\nkind = \"insect\"\ncommon_name = \"own bug\"\n\
                group = \"own\"\nsummary = \"Invented.\"\n[[sign]]\ntext = \"holes\"\n";
    yard.write("own.toml", text);
    let checked = yard.run(&["pest", "check", "own.toml"]);
    assert!(checked.code == 1 && checked.stderr.contains("pest::no-source"), "{}", checked.told());
    let characters: Vec<String> = ["legs", "hind-legs", "front-legs", "feelers", "wings"]
        .iter()
        .zip(["six", "plain", "plain", "elbowed", "lacy"])
        .map(|(id, state)| format!("[[character]]\nid = \"{id}\"\nstates = [\"{state}\"]\nsource = \"a\"\n"))
        .collect();
    let characters = characters.concat();
    let source = "[[source]]\nid = \"a\"\ncite = \"Invented, for a test\"\nseen = true\n";
    yard.write("own.toml", text.replace("[[sign]]\n", &format!("{source}{characters}[[sign]]\nsource = \"a\"\n")));
    let checked = yard.run(&["pest", "check", "own.toml"]);
    assert_eq!(checked.code, 0, "{}", checked.told());
    let found = yard.run(&["identify", "--profile", "own.toml", "--answer", "wings=lacy", "--json"]).json();
    let candidates = found["candidates"].as_array().unwrap();
    assert!(candidates.iter().any(|one| one["profile"] == "own"), "{found}");
}

#[test]
fn answers_name_a_pest_and_one_wrong_answer_does_not_lose_it() {
    let yard = Yard::with_demo();
    let right = ["hind-legs=jumping", "feelers=short-thread", "back-marks=two-pale-stripes", "hind-thigh=stripe-along"];
    let ask = |answers: &[&str]| {
        let arguments: Vec<&str> = answers.iter().flat_map(|answer| ["--answer", *answer]).collect();
        yard.run(&[&["identify", "--json"][..], &arguments].concat())
    };
    let few = ask(&right[..1]);
    assert_eq!((few.code, few.json()["verdict"].as_str()), (3, Some("refused")), "{}", few.told());
    let named = ask(&right);
    assert_eq!(
        (named.code, named.json()["profile"].as_str()),
        (0, Some("two-striped-grasshopper")),
        "{}",
        named.told()
    );
    let slip = ask(&[&right[..], &["legs=eight", "hind-shin=yellow"]].concat()).json();
    assert_eq!(slip["candidates"][0]["profile"], "two-striped-grasshopper");
    assert_eq!(slip["candidates"][0]["against"][0]["character"], "legs", "{slip}");
    let wrong = ask(&["legs=seven", "ears=long"]);
    assert!(wrong.code == 1 && wrong.stderr.contains("pest::unknown-state") && wrong.stderr.contains("`ears`"));
}

#[test]
fn the_questions_are_asked_at_the_terminal_and_can_be_taken_back() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_tussock"))
        .arg("identify")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the command runs");
    child.stdin.take().expect("a way in").write_all(b"nonsense\nback\n\nend\n").expect("written");
    let output = child.wait_with_output().expect("the command ends");
    let (told, asked) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(3), "{told}{asked}");
    assert!(asked.contains("`nonsense` is none of the answers"), "{asked}");
    assert!(told.contains("What would tell most"), "{told}");
}

const THRESHOLD: [&str; 4] = ["--threshold", "8 per 1 sq yd", "--source", "rangeland; Parker 1930"];

#[test]
fn counts_are_held_against_a_threshold() {
    let yard = Yard::with_demo();
    let survey = "demo/alder-bend/survey.toml";
    let ran = yard.run(&[&["scout", survey, "--out", "scouted"][..], &THRESHOLD].concat());
    assert!(ran.code == 0 && ran.stdout.contains("TREAT"), "{}", ran.told());
    assert!(yard.read("scouted/stop-lines.svg").contains("at or above the upper line: treat"));
    // The pest is only a kind, of which there are several profiles; a threshold is not guessed.
    let none = yard.run(&["scout", survey]);
    assert!(none.code == 1 && none.stderr.contains("scouting::no-threshold"), "{}", none.told());
    let few = yard.run(&["scout", survey, "--threshold", "80 per sq ft", "--source", "invented", "--json"]);
    let few = few.json();
    assert_eq!((few["stop"].as_str(), few["treat"].as_bool()), (Some("do-not-treat"), Some(false)), "{few}");
    let on =
        yard.run(&["scout", survey, "--threshold", "2.8 per 1 sq ft", "--source", "invented", "--in-vain-at", "0.7"]);
    assert!(on.code == 3 && on.stdout.contains("COUNT ON") && on.stdout.contains("more counts"), "{}", on.told());
}

#[test]
fn places_make_a_surface_and_wrong_ones_are_told() {
    let yard = Yard::with_demo();
    // Counts on a grid of the front lawn; the pests come in from the west.
    let stations: Vec<String> = (0..5)
        .flat_map(|column| (0..3).map(move |row| (column, row)))
        .map(|(column, row)| {
            let (longitude, latitude) =
                (-97.619_97 + 0.000_02 * f64::from(column), 38.840_03 + 0.000_05 * f64::from(row));
            let count = [12, 7, 3, 1, 0][column as usize];
            format!(
                "[[station]]\ncount = {count}\nposition = {{ longitude = {longitude:.6}, latitude = {latitude:.6} }}\n"
            )
        })
        .collect();
    let stations = stations.concat();
    let head = "format = \"tussock.survey/1\"\nproperty = \"Alder Bend\"\ndate = 2026-07-06\npest = \"grasshopper\"\n\
                method = \"frame\"\ncount_area = \"1 sq ft\"\nby = \"J. Example\"\n";
    yard.write("places.toml", format!("{head}{stations}"));
    let scout = ["scout", "places.toml", "--map", "demo/alder-bend/property.geojson", "--out", "scouted", "--json"];
    let ran = yard.run(&[&scout[..], &["--threshold", "4 per 1 sq ft", "--source", "invented"]].concat());
    let spots = &ran.json()["hot_spots"];
    let (treat, turf) = (spots["treat_sq_ft"].as_f64().unwrap(), spots["turf_sq_ft"].as_f64().unwrap());
    assert!(treat > 100.0 && treat < turf, "{}", ran.told());
    assert_eq!(spots["next_places"].as_array().map(Vec::len), Some(4));
    assert!(yard.read("scouted/surface.svg").contains("15 counts"));
    let outside = stations.replacen("38.84003", "38.85003", 1) + &stations[..=stations.find("\n[[").unwrap()];
    yard.write("places.toml", format!("{head}{outside}"));
    let ran = yard.run(&[&scout[..], &["--threshold", "4 per 1 sq ft", "--source", "invented"]].concat());
    assert!(ran.code == 1 && ran.stderr.contains("scouting::outside"), "{}", ran.told());
}
