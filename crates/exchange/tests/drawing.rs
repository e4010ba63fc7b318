//! A map as it is drawn, measured.

use exchange::drawing_json::{DrawingJson, DrawingWishes, measured_drawing};
use serde_json::{Value, json};

const DEMO: &str = include_str!("../../../demo/alder-bend/property.geojson");

fn demo() -> Value {
    serde_json::from_str(DEMO).expect("JSON")
}

fn measured(map: &Value, wishes: DrawingWishes) -> DrawingJson {
    measured_drawing("map", &map.to_string(), wishes).expect("a map that can be read")
}

#[test]
fn the_demo_measures_as_the_property_of_it() {
    let drawing = measured_drawing("map", DEMO, DrawingWishes { repair: true, distances: true }).expect("a map");
    assert!(drawing.usable && drawing.repair.is_none());
    let totals = drawing.totals.expect("totals");
    assert_eq!((totals.area.us.as_str(), totals.area.metric.as_str()), ("14,300 sq ft (0.3283 acre)", "1329 m²"));
    assert_eq!((totals.perimeter.us.as_str(), totals.lawn.us.as_str()), ("480.0 ft", "10,838 sq ft (0.2488 acre)"));
    let house = drawing.features.iter().find(|feature| feature.id == "house").expect("a house");
    assert_eq!(house.perimeter.as_ref().map(|length| length.us.as_str()), Some("160.0 ft"));
    let round: f64 = house.runs[0].corners.iter().map(|corner| corner.edge.as_ref().expect("an edge").m).sum();
    assert!((round - house.perimeter.as_ref().expect("a perimeter").m).abs() < 1e-9);
    let water = drawing.features.iter().find(|feature| feature.id == "water-0").expect("water");
    assert_eq!(
        (water.area.is_none(), water.length.as_ref().map(|length| length.us.as_str())),
        (true, Some("210.0 ft"))
    );
    assert!(water.runs[0].corners.last().expect("a corner").edge.is_none(), "a line does not close");
    // The south-west corner of the lot is where offsets begin.
    let lot = &drawing.features[0].runs[0].corners;
    let west = lot.iter().map(|corner| corner.east_m).fold(f64::INFINITY, f64::min);
    let south = lot.iter().map(|corner| corner.north_m).fold(f64::INFINITY, f64::min);
    assert!(west.abs() < 1e-3 && south.abs() < 1e-3, "{west} {south}");
    let sorted: Vec<f64> = drawing.distances.iter().map(|distance| distance.distance.m).collect();
    assert!(sorted.len() > 20 && sorted.is_sorted(), "{sorted:?}");
    let warned: Vec<_> = drawing.problems.iter().map(|problem| (problem.problem.code, problem.feature)).collect();
    assert_eq!(warned, [("property::wall-height-unknown", Some(2)), ("property::bloom-unknown", Some(8))]);
}

/// A page asks in one line of text: features are told apart all the same.
#[test]
fn every_problem_says_its_feature_and_its_spot() {
    let mut map = demo();
    let ring = map["features"][3]["geometry"]["coordinates"][0].as_array_mut().expect("a ring");
    ring.swap(1, 2);
    let crossed = ring.clone();
    map["features"][4]["properties"]["kind"] = json!("shed");
    let drawing = measured(&map, DrawingWishes::default());
    assert!(!drawing.usable && drawing.totals.is_none());
    assert_eq!(drawing.features.len(), demo()["features"].as_array().expect("features").len());
    let crossing = drawing.problems.iter().find(|p| p.problem.code == "property::self-crossing").expect("a crossing");
    assert_eq!(crossing.feature, Some(4));
    let (east, north) =
        (crossing.problem.longitude_deg.expect("a spot"), crossing.problem.latitude_deg.expect("a spot"));
    let within = |at: usize, value: f64| {
        let values = || crossed.iter().map(|corner| corner[at].as_f64().expect("degrees"));
        values().fold(f64::INFINITY, f64::min) <= value && value <= values().fold(f64::NEG_INFINITY, f64::max)
    };
    assert!(within(0, east) && within(1, north), "{east} {north}");
    assert!(drawing.features[3].area.is_none() && drawing.features[3].perimeter.is_some());
    assert!(!drawing.features[4].kind_is_known);
    assert!(
        drawing
            .problems
            .iter()
            .any(|p| p.feature == Some(5) && p.problem.severity == exchange::problems_json::SeverityJson::Error)
    );
    let told: Value = serde_json::to_value(crossing).expect("JSON");
    assert_eq!((&told["code"], &told["feature"]), (&json!("property::self-crossing"), &json!(4)));
}

#[test]
fn a_repair_is_a_whole_map_and_mends_what_it_says() {
    let mut map = demo();
    map["features"][3]["geometry"]["coordinates"][0].as_array_mut().expect("a ring").pop();
    let drawing = measured(&map, DrawingWishes { repair: true, distances: false });
    assert!(!drawing.usable);
    let repair = drawing.repair.expect("a repair");
    assert_eq!(repair.changes.len(), 1, "{:?}", repair.changes);
    let mended = measured_drawing("map", &repair.map, DrawingWishes::default()).expect("a map");
    assert!(mended.usable && mended.repair.is_none());
}

#[test]
fn what_is_no_map_is_refused_and_an_empty_one_is_an_answer() {
    for text in ["", "{", "[]", "{\"type\": \"Point\", \"coordinates\": [0, 0]}"] {
        assert!(measured_drawing("map", text, DrawingWishes::default()).is_err(), "{text}");
    }
    let empty = measured(&json!({ "type": "FeatureCollection", "features": [] }), DrawingWishes::default());
    assert!(!empty.usable && empty.features.is_empty());
    assert_eq!(empty.problems[0].problem.code, "map::no-features");
    // A boundary alone, just begun: two corners.
    let begun = json!({ "type": "FeatureCollection", "features": [{ "type": "Feature", "properties": { "kind": "boundary" },
        "geometry": { "type": "Polygon", "coordinates": [[[-97.62, 38.84], [-97.619, 38.84]]] } }] });
    let drawing = measured(&begun, DrawingWishes { repair: true, distances: true });
    assert!(!drawing.usable && drawing.features[0].area.is_none());
    assert_eq!(drawing.features[0].runs[0].corners.len(), 2);
}
