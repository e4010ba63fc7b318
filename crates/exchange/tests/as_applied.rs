//! What differed from the plan: read, applied, checked, told.

mod output_support;

use exchange::as_applied_file::{parse_as_applied, record_as_applied};
use exchange::record_json::{parse_record, write_record};
use jiff::civil::date;
use output_support::{demo_record, demo_request};
use quantity::{Amount, AmountUnit, AreaUnit, Volume, VolumeUnit};
use record::{
    ApplicationRecord, Became, Fact, Ground, TankAdvice, breaches, check, check_tanks, not_judged, with_breaches,
};
use treatment::{Application, History, Place, VisitRequest};

const DEMO: &str = include_str!("../../../demo/alder-bend/as-applied.toml");
const HEAD: &str = "format = \"tussock.as-applied/1\"\n";

fn done(text: &str) -> ApplicationRecord {
    let (record, warnings) =
        record_as_applied("as-applied.toml", text, &demo_record(), jiff::tz::offset(-5), &demo_request().equipment)
            .unwrap_or_else(|problems| panic!("{problems}"));
    assert!(warnings.is_empty(), "{warnings}");
    record
}

fn on(request: &VisitRequest) -> Ground<'_> {
    Ground { property: &request.property, past: &request.history }
}

fn millilitres(amount: Amount) -> f64 {
    amount.to(AmountUnit::Volume(VolumeUnit::Millilitre)).expect("by volume")
}

fn subjects(record: &ApplicationRecord) -> Vec<&str> {
    record.provenance.differences.iter().map(|difference| difference.subject.as_str()).collect()
}

#[test]
fn the_demonstration_becomes_a_record_with_what_differed() {
    let record = done(DEMO);
    let request = demo_request();
    assert_eq!(record.started.value().unwrap().to_string(), "2026-07-07 07:05");
    let Fact::Recorded(re_entry) = &record.re_entry else { panic!("re-entry") };
    // The label's two hours after 08:50.
    assert_eq!(re_entry.not_before.unwrap().to_string(), "2026-07-07 10:50");
    assert_eq!(subjects(&record), ["task lawn, tank 3, area covered", "task lawn, leftover"]);
    let lawn = record.task("lawn").unwrap();
    assert_eq!(lawn.products[0].lots, Fact::Recorded(vec!["B-0417 (invented)".to_owned()]));
    // Six tanks of 14.0 mL and the last of 10.2 mL in 1.48 gal, of which 0.2 gal are left.
    let put_in = 6.0 * 14.0 + 10.2;
    let left = 10.2 * 0.2 / 1.479_784;
    assert!((millilitres(lawn.products[0].amount) - (put_in - left)).abs() < 0.1, "{:?}", lawn.products[0].amount);
    let Fact::Recorded(leftover) = &record.leftover else { panic!("left over") };
    assert!(matches!(leftover[0].became, Fact::Recorded(Became::Kept(_))));
    let found = check(&record, Some(&request.property));
    assert!(found.is_empty(), "{found}");
    assert_eq!(breaches(&record, &request.labels, Some(on(&request))), []);
    // It survives being written and read.
    let text = write_record(&record);
    assert_eq!(write_record(&parse_record("r", &text).unwrap()), text);
}

/// Everything that cannot have been is told at once, at its field, beside what cannot be applied.
#[test]
fn what_cannot_be_is_refused_with_its_field_and_what_is_unlikely_is_told() {
    let read = |text: &str| {
        record_as_applied("as-applied.toml", text, &demo_record(), jiff::tz::offset(-5), &demo_request().equipment)
    };
    let text = format!(
        "{HEAD}started = \"08:50\"\nended = \"07:05\"\n[weather.start]\nwind = \"8 mph\"\ngust = \"6 mph\"\n\
         temperature = \"72 °C\"\n[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 1\nspray = \"2.5 gal\"\n\
         [[task]]\nid = \"nowhere\"\n"
    );
    let problems = read(&text).expect_err("what cannot be");
    let told: Vec<(&str, Option<&str>)> =
        problems.iter().map(|problem| (problem.code, problem.place.path.as_deref())).collect();
    for expected in [
        ("record::ends-before-start", "ended"),
        ("record::gust-below-wind", "weather.start.gust"),
        ("record::temperature", "weather.start.temperature"),
        ("record::overfilled", "task[1].tank[1].spray"),
        ("as-applied::unknown-task", "task[2].id"),
    ] {
        assert!(told.contains(&(expected.0, Some(expected.1))), "{expected:?} in {told:?}");
    }
    assert!(problems.iter().all(|problem| problem.place.line.is_some()), "{problems}");
    assert_eq!(told.len(), 5, "{told:?}");
    // A tank filled to its brim is none of it; frost is told, and kept.
    let full = "[weather.end]\ntemperature = \"20 °F\"\n[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 1\nspray = \"2 gal\"\n";
    let (_, warnings) = read(&format!("{HEAD}{full}")).expect("a record");
    assert_eq!(warnings.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["record::temperature"]);
}

/// An inspector is told all that the record holds; what is missing is told as missing.
#[test]
fn everything_that_a_record_holds_is_told() {
    let shown = |record: &ApplicationRecord| {
        let sections = record::told(record, &|zone| zone.id.replace('-', " "));
        sections.iter().map(|section| format!("{section:#?}")).collect::<Vec<_>>().join("\n")
    };
    let full = shown(&done(DEMO));
    insta::assert_snapshot!("told", full);
    // Nothing was said of the day yet.
    let bare = shown(&demo_record());
    assert!(bare.matches("not recorded").count() > full.matches("not recorded").count() + 10, "{bare}");
    for words in ["what became of it is not recorded", "Done otherwise than planned"] {
        assert!(!bare.contains(words), "{words}");
    }
}

/// An amendment finds again what differed, and does not tell it twice.
#[test]
fn a_difference_is_told_once_however_often_it_is_amended() {
    let first = done(DEMO);
    let (again, _) =
        record_as_applied("x", &format!("{HEAD}date = 2026-07-07\n"), &first, jiff::tz::offset(-5), &[]).expect("read");
    assert_eq!(subjects(&again), subjects(&first));
}

#[test]
fn a_file_that_says_nothing_leaves_the_record_as_planned() {
    let record = done(HEAD);
    assert_eq!(record, demo_record());
    assert!(record.provenance.differences.is_empty());
}

/// F4: area per tank = spray / output. 2 gal at 1.6875 gal/1,000 sq ft cover 1,185 sq ft.
#[test]
fn a_tank_more_than_ten_per_cent_off_says_stop() {
    let advice = |covered: &str| {
        let text = format!("{HEAD}[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 2\ncovered = \"{covered}\"\n");
        let record = done(&text);
        let checks = check_tanks(record.task("lawn").unwrap(), &[]);
        assert_eq!(checks.len(), 7);
        let area = checks[1].area.unwrap();
        assert!((area.expected.to(AreaUnit::SquareFoot) - 1_185.185).abs() < 0.1, "{area:?}");
        // Of the others nothing was said, and they are not praised.
        assert!(checks.iter().all(|check| check.number == 2 || check.advice == TankAdvice::NotTold), "{checks:#?}");
        checks[1].advice
    };
    assert_eq!(advice("1,185 sq ft"), TankAdvice::GoOn);
    assert_eq!(advice("1,080 sq ft"), TankAdvice::GoOn);
    assert_eq!(advice("1,060 sq ft"), TankAdvice::Stop);
    assert_eq!(advice("1,310 sq ft"), TankAdvice::Stop);
    // As much product as for a full tank in half the spray.
    let half = "[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 2\nspray = \"1 gal\"\ncovered = \"593 sq ft\"\n";
    let record = done(&format!("{HEAD}{half}"));
    let checks = check_tanks(record.task("lawn").unwrap(), &[]);
    assert_eq!(checks[1].advice, TankAdvice::Stop);
    // As planned but for the time: what it covered stands as planned, and is not held against itself.
    let timed = "[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 2\nfilled_at = \"07:40\"\n";
    let timed = done(&format!("{HEAD}{timed}"));
    let timed = &check_tanks(timed.task("lawn").unwrap(), &[])[1];
    assert_eq!((timed.advice, timed.area), (TankAdvice::CannotTell, None));
    assert!((checks[1].products[0].departure - 1.0).abs() < 1e-9, "{checks:#?}");
}

/// A tank that was left over whole covered nothing: that is said, and nothing lies there over a maximum.
#[test]
fn a_tank_that_was_left_over_whole_is_not_held_against_ground() {
    let left = "[task.leftover]\nspray = \"2 gal\"\n";
    let advice = |tank: &str| {
        let record = done(&format!("{HEAD}[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 7\n{tank}{left}"));
        let leftovers = record.leftover.value().expect("a leftover").clone();
        let check = check_tanks(record.task("lawn").unwrap(), &leftovers).pop().unwrap();
        assert!(
            record.breaches.iter().all(|one| one.rule != "breach::maximum-single-of-tank"),
            "{:?}",
            record.breaches
        );
        (check.advice, check.to_string())
    };
    let (told, words) = advice("spray = \"2 gal\"\ncovered = \"1 sq ft\"\n");
    assert_eq!(told, TankAdvice::AllLeftAndCovered);
    assert!(words.contains("one of the two is wrong"), "{words}");
    let (told, words) = advice("spray = \"2 gal\"\nfilled_at = \"08:20\"\n");
    assert_eq!((told, words.as_str()), (TankAdvice::AllLeft, "all of it was left over"));
}

/// Each tank tells its own times, weather and rest: what stayed in it goes out with the next, what was taken out does not.
#[test]
fn each_tank_tells_its_times_its_weather_and_its_rest() {
    let text = format!(
        "{HEAD}started = \"07:05\"\nended = \"09:30\"\n[[task]]\nid = \"lawn\"\n\
         [[task.tank]]\nnumber = 1\nspray = \"2 gal\"\nfilled_at = \"07:05\"\nemptied_at = \"07:30\"\n\
         covered = \"1,067 sq ft\"\ncarried_over = \"0.2 gal\"\n\
         [[task.tank]]\nnumber = 2\nspray = \"2 gal\"\ncovered = \"1,185 sq ft\"\n\
         weather = {{ wind = \"11 mph\", wind_from = 200 }}\n\
         leftover = {{ spray = \"0.2 gal\", became = \"in the closed can\", way = \"kept\" }}\n"
    );
    let (record, request) = (done(&text), demo_request());
    let lawn = record.task("lawn").unwrap();
    let leftovers = record.leftover.value().expect("a leftover");
    assert_eq!(leftovers.iter().map(|left| left.tank).collect::<Vec<_>>(), [Some(2)]);
    // 1.8 gal of tank 1, and 2.0 gal of tank 2 with what stayed and without what was taken out, at 1.6875 gal/1,000 sq ft.
    let checks = check_tanks(lawn, leftovers);
    for (check, square_feet) in checks.iter().zip([1_066.667, 1_185.185]) {
        assert!((check.area.unwrap().expected.to(AreaUnit::SquareFoot) - square_feet).abs() < 0.1, "{check:#?}");
        assert_eq!(check.advice, TankAdvice::GoOn);
    }
    // What stayed was put down; what was taken out was not.
    let filled = lawn.tanks.iter().filter_map(|tank| tank.filled.as_ref()?.spray).sum::<Volume>();
    let missing = filled - *lawn.carrier.value().unwrap();
    assert!((missing.to(VolumeUnit::UsGallon) - 0.2).abs() < 1e-9, "{missing:?}");
    // The weather of a tank is judged as that of start and end.
    let judged = with_breaches(record.clone(), &request.labels, Some(on(&request)));
    let windy = judged.breaches.iter().find(|breach| breach.rule == "breach::wind-high").expect("a breach");
    assert!(windy.text.contains("tank 2"), "{}", windy.text);
    // And all of it comes back from the books.
    let written = write_record(&record);
    assert_eq!(write_record(&parse_record("r", &written).unwrap()), written);
    assert!(written.contains("emptied_at") && written.contains("carried_over_l"), "{written}");
    let told = record::told(&record, &|zone| zone.id.clone());
    let words = format!("{told:?}");
    assert!(words.contains("lawn, tank 2") && words.contains("Emptied at") && words.contains("in the closed can"));

    let refused = |more: &str| -> Vec<String> {
        let text = format!("{HEAD}[[task]]\nid = \"lawn\"\n{more}");
        let read = record_as_applied("x", &text, &demo_record(), jiff::tz::offset(-5), &request.equipment).unwrap_err();
        read.iter().map(|one| format!("{} {}", one.code, one.place.path.clone().unwrap_or_default())).collect()
    };
    assert_eq!(
        refused("[[task.tank]]\nnumber = 1\ncarried_over = \"3 gal\"\nleftover = { spray = \"3 gal\" }\n"),
        [
            "as-applied::leftover-too-much task[1].tank[1].carried_over",
            "as-applied::leftover-too-much task[1].tank[1].leftover.spray"
        ]
    );
    assert_eq!(
        refused(
            "[[task.tank]]\nnumber = 7\nleftover = { spray = \"0.1 gal\" }\n[task.leftover]\nspray = \"0.1 gal\"\n"
        ),
        ["as-applied::leftover-twice task[1].tank[1].leftover"]
    );
}

/// The rate of a document is held against what was put down and where.
#[test]
fn a_rate_that_is_not_what_was_put_down_is_told() {
    let record = demo_record();
    let codes = |record: &ApplicationRecord| -> Vec<&str> { check(record, None).iter().map(|one| one.code).collect() };
    assert!(!codes(&record).contains(&"record::rate-differs"), "{:?}", codes(&record));
    let mut told = record.clone();
    let rate = told.tasks[0].products[0].rate.value().copied().expect("a rate");
    told.tasks[0].products[0].rate = Fact::Recorded(rate.with_value(rate.value() * 0.5));
    let differs: Vec<_> = check(&told, None).into_iter().filter(|one| one.code == "record::rate-differs").collect();
    assert_eq!(differs.len(), 1, "{differs:?}");
    assert_eq!(differs[0].place.path.as_deref(), Some("task[1].product[1].rate"));
}

/// A record of the truth is kept, and says that it was against the label.
#[test]
fn what_was_done_against_the_label_is_kept_and_says_so() {
    let text = format!(
        "{HEAD}[weather.start]\nwind = \"11 mph\"\ngust = \"12 mph\"\ntemperature = \"89 °F\"\n\
         [weather.end]\nwind = \"2 mph\"\n\
         [[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 1\nproduct = [{{ label = \"brackwater-sc\", amount = \"28 mL\" }}]\n"
    );
    let request = demo_request();
    let record = with_breaches(done(&text), &request.labels, Some(on(&request)));
    let of_lawn: Vec<&str> =
        record.breaches.iter().filter(|breach| breach.task == "lawn").map(|breach| breach.rule.as_str()).collect();
    assert_eq!(
        of_lawn,
        [
            "breach::rate-above-label",
            "breach::maximum-single",
            "breach::maximum-single-of-tank",
            "breach::wind-high",
            "breach::gust",
            "breach::temperature-high",
            "breach::wind-low"
        ]
    );
    let single = record.breaches.iter().find(|breach| breach.rule == "breach::maximum-single-of-tank").unwrap();
    assert_eq!(single.clause, "Do not exceed 0.4 fl oz per 1,000 sq ft of lawn in a single application.");
    assert!(single.text.starts_with("tank 1 put down 0.79"), "{}", single.text);
    // A sentence that several tasks passed is one sentence.
    assert!(record.sentences_passed() < record.breaches.len(), "{:?}", record.breaches);
    let text = write_record(&record);
    assert_eq!(parse_record("r", &text).unwrap().breaches, record.breaches);
    // Those who live there are told what follows for them: the amount first, each thing once.
    let told = record::misapplied(&record, &|task| task.id.clone());
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].starts_with("More was put down on the lawn") && told[1].starts_with("The wind was stronger"));
}

#[test]
fn ground_drawn_as_treated_takes_the_place_of_the_plan() {
    let request = demo_request();
    // A strip that runs over the western boundary, and into the label's 25 ft from the water.
    let ring = "[[[-97.62005, 38.84005], [-97.61995, 38.84005], [-97.61995, 38.8403], [-97.62005, 38.8403], \
                [-97.62005, 38.84005]]]";
    let text = format!(
        "{HEAD}[[task]]\nid = \"lawn\"\nground = {{ type = \"Polygon\", coordinates = {ring} }}\n[[task]]\nid = \"hedge\"\nnot_done = true\n"
    );
    let record = done(&text);
    assert_eq!(record.tasks.len(), 2);
    assert_eq!(subjects(&record), ["task hedge", "task lawn, ground"]);
    let codes: Vec<&str> = check(&record, Some(&request.property)).iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["record::tanks-area", "record::outside-property"]);
    let rules: Vec<String> =
        breaches(&record, &request.labels, Some(on(&request))).into_iter().map(|breach| breach.rule).collect();
    assert!(rules.contains(&"breach::maximum-single".to_owned()), "{rules:?}");
}

#[test]
fn a_leftover_put_down_elsewhere_is_a_task_of_its_own() {
    let ring = "[[[-97.6199, 38.8401], [-97.6198, 38.8401], [-97.6198, 38.84015], [-97.6199, 38.8401]]]";
    let text = format!(
        "{HEAD}[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.3 gal\"\n\
         applied = {{ site = \"ornamental\", ground = {{ type = \"Polygon\", coordinates = {ring} }} }}\n"
    );
    let record = done(&text);
    let (lawn, further) = (record.task("lawn").unwrap(), record.task("lawn-leftover").expect("a further task"));
    let planned = demo_record();
    let before = millilitres(planned.task("lawn").unwrap().products[0].amount);
    let after = millilitres(lawn.products[0].amount) + millilitres(further.products[0].amount);
    assert!((before - after).abs() < 1e-9, "nothing is lost: {before} and {after}");
    // The label lists broadcast on turf only: on plants it was against it.
    let rules: Vec<(String, String)> =
        breaches(&record, &demo_request().labels, None).into_iter().map(|breach| (breach.task, breach.rule)).collect();
    assert_eq!(rules, [("lawn-leftover".to_owned(), "breach::site".to_owned())]);
}

/// A leftover on turf that was treated in the morning counts with it: about 0.4 fl oz per 1,000 sq ft of each, where
/// the label allows 0.4 in one application. By itself it would be within the label.
#[test]
fn a_leftover_on_ground_treated_before_counts_with_what_lies_there() {
    let ring = "[[[-97.61984546, 38.84002703], [-97.61979703, 38.84002703], [-97.61979703, 38.84006577], \
                [-97.61984546, 38.84006577], [-97.61984546, 38.84002703]]]";
    let text = format!(
        "{HEAD}[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.3 gal\"\n\
         applied = {{ site = \"turf\", ground = {{ type = \"Polygon\", coordinates = {ring} }} }}\n"
    );
    let request = demo_request();
    let found = breaches(&done(&text), &request.labels, Some(on(&request)));
    let [place] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!((place.task.as_str(), place.rule.as_str()), ("lawn-leftover", "breach::maximum-single-of-place"));
    assert!(place.text.contains("sq ft that lawn and lawn-leftover treated"), "{}", place.text);
    assert_eq!(place.clause, "Do not exceed 0.4 fl oz per 1,000 sq ft of lawn in a single application.");
}

/// Food plants, flowers that bees visit, and a driveway are told by the map, whatever the record calls the ground.
#[test]
fn what_was_treated_on_food_plants_flowers_or_paving_is_told() {
    let request = demo_request();
    // The middles of the vegetable bed, of the perennials in bloom and of the driveway, a metre wide.
    let told = |east: f64, north: f64| {
        let plane = request.property.plane();
        let corner = |x: f64, y: f64| {
            let position = plane.to_position(geometry::Point::from_metres(east + x, north + y));
            format!("[{}, {}]", position.longitude(), position.latitude())
        };
        let ring: Vec<String> =
            [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0), (0.0, 0.0)].map(|(x, y)| corner(x, y)).to_vec();
        let text = format!(
            "{HEAD}[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.01 gal\"\n\
             applied = {{ site = \"turf\", ground = {{ type = \"Polygon\", coordinates = [[{}]] }} }}\n",
            ring.join(", ")
        );
        let found = breaches(&done(&text), &request.labels, Some(on(&request))).into_iter();
        let of_sites = ["breach::food-plants", "breach::bloom", "breach::paving"];
        let of_leftover = found.filter(|breach| breach.task == "lawn-leftover");
        of_leftover.map(|breach| breach.rule).filter(|rule| of_sites.contains(&rule.as_str())).collect::<Vec<_>>()
    };
    assert_eq!(told(28.5, 34.5), ["breach::food-plants"]);
    assert_eq!(told(7.5, 34.5), ["breach::bloom"]);
    assert_eq!(told(21.0, 5.0), ["breach::paving"]);
    assert_eq!(told(15.0, 3.0), [] as [&str; 0], "lawn");
}

/// What is amended upwards passes the cap of the year, and another visit nine days later comes too soon.
#[test]
fn what_was_done_passes_limits_over_time() {
    let request = demo_request();
    let mut record = demo_record();
    let rules = |record: &ApplicationRecord, past: &History| -> Vec<(String, String)> {
        let on = Ground { property: &request.property, past };
        let found = breaches(record, &request.labels, Some(on)).into_iter();
        found.filter(|breach| breach.rule != "breach::distance").map(|breach| (breach.task, breach.rule)).collect()
    };
    assert_eq!(rules(&record, &request.history), []);
    let History::Known { applications, .. } = &request.history else { panic!("a known past") };
    let soon = |days: i64, times: usize| {
        let day = |back: i64| record.date.checked_sub(jiff::Span::new().days(back)).unwrap();
        let lawn = applications.iter().find(|past| past.place == Place::Turf).unwrap();
        let more = (1..).take(times).map(|time: i64| Application { date: day(days * time), ..lawn.clone() });
        History::Known { complete_since: None, applications: more.collect() }
    };
    let lawn = |rule: &str| ("lawn".to_owned(), format!("breach::{rule}"));
    assert_eq!(rules(&record, &soon(20, 1)), [lawn("interval")]);
    assert_eq!(rules(&record, &soon(21, 1)), []);
    // Four of 0.4 before it: the cap of 1.6 and of its active ingredient, and the fourth application of four.
    assert_eq!(rules(&record, &soon(21, 4)), [lawn("cap"), lawn("cap"), lawn("applications")]);
    let unknown = rules(&record, &History::Unknown);
    assert_eq!(unknown, [], "what nobody knows is no breach");
    // Nor is it praise: what could not be judged is told.
    let ground = |past| Some(Ground { property: &request.property, past });
    let untold =
        |record: &ApplicationRecord, on: Option<Ground<'_>>| not_judged(record, &request.labels, on).join("\n");
    assert!(untold(&record, ground(&History::Unknown)).contains("limits over time, since the past"));
    let past = soon(21, 1);
    let known = untold(&record, ground(&past));
    assert!(
        !known.contains("limits over time") && known.contains("wind, gusts, air temperature at the start"),
        "{known}"
    );
    let mut seen = record.clone();
    seen.weather_at_start.wind = Fact::Recorded(quantity::Speed::new(4.0, quantity::SpeedUnit::MilePerHour));
    let known = untold(&seen, ground(&past));
    assert!(
        known.contains("gusts, air temperature at the start")
            && !known.contains("wind, gusts, air temperature at the start"),
        "{known}"
    );
    assert!(untold(&record, None).contains("no map of `Alder Bend`"));
    assert!(not_judged(&record, &[], None).iter().any(|what| what.contains("`brackwater-sc`, which is not in hand")));
    record.tasks.retain(|task| task.id != "lawn");
    assert_eq!(rules(&record, &soon(20, 4)), []);
}

/// A rest that ended in a gutter is told with its caution as long as the record is, and to those who live there.
#[test]
fn what_was_poured_out_is_told_with_the_record() {
    let poured = "[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.2 gal\"\nbecame = \"poured out along the street gutter\"\n";
    let text = format!("{HEAD}{poured}");
    let request = demo_request();
    let (record, warnings) =
        record_as_applied("x", &text, &demo_record(), jiff::tz::offset(-5), &request.equipment).expect("a record");
    assert_eq!(warnings.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["record::poured-out"]);
    let shown = format!("{:?}", record::told(&record, &|zone| zone.id.clone()));
    assert!(shown.contains("CAUTION") && shown.contains("no label allows"), "{shown}");
    assert_eq!(record::misapplied(&record, &|task| task.id.clone()).len(), 1);
    let clean = done(HEAD);
    assert!(!format!("{:?}", record::told(&clean, &|zone| zone.id.clone())).contains("CAUTION"));
}

/// Whatever can be told is told at once: what cannot be read, and what is said of the rest.
#[test]
fn what_cannot_be_read_hides_nothing_else() {
    let text = format!(
        "{HEAD}started = \"five\"\n[[task]]\nnot_done = true\n[[task]]\nid = \"nowhere\"\n[[task]]\nid = \"lawn\"\n\
         [[task.tank]]\nspray = \"2 gal\"\n[[task.tank]]\nnumber = 40\n[[task.tank]]\nnumber = 8\nspray = \"much\"\n\
         product = [{{ label = \"brackwater-sc\", amount = \"13 mL\" }}]\n[[task.tank]]\nnumber = 1\n\
         product = [{{ label = \"other\", amount = \"13 mL\" }}, {{ label = \"brackwater-sc\", amount = \"1 oz (weight)\" }}]\n"
    );
    let request = demo_request();
    let read = record_as_applied("x", &text, &demo_record(), jiff::tz::offset(-5), &request.equipment);
    let told: Vec<(usize, String)> = read
        .expect_err("much is wrong")
        .iter()
        .map(|problem| {
            (problem.place.line.unwrap(), format!("{} {}", problem.code, problem.place.path.as_deref().unwrap()))
        })
        .collect();
    insta::assert_debug_snapshot!(told);
}

#[test]
fn an_end_before_the_start_is_a_slip() {
    let mut record = done(&format!("{HEAD}started = \"07:05\"\nended = \"08:50\"\n"));
    std::mem::swap(&mut record.started, &mut record.ended);
    let problems = check(&record, None);
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["record::ends-before-start"]);
    assert!(problems.has_errors());
}

#[test]
fn times_are_read_with_and_without_date_and_clock() {
    let started = |written: &str| {
        let text = format!("{HEAD}started = {written}\n");
        let (actual, _) = parse_as_applied("x", &text, &demo_record(), jiff::tz::offset(-5), &demo_request().equipment)
            .expect(written);
        *actual.started.value().expect(written)
    };
    let seven = record::Moment { local: date(2026, 7, 7).at(7, 5, 0, 0), offset: jiff::tz::offset(-5) };
    for written in [
        "\"07:05\"",
        "07:05:00",
        "\"2026-07-07T07:05\"",
        "2026-07-07T07:05:00",
        "2026-07-07 07:05:00",
        "2026-07-07T07:05:00-05:00",
    ] {
        assert_eq!(started(written), seven, "{written}");
    }
    assert_eq!(started("2026-07-07T12:05:00Z").instant(), seven.instant());
}
