//! Survey files: every field is read and told, the demo is sound, no text makes the reader panic.

use exchange::kept::{Kept, Reference, Survey, SurveyThresholdOf};
use exchange::survey_file::{fields_asked, parse_survey, write_survey};
use proptest::prelude::*;
use quantity::{Area, AreaUnit, Length, LengthUnit};
use scouting::CountBasis;

const EVERY_FIELD: &str = include_str!("survey_every_field.toml");
const DEMO: &str = include_str!("../../../demo/alder-bend/survey.toml");

fn property() -> Reference {
    Reference::parse("01997fb2-7a4e-7c11-8b52-6f0d6a3c9e01").expect("a name")
}

#[test]
fn every_field_comes_into_the_document_that_is_kept() {
    let (file, problems) = parse_survey("survey.toml", EVERY_FIELD).expect("a survey");
    assert!(problems.is_empty(), "{problems}");
    assert_eq!(file.property, "Alder Bend");
    let survey = file.kept(property());
    assert_eq!((survey.pest.as_str(), survey.stage.as_deref()), ("grasshopper", Some("nymph")));
    assert_eq!(
        (survey.method.as_str(), survey.count_area.as_ref().map(exchange::kept::AreaText::as_str)),
        ("frame", Some("1 sq ft"))
    );
    assert_eq!((survey.count_per.as_deref(), survey.one_count().as_str()), (Some("plant"), "1 sq ft"));
    assert_eq!((survey.by.as_str(), survey.note.as_deref()), ("J. Example", Some("in the sun")));
    assert_eq!(survey.date.date().to_string(), "2026-07-06");
    let stations: Vec<(u64, bool, bool)> =
        survey.stations.iter().map(|one| (one.count, one.is_check, one.position.is_some())).collect();
    assert_eq!(stations, [(2, false, false), (0, false, false), (3, true, false), (6, true, true)]);
    assert_eq!(survey.stations.iter().map(|one| one.dead).collect::<Vec<_>>(), [Some(1), Some(4), Some(0), Some(1)]);
    let treated = survey.treated.as_ref().expect("a treatment");
    assert_eq!((treated.on.date().to_string().as_str(), treated.group.as_deref()), ("2026-07-01", Some("3A")));
    let threshold = survey.threshold.as_ref().expect("a threshold");
    assert_eq!(
        (threshold.count, threshold.per.as_str(), threshold.place.as_deref()),
        (8.0, "1 sq yd", Some("rangeland"))
    );
    assert_eq!(
        (threshold.of, survey.profile.as_deref()),
        (Some(SurveyThresholdOf::Animals), Some("two-striped-grasshopper"))
    );
    let read = threshold.threshold(survey.how_counted()).expect("sound");
    assert_eq!((read.source(), read.stage()), ("rangeland; Parker 1930", Some("nymph")));
    assert_eq!(Survey::read(&survey.text()), Ok(survey));
}

#[test]
fn a_kept_survey_is_written_as_the_file_that_it_could_have_come_of() {
    for text in [EVERY_FIELD, DEMO, include_str!("../../../demo/alder-bend/places.toml")] {
        let survey = parse_survey("survey.toml", text).expect("a survey").0.kept(property());
        let written = write_survey(&survey, "Alder \"Bend\"");
        let (again, problems) = parse_survey("written", &written).expect(&written);
        assert!(problems.is_empty(), "{problems}");
        assert_eq!(again.property, "Alder \"Bend\"");
        assert_eq!(again.kept(property()), survey, "{written}");
    }
}

/// A survey of these fields about the counts, with everything else sound.
fn counted(how: &str) -> Result<Vec<CountBasis>, Vec<(&'static str, Option<String>)>> {
    let text = format!(
        "format = \"tussock.survey/1\"\nproperty = \"Alder Bend\"\ndate = 2026-07-06\npest = \"tick\"\n\
         by = \"J. Example\"\ncounts = [1, 2, 3]\n{how}"
    );
    match parse_survey("survey.toml", &text) {
        Ok((file, _)) => {
            let survey = file.kept(property());
            assert_eq!(Survey::read(&survey.text()).as_ref(), Ok(&survey));
            assert_eq!(
                parse_survey("again", &write_survey(&survey, "Alder Bend")).expect("sound").0.kept(property()),
                survey
            );
            Ok(survey.how_counted().ways().expect("ways"))
        }
        Err(problems) => Err(problems.into_iter().map(|one| (one.code, one.place.path)).collect()),
    }
}

#[test]
fn a_count_is_made_on_ground_or_on_what_else_is_told() {
    let acre = Area::new(0.25, AreaUnit::Acre);
    assert_eq!(counted("method = \"mounds\"\ncount_area = \"0.25 acre\""), Ok(vec![CountBasis::Mounds(acre)]));
    assert_eq!(counted("method = \"pitfall\"\ncount_per = \"6 trap nights\""), Ok(vec![CountBasis::TrapNights(6)]));
    let drag = CountBasis::Drag(Length::new(100.0, LengthUnit::Metre));
    assert_eq!(counted("method = \"drag\"\ncount_per = \"100 m of drag\""), Ok(vec![drag]));
    let square = CountBasis::Area(Area::new(4.0, AreaUnit::SquareFoot));
    assert_eq!(counted("method = \"soap flush\"\ncount_area = \"4 sq ft\""), Ok(vec![square, CountBasis::Flush]));
    let told = |how: &str| counted(how).unwrap_err();
    assert_eq!(told("method = \"frame\""), [("toml::missing-field", None)]);
    assert_eq!(
        told("method = \"frame\"\ncount_area = \"0 sq ft\""),
        [("survey::count-area", Some("count_area".to_owned()))]
    );
    assert_eq!(
        told("method = \"mounds\"\ncount_per = \"plant\""),
        [("survey::count-area", Some("count_per".to_owned()))]
    );
    assert_eq!(
        told("method = \"can\"\ncount_per = \"bucket\""),
        [("scouting::count-basis", Some("count_per".to_owned()))]
    );
    assert_eq!(
        told("method = \"can\"\ncount_per = \"1 sq ft\""),
        [("survey::count-per", Some("count_per".to_owned()))]
    );
}

/// What a threshold on a quarter acre is told to count, beside counts by a method: what the survey keeps of it, what it is held
/// against as, and what is said.
fn of_threshold(
    method: &str,
    of: &str,
    per: &str,
) -> (Option<SurveyThresholdOf>, Option<CountBasis>, Vec<&'static str>) {
    let text = format!(
        "format = \"tussock.survey/1\"\nproperty = \"Alder Bend\"\ndate = 2026-07-06\npest = \"fire ant\"\nmethod = \"{method}\"\n\
         count_area = \"0.1451 acre\"\nby = \"J. Example\"\ncounts = [12]\n[threshold]\ncount = 5\nper = \"{per}\"\n{of}\
         source = \"invented\"\n"
    );
    match parse_survey("survey.toml", &text) {
        Ok((file, problems)) => {
            let survey = file.kept(property());
            assert_eq!(Survey::read(&survey.text()).as_ref(), Ok(&survey));
            let threshold = survey.threshold.as_ref().expect("a threshold");
            let basis = threshold.threshold(survey.how_counted()).expect("sound").basis();
            (threshold.of, Some(basis), problems.iter().map(|one| one.code).collect())
        }
        Err(problems) => (None, None, problems.iter().map(|one| one.code).collect()),
    }
}

#[test]
fn a_threshold_counts_what_the_method_counts() {
    use SurveyThresholdOf::{Animals, Mounds};
    let quarter = Area::new(0.25, AreaUnit::Acre);
    let (animals, mounds) = ("of = \"animals\"\n", "of = \"mounds\"\n");
    let told = |method, of| of_threshold(method, of, "0.25 acre");
    assert_eq!(told("mounds", mounds), (Some(Mounds), Some(CountBasis::Mounds(quarter)), vec![]));
    assert_eq!(told("frame", animals), (Some(Animals), Some(CountBasis::Area(quarter)), vec![]));
    // Five mounds on a quarter acre are no five animals on it, nor the other way round.
    assert_eq!(told("frame", mounds), (None, None, vec!["survey::threshold-of"]));
    assert_eq!(told("mounds", animals), (None, None, vec!["survey::threshold-of"]));
    assert_eq!(of_threshold("mounds", mounds, "flush").2, ["survey::threshold-of"]);
    assert_eq!(told("frame", "of = \"flushes\"\n").2, ["toml::unknown-word"]);
    // Where nobody says it, it is what was counted, which is said; and it is kept.
    let untold = vec!["survey::threshold-of-untold"];
    assert_eq!(told("mounds", ""), (Some(Mounds), Some(CountBasis::Mounds(quarter)), untold.clone()));
    assert_eq!(told("frame", ""), (Some(Animals), Some(CountBasis::Area(quarter)), untold));
    // Nothing but animals is told per trap.
    assert_eq!(of_threshold("frame", "", "trap"), (Some(Animals), Some(CountBasis::Trap), vec![]));
}

/// A survey as it was kept before a threshold said what it counts, and by which profile the counts were judged.
#[test]
fn a_survey_that_was_kept_before_is_read_as_it_was() {
    let kept = |method: &str, of: &str| {
        format!(
            "{{ \"format\": \"tussock.kept-survey/1\", \"property\": \"01997fb2-7a4e-7c11-8b52-6f0d6a3c9e01\", \
             \"date\": \"2026-07-06\", \"pest\": \"fire ant\", \"method\": \"{method}\", \"count_area\": \"0.1451 acre\", \
             \"by\": \"J. Example\", \"stations\": [{{ \"count\": 12, \"is_check\": false }}], \
             \"threshold\": {{ \"count\": 5, {of}\"per\": \"0.25 acre\", \"source\": \"invented\" }} }}"
        )
    };
    let quarter = Area::new(0.25, AreaUnit::Acre);
    for (method, basis) in [("mounds", CountBasis::Mounds(quarter)), ("frame", CountBasis::Area(quarter))] {
        let survey = Survey::read(&kept(method, "")).expect("readable");
        let threshold = survey.threshold.as_ref().expect("a threshold");
        assert_eq!((survey.profile.as_deref(), threshold.of), (None, None));
        assert_eq!(threshold.threshold(survey.how_counted()).expect("sound").basis(), basis);
        assert_eq!(threshold.of_untold(survey.how_counted()).map(|one| one.code), Some("survey::threshold-of-untold"));
        assert!(!survey.text().contains("\"of\""));
    }
    let wrong = Survey::read(&kept("frame", "\"of\": \"mounds\", ")).unwrap_err();
    let told: Vec<_> = wrong.iter().map(|one| (one.code, one.place.path.as_deref())).collect();
    assert_eq!(told, [("survey::threshold-of", Some("/threshold/of"))]);
}

#[test]
fn two_stations_at_one_place_are_not_kept_anew() {
    let mut survey = parse_survey("survey.toml", EVERY_FIELD).expect("a survey").0.kept(property());
    assert!(survey.check_anew().is_ok());
    survey.stations.extend(survey.stations.last().cloned());
    let found = survey.check_anew().unwrap_err();
    let told: Vec<_> = found.iter().map(|one| (one.code, one.place.path.as_deref())).collect();
    assert_eq!(told, [("survey::station-twice", Some("/stations/4/position"))]);
    // What was kept before it was asked for stays readable.
    assert_eq!(Survey::read(&survey.text()), Ok(survey));
}

#[test]
fn every_field_is_told_in_its_document() {
    let document = include_str!("../../../docs/survey-file.md");
    let fields = fields_asked(EVERY_FIELD);
    assert!(fields.len() >= 15, "only {fields:?}");
    for field in fields {
        let name = field.rsplit('.').next().expect("a name").trim_end_matches("[]");
        let forms = [format!("`{name}`"), format!("[[{name}]]"), format!("{name} =")];
        assert!(forms.iter().any(|form| document.contains(form)), "`{field}` is not told");
    }
}

#[test]
fn the_demo_is_sound_and_says_that_it_is_invented() {
    let (file, problems) = parse_survey("survey.toml", DEMO).expect("a survey");
    assert!(problems.is_empty(), "{problems}");
    assert_eq!((file.stations.len(), file.stations.iter().filter(|one| one.is_check).count()), (23, 4));
    assert!(DEMO.contains("invented"));
    let survey = file.kept(property());
    assert_eq!(Survey::read(&survey.text()), Ok(survey));
}

proptest! {
    /// A sound file with one piece cut out and another put in.
    #[test]
    fn no_text_makes_the_reader_panic(
        from in 0_usize..2000, length in 0_usize..40,
        put in "(|0|-1|1e999|nan|\"\"|'é'|\\[|\\]|\\{|\\}|,|\"|#|\n|\\[\\[station\\]\\]\n|2026-02-30| sq ft)",
    ) {
        let from = DEMO.floor_char_boundary(from % (DEMO.len() + 1));
        let to = DEMO.floor_char_boundary((from + length).min(DEMO.len())).max(from);
        let text = format!("{}{put}{}", &DEMO[..from], &DEMO[to..]);
        match parse_survey("x", &text) {
            Ok((file, _)) => {
                let survey = file.kept(property());
                prop_assert!(Survey::read(&survey.text()).is_ok());
            }
            Err(problems) => prop_assert!(problems.has_errors()),
        }
    }
}
