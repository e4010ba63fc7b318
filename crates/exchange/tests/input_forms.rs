//! The forms in which maps, forecasts and visits may come, read to the same values.

use exchange::forecast_csv::parse_forecast;
use exchange::geojson_map::parse_property;
use exchange::visit_file::parse_visit;
use property::{FeatureKind, Kind};
use quantity::{AreaUnit, SpeedUnit};
use treatment::{History, Place, RateWish, Target, VisitRequest};

const DEMO: &str = include_str!("../../../demo/alder-bend/visit.toml");

fn demo_file(name: &str) -> Result<String, String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend");
    std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string())
}

fn visit(text: &str) -> VisitRequest {
    parse_visit("visit.toml", text, &mut demo_file).unwrap_or_else(|problems| panic!("{problems}")).0
}

fn lot(more: &str) -> String {
    format!(
        r#"{{"type": "FeatureCollection", "name": "Lot", "features": [
            {{"type": "Feature", "id": "lot", "properties": {{"kind": "BOUNDARY"}}, "geometry": {{"type": "Polygon",
              "coordinates": [[[-97.62, 38.84], [-97.619, 38.84], [-97.619, 38.841], [-97.62, 38.841], [-97.62, 38.84]]]}}}}{more}]}}"#
    )
}

fn feature(text: &str) -> property::Feature {
    let (property, _) = parse_property("lot", &lot(&format!(",{text}"))).unwrap_or_else(|p| panic!("{p}"));
    property.features()[0].clone()
}

const SQUARE: &str =
    "[[[-97.6195, 38.8405], [-97.6194, 38.8405], [-97.6194, 38.8406], [-97.6195, 38.8406], [-97.6195, 38.8405]]]";

#[test]
fn a_kind_in_any_spelling() {
    for word in ["bare-soil", "Bare Soil", "BARE_SOIL", " bare  soil "] {
        let text = format!(
            r#"{{"type": "Feature", "id": "x", "properties": {{"kind": "{word}"}}, "geometry": {{"type": "Polygon", "coordinates": {SQUARE}}}}}"#
        );
        assert!(feature(&text).is(Kind::BareSoil), "{word}");
    }
}

#[test]
fn an_identifier_in_any_place() {
    let with = |id: &str, properties: &str| {
        let text = format!(
            r#"{{"type": "Feature", {id} "properties": {{"kind": "turf" {properties}}}, "geometry": {{"type": "Polygon", "coordinates": {SQUARE}}}}}"#
        );
        let whole = text.replace("\"turf\"", "\"paved\"");
        feature(&whole).id().to_owned()
    };
    assert_eq!(with("\"id\": \"a\",", ""), "a");
    assert_eq!(with("", ", \"id\": \"b\""), "b");
    assert_eq!(with("\"id\": 7,", ""), "7");
    // Numbered by its place on the map when it has none.
    assert_eq!(with("", ""), "feature-2");
}

#[test]
fn heights_of_positions_are_passed_over_and_parts_joined() {
    let text = r#"{"type": "Feature", "id": "beds", "properties": {"kind": "ornamental", "in_bloom": "yes", "seen_on": "2026-07-01"},
        "geometry": {"type": "MultiPolygon", "coordinates": [
            [[[-97.6195, 38.8405, 12.5], [-97.6194, 38.8405, 12.5], [-97.6194, 38.8406, 12.5], [-97.6195, 38.8405, 12.5]]],
            [[[-97.6193, 38.8405], [-97.6192, 38.8405], [-97.6192, 38.8406], [-97.6193, 38.8405]]]]}}"#;
    let beds = feature(text);
    assert_eq!(beds.region().unwrap().outlines().len(), 2);
    // Two right triangles with legs of 0.0001 degrees: 8.68 m by 11.10 m at this latitude (WGS 84).
    assert!((beds.area().to(AreaUnit::SquareMetre) - 8.68 * 11.10).abs() < 0.1);
    assert!(beds.kind().is_in_bloom());
}

#[test]
fn points_of_one_feature_are_places_of_their_own() {
    let text = r#"{"type": "Feature", "id": "hives", "properties": {"kind": "hive"},
        "geometry": {"type": "MultiPoint", "coordinates": [[-97.6195, 38.8405], [-97.6194, 38.8405]]}}"#;
    let (property, _) = parse_property("lot", &lot(&format!(",{text}"))).unwrap();
    let ids: Vec<&str> = property.features().iter().map(property::Feature::id).collect();
    assert_eq!(ids, ["hives/1", "hives/2"]);
    assert_eq!(property.name(), "Lot");
}

#[test]
fn states_of_a_structure_also_when_an_exporter_wrote_them_as_text() {
    let openings = r#"[{\"what\": \"door\", \"width\": \"3 ft\", \"height\": \"7 ft\", \"sill\": \"6 in\"}]"#;
    let text = format!(
        r#"{{"type": "Feature", "id": "house", "properties": {{"kind": "Structure", "wall_height": "2,5 m", "openings": "{openings}", "colour": 7}},
            "geometry": {{"type": "Polygon", "coordinates": {SQUARE}}}}}"#
    );
    let house = feature(&text);
    let FeatureKind::Structure(walls) = house.kind() else { panic!("no structure") };
    assert_eq!(walls.height, Some(quantity::Length::new(2.5, quantity::LengthUnit::Metre)));
    assert_eq!(walls.openings.len(), 1);
}

#[test]
fn a_reference_system_that_is_wgs_84_is_taken() {
    for name in ["urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4326"] {
        let map = lot("").replacen(
            "\"name\": \"Lot\"",
            &format!("\"crs\": {{\"type\": \"name\", \"properties\": {{\"name\": \"{name}\"}}}}"),
            1,
        );
        assert!(parse_property("lot", &map).is_ok(), "{name}");
    }
}

#[test]
fn a_forecast_in_metric_units_with_marks_of_other_programs() {
    let us = "start,temperature_f,wind_mph,rain_in\n2026-07-07T05:00-05:00,68,10,1\n";
    let metric = "\u{feff}Start,Temperature_C,\"wind_km_h\",rain_mm\r\n# noted by hand\r\n\r\n2026-07-07T05:00:00-05:00, 20 ,16.09344,25.4\r\n";
    let (us, _) = parse_forecast("us", us).unwrap();
    let (metric, _) = parse_forecast("metric", metric).unwrap();
    let (us, metric) = (us.hours()[0], metric.hours()[0]);
    assert_eq!(us.start, metric.start);
    // 1 mile is 1609.344 m, 1 inch 25.4 mm exactly; 68 °F is 20 °C.
    let wind = |hour: weather::HourlyReading| hour.wind_speed.unwrap().to(SpeedUnit::MetrePerSecond);
    assert!((wind(us) - 4.4704).abs() < 1e-12 && (wind(metric) - 4.4704).abs() < 1e-12);
    let celsius = |hour: weather::HourlyReading| hour.temperature.unwrap().to(quantity::TemperatureUnit::Celsius);
    assert!((celsius(us) - 20.0).abs() < 1e-9 && (celsius(metric) - 20.0).abs() < 1e-9);
    let rain = |hour: weather::HourlyReading| hour.rain.unwrap().to(quantity::LengthUnit::Millimetre);
    assert!((rain(us) - 25.4).abs() < 1e-12 && (rain(metric) - 25.4).abs() < 1e-12);
}

#[test]
fn gaps_and_quantities_without_a_column_are_told() {
    let (_, warnings) =
        parse_forecast("x", "start,temperature_f,note\n2026-07-07T05:00-05:00,68,calm\n2026-07-07T08:00-05:00,,\n")
            .unwrap();
    let codes: Vec<&str> = warnings.iter().map(|warning| warning.code).collect();
    assert_eq!(codes, ["forecast::column-not-read", "forecast::not-told", "forecast::not-told", "weather::gap"]);
}

/// What stands in files may as well stand in the request.
#[test]
fn everything_inline_is_the_same_visit() {
    let from_files = visit(DEMO);
    let mut text = DEMO.to_owned();
    let mut end = String::new();
    let map = demo_file("property.geojson").unwrap();
    text = text.replace("property = \"property.geojson\"", &format!("property = '''\n{map}'''"));
    text = text.replace("forecast = \"forecast.csv\"\n", "");
    for line in demo_file("forecast.csv").unwrap().lines().skip(1).filter(|line| line.starts_with("2026")) {
        let cells: Vec<&str> = line.split(',').collect();
        let names = ["start", "temperature_f", "wind_mph", "gust_mph", "wind_from_deg", "rain_in"];
        end.push_str("[[forecast]]\n");
        for (name, cell) in names.iter().zip(cells).filter(|(_, cell)| !cell.is_empty()) {
            let quote = if *name == "start" { "\"" } else { "" };
            end.extend([name, " = ", quote, cell, quote, "\n"]);
        }
    }
    text = text.replace("equipment = \"equipment.toml\"\n", "");
    end.push_str(&demo_file("equipment.toml").unwrap().replace("format = \"tussock.equipment/1\"", ""));
    text = text.replace("history = \"history.toml\"\n", "");
    let history = demo_file("history.toml").unwrap().replace("format = \"tussock.history/1\"", "[history]");
    end.push_str(&history.replace("[[application]]", "[[history.application]]"));
    text = text.replace(
        "labels = [\n    \"../labels/brackwater-sc.toml\",\n    \"../labels/gravelhome-gr.toml\",\n    \"../labels/anthollow-rb.toml\",\n]\n",
        "",
    );
    for label in &from_files.labels {
        let label = demo_file(&format!("../labels/{}.toml", label.id)).unwrap();
        end.push_str("\n[[labels]]\n");
        for line in label.lines() {
            let line = if let Some(rest) = line.strip_prefix("[[") {
                format!("[[labels.{rest}")
            } else if let Some(rest) = line.strip_prefix('[') {
                format!("[labels.{rest}")
            } else {
                line.to_owned()
            };
            end.push_str(&line);
            end.push('\n');
        }
    }
    let inline = visit(&format!("{text}\n{end}"));
    assert_eq!(inline.property, from_files.property);
    assert_eq!(inline.forecast, from_files.forecast);
    assert_eq!(inline.equipment, from_files.equipment);
    assert_eq!(inline.history, from_files.history);
    assert_eq!(inline.labels, from_files.labels);
    assert_eq!(inline.tasks, from_files.tasks);
}

#[test]
fn a_map_as_a_table_and_a_forecast_as_one_text() {
    let table = "property = { type = \"FeatureCollection\", features = [\n\
        { type = \"Feature\", id = \"lot\", properties = { kind = \"boundary\" }, geometry = { type = \"Polygon\", coordinates = \
        [[[-97.62, 38.84], [-97.619, 38.84], [-97.619, 38.841], [-97.62, 38.841], [-97.62, 38.84]]] } } ] }";
    let forecast = "forecast = '''\nstart,temperature_f,wind_mph,rain_in\n2026-07-07T05:00-05:00,68,10,1\n'''";
    let text = format!(
        "format = \"tussock.visit-request/1\"\nname = \"A lawn\"\ndate = 2026-07-07\nhistory = \"unknown\"\n\
         equipment = \"equipment.toml\"\nlabels = [\"../labels/brackwater-sc.toml\"]\n{table}\n{forecast}\n\
         [[task]]\nid = \"lawn\"\nmethod = \"broadcast\"\npest = \"Chinch Bug\"\nlabel = \"brackwater-sc\"\n\
         rate = \"highest lawful\"\nequipment = \"hand-pump\"\ncalibration = \"lawn\"\n\
         target = {{ ground = {{ type = \"Polygon\", coordinates = [[[-97.6195, 38.8405], [-97.6194, 38.8405], [-97.6194, 38.8406]]] }} }}\n"
    );
    let visit = visit(&text);
    assert_eq!((visit.property.name(), visit.history), ("A lawn", History::Unknown));
    assert_eq!(visit.forecast.unwrap().hours().len(), 1);
    let task = &visit.tasks[0];
    assert_eq!((task.pest.as_deref(), task.rate), (Some("chinch bug"), RateWish::HighestLawful));
    let Target::Ground(ground) = &task.target else { panic!("no ground") };
    assert!((ground.area().to(AreaUnit::SquareMetre) - 8.68 * 11.10 / 2.0).abs() < 0.1);
}

#[test]
fn practice_and_places_as_the_request_says() {
    let text = DEMO
        .replace(
            "[setbacks]",
            "[practice]\nwind_at_most = \"10 mph\"\ncalibration_variation_pct = 5\nbloom_valid_days = 3\n\n[setbacks]",
        )
        .replace("target = { site = \"turf\" }", "target = { places = 12 }\noverlap = \"unresolved\"");
    let visit = visit(&text);
    let usual = treatment::Practice::default();
    assert_eq!((visit.practice.bloom_valid_days, visit.practice.calibration_variation), (3, 0.05));
    assert!((visit.practice.wind_at_most.to(SpeedUnit::MilePerHour) - 10.0).abs() < 1e-12);
    assert_eq!(visit.practice.wind_at_least, usual.wind_at_least);
    assert_eq!(visit.tasks[2].target, Target::Places { count: 12, site: label::Site::Turf });
    assert_eq!(visit.tasks[2].overlap, treatment::Overlap::Unresolved);
}

#[test]
fn an_amount_over_an_area_is_a_rate_and_the_oldest_stands_first() {
    let history = "format = \"tussock.history/1\"\n\
        [[application]]\ndate = 2026-05-01\nproduct = \"x\"\namount = \"3 fl oz\"\narea = \"7,500 sq ft\"\nplace = { feature = \"hedge\" }\ngroup = \"3A\"\n\
        active_ingredient = [{ name = \"y\", rate = \"0.2 lb/acre\" }]\n\
        [[application]]\ndate = \"2026-04-01\"\nproduct = \"x\"\nrate = \"0.4 fl oz/1,000 sq ft\"\nplace = \"everywhere\"\n";
    let visit = parse_visit("v", DEMO, &mut |name| {
        if name == "history.toml" { Ok(history.to_owned()) } else { demo_file(name) }
    });
    let (visit, _) = visit.unwrap_or_else(|problems| panic!("{problems}"));
    let History::Known { complete_since: None, applications } = visit.history else { panic!("no history") };
    let [first, second] = applications.as_slice() else { panic!("not two") };
    assert_eq!((&first.place, &second.place), (&Place::Everywhere, &Place::Feature("hedge".to_owned())));
    // 3 fl oz on 7,500 sq ft is 0.4 fl oz on 1,000.
    assert!((first.per_area.ratio(second.per_area).unwrap() - 1.0).abs() < 1e-12);
    assert_eq!(second.active_ingredients.len(), 1);
}

#[test]
fn a_history_names_features_of_the_map() {
    let history = "format = \"tussock.history/1\"\ncomplete_since = 2025-01-01\n[[application]]\ndate = 2026-05-01\nproduct = \"x\"\n\
        rate = \"0.4 fl oz/1,000 sq ft\"\nplace = { feature = \"hegde\" }\n";
    let problems = parse_visit("v", DEMO, &mut |name| {
        if name == "history.toml" { Ok(history.to_owned()) } else { demo_file(name) }
    })
    .unwrap_err();
    let problem = problems.iter().next().unwrap();
    assert_eq!((problem.code, problem.place.line, problems.len()), ("visit::unknown-feature", Some(7), 1));
    assert_eq!(problem.place.file.as_deref(), Some("history.toml"));
}

#[test]
fn entry_points_and_places_on_a_site() {
    let target = |target: &str| DEMO.replace("target = { site = \"turf\" }", &format!("target = {{ {target} }}"));
    let asked = visit(&target("entry_points = \"all\", width = \"1 in\""));
    let width = quantity::Length::new(1.0, quantity::LengthUnit::Inch);
    assert_eq!(asked.tasks[2].target, Target::EntryPoints { features: Vec::new(), width });
    let asked = visit(&target("places = 12, site = \"structure-perimeter\""));
    assert_eq!(asked.tasks[2].target, Target::Places { count: 12, site: label::Site::StructurePerimeter });
    for (text, code) in [
        ("entry_points = [\"nothing\"], width = \"1 in\"", "visit::unknown-feature"),
        ("entry_points = \"all\", width = \"2 ft\"", "visit::entry-point-size"),
        ("site = \"turf\", width = \"1 in\"", "visit::width-without-entry-points"),
        ("entry_points = [], width = \"1 in\"", "visit::no-place"),
        ("places = 12, site = \"structure-perimeter\", features = [\"hedge\"]", "visit::target"),
    ] {
        let problems = parse_visit("v", &target(text), &mut demo_file).unwrap_err();
        assert!(problems.iter().any(|problem| problem.code == code), "{code} in {problems}");
    }
}

/// A use that one state permits is taken there only; where no state is named it is told, not dropped.
#[test]
fn a_use_of_one_state_is_none_elsewhere() {
    let turf = "id = \"turf\"\n";
    let fetch = |name: &str| {
        let text = demo_file(name)?;
        Ok(if name.ends_with("brackwater-sc.toml") {
            assert!(text.contains(turf));
            text.replace(turf, "id = \"turf\"\nscope = \"state\"\nstate = \"KS\"\n")
        } else {
            text
        })
    };
    let uses = |request: &VisitRequest| request.labels[0].uses.iter().any(|row| row.id == "turf");
    let (kansas, warnings) = parse_visit("visit.toml", DEMO, &mut { fetch }).unwrap_or_else(|p| panic!("{p}"));
    assert!(uses(&kansas) && warnings.is_empty(), "{warnings}");
    let elsewhere = DEMO.replace("state = \"KS\"", "state = \"NC\"");
    assert!(!uses(&parse_visit("visit.toml", &elsewhere, &mut { fetch }).unwrap_or_else(|p| panic!("{p}")).0));
    let unnamed = DEMO.replace("state = \"KS\"\n", "");
    let (request, warnings) = parse_visit("visit.toml", &unnamed, &mut { fetch }).unwrap_or_else(|p| panic!("{p}"));
    assert!(!uses(&request));
    assert!(warnings.iter().any(|warning| warning.code == "visit::state-unknown"), "{warnings}");
}

/// A sprayer and a spreader may stand in files of their own, as the shelf keeps them.
#[test]
fn equipment_of_several_files() {
    let spreader = "format = \"tussock.equipment/1\"\n[[equipment]]\nid = \"spreader\"\nkind = \"drop-spreader\"\n\
        hopper = \"10 lb\"\n";
    let several = |names: &str| {
        let text = DEMO.replace("equipment = \"equipment.toml\"", &format!("equipment = [{names}]"));
        parse_visit("visit.toml", &text, &mut |name| {
            if name == "spreader.toml" { Ok(spreader.to_owned()) } else { demo_file(name) }
        })
    };
    let ids = |names: &str| -> Vec<String> {
        let (request, _) = several(names).unwrap_or_else(|problems| panic!("{problems}"));
        request.equipment.iter().map(|piece| piece.id().to_owned()).collect()
    };
    assert_eq!(ids("\"equipment.toml\", \"spreader.toml\""), ["hand-pump", "spreader"]);
    assert_eq!(ids("\"spreader.toml\", \"equipment.toml\""), ["spreader", "hand-pump"]);
    assert_eq!(ids("\"equipment.toml\""), ["hand-pump"]);
    // One file that cannot be read leaves the names of its pieces open: tasks are not told that they name nothing.
    let problems = several("\"spreader.toml\", \"lost.toml\"").unwrap_err();
    let codes: Vec<&str> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["visit::unread-file"]);
}
