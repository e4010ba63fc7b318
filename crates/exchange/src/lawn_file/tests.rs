use super::*;
use jiff::civil::date;

const MAP: &str = include_str!("../../../../demo/alder-bend/property.geojson");
const LAWN: &str = include_str!("../../../../demo/alder-bend/lawn.toml");
const DAYS: &str = include_str!("../../../../demo/alder-bend/days.csv");
const AHEAD: &str = include_str!("../../../../demo/alder-bend/days-ahead.csv");

fn fetched(name: &str) -> Result<String, String> {
    let text = match name {
        "property.geojson" => MAP,
        "days.csv" => DAYS,
        "days-ahead.csv" => AHEAD,
        _ => return Err("there is no such file".to_owned()),
    };
    Ok(text.to_owned())
}

fn read(text: &str) -> Result<(LawnFile, Problems), Problems> {
    parse_lawn("lawn.toml", text, &LawnWish::default(), &mut fetched)
}

#[track_caller]
fn codes(text: &str) -> Vec<(&'static str, Option<String>)> {
    let problems = read(text).expect_err(text);
    problems.iter().map(|problem| (problem.code, problem.place.path.clone())).collect()
}

#[test]
fn the_demo_is_read_whole() {
    let (lawn, warnings) = read(LAWN).unwrap();
    assert!(warnings.is_empty(), "{warnings}");
    assert_eq!(lawn.days().len(), 18);
    let water = lawn.water.as_ref().unwrap();
    assert_eq!((water.controller.zones().len(), water.hours.weekdays().len()), (2, 5));
    assert_eq!(water.plan_from, date(2026, 7, 6));
    let methods: Vec<&str> = lawn.days().iter().map(|day| day.origin.word()).collect();
    assert!(methods[..8].iter().all(|method| *method == "penman-monteith"), "{methods:?}");
    assert!(methods[8..].iter().all(|method| *method == "hargreaves-1985"), "{methods:?}");
    assert!(!lawn.is_growth_assumed && !lawn.is_wind_height_assumed);
}

#[test]
fn readings_beside_the_file_come_after_its_own() {
    let more = "date,highest_f,lowest_f,rain_in\n2026-07-16,60,50,9\n2026-07-17,80,60,0\n".to_owned();
    let wish = LawnWish { readings: vec![("more.csv".to_owned(), more)], plan_from: Some(date(2026, 7, 10)) };
    let (lawn, _) = parse_lawn("lawn.toml", LAWN, &wish, &mut fetched).unwrap();
    let last = lawn.days().last().unwrap();
    assert_eq!((lawn.days().len(), last.date), (19, date(2026, 7, 17)));
    // The forecast of the file stands for its last day.
    assert_eq!(lawn.days()[17].rain, Some(Length::ZERO));
    assert_eq!(lawn.mowing.unwrap().plan_from, date(2026, 7, 10));
}

#[test]
fn everything_wrong_is_told_at_once() {
    let text = LAWN
        .replace("\"cool-season\"", "\"cold-season\"")
        .replace("soil = \"loam\"", "available_water = 15")
        .replace("depth = \"10 in\"", "depth = \"6 lb\"")
        .replace("\"tuesday\"", "\"tuesdey\"")
        .replace("from = \"04:00\"", "from = \"4 am\"")
        .replace("flow = \"14 gal/min\"\n", "")
        .replace("standing = \"3.4 in\"\n", "")
        .replace("\"days-ahead.csv\"", "\"days-to-come.csv\"");
    let at = |code, path: &str| (code, Some(path.to_owned()));
    assert_eq!(
        codes(&text),
        [
            at("visit::unread-file", "weather[2]"),
            at("toml::unknown-word", "grass"),
            at("season::available-water", "root_zone.available_water"),
            at("toml::bad-quantity", "root_zone.depth"),
            at("toml::unknown-word", "watering.days[2]"),
            at("lawn::time", "watering.from"),
            at("lawn::delivery", "zone[2]"),
            at("toml::missing-field", "mowing"),
        ]
    );
}

#[test]
fn a_lawn_without_sprinklers_or_mowing_is_one_too() {
    let (head, rest) = LAWN.split_once("[watering]").unwrap();
    let (lawn, _) = read(head).unwrap();
    assert!(lawn.mowing.is_none());
    assert!(lawn.water.unwrap().controller.zones().is_empty());
    let (_, mowing) = rest.split_once("[mowing]").unwrap();
    let (before, _) = head.split_once("[root_zone]").unwrap();
    let (lawn, _) = read(&format!("{before}[mowing]{mowing}")).unwrap();
    assert!(lawn.water.is_none() && lawn.mowing.is_some());
    assert_eq!(lawn.days().len(), 18);
}

#[test]
fn stretches_and_beginnings_are_checked() {
    let more = "[[no_watering]]\nfrom = \"2026-07-09T06:00\"\nuntil = \"2026-07-09T05:00\"\nwhy = \"a party\"\n\
        [[no_mowing]]\nfrom = \"9 July\"\nuntil = \"2026-07-09 18:00\"\nwhy = \"a party\"\n";
    let text = format!("{LAWN}\n{more}");
    assert_eq!(
        codes(&text),
        [("lawn::stretch", Some("no_watering[1]".to_owned())), ("lawn::moment", Some("no_mowing[1].from".to_owned()))]
    );
    let late = LAWN.replace("plan_from", "begin = 2026-08-01\nplan_from");
    assert_eq!(codes(&late), [("lawn::begin", Some("begin".to_owned()))]);
    let early = LAWN.replace("plan_from", "begin = 2026-06-01\nplan_from");
    let (_, warnings) = read(&early).unwrap();
    assert_eq!(warnings.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["lawn::begins-later"]);
    assert_eq!(codes(&LAWN.replace("weather = ", "# weather = ")), [("lawn::no-weather", Some("weather".to_owned()))]);
}
