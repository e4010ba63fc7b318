//! Every figure of the acceptance example, from the demo's files to `visit.json`.

use serde_json::Value;
use std::path::Path;

fn demo() -> Value {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend");
    let text = std::fs::read_to_string(folder.join("visit.toml")).unwrap();
    let mut fetch = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let (request, _) = exchange::visit_file::parse_visit("visit.toml", &text, &mut fetch)
        .unwrap_or_else(|problems| panic!("{problems}"));
    let mut visit = treatment::plan(&request).unwrap_or_else(|problems| panic!("{problems}"));
    let care = exchange::aftercare_file::parse_aftercare("visit.toml", &text).unwrap();
    visit.measures.extend(season::aftercare::figures(&care).unwrap());
    serde_json::from_str(&exchange::visit_json::write_visit(&visit)).unwrap()
}

fn expected() -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/alder-bend/expected.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn task<'a>(visit: &'a Value, id: &str) -> &'a Value {
    visit["tasks"].as_array().unwrap().iter().find(|task| task["id"] == id).unwrap()
}

/// A named figure of the visit, or of one task.
fn measure(of: &Value, name: &str) -> f64 {
    let all = of["measures"].as_array().unwrap();
    let found = all.iter().find(|measure| measure["name"] == name);
    found.unwrap_or_else(|| panic!("no measure {name} in {all:#?}"))["value"].as_f64().unwrap()
}

/// Holds a figure to 0.1 %.
#[track_caller]
fn close(found: f64, wanted: &Value) {
    let wanted = wanted.as_f64().unwrap();
    assert!((found - wanted).abs() <= 1e-3 * wanted.abs(), "found {found}, expected {wanted}");
}

const MILLILITRES_PER_FL_OZ: f64 = 29.573_529_562_5;
const LITRES_PER_GALLON: f64 = 3.785_411_784;

#[test]
fn areas() {
    let (visit, expected) = (demo(), expected());
    for (name, area) in expected["areas_sqft"].as_object().unwrap() {
        let key = if name == "lot" { "property".to_owned() } else { format!("feature {name}") };
        close(measure(&visit, &key), area);
    }
    for (name, key) in [
        ("turf", "turf_sqft"),
        ("turf-lost-to-water-buffer", "turf_lost_to_water_buffer_sqft"),
        ("turf-lost-to-food-setback", "turf_lost_to_food_setback_sqft"),
        ("turf-lost-to-bloom-setback", "turf_lost_to_bloom_setback_sqft"),
        ("treatable-turf", "treatable_turf_sqft"),
        ("band-ring", "band_ring_sqft"),
        ("band-on-paving", "band_on_paving_sqft"),
        ("band", "band_sqft"),
        ("wall", "wall_sqft"),
        ("perimeter", "perimeter_sqft"),
        ("broadcast", "broadcast_sqft"),
    ] {
        close(measure(&visit, name), &expected[key]);
    }
    // Nothing is left over: both figures are the last bits of their arithmetic.
    assert!(measure(&visit, "not-accounted").abs() < 1e-6 * 14_300.0);
    assert!(expected["lot_minus_accounted_sqft"].as_f64().unwrap().abs() < 1e-6 * 14_300.0);
    let zones: f64 = visit["zones"].as_array().unwrap().iter().map(|zone| zone["area_m2"].as_f64().unwrap()).sum();
    let whole = visit["property"]["area_m2"].as_f64().unwrap();
    assert!((zones / whole - 1.0).abs() < 1e-6);
}

#[test]
fn amounts() {
    let (visit, expected) = (demo(), expected());
    for name in ["lawn", "perimeter"] {
        let (task, wanted) = (task(&visit, name), &expected[name]);
        let batches = task["batches"].as_array().unwrap();
        let ground = task["ground_m2"].as_f64().unwrap() + task["wall_m2"].as_f64().unwrap();
        close(ground / 0.3048 / 0.3048, &wanted["area_sqft"]);
        close(task["rate"]["value"].as_f64().unwrap(), &wanted["rate_floz_per_1000"]);
        assert_eq!(task["rate"]["unit"], "[foz_us]/(1000.[sft_i])");
        let product = task["product_ml"].as_f64().unwrap();
        close(product, &wanted["product_ml"]);
        close(product / MILLILITRES_PER_FL_OZ, &wanted["product_floz"]);
        close(task["spray_l"].as_f64().unwrap() / LITRES_PER_GALLON, &wanted["spray_gal"]);
        let full = batches.iter().filter(|batch| batch["spray_l"].as_f64().unwrap() > 2.0 * LITRES_PER_GALLON - 1e-6);
        assert_eq!(full.count() as u64, wanted["full_tanks"].as_u64().unwrap());
        let last = batches.last().unwrap();
        close(last["spray_l"].as_f64().unwrap() / LITRES_PER_GALLON, &wanted["last_tank_gal"]);
        close(last["product_ml"].as_f64().unwrap(), &wanted["product_last_tank_ml"]);
        let full_load = &task["full_load"];
        close(full_load["product_ml"].as_f64().unwrap(), &wanted["product_per_full_tank_ml"]);
        let measured = full_load["measured_ml"].as_f64().unwrap();
        assert!((measured - wanted["measured_per_full_tank_ml"].as_f64().unwrap()).abs() < 1e-9, "{measured}");
        close(task["rate_after_rounding"]["value"].as_f64().unwrap(), &wanted["rate_after_rounding"]);
    }
    let (hedge, wanted) = (task(&visit, "hedge"), &expected["hedge"]);
    close(hedge["product_ml"].as_f64().unwrap() / MILLILITRES_PER_FL_OZ, &wanted["product_floz"]);
    close(measure(hedge, "area-rate"), &wanted["area_rate_floz_per_1000"]);
    close(measure(hedge, "dilution-ceiling"), &wanted["ceiling_floz_per_gal"]);
    close(measure(hedge, "area-rate-at-top-dilution"), &wanted["at_top_dilution_floz_per_1000"]);
    let lawn_output = expected["lawn_output_gal_per_1000"].as_f64().unwrap();
    let lawn = task(&visit, "lawn");
    let output =
        lawn["spray_l"].as_f64().unwrap() / LITRES_PER_GALLON / (lawn["ground_m2"].as_f64().unwrap() / 0.3048 / 0.3048)
            * 1000.0;
    assert!((output / lawn_output - 1.0).abs() < 1e-9);
    close(lawn["output_variation"].as_f64().unwrap(), &expected["calibration_cv"]);
    let job = &expected["job"];
    close(visit["spray_l"].as_f64().unwrap() / LITRES_PER_GALLON, &job["spray_gal"]);
    assert_eq!(visit["tanks"], job["tanks"]);
    close(visit["duration_min"].as_f64().unwrap(), &job["minutes"]);
    close(visit["products"][0]["product_ml"].as_f64().unwrap(), &job["product_ml"]);
}

#[test]
fn the_year() {
    let (visit, expected) = (demo(), expected());
    let perimeter = task(&visit, "perimeter");
    close(measure(perimeter, "if-overlapped"), &expected["band_if_overlapped_floz_per_1000"]);
    close(measure(perimeter, "active-ingredient-of-one"), &expected["lb_ai_per_acre_per_floz_per_1000"]);
    close(measure(perimeter, "cap-from-active-ingredient"), &expected["annual_cap_from_ai_floz_per_1000"]);
    close(perimeter["remaining"][0]["cap"]["value"].as_f64().unwrap(), &expected["binding_cap_floz_per_1000"]);
    close(measure(perimeter, "highest-lawful-rate-today"), &expected["highest_perimeter_rate_today"]);
    for (name, id) in [("lawn", "lawn"), ("band", "perimeter"), ("hedge", "hedge")] {
        let (remaining, wanted) = (&task(&visit, id)["remaining"][0], &expected["ledger"][name]);
        close(remaining["total"]["value"].as_f64().unwrap(), &wanted["total"]);
        close(remaining["left"]["value"].as_f64().unwrap(), &wanted["left"]);
        close(remaining["lowest_rate"]["value"].as_f64().unwrap(), &wanted["lowest_rate"]);
        assert_eq!(remaining["more_at_lowest"], wanted["more_at_lowest"], "{name}");
        assert_eq!(remaining["more_applications"], wanted["more_at_todays"], "{name}");
    }
    assert_eq!(perimeter["days_since_previous"], expected["days_since_previous"]);
    for id in ["lawn", "perimeter", "hedge"] {
        assert_eq!(task(&visit, id)["earliest_repeat"], expected["earliest_repeat"]);
    }
    assert_ne!(visit["verdict"], "refused");
}

#[test]
fn hours() {
    let (visit, expected) = (demo(), expected());
    let wanted = expected["hours"].as_array().unwrap();
    let hours = visit["hours"].as_array().unwrap();
    assert_eq!(hours.len(), wanted.len());
    for task in visit["tasks"].as_array().unwrap() {
        assert_eq!(task["hours"].as_array().unwrap().len(), wanted.len());
    }
    for (hour, wanted) in hours.iter().zip(wanted) {
        let start = format!("2026-07-07T{:02}:00:00-05:00", wanted["hour"].as_u64().unwrap());
        assert_eq!(hour["start"], start.as_str());
        assert_eq!(hour["verdict"] != "refused", wanted["ok"].as_bool().unwrap(), "{start}");
        let reasons: Vec<&Value> = hour["reasons"]
            .as_array()
            .unwrap()
            .iter()
            .map(|reason| if reason.is_string() { reason } else { &reason["text"] })
            .collect();
        let wanted: Vec<&Value> = wanted["why"].as_array().unwrap().iter().collect();
        assert_eq!(reasons, wanted, "{start}");
    }
    let clock = |time: &Value| time.as_str().unwrap()[11..16].to_owned();
    let (window, wanted) = (&visit["start_window"], &expected["start_window"]);
    for key in ["first", "last", "finish_if_first"] {
        assert_eq!(clock(&window[key]), wanted[key].as_str().unwrap(), "{key}");
    }
}

#[test]
fn counts_and_care_between_visits() {
    let (visit, expected) = (demo(), expected());
    close(measure(&visit, "density"), &expected["density_per_sqyd"]);
    close(measure(&visit, "density-standard-error"), &expected["density_se"]);
    close(measure(&visit, "sample-variance"), &expected["sample_variance"]);
    let efficacy = &expected["efficacy"];
    close(measure(&visit, "efficacy-abbott"), &efficacy["abbott"]);
    close(measure(&visit, "efficacy"), &efficacy["henderson_tilton"]);
    close(measure(&visit, "efficacy-by-chance-low"), &efficacy["lo95"]);
    close(measure(&visit, "efficacy-by-chance-high"), &efficacy["hi95"]);
    let watering = &expected["watering"];
    close(measure(&visit, "precipitation-rate"), &watering["in_per_h"]);
    close(measure(&visit, "uniformity"), &watering["du_lq"]);
    close(measure(&visit, "watering-run"), &watering["minutes"]);
    close(measure(&visit, "watering-cycles"), &watering["cycles"]);
    let sealant = &expected["sealant"];
    close(measure(&visit, "sealant-volume"), &sealant["volume_in3"]);
    close(measure(&visit, "sealant-cartridges-exact"), &sealant["cartridges_exact"]);
    close(measure(&visit, "sealant-cartridges"), &sealant["cartridges"]);
}
