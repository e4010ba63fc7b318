//! A label read out section by section, and two versions held against each other.

mod support;

use label::{Buffer, BufferedFeature, Cap, CapAmount, Difference, Label, Range, Scope, Statement, Window, differences};
use quantity::{Length, LengthUnit, MassPerArea, MassPerAreaUnit};
use support::{a, clause, hours, rate, stated, wind};

fn said(label: &Label) -> Vec<(String, Option<String>)> {
    let sections = label.sections();
    sections.into_iter().flat_map(|section| section.sayings).map(|saying| (saying.path, saying.figure)).collect()
}

#[test]
fn every_sentence_is_read_out_with_its_place_and_its_figure() {
    let mut label = a();
    label.precautions = vec![clause("CAUTION."), clause("Harmful if swallowed.")];
    label.restraints.relative_humidity =
        stated(Range { at_least: Some(0.4), at_most: None }, "Not below 40 % relative humidity.");
    let cap = Cap {
        amount: CapAmount::ActiveIngredient(MassPerArea::new(0.48, MassPerAreaUnit::PoundPerAcre)),
        active_ingredient: None,
        window: Window::CalendarYear,
        counts_other_products: true,
    };
    label.uses[0].constraints.caps = vec![stated(cap, "No more than 0.48 lb per acre a year.")];
    label.uses[0].constraints.harvest_interval_days = Statement::NotApplicable;
    let figure = |words: &str| Some(words.to_owned());
    let expected = [
        ("precaution[1]", None),
        ("precaution[2]", None),
        ("restraints.irrigation", figure("none for 24.0 h")),
        ("restraints.wind", figure("at least 3.00 mph (4.83 km/h), at most 10.0 mph (16.1 km/h), gusts counted")),
        ("restraints.relative_humidity", figure("at least 40.0 %")),
        ("restraints.ppe[1]", figure("gloves: mixing, applying")),
        ("use[1]", None),
        ("use[1].rate", figure("0.2 fl oz/1,000 sq ft to 0.4 fl oz/1,000 sq ft")),
        ("use[1].maximum_single", figure("0.4 fl oz/1,000 sq ft")),
        ("use[1].harvest_interval_days", None),
        (
            "use[1].cap[1]",
            figure("0.480 lb/acre (0.538 kg/ha) of active ingredient by calendar-year, other products counted"),
        ),
    ];
    let expected: Vec<(String, Option<String>)> = expected.map(|(path, figure)| (path.to_owned(), figure)).into();
    assert_eq!(said(&label), expected);
    // As many as the label has: none is passed over.
    let of_row = label.uses[0].constraints.sentences().len();
    let all = label.precautions.len() + label.restraints.sentences().len() + 3 + of_row;
    let stated = label.sections().iter().flat_map(|section| &section.sayings).filter(|s| s.clause.is_some()).count();
    assert_eq!(stated, all);
}

fn changes(found: &[Difference]) -> Vec<(&str, &str, bool, bool)> {
    found.iter().map(|d| (d.section.as_str(), d.subject.as_str(), d.older.is_some(), d.newer.is_some())).collect()
}

#[test]
fn plain_sentences_facts_and_pests_are_compared_too() {
    let mut older = a();
    older.precautions = vec![clause("Harmful if swallowed."), clause("Wash hands.")];
    older.first_aid = vec![clause("Call a doctor.")];
    let mut newer = older.clone();
    newer.precautions[0] = clause("Fatal if swallowed.");
    newer.first_aid.push(clause("Rinse eyes for 15 minutes."));
    newer.product.label_version = "2".to_owned();
    newer.uses[0].pests[0].stages.clear();
    newer.uses[0].only_these_pests = true;
    let found = differences(&older, &newer);
    assert_eq!(
        changes(&found),
        [
            ("product", "product.label_version", true, true),
            ("precaution", "precaution", true, true),
            ("first_aid", "first_aid", false, true),
            ("use `turf`", "use `turf`.pests", true, true),
            ("use `turf`", "use `turf`.only_these_pests", false, true),
        ]
    );
    assert_eq!(found[1].newer.as_deref(), Some("Fatal if swallowed. (mandatory)"));
}

/// The words may be the same and the figure another: a slip of the pen in one of the two files.
#[test]
fn another_figure_under_the_same_words_shows() {
    let older = a();
    let mut newer = older.clone();
    newer.restraints.wind = stated(wind(Some(3.0), Some(8.0), true), "Wind 3 to 10 mph, gusts included.");
    newer.uses[0].maximum_single = stated(rate("0.5 fl oz/1,000 sq ft"), "At most 0.4 fl oz per 1,000 sq ft at once.");
    let found = differences(&older, &newer);
    assert_eq!(
        changes(&found),
        [("restraints", "restraints.wind", true, true), ("use `turf`", "use `turf`.maximum_single", true, true),]
    );
    assert!(found.iter().all(|difference| difference.older == difference.newer));
    let figures = |at: usize| (found[at].older_figure.as_deref(), found[at].newer_figure.as_deref());
    assert_eq!(figures(1), (Some("0.4 fl oz/1,000 sq ft"), Some("0.5 fl oz/1,000 sq ft")));
    assert!(figures(0).1.is_some_and(|figure| figure.contains("8.00 mph")));
}

#[test]
fn of_a_list_one_that_went_and_one_that_came_is_a_change_and_more_are_not_guessed() {
    let buffer = |feet: f64, feature| {
        let distance = Length::new(feet, LengthUnit::Foot);
        stated(Buffer { feature, distance }, &format!("Keep {feet} ft away."))
    };
    let mut older = a();
    older.restraints.buffers = vec![buffer(25.0, BufferedFeature::Water)];
    let mut newer = older.clone();
    newer.restraints.buffers = vec![buffer(50.0, BufferedFeature::Water)];
    let found = differences(&older, &newer);
    assert_eq!(changes(&found), [("restraints", "restraints.buffer", true, true)]);
    assert_eq!(found[0].newer_figure.as_deref(), Some("50.0 ft (15.2 m) from water"));
    newer.restraints.buffers.push(buffer(10.0, BufferedFeature::Well));
    let found = differences(&older, &newer);
    assert_eq!(
        changes(&found),
        [
            ("restraints", "restraints.buffer", true, false),
            ("restraints", "restraints.buffer", false, true),
            ("restraints", "restraints.buffer", false, true),
        ]
    );
}

/// A sentence of one state is another sentence than that of every state.
#[test]
fn the_state_of_a_sentence_is_told() {
    let older = a();
    let mut newer = older.clone();
    if let Statement::Stated { clause, .. } = &mut newer.restraints.irrigation {
        clause.scope = Scope::State("KS".to_owned());
    }
    let found = differences(&older, &newer);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].newer.as_deref(), Some("No irrigation for 24 hours. (mandatory, KS)"));
    newer.restraints.irrigation = stated(label::Irrigation::ProhibitedFor(hours(24.0)), "No irrigation for 24 hours.");
    assert!(differences(&older, &newer).is_empty());
}
