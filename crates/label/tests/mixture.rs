//! The strictest of restraints and use rows, in one label and in a mixture.

mod support;

use label::{Buffer, BufferedFeature, Constraints, Irrigation, PpeTask, Range, Scope, Statement, Strength};
use label::{combined, for_state, requirements};
use proptest::prelude::*;
use quantity::{DurationUnit, Length, LengthUnit, SpeedUnit, Temperature, TemperatureUnit};
use support::{a, advised, c, clause, hours, label, mph, ppe, stated, wind};

#[test]
fn of_a_mixture_the_strictest_holds() {
    let (a, c) = (a(), c());
    let (all, conflicts) = combined(&[(&a, &a.uses[0]), (&c, &c.uses[0])]);
    assert_eq!(conflicts, []);
    let least = all.wind.at_least.mandatory.as_ref().unwrap();
    assert_eq!((least.value, least.label.as_str()), (mph(3.0), "a"));
    let most = all.wind.at_most.mandatory.as_ref().unwrap();
    assert_eq!((most.value, most.label.as_str(), most.clause.text.as_str()), (mph(8.0), "c", "Wind to 8 mph."));
    // Gusts count on label a only, against its own limit.
    assert_eq!(all.gusts_at_most.binding(), Some(&mph(10.0)));
    let dry = all.irrigation_prohibited_for.mandatory.as_ref().unwrap();
    assert_eq!((dry.value.to(DurationUnit::Hour).round(), dry.label.as_str()), (48.0, "c"));
    let items: Vec<&str> = all.ppe.iter().map(|held| held.value.item.as_str()).collect();
    assert_eq!(items, ["gloves", "eyewear"]);
}

#[test]
fn a_restraint_beats_the_permission_of_a_row() {
    let mut label = a();
    label.uses[0].constraints.wind = stated(wind(None, Some(15.0), false), "On lawns wind to 15 mph.");
    label.uses[0].constraints.rain_free = stated(hours(2.0), "No rain for 2 hours.");
    label.restraints.rain_free = stated(hours(4.0), "No rain for 4 hours.");
    let all = requirements(&label, &label.uses[0]);
    assert_eq!(all.wind.at_most.binding(), Some(&mph(10.0)));
    assert_eq!(all.rain_free.binding(), Some(&hours(4.0)));
}

#[test]
fn an_advisory_limit_never_takes_the_place_of_a_mandatory_one() {
    let mut label = a();
    label.uses[0].constraints.wind = advised(wind(None, Some(5.0), false), "Best below 5 mph.");
    let all = requirements(&label, &label.uses[0]);
    assert_eq!(all.wind.at_most.binding(), Some(&mph(10.0)));
    assert_eq!(all.wind.at_most.advisory.as_ref().map(|held| held.value), Some(mph(5.0)));
    assert_eq!(all.wind.at_most.iter().count(), 2);
    let mut descriptive = clause("It is often calm at dawn.");
    descriptive.strength = Strength::Descriptive;
    label.restraints.wind = Statement::Stated { value: wind(None, Some(1.0), false), clause: descriptive };
    let all = requirements(&label, &label.uses[0]);
    assert_eq!(all.wind.at_most.binding(), None);
}

#[test]
fn silent_is_told_from_not_applicable_and_from_zero() {
    let mut label = a();
    label.restraints.harvest_interval_days = Statement::NotApplicable;
    label.restraints.reseeding_interval_days = stated(0, "Reseed at any time.");
    let all = requirements(&label, &label.uses[0]);
    assert!(all.rain_free.silent && all.rain_free.binding().is_none());
    assert!(!all.harvest_interval_days.silent && all.harvest_interval_days.binding().is_none());
    assert_eq!(all.reseeding_interval_days.binding(), Some(&0));
}

#[test]
fn limits_that_leave_nothing_are_refused() {
    let low =
        label("low", Constraints { wind: stated(wind(None, Some(2.0), false), "To 2."), ..Constraints::default() });
    let (a, mut wet) = (a(), c());
    let (_, conflicts) = combined(&[(&a, &a.uses[0]), (&low, &low.uses[0])]);
    assert_eq!(conflicts.iter().map(|conflict| conflict.rule).collect::<Vec<_>>(), ["mix::limits"]);
    let depth = Length::new(0.25, LengthUnit::Inch);
    wet.restraints.irrigation = stated(Irrigation::WaterIn { depth, within: hours(24.0) }, "Water in within 24 hours.");
    let (_, conflicts) = combined(&[(&a, &a.uses[0]), (&wet, &wet.uses[0])]);
    assert_eq!(conflicts.iter().map(|conflict| conflict.rule).collect::<Vec<_>>(), ["mix::irrigation"]);
    wet.restraints.irrigation = stated(Irrigation::WaterIn { depth, within: hours(36.0) }, "Water in within 36 hours.");
    assert_eq!(combined(&[(&a, &a.uses[0]), (&wet, &wet.uses[0])]).1, []);
}

#[test]
fn a_prohibited_partner_is_refused_by_name_group_or_formulation() {
    let c = c();
    for words in ["Invented C", "products holding exampthrin c", "other Group 3A insecticides", "any SC or EC product"]
    {
        let mut a = a();
        a.restraints.prohibited_partners = vec![stated(words.to_owned(), "Do not mix with these.")];
        let (_, conflicts) = combined(&[(&a, &a.uses[0]), (&c, &c.uses[0])]);
        assert_eq!(conflicts.first().unwrap().rule, "mix::prohibited-partner", "{words}");
        assert_eq!(conflicts[0].sentences[0].text, "Do not mix with these.");
        // A label does not forbid itself.
        assert_eq!(combined(&[(&a, &a.uses[0])]).1, []);
    }
    let mut a = a();
    a.restraints.prohibited_partners = vec![stated("lime sulfur".to_owned(), "Do not mix with lime sulfur.")];
    let (all, conflicts) = combined(&[(&a, &a.uses[0]), (&c, &c.uses[0])]);
    assert_eq!(conflicts, []);
    assert_eq!(all.prohibited_partners.len(), 1);
}

#[test]
fn buffers_and_equipment_are_joined() {
    let buffer = |feature, feet| {
        let distance = Length::new(feet, LengthUnit::Foot);
        stated(Buffer { feature, distance }, &format!("{feet} ft."))
    };
    let mut label = a();
    label.restraints.buffers = vec![buffer(BufferedFeature::Water, 25.0), buffer(BufferedFeature::Well, 50.0)];
    label.uses[0].constraints.buffers = vec![buffer(BufferedFeature::Water, 10.0)];
    label.uses[0].constraints.ppe = vec![ppe("gloves", &[PpeTask::Applying, PpeTask::CleanUp])];
    let all = requirements(&label, &label.uses[0]);
    assert_eq!(all.buffers.len(), 2);
    assert_eq!(all.buffer(BufferedFeature::Water).unwrap().clause.text, "25 ft.");
    let gloves: Vec<&[PpeTask]> = all.ppe.iter().map(|held| held.value.tasks.as_slice()).collect();
    assert_eq!(gloves, [&[PpeTask::Mixing, PpeTask::Applying][..], &[PpeTask::CleanUp][..]]);
}

#[test]
fn statements_for_other_states_can_be_left_out() {
    let mut label = a();
    let mut kansas = clause("In Kansas keep 48 hours.");
    kansas.scope = Scope::State("KS".to_owned());
    label.restraints.rain_free = Statement::Stated { value: hours(48.0), clause: kansas };
    assert!(for_state(&label, Some("ks")).restraints.rain_free.value().is_some());
    assert!(for_state(&label, Some("NC")).restraints.rain_free.is_silent());
    assert_eq!(for_state(&label, Some("NC")).restraints.wind, label.restraints.wind);
    assert!(for_state(&label, None).restraints.rain_free.value().is_some());
    // A use that one state permits is none in another, nor where the state is not known.
    label.uses[0].clause.scope = Scope::State("KS".to_owned());
    assert_eq!(for_state(&label, Some("KS")).uses.len(), 1);
    assert!(for_state(&label, Some("NC")).uses.is_empty() && for_state(&label, None).uses.is_empty());
}

proptest! {
    /// Every label of a mixture is kept, in whatever order they are given.
    #[test]
    fn a_mixture_is_as_strict_as_each_of_its_labels(
        limits in proptest::collection::vec((0.0..5.0_f64, 5.0..20.0_f64, 50.0..100.0_f64, 0.0..48.0_f64, 0..90_u32), 1..5),
        turn in 0..5_usize,
    ) {
        let labels: Vec<_> = limits
            .iter()
            .enumerate()
            .map(|(index, (least, most, heat, dry, days))| {
                let heat = Temperature::new(*heat, TemperatureUnit::Fahrenheit);
                label(&format!("l{index}"), Constraints {
                    wind: stated(wind(Some(*least), Some(*most), index % 2 == 0), "Wind."),
                    temperature: stated(Range { at_least: None, at_most: Some(heat) }, "Heat."),
                    rain_free: stated(hours(*dry), "Dry."),
                    minimum_interval_days: stated(*days, "Days."),
                    ..Constraints::default()
                })
            })
            .collect();
        let mut parts: Vec<_> = labels.iter().map(|label| (label, &label.uses[0])).collect();
        let (all, conflicts) = combined(&parts);
    assert_eq!(conflicts, []);
        for own in labels.iter().map(|label| requirements(label, &label.uses[0])) {
            prop_assert!(all.wind.at_least.binding() >= own.wind.at_least.binding());
            prop_assert!(all.wind.at_most.binding().unwrap() <= own.wind.at_most.binding().unwrap());
            prop_assert!(all.temperature.at_most.binding().unwrap() <= own.temperature.at_most.binding().unwrap());
            prop_assert!(all.rain_free.binding() >= own.rain_free.binding());
            prop_assert!(all.minimum_interval_days.binding() >= own.minimum_interval_days.binding());
        }
        let turn = turn % parts.len();
        parts.rotate_left(turn);
        let (turned, _) = combined(&parts);
        prop_assert_eq!(turned.wind.at_most.binding(), all.wind.at_most.binding());
        prop_assert_eq!(turned.gusts_at_most.binding(), all.gusts_at_most.binding());
        prop_assert_eq!(turned.rain_free.binding(), all.rain_free.binding());
        prop_assert!(all.wind.at_most.binding().unwrap().to(SpeedUnit::MilePerHour) >= 5.0 - 1e-9);
    }
}
