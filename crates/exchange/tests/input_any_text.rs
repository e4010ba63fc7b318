//! No text makes a reader panic, and whatever is refused is refused for a reason that stands in
//! the text.

use exchange::{equipment_file, forecast_csv, geojson_map, history_file, visit_file};
use problem::Problems;
use proptest::prelude::*;

const MAP: &str = include_str!("../../../demo/alder-bend/property.geojson");
const FORECAST: &str = include_str!("../../../demo/alder-bend/forecast.csv");
const EQUIPMENT: &str = include_str!("../../../demo/alder-bend/equipment.toml");
const HISTORY: &str = include_str!("../../../demo/alder-bend/history.toml");
const VISIT: &str = include_str!("../../../demo/alder-bend/visit.toml");
const LABEL: &str = include_str!("../../../demo/labels/brackwater-sc.toml");

/// A visit that names files `1` to `5`, and those files.
fn files() -> [String; 6] {
    let visit = VISIT
        .replace("\"property.geojson\"", "\"1\"")
        .replace("\"forecast.csv\"", "\"2\"")
        .replace("\"equipment.toml\"", "\"3\"")
        .replace("\"history.toml\"", "\"4\"")
        .replace("\"../labels/brackwater-sc.toml\"", "\"5\"")
        .replace("    \"../labels/gravelhome-gr.toml\",\n    \"../labels/anthollow-rb.toml\",\n", "");
    [visit, MAP.into(), FORECAST.into(), EQUIPMENT.into(), HISTORY.into(), LABEL.into()]
}

fn read_visit(files: &[String; 6]) -> Result<(), Problems> {
    let mut fetch = |name: &str| {
        let found = name.parse::<usize>().ok().filter(|number| *number > 0).and_then(|number| files.get(number));
        found.cloned().ok_or_else(|| "no such file".to_owned())
    };
    visit_file::parse_visit("0", &files[0], &mut fetch).map(|_| ())
}

/// Whether a refusal names an error, and places only inside the text.
fn is_placed(result: Result<(), Problems>, text: &str) -> bool {
    let lines = text.lines().count().max(1) + 1;
    let Err(problems) = result else { return true };
    problems.has_errors()
        && problems.iter().all(|problem| problem.place.line.is_none_or(|line| (1..=lines).contains(&line)))
}

fn read_all(text: &str) -> [Result<(), Problems>; 5] {
    let (property, _) = geojson_map::parse_property("map", MAP).unwrap();
    [
        geojson_map::parse_property("x", text).map(|_| ()),
        forecast_csv::parse_forecast("x", text).map(|_| ()),
        equipment_file::parse_equipment("x", text).map(|_| ()),
        history_file::parse_history("x", text, property.plane()).map(|_| ()),
        visit_file::parse_visit("x", text, &mut |_| Err("no file".to_owned())).map(|_| ()),
    ]
}

/// Pieces that hurt readers of all these formats.
const PIECE: &str =
    "(|0|-1|1e999|nan|null|\"\"|'é'|\u{feff}|\\[|\\]|\\{|\\}|,|\"|#|\n|\\[\\[task\\]\\]\n|-97\\.62|2026-02-30|Z| oz|%)";

fn damaged(sound: &str, from: usize, length: usize, put: &str) -> String {
    let from = sound.floor_char_boundary(from % (sound.len() + 1));
    let to = sound.floor_char_boundary((from + length).min(sound.len())).max(from);
    format!("{}{put}{}", &sound[..from], &sound[to..])
}

proptest! {
    #[test]
    fn any_text(text in "(?s).{0,300}") {
        for result in read_all(&text) {
            prop_assert!(is_placed(result, &text));
        }
    }

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let text = String::from_utf8_lossy(&bytes);
        for result in read_all(&text) {
            prop_assert!(is_placed(result, &text));
        }
    }

    /// One of the files of a sound visit, with a piece cut out and another put in.
    #[test]
    fn a_damaged_visit(
        file in 0..6_usize, from in any::<usize>(), length in 0..60_usize, put in PIECE,
    ) {
        let mut files = files();
        let at = from;
        files[file] = damaged(&files[file], at, length, &put);
        if let Err(problems) = read_visit(&files) {
            prop_assert!(problems.has_errors());
            for problem in &problems {
                let name = problem.place.file.as_deref().unwrap_or("");
                let text = name.parse::<usize>().ok().and_then(|number| files.get(number));
                prop_assert!(text.is_some(), "in no file: {problem}");
                let lines = text.map_or(0, |text| text.lines().count()) + 1;
                prop_assert!(problem.place.line.is_none_or(|line| (1..=lines).contains(&line)), "{problem}");
            }
        }
    }

    /// Each file alone, damaged twice.
    #[test]
    fn a_damaged_file(
        file in 1..5_usize, from in any::<(usize, usize)>(), length in 0..60_usize, put in (PIECE, PIECE),
    ) {
        let sound = &files()[file];
        let text = damaged(&damaged(sound, from.0, length, &put.0), from.1, length, &put.1);
        for result in read_all(&text) {
            prop_assert!(is_placed(result, &text));
        }
    }

    /// A blank cell stays unknown, a figure stays the figure, in whatever unit.
    #[test]
    fn figures_of_a_forecast_are_kept(temperature in prop::option::of(-40.0..45.0_f64), wind in prop::option::of(0.0..30.0_f64)) {
        let cell = |figure: Option<f64>| figure.map_or_else(String::new, |figure| figure.to_string());
        let text = format!(
            "start,temperature_c,wind_m_s,rain_mm\n2026-07-07T05:00-05:00,{},{},\n", cell(temperature), cell(wind)
        );
        let (series, _) = forecast_csv::parse_forecast("x", &text).unwrap();
        let hour = &series.hours()[0];
        let celsius = hour.temperature.map(|it| it.to(quantity::TemperatureUnit::Celsius));
        prop_assert_eq!(celsius.is_some(), temperature.is_some());
        // Celsius to the base unit and back costs rounding at 273 degrees.
        prop_assert!((celsius.unwrap_or(0.0) - temperature.unwrap_or(0.0)).abs() < 1e-10);
        prop_assert_eq!(hour.wind_speed.map(|it| it.to(quantity::SpeedUnit::MetrePerSecond)), wind);
        prop_assert_eq!(hour.rain, None);
    }
}

#[test]
fn the_sound_files_are_sound() {
    assert!(read_visit(&files()).is_ok());
}
