//! `tussock measure`, `calibrate`, `mix` and `choose`: known figures, end to end.

mod support;

use support::Yard;

const SQUARE_METRES_PER_SQUARE_FOOT: f64 = 0.3048 * 0.3048;

#[track_caller]
fn close(found: &serde_json::Value, expected: f64, tolerance: f64) {
    let found = found.as_f64().expect("a number");
    assert!((found / expected - 1.0).abs() <= tolerance, "found {found}, expected {expected}");
}

/// The demo lot is 110 by 130 ft with a house of 1,250 sq ft; 0.1 % for the turn from longitude and
/// latitude.
#[test]
fn a_map_is_measured() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["measure", "demo/alder-bend/property.geojson", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let document = ran.json();
    assert_eq!(document["format"], "tussock.measure/1");
    close(&document["area_m2"], 14_300.0 * SQUARE_METRES_PER_SQUARE_FOOT, 1e-3);
    close(&document["perimeter_m"], 480.0 * 0.3048, 1e-3);
    let features = document["features"].as_array().expect("a list");
    let house = features.iter().find(|feature| feature["id"] == "house").expect("the house");
    close(&house["area_m2"], 1_250.0 * SQUARE_METRES_PER_SQUARE_FOOT, 1e-3);
    let distances = document["distances"].as_array().expect("a list");
    assert_eq!(distances.len(), features.len() * (features.len() - 1) / 2);
    let words = yard.run(&["measure", "demo/alder-bend/property.geojson"]);
    insta::assert_snapshot!("measure-map", words.stdout);
}

#[test]
fn a_copy_of_the_map_is_written_when_asked() {
    let yard = Yard::with_demo();
    let map = "demo/alder-bend/property.geojson";
    let ran = yard.run(&["measure", map, "--repaired", "copy.geojson"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(!yard.path("copy.geojson").exists(), "nothing was to be mended");
    let before = yard.read(map);
    let ran = yard.run(&["measure", map, "--repaired", map]);
    assert!(ran.code == 1 && ran.stderr.contains("measure::same-file"), "{}", ran.told());
    assert_eq!(yard.read(map), before);
    // A ring that was not closed is closed in the copy, and nothing else changes.
    let mut open: serde_json::Value = serde_json::from_str(&before).expect("JSON");
    let features = open["features"].as_array_mut().expect("a list");
    let ring = features
        .iter_mut()
        .find_map(|feature| feature.pointer_mut("/geometry/coordinates/0"))
        .and_then(|ring| ring.as_array_mut())
        .expect("a ring");
    ring.pop();
    yard.write("open.geojson", open.to_string());
    let ran = yard.run(&["measure", "open.geojson", "--repaired", "copy.geojson"]);
    assert!(ran.stderr.contains("written copy.geojson"), "{}", ran.told());
    let again = yard.run(&["measure", "copy.geojson", "--json"]).json();
    let first = yard.run(&["measure", map, "--json"]).json();
    assert_eq!(again["features"], first["features"]);
}

/// Offsets 20, 24, 30, 26, 18 ft at 10 ft make 1,180 sq ft, and 60 by 25 ft make 1,500, by hand.
#[test]
fn paper_is_measured() {
    let yard = Yard::empty();
    let arguments = ["measure", "--offsets", "20, 24, 30, 26, 18 ft at 10 ft", "--rectangle", "60 ft x 25 ft"];
    let ran = yard.run(&[&arguments[..], &["--json"]].concat());
    close(&ran.json()["area_m2"], 2_680.0 * SQUARE_METRES_PER_SQUARE_FOOT, 1e-12);
    insta::assert_snapshot!("measure-paper", yard.run(&arguments).stdout);
    let wrong = yard.run(&["measure", "--rectangle", "60 ft", "--circle", "9000 ft"]);
    assert_eq!(wrong.code, 1);
    insta::assert_snapshot!("measure-paper-wrong", wrong.stderr);
}

/// 53, 55 and 54 fl oz over 250 sq ft: 54 x 4 / 128 = 1.6875 gal/1,000 sq ft; the sample standard
/// deviation is 1 fl oz, so the spread 1/54, by hand.
#[test]
fn a_calibration_is_reckoned_from_its_runs() {
    let yard = Yard::empty();
    let runs = ["--refill", "53 fl oz", "--refill", "55 fl oz", "--refill", "54 fl oz"];
    let arguments = [&["calibrate", "test-area", "--area", "250 sq ft", "--tank", "2 gal"][..], &runs].concat();
    let ran = yard.run(&[&arguments[..], &["--json"]].concat());
    let document = ran.json();
    assert_eq!(ran.code, 0);
    close(&document["output"][0]["value"], 1.6875, 1e-12);
    close(&document["variation"], 1.0 / 54.0, 1e-12);
    close(&document["covers_m2"], 2_000.0 / 1.6875 * SQUARE_METRES_PER_SQUARE_FOOT, 1e-12);
    insta::assert_snapshot!("calibrate", yard.run(&arguments).told());
}

/// Colorado State University Extension, fact sheet on the 1/128-acre method: fluid ounces caught are
/// gallons per acre.
#[test]
fn ounces_are_gallons_per_acre_on_a_128th() {
    let yard = Yard::empty();
    let runs = ["--caught", "40 fl oz", "--caught", "40 fl oz", "--caught", "40 fl oz"];
    let document = yard.run(&[&["calibrate", "acre-128", "--json"][..], &runs].concat()).json();
    close(&document["output"][1]["value"], 40.0, 1e-12);
    assert_eq!(document["output"][1]["symbol"], "gal/acre");
}

/// Fifty fluid ounces in half a minute, and a minute for 1,000 sq ft: 100 fl oz, 0.78125 gal, by hand.
#[test]
fn a_timed_catch_is_scaled_to_the_walk() {
    let yard = Yard::empty();
    let run = ["--caught", "50 fl oz", "--caught-in", "30 s", "--walked-in", "1 min"];
    let arguments = [&["calibrate", "timed-catch", "--course", "1,000 sq ft", "--json"][..], &run, &run, &run].concat();
    close(&yard.run(&arguments).json()["output"][0]["value"], 0.78125, 1e-12);
    let uneven = [&arguments[..], &["--caught", "50 fl oz"]].concat();
    let ran = yard.run(&uneven);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("calibrate::uneven-runs")));
}

#[test]
fn a_calibration_that_varies_is_refused() {
    let yard = Yard::empty();
    let arguments = ["calibrate", "test-area", "--area", "250 sq ft", "--refill", "53 fl oz", "--refill", "85 fl oz"];
    let ran = yard.run(&arguments);
    assert_eq!(ran.code, 3);
    insta::assert_snapshot!("calibrate-refused", ran.told());
    let worn = yard.run(&["calibrate", "nozzle", "--found", "0.48 gal/min", "--nominal", "0.4 gal/min"]);
    assert_eq!(worn.code, 3);
    let kept = yard.run(&["calibrate", "nozzle", "--found", "0.42 gal/min", "--nominal", "0.4 gal/min", "--json"]);
    assert_eq!((kept.code, kept.json()["replace"].as_bool()), (0, Some(false)));
    // 88 ft in a minute is a mile an hour.
    let speed = yard.run(&["calibrate", "speed", "--distance", "88 ft", "--time", "1 min", "--json"]);
    close(&speed.json()["speed_m_per_s"], 0.44704, 1e-12);
}

/// The lawn of the demo: a full tank takes 14.02 mL, on marks of 0.2 mL 14.0, never 14.2, which would
/// pass the rate.
#[test]
fn a_mix_is_measured_under_its_limit() {
    let yard = Yard::empty();
    let arguments = [
        "mix",
        "--rate",
        "0.4 fl oz/1,000 sq ft",
        "--area",
        "7,988.02 sq ft",
        "--output",
        "1.6875 gal/1,000 sq ft",
        "--tank",
        "2 gal",
        "--graduation",
        "0.2 mL",
    ];
    let ran = yard.run(&[&arguments[..], &["--json"]].concat());
    let document = ran.json();
    assert_eq!(document["full_tanks"], 6);
    close(&document["full_load"]["product_ml"], 14.020_043_644_444, 1e-9);
    close(&document["full_load"]["measured_ml"], 14.0, 1e-12);
    assert_eq!(document["batches"].as_array().map(Vec::len), Some(7));
    insta::assert_snapshot!("mix", yard.run(&arguments).told());
}

/// 1.5 lb/acre on 6,320 sq ft is 3.48 oz (weight); 0.06 % v/v in 1 gal is 0.0768 fl oz = 2.27 mL.
#[test]
fn dry_products_are_weighed_and_percents_are_of_the_spray() {
    let yard = Yard::empty();
    let dry = yard.run(&[
        "mix",
        "--rate",
        "1.5 lb/acre",
        "--area",
        "6,320 sq ft",
        "--hopper",
        "10 lb",
        "--graduation",
        "1 g",
        "--json",
    ]);
    close(&dry.json()["product_g"], 1.5 * 6_320.0 / 43_560.0 * 453.592_37, 1e-12);
    let percent = yard.run(&[
        "mix",
        "--rate",
        "0.06 % v/v",
        "--spray",
        "1 gal",
        "--tank",
        "1 gal",
        "--graduation",
        "0.01 mL",
        "--json",
    ]);
    close(&percent.json()["product_ml"], 0.0006 * 3_785.411_784, 1e-12);
}

#[test]
fn a_mix_above_its_most_is_refused_and_what_is_missing_is_named() {
    let yard = Yard::empty();
    let above = [
        "mix",
        "--rate",
        "0.9 fl oz/1,000 sq ft",
        "--at-most",
        "0.8 fl oz/1,000 sq ft",
        "--area",
        "1,000 sq ft",
        "--output",
        "2 gal/1,000 sq ft",
        "--tank",
        "2 gal",
        "--graduation",
        "0.2 mL",
    ];
    let ran = yard.run(&above);
    assert_eq!(ran.code, 3);
    insta::assert_snapshot!("mix-refused", ran.told());
    let coarse =
        yard.run(&["mix", "--rate", "0.01 fl oz/gal", "--spray", "1 gal", "--tank", "1 gal", "--graduation", "5 mL"]);
    assert_eq!(coarse.code, 3);
    assert!(coarse.stderr.contains("sprayer::finer-measure"), "{}", coarse.stderr);
    let no_output = yard.run(&[
        "mix",
        "--rate",
        "0.4 fl oz/1,000 sq ft",
        "--spray",
        "2 gal",
        "--tank",
        "2 gal",
        "--graduation",
        "0.2 mL",
    ]);
    assert_eq!(no_output.code, 1);
    insta::assert_snapshot!("mix-without-output", no_output.stderr);
    // A weight on a rate, a measure of volumes: the dimension differs.
    let differs = yard.run(&[
        "mix",
        "--rate",
        "0.3 oz (weight)/1,000 sq ft",
        "--area",
        "5,936 sq ft",
        "--output",
        "2 gal/1,000 sq ft",
        "--tank",
        "2 gal",
        "--graduation",
        "0.2 mL",
    ]);
    assert_eq!(differs.code, 1);
    assert!(differs.stderr.contains("sprayer::dimension"), "{}", differs.stderr);
}

/// All the spray is said once: as it is, or as output on an area; and a hopper holds none.
#[test]
fn amounts_that_contradict_each_other_are_wrong_use() {
    let yard = Yard::empty();
    let mix = |rest: &[&str]| {
        let common = ["mix", "--rate", "0.4 fl oz/1,000 sq ft", "--graduation", "0.2 mL", "--area", "2,000 sq ft"];
        yard.run(&[&common[..], rest].concat())
    };
    let output = ["--output", "2 gal/1,000 sq ft"];
    let spray = ["--spray", "4 gal"];
    for wrong in [
        [&output[..], &spray, &["--tank", "2 gal"]].concat(),
        [&output[..], &["--hopper", "10 lb"]].concat(),
        [&spray[..], &["--hopper", "10 lb"]].concat(),
        vec!["--tank", "2 gal", "--hopper", "10 lb"],
    ] {
        let ran = mix(&wrong);
        assert!(ran.code == 2 && ran.stderr.contains("cannot be used with"), "{wrong:?}: {}", ran.told());
    }
    // Area and spray together say the output: 4 gal on 2,000 sq ft.
    let stated = mix(&[&output[..], &["--tank", "2 gal", "--json"]].concat());
    let meant = mix(&[&spray[..], &["--tank", "2 gal", "--json"]].concat());
    assert_eq!((stated.code, meant.code), (0, 0), "{}", meant.told());
    assert_eq!(stated.json()["full_load"], meant.json()["full_load"]);
}

#[test]
fn labels_are_ranked_and_rejections_have_their_sentence() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["choose", "demo/alder-bend/visit.toml", "--json"]);
    let document = ran.json();
    assert_eq!(document["format"], "tussock.choice/1");
    let choices = document["choices"].as_array().expect("a list");
    let of = |task: &str| choices.iter().filter(|choice| choice["task"] == task).collect::<Vec<_>>();
    let perimeter = of("perimeter");
    assert_eq!(perimeter.len(), 3, "every label of the shelf");
    assert_eq!(perimeter[0]["label"], "brackwater-sc");
    for rejected in &perimeter[1..] {
        assert_eq!(rejected["status"], "refused");
        assert!(rejected["rejections"][0]["clause"].is_string(), "{rejected:#}");
    }
}
