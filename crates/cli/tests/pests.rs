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
    let code = yard.run(&["pest", "show", "black-cutworm"]);
    assert!(code.stdout.contains("EPPO AGROYP [memory-turf]"), "{}", code.told());
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
    // Density and threshold are told on the same ground, in the words that were written.
    let told = unwrapped(&ran.stdout);
    assert!(told.contains("20.84 per 1 sq yd, between ") && told.contains("threshold: 8 per 1 sq yd ("), "{told}");
    let data = yard.run(&[&["scout", survey, "--json"][..], &THRESHOLD].concat()).json();
    let threshold = &data["threshold"];
    // 44 on 19 sq ft.
    let mean = threshold["mean"].as_f64().unwrap();
    assert!(threshold["per"] == "per 1 sq yd" && (mean - 44.0 / 19.0 * 9.0).abs() < 1e-9, "{data}");
    assert!(threshold["interval"][0].as_f64() > Some(8.0), "{data}");
    // The pest is only a kind, of which there are several profiles; a threshold is not guessed.
    let none = yard.run(&["scout", survey]);
    assert!(
        none.code == 1
            && none.stderr.contains("scouting::several-thresholds")
            && none.stderr.contains("the profiles of differential grasshopper, ")
            && none.stderr.contains("name the kind with `--pest`"),
        "{}",
        none.told()
    );
    let few = yard.run(&["scout", survey, "--threshold", "80 per sq ft", "--source", "invented", "--json"]);
    let few = few.json();
    assert_eq!((few["stop"].as_str(), few["treat"].as_bool()), (Some("do-not-treat"), Some(false)), "{few}");
    let on =
        yard.run(&["scout", survey, "--threshold", "2.3 per 1 sq ft", "--source", "invented", "--in-vain-at", "0.8"]);
    assert!(on.code == 3 && on.stdout.contains("COUNT ON") && on.stdout.contains("more counts"), "{}", on.told());
    assert!(!on.stdout.contains("decided at count"), "it is not decided: {}", on.told());
    assert!(ran.stdout.contains("decided at count"), "{}", ran.told());
}

/// A survey file of counts on a square foot.
fn survey_of(pest: &str, counts: &str) -> String {
    format!(
        "format = \"tussock.survey/1\"\nproperty = \"Alder Bend\"\ndate = 2026-07-06\npest = \"{pest}\"\n\
         method = \"frame\"\ncount_area = \"1 sq ft\"\nby = \"J. Example\"\ncounts = {counts}\n"
    )
}

/// What was said, on one line.
fn unwrapped(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_scatter_that_is_only_believed_is_told_with_its_errors() {
    let yard = Yard::with_demo();
    yard.write("few.toml", survey_of("grasshopper", "[0, 9, 1, 5, 2]"));
    let against = ["--threshold", "4 per 1 sq ft", "--source", "invented"];
    let ran = yard.run(&[&["scout", "few.toml"][..], &against].concat());
    assert!(ran.code == 3 && ran.stderr.contains("scouting::k-assumed"), "{}", ran.told());
    assert!(unwrapped(&ran.stdout).contains("the clumped end of what is likely"), "{}", ran.told());
    let told = yard.run(&[&["scout", "few.toml", "--json"][..], &against].concat()).json();
    let lines = &told["stop_lines"];
    let (k, more) = (lines["k"].as_f64().unwrap(), &lines["if_more_clumped"]);
    assert!(lines["k_by"] == "believed" && more["k"].as_f64().unwrap() < k && k < 1.0, "{told}");
    let at_k = 1.0 - lines["characteristic"][2]["treats"].as_f64().unwrap();
    assert!(more["leaves_wrongly"].as_f64().unwrap() > at_k, "{told}");
    // A k that is told goes before it, and there is nothing to warn of.
    let ran = yard.run(&[&["scout", "few.toml", "--k", "2"][..], &against].concat());
    assert!(
        !ran.stderr.contains("scouting::k-assumed") && unwrapped(&ran.stdout).contains("k = 2.00, as told"),
        "{}",
        ran.told()
    );
    // So does that of a profile, of counts on as much ground, which is said with the ground that it is from.
    let grubs = survey_of("May or June beetle grub", "[2, 5, 1, 4, 3]");
    yard.write("grubs.toml", grubs.as_str());
    let ran = yard.run(&[&["scout", "grubs.toml"][..], &against].concat());
    assert!(unwrapped(&ran.stdout).contains("k = 1.59, as told"), "{}", ran.told());
    let said = unwrapped(&ran.stderr);
    assert!(said.contains("scouting::k-of-profile") && said.contains("not lawns"), "{}", ran.told());
    let own = yard.run(&[&["scout", "grubs.toml", "--k", "1.59"][..], &against].concat());
    assert!(!own.stderr.contains("scouting::k-of"), "{}", own.told());
    // On a can it is left out.
    yard.write("grubs.toml", grubs.replace("1 sq ft", "0.2 sq ft"));
    let ran = yard.run(&[&["scout", "grubs.toml"][..], &against].concat());
    assert!(unwrapped(&ran.stdout).contains("the clumped end of what is likely"), "{}", ran.told());
    assert!(ran.stderr.contains("scouting::k-of-other-area") && ran.stderr.contains("scouting::k-assumed"));
    let shown = yard.run(&["pest", "show", "may-beetle-grub"]);
    assert!(
        unwrapped(&shown.stdout).contains("1.5936, of counts on 1 sq ft (Manitoba, soil before"),
        "{}",
        shown.told()
    );
}

#[test]
fn how_many_counts_a_mean_takes_is_told() {
    let yard = Yard::with_demo();
    let against = ["--threshold", "4 per 1 sq ft", "--source", "invented", "--json"];
    yard.write("now.toml", survey_of("grasshopper", "[2, 5, 1, 4, 3]"));
    let precision =
        |more: &[&str]| yard.run(&[&["scout", "now.toml"][..], &against, more].concat()).json()["precision"].clone();
    // Mean 3 and k 2: (1 / 3 + 1 / 2) / 0.25² = 13.3.
    let by_k = precision(&["--k", "2"]);
    assert_eq!((&by_k["counts"], &by_k["is_reached"]), (&14.into(), &false.into()), "{by_k}");
    assert_eq!(precision(&["--k", "2", "--precision", "0.5"])["counts"], 4, "a quarter of it, rounded up");
    for (file, counts) in
        [("a.toml", "[0, 1, 0, 2, 1]"), ("b.toml", "[9, 2, 14, 6, 3]"), ("c.toml", "[40, 12, 25, 70, 33]")]
    {
        yard.write(file, survey_of("grasshopper", counts));
    }
    let earlier = ["--earlier", "a.toml", "--earlier", "b.toml", "--earlier", "c.toml"];
    let by_law = precision(&earlier);
    let (a, b) = (by_law["taylor"][0].as_f64().unwrap(), by_law["taylor"][1].as_f64().unwrap());
    // a · m^(b - 2) / D².
    let expected = (a * 3.0_f64.powf(b - 2.0) / 0.0625).ceil();
    assert_eq!((by_law["lots"].as_u64(), by_law["counts"].as_f64()), (Some(4), Some(expected)), "{by_law}");
    let words = yard.run(&[&["scout", "now.toml"][..], &against[..4], &earlier].concat());
    assert!(unwrapped(&words.stdout).contains("by Taylor's law of 4 surveys"), "{}", words.told());
    assert!(unwrapped(&words.stdout).contains("by Iwao's line, α = "), "{}", words.told());
    let iwao = &by_law["iwao"];
    let (alpha, beta) = (iwao["alpha"].as_f64().unwrap(), iwao["beta"].as_f64().unwrap());
    // ((α + 1) / m + β - 1) / D².
    let expected = (((alpha + 1.0) / 3.0 + beta - 1.0) / 0.0625).ceil();
    assert_eq!(iwao["counts"].as_f64(), Some(expected), "{by_law}");
    // A survey in which nothing was found tells nothing, and is not counted among those that do.
    yard.write("none.toml", survey_of("grasshopper", "[0, 0, 0]"));
    let with_none = precision(&[&earlier[..], &["--earlier", "none.toml"]].concat());
    assert_eq!((&with_none["lots"], &with_none["silent_lots"]), (&4.into(), &1.into()), "{with_none}");
    assert_eq!(with_none["taylor"], by_law["taylor"]);
    let wrong = yard.run(&[&["scout", "now.toml", "--precision", "1.5"][..], &against].concat());
    assert!(wrong.code == 1 && wrong.stderr.contains("scouting::precision"), "{}", wrong.told());
}

/// What is wrong with earlier surveys takes nothing away from what the counts of today call for.
#[test]
fn earlier_surveys_that_cannot_be_used_leave_the_decision() {
    let yard = Yard::with_demo();
    let scout = |counts: &str, more: &[&str]| {
        yard.write("now.toml", survey_of("grasshopper", counts));
        let against = ["--threshold", "4 per 1 sq ft", "--source", "invented", "--json"];
        yard.run(&[&["scout", "now.toml"][..], &against, more].concat())
    };
    yard.write("a.toml", survey_of("grasshopper", "[0, 1, 0, 2, 1]"));
    yard.write(
        "traps.toml",
        survey_of("grasshopper", "[1, 4]").replace("count_area = \"1 sq ft\"", "count_per = \"trap\""),
    );
    yard.write("yards.toml", survey_of("grasshopper", "[1, 4, 2]").replace("1 sq ft", "1 sq yd"));
    yard.write("grubs.toml", survey_of("May or June beetle grub", "[1, 4, 2]"));
    yard.write("broken.toml", "format = 7");
    for (counts, code, stop) in [("[2, 5, 1, 4, 3]", 3, "count-on"), ("[19, 12, 30, 14, 28, 17]", 0, "treat")] {
        let alone = scout(counts, &[]);
        assert_eq!((alone.code, alone.json()["stop"].as_str()), (code, Some(stop)), "{}", alone.told());
        for (file, problem) in [
            ("a.toml", "scouting::few-lots"),
            ("traps.toml", "scouting::earlier-basis"),
            ("yards.toml", "scouting::earlier-basis"),
            ("grubs.toml", "scouting::earlier-pest"),
            ("broken.toml", "broken.toml"),
            ("nowhere.toml", "nowhere.toml"),
        ] {
            let found = scout(counts, &["--earlier", file]);
            assert!(found.code == code && found.stderr.contains(problem), "{file}: {}", found.told());
            let json = found.json();
            assert_eq!(
                (&json["stop"], &json["precision"]),
                (&alone.json()["stop"], &alone.json()["precision"]),
                "{file}"
            );
            assert!(
                json["problems"].as_array().unwrap().iter().all(|one| one["severity"] == "warning"),
                "{file}: {json}"
            );
        }
    }
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

#[test]
fn the_one_place_of_the_demo_lies_on_its_property() {
    let yard = Yard::with_demo();
    let map = ["--map", "demo/alder-bend/property.geojson"];
    let ran = yard.run(&[&["scout", "demo/alder-bend/survey.toml"][..], &map, &THRESHOLD].concat());
    // One place makes no surface, and lies where it should.
    assert!(ran.code == 0 && !ran.stderr.contains("scouting::outside"), "{}", ran.told());
}

#[test]
fn bad_counts_are_told_all_at_once() {
    let yard = Yard::with_demo();
    let place = |at: &str| format!("position = {{ longitude = {at} }}\n");
    let (here, far) = (place("-97.6198, latitude = 38.84005"), place("-97.6198, latitude = 38.85"));
    yard.write(
        "bad.toml",
        format!(
            "format = \"tussock.survey/1\"\nproperty = \"Alder Bend\"\ndate = 2026-07-06\npest = \"grasshopper\"\n\
             method = \"frame\"\ncount_area = \"1\"\nby = \"J. Example\"\ncounts = [2, -1, \"many\"]\n\
             [threshold]\ncount = 0\nper = \"a yard\"\nsource = \" \"\n\
             [[station]]\ncount = 1\n{here}[[station]]\ncount = 2\n{here}[[station]]\ncount = 3\n{far}"
        ),
    );
    let ran = yard.run(&["scout", "bad.toml", "--map", "demo/alder-bend/property.geojson"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    for part in [
        "counts[2]",
        "counts[3]",
        "count_area",
        "survey::station-twice",
        "scouting::outside",
        "station[3].position",
        "scouting::count-basis",
    ] {
        assert!(ran.stderr.contains(part), "{part} in {}", ran.told());
    }
}

fn survey_with(pest: &str, rest: &str) -> String {
    format!(
        "format = \"tussock.survey/1\"\nproperty = \"Alder Bend\"\ndate = 2026-07-06\npest = \"{pest}\"\n\
         by = \"J. Example\"\n{rest}"
    )
}

/// Twelve mounds on 0.1451 acre are 82.7 an acre, more than the 20 of the profile; on 0.25 acre five are not more.
#[test]
fn mounds_are_treated_alone_or_the_lawn_is_broadcast() {
    let yard = Yard::with_demo();
    let scout = |counts: &str, area: &str, more: &[&str]| {
        let counted = format!("method = \"mounds\"\ncount_area = \"{area}\"\ncounts = {counts}\n");
        yard.write("mounds.toml", survey_with("fire ant", &counted));
        yard.run(&[&["scout", "mounds.toml"], more].concat())
    };
    let many = scout("[12]", "0.1451 acre", &[]);
    assert!(many.code == 0 && many.stdout.contains("BROADCAST"), "{}", many.told());
    assert!(many.stdout.contains("82.7 mounds per acre are more than 20.0 per acre"), "{}", many.told());
    assert!(many.stdout.contains("level: 5 mounds per 0.25 acre (5 mounds per 0.25 acre (Texas"), "{}", many.told());
    // The only kind of fire ant with a profile, which is said.
    assert!(many.stderr.contains("scouting::general-name") && many.stderr.contains("red-imported-fire-ant"));
    let few = scout("[5]", "0.25 acre", &["--json"]).json();
    assert_eq!(
        (few["mounds"]["call"].as_str(), few["treat"].as_bool(), few["stop_lines"].is_null()),
        (Some("mounds-alone"), Some(true), true),
        "{few}"
    );
    assert!(scout("[0]", "0.25 acre", &[]).stdout.contains("DO NOT TREAT"));
    let stated = scout("[5]", "0.25 acre", &["--threshold", "3 mounds per 0.25 acre", "--source", "invented"]);
    assert!(stated.stdout.contains("BROADCAST"), "{}", stated.told());
    // Of animals it is none, whatever they are told on, and a stage is one of animals.
    for animals in ["3 workers per 0.25 acre", "8 per flush"] {
        let of_animals = scout("[5]", "0.25 acre", &["--threshold", animals, "--source", "invented"]);
        assert!(of_animals.code == 1 && of_animals.stderr.contains("scouting::basis"), "{}", of_animals.told());
    }
    let flushed = scout("[5]", "0.25 acre", &["--threshold", "3 mounds per flush", "--source", "invented"]);
    assert!(flushed.code == 1 && flushed.stderr.contains("scouting::threshold"), "{}", flushed.told());
    let part = scout("[1]", "100 sq ft", &["--map", "demo/alder-bend/property.geojson"]);
    assert!(part.code == 0 && part.stderr.contains("scouting::mounds-part"), "{}", part.told());
    // Without a map nobody knows whether it was the whole lawn.
    assert!(many.stderr.contains("scouting::mounds-part"), "{}", many.told());
    // Ants in a frame are no mounds.
    yard.write(
        "ants.toml",
        survey_with("fire ant", "method = \"frame\"\ncount_area = \"1 sq ft\"\ncounts = [40, 2, 9]\n"),
    );
    let ants = yard.run(&["scout", "ants.toml"]);
    assert!(ants.code == 1 && ants.stderr.contains("5 mounds per 0.25 acre"), "{}", ants.told());
}

/// Errors of one in ten are stated; for means below 1 of clumped pests fifty counts do not keep them.
#[test]
fn lines_that_err_more_than_stated_are_told() {
    let yard = Yard::with_demo();
    let clumped =
        "method = \"frame\"\ncount_area = \"1 sq ft\"\ncounts = [0, 0, 9, 1, 14, 2, 0, 0, 3, 7, 0, 1, 22, 0, 4]\n";
    yard.write("clumped.toml", survey_with("grasshopper", clumped));
    let ran = yard.run(&["scout", "clumped.toml", "--threshold", "8 per 1 sq yd", "--source", "invented"]);
    assert!(ran.stderr.contains("scouting::errs-more") && ran.stderr.contains("10 % as stated"), "{}", ran.told());
    // With as many counts as it says they are kept.
    let told = unwrapped(&ran.stderr);
    let most = told.split_once("kept with ").and_then(|(_, rest)| rest.split(' ').next()).unwrap_or_default();
    let against = ["--threshold", "8 per 1 sq yd", "--source", "invented", "--most", most];
    let kept = yard.run(&[&["scout", "clumped.toml"][..], &against].concat());
    assert!(most.parse::<u32>().is_ok() && !kept.stderr.contains("errs-more"), "{}", kept.told());
}

/// By which profile counts were judged the survey tells, also where its pest is a general word.
#[test]
fn a_survey_goes_by_the_profile_by_which_it_was_judged() {
    let yard = Yard::with_demo();
    let larvae =
        "method = \"sod cut\"\ncount_area = \"1 sq ft\"\ncounts = [30, 28, 35, 31, 29, 40]\nstage = \"larvae\"\n";
    let scout = |profile: &str| {
        yard.write("judged.toml", survey_with("billbug", &(profile.to_owned() + larvae)));
        yard.run(&["scout", "judged.toml"])
    };
    let general = scout("");
    assert!(general.code == 1 && general.stderr.contains("scouting::several-thresholds"), "{}", general.told());
    let judged = scout("profile = \"bluegrass-billbug\"\n");
    assert!(judged.code == 0 && !judged.stderr.contains("general-name"), "{}", judged.told());
    // One of another pest is none of it.
    let other = scout("profile = \"southern-chinch-bug\"\n");
    assert!(other.code == 1 && other.stderr.contains("scouting::several-thresholds"), "{}", other.told());
}

/// One kind of them has a threshold, and the others build mounds or cut roots as well: none is taken for all.
#[test]
fn a_general_word_takes_no_threshold_of_one_kind_alone() {
    let yard = Yard::with_demo();
    let mounds = "method = \"mounds\"\ncount_area = \"0.1 acre\"\ncounts = [3]\n";
    let larvae = "method = \"sod cut\"\ncount_area = \"1 sq ft\"\ncounts = [30, 28, 35, 31, 29, 40]\n";
    for (pest, counted) in [("ant", mounds), ("billbug", larvae)] {
        yard.write("general.toml", survey_with(pest, counted));
        let ran = yard.run(&["scout", "general.toml"]);
        assert!(ran.code == 1 && ran.stderr.contains("scouting::several-thresholds"), "{pest}: {}", ran.told());
    }
}

/// Under the name of its source stands what the source says: a range, of which the lower figure is taken.
#[test]
fn the_range_of_a_published_threshold_is_told() {
    let yard = Yard::with_demo();
    let larvae = "method = \"sod cut\"\ncount_area = \"1 sq ft\"\ncounts = [3, 4, 2, 5, 1, 3]\nstage = \"larva\"\n";
    yard.write("larvae.toml", survey_with("grub", larvae));
    let ran = yard.run(&["scout", "larvae.toml", "--pest", "black-turfgrass-ataenius"]);
    let told = unwrapped(&ran.stderr);
    assert!(told.contains("15 to 80 (the lower is taken) per 1 sq ft (Massachusetts, "), "{}", ran.told());
}

#[test]
fn a_threshold_per_flush_or_trap_night_is_held_against_such_counts() {
    let yard = Yard::with_demo();
    let threshold = |per: &str| format!("[threshold]\ncount = 2\nper = \"{per}\"\nsource = \"invented\"\n");
    let counted = "count_area = \"4 sq ft\"\ncounts = [9, 7, 11, 8, 12, 6]\n";
    let scout = |method: &str, rest: &str| {
        yard.write("flushes.toml", survey_with("mole cricket", &format!("method = \"{method}\"\n{rest}")));
        yard.run(&["scout", "flushes.toml"])
    };
    let flush = scout("soap flush", &(counted.to_owned() + &threshold("flush")));
    assert!(flush.code == 0 && flush.stdout.contains("TREAT"), "{}", flush.told());
    assert!(
        flush.stdout.contains("8.83 per flush") && flush.stdout.contains("threshold: 2 per flush"),
        "{}",
        flush.told()
    );
    let frame = scout("frame", &(counted.to_owned() + &threshold("flush")));
    assert!(frame.code == 1 && frame.stderr.contains("scouting::basis"), "{}", frame.told());
    // Eight in six trap nights are 1.3 in one.
    let traps = "count_per = \"6 trap nights\"\ncounts = [8, 7, 9, 8, 8, 9]\n";
    let traps = scout("pitfall", &(traps.to_owned() + &threshold("trap night")));
    assert!(traps.stdout.contains("DO NOT TREAT") || traps.stdout.contains("COUNT ON"), "{}", traps.told());
    let stated = yard.run(&["scout", "flushes.toml", "--threshold", "0.5 per trap night", "--source", "invented"]);
    assert!(stated.code == 0 && stated.stdout.contains("TREAT: "), "{}", stated.told());
}

#[test]
fn a_threshold_of_another_stage_is_refused() {
    let yard = Yard::with_demo();
    let counted = "method = \"sod cut\"\ncount_area = \"1 sq ft\"\ncounts = [30, 28, 35, 31, 29, 40]\n";
    let scout = |stage: &str, more: &[&str]| {
        let stage = if stage.is_empty() { String::new() } else { format!("stage = \"{stage}\"\n") };
        yard.write("stage.toml", survey_with("bluegrass billbug", &(counted.to_owned() + &stage)));
        yard.run(&[&["scout", "stage.toml"], more].concat())
    };
    let larvae = scout("larvae", &[]);
    assert!(
        larvae.code == 0 && larvae.stdout.contains("TREAT") && !larvae.stderr.contains("stage"),
        "{}",
        larvae.told()
    );
    let adults = scout("adult", &[]);
    assert!(adults.code == 1 && adults.stderr.contains("scouting::other-stage"), "{}", adults.told());
    assert!(scout("", &[]).stderr.contains("scouting::stage-untold"));
    let stated = ["--threshold", "10 larvae per 1 sq ft", "--source", "invented"];
    let adults = scout("adult", &stated);
    assert!(adults.code == 1 && adults.stderr.contains("scouting::other-stage"), "{}", adults.told());
    assert_eq!(scout("grubs", &stated).code, 0);
}

#[test]
fn a_general_word_and_a_kind_of_it_pair_before_and_after_a_treatment() {
    let yard = Yard::with_demo();
    let counts = |left: u32| {
        format!(
            "method = \"frame\"\ncount_area = \"1 sq ft\"\ncounts = [{left}, 1, {left}, 2, {left}, 1, 0, {left}]\ncheck_counts = [8, 7, 9, 8, 8, 7, 9, 8]\n"
        )
    };
    yard.write("before.toml", survey_with("grasshopper", &counts(8)));
    let after = survey_with("Melanoplus bivittatus", &(counts(1) + "[treated]\non = 2026-07-07\n"));
    yard.write("after.toml", after.replace("date = 2026-07-06", "date = 2026-07-12"));
    let told = efficacy(&yard, &["before.toml", "after.toml"].map(str::to_owned), &["--json"]);
    let json = told.json();
    assert_eq!(json["treatments"][0]["formula"], "henderson-tilton", "{json}");
    assert!(told.stderr.contains("scouting::names-differ"), "{}", told.told());
    assert_eq!(json["treatments"][0]["pest"], "two-striped grasshopper");
}

/// Surveys before and after a treatment, of so many visits to two properties; `left` is what stays of a mean of 8.
fn visits(yard: &Yard, left: &[u32]) -> Vec<String> {
    let head = |property: &str, date: &str| {
        format!(
            "format = \"tussock.survey/1\"\nproperty = \"{property}\"\ndate = {date}\npest = \"chinch bug\"\n\
             method = \"float can\"\ncount_area = \"0.2 sq ft\"\nby = \"J. Example\"\n"
        )
    };
    let mut files = Vec::new();
    for (number, left) in (1..).zip(left) {
        let property = ["Alder Bend", "Birch Rise"][number % 2];
        let before = "counts = [8, 10, 6, 9, 7, 8, 9, 8]\ncheck_counts = [9, 7, 8, 8, 7, 9, 8, 8]\n";
        let after: Vec<u32> = (0..8).map(|station| left + station % 2).collect();
        let after = format!(
            "counts = {after:?}\ncheck_counts = [9, 8, 7, 8, 9, 8, 8, 7]\n[treated]\non = 2026-{number:02}-03\ngroup = \"3a\"\n"
        );
        for (name, date, counts) in [("before", "02", before), ("after", "10", after.as_str())] {
            let file = format!("{name}-{number}.toml");
            yard.write(&file, head(property, &format!("2026-{number:02}-{date}")) + counts);
            files.push(file);
        }
    }
    files
}

fn efficacy(yard: &Yard, files: &[String], more: &[&str]) -> support::Ran {
    let files: Vec<&str> = files.iter().map(String::as_str).collect();
    yard.run(&[&["scout", "--efficacy"], files.as_slice(), more].concat())
}

#[test]
fn a_treatment_is_held_against_the_ground_left_untreated() {
    let yard = Yard::with_demo();
    let files = ["demo/alder-bend/survey.toml", "demo/alder-bend/after-treatment.toml"].map(str::to_owned);
    let ran = efficacy(&yard, &files, &["--out", "scouted"]);
    // 5 of 44 are left (19 stations before, 18 after), where the check went from 12 on four to 14.
    let control = 100.0 * (1.0 - (5.0 / 18.0) / (44.0 / 19.0) * (12.0 / 14.0));
    assert!(ran.code == 0 && ran.stdout.contains(&format!("control {control:.0} %")), "{}", ran.told());
    for part in [
        "Henderson and Tilton",
        "by lot, since the counts are few",
        "negative binomial, one k of",
        "1 treatment on 1 day",
        "4 treatments on 4 days",
    ] {
        assert!(ran.stdout.contains(part), "{part} in {}", ran.told());
    }
    let picture = yard.read("scouted/efficacy.svg");
    assert!(picture.contains("Expected: 80 %. 2026-07-14") && picture.contains("Control over time: grasshopper"));
    let told = efficacy(&yard, &files, &["--json"]).json();
    let treatment = &told["treatments"][0];
    assert_eq!(
        (told["format"].as_str(), treatment["formula"].as_str()),
        (Some("tussock.efficacy/1"), Some("henderson-tilton"))
    );
    assert!((treatment["control"].as_f64().unwrap() - control / 100.0).abs() < 1e-12);
    let ends = [0, 1].map(|end| treatment["interval"][end].as_f64().unwrap());
    assert!(ends[0] < control / 100.0 && control / 100.0 < ends[1] && ends[1] < 1.0, "{ends:?}");
    // Without the count before, by what was left on the check.
    let alone = efficacy(&yard, &files[1..], &["--json"]).json();
    assert_eq!(alone["treatments"][0]["formula"], "abbott");
}

#[test]
fn a_poor_result_says_what_to_check_and_many_make_a_sign_of_resistance() {
    let yard = Yard::with_demo();
    let poor = efficacy(&yard, &visits(&yard, &[4]), &[]);
    assert!(
        poor.stdout.contains("BELOW what is expected") && poor.stdout.contains("6 resistance: last"),
        "{}",
        poor.told()
    );
    assert!(!poor.stdout.contains("A SIGN"), "one visit never is one: {}", poor.told());
    let files = visits(&yard, &[0, 0, 1, 2, 3, 5, 6]);
    let falling = efficacy(&yard, &files, &["--json"]).json();
    let sign = &falling["resistance"][0];
    assert_eq!((sign["sign"].as_str(), sign["group"].as_str()), (Some("signal"), Some("3A")), "{falling}");
    assert_eq!((sign["treatments"].as_u64(), sign["properties"].as_u64()), (Some(7), Some(2)));
    assert!(sign["growth_interval"][0].as_f64().unwrap() > 1.0 && sign["last_interval"][1].as_f64().unwrap() < 0.8);
    let even = efficacy(&yard, &visits(&yard, &[1, 0, 1, 1, 0, 1, 0]), &["--json"]).json();
    assert_eq!(even["resistance"][0]["sign"], "not-falling", "{even}");
}

#[test]
fn what_tells_no_control_is_said_at_once() {
    let yard = Yard::with_demo();
    let files = visits(&yard, &[1, 2]);
    let all_wrong = |ran: &support::Ran, parts: &[&str]| {
        assert_eq!(ran.code, 1, "{}", ran.told());
        for part in parts {
            assert!(ran.stderr.contains(part), "{part} in {}", ran.told());
        }
    };
    all_wrong(&efficacy(&yard, &[files[0].clone(), files[2].clone()], &[]), &["scouting::no-treatment"]);
    all_wrong(&efficacy(&yard, &[files[0].clone(), files[0].clone()], &[]), &["scouting::survey-twice"]);
    all_wrong(&yard.run(&["scout", &files[0], &files[1]]), &["scouting::several-surveys", "--efficacy"]);
    all_wrong(&efficacy(&yard, &files, &["--expected", "1.5"]), &["scouting::expected"]);
    // Every fault of every file.
    let broken = |text: String| {
        text.replace("\"0.2 sq ft\"", "\"0.2\"")
            .replace("counts = [9", "counts = [-9")
            .replace("check_counts = [", "check_counts = [\"x\", ")
    };
    for file in &files[..2] {
        let text = yard.read(file);
        yard.write(file, broken(text));
    }
    all_wrong(
        &efficacy(&yard, &files, &[]),
        &["before-1.toml:6", "after-1.toml:6", "toml::bad-quantity", "toml::wrong-type", "check_counts[1]"],
    );
    // Nothing on the check: that treatment is told with its reason, the other one judged.
    let files = visits(&yard, &[1, 2]);
    let text = yard.read("after-1.toml");
    yard.write("after-1.toml", text.replace("[9, 8, 7, 8, 9, 8, 8, 7]", "[0, 0, 0]"));
    let ran = efficacy(&yard, &files, &["--json"]);
    assert!(ran.code == 0 && ran.stderr.contains("`0` living pests counted on the check after"), "{}", ran.told());
    assert_eq!(ran.json()["treatments"].as_array().map(Vec::len), Some(1));
    all_wrong(&efficacy(&yard, &files[..2], &[]), &["scouting::efficacy-nothing", "after-1.toml"]);
}

#[test]
fn money_makes_a_threshold() {
    let yard = Yard::with_demo();
    let scout = |more: &[&str]| yard.run(&[&["scout", "demo/alder-bend/survey.toml"], more].concat());
    let money =
        ["--cost", "12.00 USD per 1000 sq ft", "--worth", "600 USD per 1000 sq ft", "--loss", "0.5 % per 1 sq ft"];
    let told = scout(&[&money[..], &["--json"]].concat()).json();
    // 12 / (600 · 0.005 · 0.8) = 5.
    assert!((told["threshold"]["count"].as_f64().unwrap() - 5.0).abs() < 1e-9, "{told}");
    assert!(told["threshold"]["source"].as_str().unwrap().contains("injury level"));
    let wrong = scout(&["--cost", "12 per 1 acre", "--worth", "600 EUR", "--loss", "half"]);
    for part in ["--cost", "--worth", "--loss"] {
        assert!(wrong.code == 1 && wrong.stderr.contains(part), "{part} in {}", wrong.told());
    }
    let two = scout(&["--cost", "12 USD per 1 acre", "--worth", "600 EUR per 1 acre", "--loss", "1 % per 1 sq ft"]);
    assert!(two.stderr.contains("scouting::two-currencies"), "{}", two.told());
    let never = scout(&["--cost", "590 USD per 1 acre", "--worth", "600 USD per 1 acre", "--loss", "1 % per 1 sq ft"]);
    assert!(never.stderr.contains("scouting::never-pays"), "{}", never.told());
}

#[test]
fn the_interval_of_k_is_told_from_fifteen_counts_on() {
    let yard = Yard::with_demo();
    let scout = |counts: &[u32], more: &[&str]| {
        yard.write("now.toml", survey_of("grasshopper", &format!("{counts:?}")));
        yard.run(
            &[&["scout", "now.toml"][..], &["--threshold", "4 per 1 sq ft", "--source", "invented"], more].concat(),
        )
    };
    let pattern = [0, 9, 1, 5, 2];
    assert!(scout(&pattern, &["--json"]).json()["k_interval"].is_null());
    let few = scout(&pattern.repeat(3), &[]);
    let words = unwrapped(&few.stdout);
    assert!(
        words.contains("fitted to these counts; k between ") && words.contains("wider than need be"),
        "{}",
        few.told()
    );
    let many = scout(&pattern.repeat(8), &["--json"]).json();
    let (k, interval) = (many["k"].as_f64().unwrap(), &many["k_interval"]);
    assert!(interval["low"].as_f64().unwrap() < k && k < interval["high"].as_f64().unwrap(), "{many}");
    assert_eq!(interval["is_wide"], false);
    let even = scout(&[2; 40], &[]);
    assert!(unwrapped(&even.stdout).contains("not clumped; k "), "{}", even.told());
}

#[test]
fn intervals_that_hold_less_or_are_wide_are_told() {
    let yard = Yard::with_demo();
    let text = yard.read("demo/alder-bend/survey.toml");
    let scout = |counts: &str| {
        let start = text.find("counts = [").unwrap();
        let end = text.find("check_counts").unwrap();
        let text = format!("{}counts = {counts}\n{}", &text[..start], &text[end..]);
        yard.write("own.toml", text);
        yard.run(&[&["scout", "own.toml"][..], &THRESHOLD].concat())
    };
    assert!(scout("[0, 0, 41, 0, 1, 0, 0, 90, 0, 0, 0]").stderr.contains("scouting::interval-holds-less"));
    assert!(scout("[4, 6, 3]").stderr.contains("scouting::interval-wide"));
    assert!(!scout("[4, 6, 3, 5, 8, 2, 4, 1, 7, 3]").stderr.contains("scouting::interval"));
}
