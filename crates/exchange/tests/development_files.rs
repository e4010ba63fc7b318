//! Stages by heat: every field is read and told, the profiles have the figures of the pages that they name, the answer
//! follows its schema.

use exchange::answer_schema::answer_schemas;
use exchange::development_file::{fields_asked, parse_development};
use exchange::pest_file::{shipped_characters, shipped_profiles};
use exchange::stages_json::StagesJson;
use jiff::ToSpan;
use jiff::civil::{Date, date};
use pest::{DegreeDayModel, HeatMethod, HeatStart, StepSpread, UpperCutoff};
use phenology::{Prior, Readings, StageQuestion, StageSighting, stage_course};
use problem::Problems;
use proptest::prelude::*;
use quantity::{DegreeDayUnit, Temperature, TemperatureUnit};
use std::fmt::Write as _;
use weather::degree_days::ReachedRange;
use weather::{DailyReading, DailySeries};

const EVERY_FIELD: &str = include_str!("development_every_field.toml");
const DOCUMENT: &str = include_str!("../../../docs/stages.md");

fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found} is not {expected}");
}

#[test]
fn every_field_is_read() {
    let (file, problems) = parse_development("every.toml", EVERY_FIELD).unwrap();
    assert!(problems.is_empty(), "{problems}");
    let model = file.model;
    assert_eq!(
        (file.name.as_str(), file.sources.len(), model.scale),
        ("invented hopper", 2, TemperatureUnit::Fahrenheit)
    );
    close(model.base.to(TemperatureUnit::Celsius), 10.0);
    assert_eq!(model.upper.map(|(_, cutoff)| cutoff), Some(UpperCutoff::Intermediate));
    assert_eq!((model.method, &model.start), (Some(HeatMethod::DoubleSine), &HeatStart::Day { month: 3, day: 1 }));
    assert_eq!(model.stages().collect::<Vec<_>>(), ["egg", "small nymph", "large nymph", "adult"]);
    let [first, second, third] = &model.steps[..] else { panic!("{:?}", model.steps) };
    close(first.what.middle.to(DegreeDayUnit::Celsius), 100.0);
    let Some(StepSpread::LogisticScale(scale)) = &first.what.spread else { panic!("{first:?}") };
    close(scale.what.to(DegreeDayUnit::Celsius), 10.0);
    assert_eq!((scale.source.as_str(), first.what.note.as_deref()), ("spread", Some("the hatch")));
    let Some(StepSpread::StandardDeviation(deviation)) = &second.what.spread else { panic!("{second:?}") };
    close(deviation.what.to(DegreeDayUnit::Celsius), 15.0);
    assert_eq!(third.what.spread, None);
    // One spread for all, and something seen in place of a day.
    let shared = EVERY_FIELD
        .replace("logistic_scale = 18\nspread_source = \"spread\"\n", "")
        .replace("standard_deviation = 27\nspread_source = \"spread\"\n", "")
        .replace(
            "start = \"03-01\"",
            "biofix = \"the first hatch\"\nvariance_per_degree_day = 1.8\nvariance_source = \"spread\"",
        );
    let model = parse_development("shared.toml", &shared).unwrap().0.model;
    let variance = model.variance_per_degree_day.unwrap();
    close(variance.what.to(DegreeDayUnit::Celsius), 1.0);
    assert_eq!((variance.source.as_str(), model.start), ("spread", HeatStart::Biofix("the first hatch".into())));
}

#[test]
fn every_field_is_told_in_the_document_and_its_example_is_read() {
    let fields = fields_asked(EVERY_FIELD);
    assert!(fields.len() > 25, "only {fields:?}");
    for field in &fields {
        let name = field.rsplit('.').next().unwrap().trim_end_matches("[]");
        let told = [format!("`{name}`"), format!("[[development.{name}]]"), format!("[{name}]"), format!("[[{name}]]")];
        assert!(told.iter().any(|told| DOCUMENT.contains(told)), "`{field}` is not told");
    }
    for word in HeatMethod::ALL.map(HeatMethod::word).into_iter().chain(UpperCutoff::ALL.map(UpperCutoff::word)) {
        assert!(DOCUMENT.contains(&format!("`\"{word}\"`")), "{word}");
    }
    let example = DOCUMENT.split("```toml\n").nth(1).unwrap().split("```").next().unwrap();
    let (file, problems) = parse_development("example.toml", example).unwrap();
    assert!(problems.is_empty(), "{problems}");
    assert_eq!(file.model.steps.len(), 3);
}

/// The figures of the profiles, as printed on the pages that they name.
#[test]
fn profiles_have_the_figures_of_their_pages() {
    let profiles = shipped_profiles(&shipped_characters().unwrap()).unwrap();
    let having: Vec<&str> =
        profiles.iter().filter(|profile| profile.development.is_some()).map(|profile| profile.id.as_str()).collect();
    assert_eq!(having, ["annual-bluegrass-weevil", "azalea-lace-bug", "black-cutworm"], "docs/stages.md lists them");
    for profile in &profiles {
        for (_, ids) in profile.development.iter().flat_map(DegreeDayModel::sources) {
            assert!(ids.iter().all(|id| profile.source(id).is_some_and(|source| source.seen)), "{}", profile.id);
        }
        assert!(!DOCUMENT.contains(&format!("| {} |", profile.common_name)) || profile.development.is_some());
    }
    let of = |id: &str| profiles.iter().find(|one| one.id == id).unwrap().development.clone().unwrap();
    let middles = |model: &DegreeDayModel, unit| -> Vec<f64> {
        model.steps.iter().map(|step| step.what.middle.to(unit)).collect()
    };
    // Luckmann et al. 1976 in the database: eggs 93.6 °F and 52.0 °C, larvae 635.4 and 353.0, pupae 428.4 and 238.0;
    // lower 50.7 °F (10.4 °C), upper 86.0 °F (30.0 °C).
    let cutworm = of("black-cutworm");
    for (found, expected) in middles(&cutworm, DegreeDayUnit::Celsius).iter().zip([52.0, 405.0, 643.0]) {
        close(*found, expected);
    }
    for (found, expected) in middles(&cutworm, DegreeDayUnit::Fahrenheit).iter().zip([93.6, 729.0, 1157.4]) {
        close(*found, expected);
    }
    assert!((cutworm.base.to(TemperatureUnit::Celsius) - 10.4).abs() < 0.05);
    close(cutworm.upper.unwrap().0.to(TemperatureUnit::Celsius), 30.0);
    // Small larvae 175 to 300, large ones from 350 on, adults 80 to 150: each step lies between.
    let weevil = middles(&of("annual-bluegrass-weevil"), DegreeDayUnit::Fahrenheit);
    close(weevil[0], f64::midpoint(150.0, 175.0));
    close(weevil[1], f64::midpoint(300.0, 350.0));
    let bug = of("azalea-lace-bug");
    close(middles(&bug, DegreeDayUnit::Celsius)[0], 213.1);
    close(bug.base.to(TemperatureUnit::Celsius), 10.2);
}

/// Every day at one temperature, so that the sum of heat is known by head.
fn days(celsius: f64, count: usize) -> DailySeries {
    let air = Some(Temperature::new(celsius, TemperatureUnit::Celsius));
    let all = date(2026, 3, 1).series(1.day()).take(count);
    let reading = |day: Date| DailyReading { lowest: air, highest: air, ..DailyReading::unknown(day) };
    DailySeries::new(all.map(reading).collect()).unwrap().0
}

fn asked<'a>(model: &'a DegreeDayModel, days: &'a DailySeries, seen: &'a [StageSighting]) -> StageQuestion<'a> {
    StageQuestion {
        model,
        readings: Readings::Days(days),
        past: None,
        biofix: Some(date(2026, 3, 1)),
        year: None,
        through: None,
        by: None,
        susceptible: &model.susceptible,
        sightings: seen,
        prior: Prior::new(0.1, 2.0).unwrap(),
    }
}

/// At ten degrees above the base, or hotter than the upper threshold, whole days take a stage: the sums of the database over
/// the heat of a day.
#[test]
fn a_cutworm_at_one_temperature_takes_the_published_days() {
    let profiles = shipped_profiles(&shipped_characters().unwrap()).unwrap();
    let cutworm = profiles.iter().find(|one| one.id == "black-cutworm").unwrap().development.clone().unwrap();
    let base = cutworm.base.to(TemperatureUnit::Celsius);
    for (celsius, a_day) in [(base + 10.0, 10.0), (36.0, 30.0 - base)] {
        let readings = days(celsius, 90);
        let (course, _) = stage_course(&asked(&cutworm, &readings, &[])).unwrap();
        for (step, sum) in course.steps.iter().zip([52.0_f64, 405.0, 643.0]) {
            let taken = (sum / a_day).ceil() as i64 - 1;
            assert_eq!(
                step.reached,
                Some(ReachedRange::On(date(2026, 3, 1) + taken.days())),
                "{celsius} °C, {}",
                step.to
            );
        }
    }
}

/// The estimates of Dennis, Kemp and Beckwith 1986 in a file of one's own: at 237 degree-days the shares that R and SciPy give
/// (see `crates/phenology/tests/reference.rs`).
#[test]
fn a_file_of_published_estimates_gives_the_published_shares() {
    let estimates = [120.039, 204.665, 264.590, 341.291, 464.477, 595.707];
    let mut steps = String::new();
    for (stage, middle) in (3..).zip(estimates) {
        let _ = write!(steps, "[[development.step]]\nto = \"{stage}\"\ndegree_days = {middle}\nsource = \"a\"\n");
    }
    let text = format!(
        "format = \"tussock.development/1\"\nname = \"budworm\"\n[[source]]\nid = \"a\"\ncite = \"Dennis et al. 1986\"\n\
         seen = true\n[development]\nbase = \"10 °C\"\nbiofix = \"day one\"\nfirst = \"2\"\nplace = \"p\"\nsource = \"a\"\n\
         variance_per_degree_day = 1.412\n{steps}"
    );
    let model = parse_development("budworm.toml", &text).unwrap().0.model;
    // 7.9 above the base over thirty days.
    let readings = days(17.9, 30);
    let (course, _) = stage_course(&asked(&model, &readings, &[])).unwrap();
    let last = course.last().unwrap();
    assert!((last.total.to(DegreeDayUnit::Celsius) - 237.0).abs() < 1e-9);
    let expected = [
        1.669_333_341_2e-03,
        1.441_730_560_5e-01,
        6.729_525_446_2e-01,
        1.778_737_668_0e-01,
        3.327_322_292_2e-03,
        3.973_846_815_2e-06,
        3.048_309_382_7e-09,
    ];
    for (found, expected) in last.shares.shares().iter().zip(expected) {
        assert!((found - expected).abs() < 5e-10, "{found} is not {expected}");
    }
}

#[test]
fn answers_follow_their_schema() {
    let (file, _) = parse_development("every.toml", EVERY_FIELD).unwrap();
    let seen = [StageSighting { date: date(2026, 3, 20), counts: vec![("small nymph".into(), 4)] }];
    let readings = days(16.0, 60);
    let (course, found) = stage_course(&asked(&file.model, &readings, &seen)).unwrap();
    let document = StagesJson::new(&file.name, (&file.model, &file.sources), &course, &found);
    let schema = |name: &str| -> serde_json::Value {
        let (_, schema) = answer_schemas().into_iter().find(|(own, _)| *own == name).expect("a schema");
        serde_json::from_str(&schema).expect("JSON")
    };
    let answer: serde_json::Value = serde_json::from_str(&document.text()).expect("JSON");
    assert!(jsonschema::is_valid(&schema("stages.schema.json"), &answer), "{answer:#}");
    assert_eq!(answer["problems"][0]["code"], "weather::few-years");
    assert!(answer["development"]["assumed_spread"].is_number(), "the last step has no spread");
    let profiles = shipped_profiles(&shipped_characters().unwrap()).unwrap();
    for profile in profiles.iter().filter(|profile| profile.development.is_some()) {
        let text = exchange::pest_json::PestProfileJson::new(profile).text();
        let answer: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        assert!(jsonschema::is_valid(&schema("pest.schema.json"), &answer), "{}", profile.id);
        assert!(answer["development"]["steps"].as_array().is_some_and(|steps| !steps.is_empty()), "{}", profile.id);
    }
}

proptest! {
    /// No text makes the reader panic, and what is wrong is told with a place in the text.
    #[test]
    fn any_change_of_a_file_is_read_or_told(at in 0_usize..900, put in "[\\PC\n]{0,6}", taken in 0_usize..12) {
        let start = EVERY_FIELD.floor_char_boundary(at.min(EVERY_FIELD.len()));
        let end = EVERY_FIELD.floor_char_boundary((start + taken).min(EVERY_FIELD.len()));
        let text = format!("{}{put}{}", &EVERY_FIELD[..start], &EVERY_FIELD[end..]);
        let told = |found: &Problems| found.iter().all(|problem| problem.place.line.is_some());
        match parse_development("x.toml", &text) {
            Ok((_, warnings)) => prop_assert!(told(&warnings), "{warnings}"),
            Err(found) => prop_assert!(told(&found) && found.has_errors(), "{found}"),
        }
    }
}
