//! The lawn of the demo with its visit: what the visit forbids, the answers, and the calendars.

mod output_support;

use exchange::answer_schema::answer_schemas;
use exchange::care_calendar::{write_mowing_calendar, write_water_calendar};
use exchange::lawn_file::{LawnFile, LawnWish, parse_lawn};
use exchange::mow_json::write_mowing;
use exchange::water_json::write_water;
use jiff::civil::date;
use output_support::{demo, refused};
use problem::Problems;
use quantity::{Duration, DurationUnit, Length, LengthUnit};
use season::mow_plan::{MayMow, plan_mowing, usual_rest_after_treatment};
use season::prohibition::{VisitTimes, visit_times};
use season::water_plan::{Permission, plan_water};
use std::path::Path;

fn lawn(times: VisitTimes) -> LawnFile {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let text = read("lawn.toml").expect("the demo is there");
    let (mut lawn, _) = parse_lawn("lawn.toml", &text, &LawnWish::default(), &mut |name: &str| read(name))
        .unwrap_or_else(|problems| panic!("{problems}"));
    lawn.heed([times]);
    lawn
}

fn times() -> VisitTimes {
    visit_times(&demo(), usual_rest_after_treatment()).0
}

/// The label of the demo: no irrigation for 24 hours, keep off for two.
#[test]
fn the_visit_forbids_water_until_its_label_permits_it_again() {
    let visit = demo();
    let (times, warnings) = visit_times(&visit, usual_rest_after_treatment());
    assert!(warnings.is_empty(), "{warnings}");
    let [none] = &times.no_watering[..] else { panic!("{times:?}") };
    let first = visit.irrigation.first_permitted.expect("hours are known");
    assert_eq!((none.from, none.until), (date(2026, 7, 7).at(0, 0, 0, 0), first));
    assert!(none.sentences.iter().any(|sentence| sentence.text.contains("irrigate")), "{none:?}");
    let [mown] = &times.no_mowing[..] else { panic!("{times:?}") };
    let last = visit.start_windows.iter().map(|window| window.finish_if_last).max().expect("hours are known");
    let day_after = last.saturating_add(jiff::Span::new().hours(24));
    assert!(mown.until >= day_after && mown.until < day_after.saturating_add(jiff::Span::new().minutes(1)));
    let week = Duration::new(7.0, DurationUnit::Day);
    assert!(visit_times(&visit, week).0.no_mowing[0].until.date() >= date(2026, 7, 14));
}

#[test]
fn a_visit_that_must_be_watered_in_demands_it_and_one_without_hours_holds_all_day() {
    let mut visit = demo();
    let by = date(2026, 7, 8).at(9, 0, 0, 0);
    let half_inch = Length::new(0.5, LengthUnit::Inch);
    visit.irrigation.prohibited_for = None;
    visit.irrigation.first_permitted = None;
    visit.irrigation.water_in = vec![(half_inch, Some(by))];
    let (times, _) = visit_times(&visit, usual_rest_after_treatment());
    let [asked] = &times.water_in[..] else { panic!("{times:?}") };
    assert_eq!((asked.depth, asked.by), (half_inch, by));
    assert_eq!(asked.not_before, times.no_watering[0].until);
    visit.start_windows.clear();
    visit.irrigation.water_in = vec![(half_inch, None)];
    let (times, warnings) = visit_times(&visit, usual_rest_after_treatment());
    assert_eq!(times.no_watering[0].until, date(2026, 7, 8).at(0, 0, 0, 0));
    let codes: Vec<_> = warnings.iter().map(|problem| problem.code).collect();
    assert_eq!((times.water_in.len(), codes), (0, vec!["season::water-in-unknown"]));
}

#[test]
fn a_refused_visit_forbids_nothing_and_that_is_told() {
    let (times, warnings) = visit_times(&refused(), usual_rest_after_treatment());
    assert_eq!(times, VisitTimes::default());
    assert_eq!(warnings.iter().next().expect("a warning").code, "season::refused-visit");
}

#[test]
fn no_watering_and_no_mowing_of_the_demo_falls_into_its_treatment() {
    let lawn = lawn(times());
    let water = plan_water(lawn.water.clone().expect("a root zone")).expect("a plan");
    let none = &water.request.no_watering[0];
    assert!(water.programs().count() > 0);
    assert!(water.programs().all(|program| !none.touches(program.start, program.end)));
    let day = |date| water.days.iter().find(|day| day.weather.date == date).expect("the day");
    assert_eq!(day(date(2026, 7, 7)).permission, Permission::Prohibited(0));
    let mowing = plan_mowing(lawn.mowing.expect("mowing")).expect("a plan");
    let none = &mowing.request.no_mowing[0];
    assert!(mowing.mowings().count() > 0);
    assert!(mowing.mowings().all(|(_, mowing)| !none.touches(mowing.within.from, mowing.within.until)));
    assert!(mowing.days.iter().any(|day| day.may_mow == MayMow::Prohibited(0)));
}

#[test]
fn answers_follow_their_schemas_and_are_the_same_every_time() {
    let answers = || {
        let lawn = lawn(times());
        let water = plan_water(lawn.water.clone().expect("a root zone")).expect("a plan");
        let mowing = plan_mowing(lawn.mowing.clone().expect("mowing")).expect("a plan");
        let none = Problems::new();
        let water_text = write_water(&lawn, &water, &none);
        let mow_text = write_mowing(&lawn, &mowing, &none);
        let calendars = (write_water_calendar(&lawn.name, &water), write_mowing_calendar(&lawn.name, &mowing));
        (water_text, mow_text, calendars)
    };
    assert_eq!(answers(), answers());
    let (water, mow, _) = answers();
    for (name, text) in [("water.schema.json", water), ("mow.schema.json", mow)] {
        let (_, schema) = answer_schemas().into_iter().find(|(known, _)| *known == name).expect("a schema");
        let schema: serde_json::Value = serde_json::from_str(&schema).expect("JSON");
        let answer: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let validator = jsonschema::validator_for(&schema).expect("a schema");
        let faults: Vec<String> = validator.iter_errors(&answer).map(|error| error.to_string()).collect();
        assert!(faults.is_empty(), "{name}: {faults:?}");
    }
}

/// RFC 5545, section 3.3.5, form 1: a local time without a zone; section 3.1: lines end with CR LF.
#[test]
fn calendars_go_by_the_clock_on_the_wall() {
    let lawn = lawn(times());
    let water = plan_water(lawn.water.expect("a root zone")).expect("a plan");
    let text = write_water_calendar(&lawn.name, &water).expect("entries");
    assert_eq!(text.matches("BEGIN:VEVENT").count(), water.programs().count());
    let first = water.programs().next().expect("a watering");
    let start = format!("DTSTART:{}\r\n", first.start.strftime("%Y%m%dT%H%M%S"));
    assert!(text.contains(&start), "{start} is not in {text}");
    assert!(text.contains("DTSTAMP:20260706T000000Z\r\n"), "{text}");
    let ids: std::collections::BTreeSet<&str> = text.lines().filter(|line| line.starts_with("UID:")).collect();
    assert_eq!(ids.len(), water.programs().count());
    let mowing = plan_mowing(lawn.mowing.expect("mowing")).expect("a plan");
    let text = write_mowing_calendar(&lawn.name, &mowing).expect("entries");
    assert_eq!(text.matches("BEGIN:VEVENT").count(), mowing.mowings().count());
}
