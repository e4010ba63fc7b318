//! Short cases of the trade, each a check of its own on the plan as a whole.

mod support;

use label::{Constraints, Formulation, Label, Method, Site, Statement, UseRow};
use quantity::{AmountUnit, Area, AreaUnit, MassUnit, VolumeUnit};
use support::{
    KANSAS, alder_bend, concentrate, feet, found, hand_sprayer, planned, property, rate, rectangle, request, stated,
    structures, task, whole,
};
use treatment::{Application, History, Overlap, Place, RateWish, Status, Target, plan};

fn row(visit_label: &mut Label, id: &str) -> usize {
    visit_label.uses.iter().position(|row| row.id == id).unwrap()
}

fn spot_row(most_square_feet: f64) -> UseRow {
    let mut label = concentrate();
    let turf = row(&mut label, "turf");
    let mut spot = label.uses.swap_remove(turf);
    "spot".clone_into(&mut spot.id);
    spot.sites = vec![Site::Impervious, Site::Turf];
    spot.method = Method::Spot;
    spot.spot_area = stated(Area::new(most_square_feet, AreaUnit::SquareFoot), "Spots up to 2 sq ft only.");
    spot
}

/// EPA's definition of a spot, 2 sq ft, as quoted in trade answers on the 2013 pyrethroid wording.
#[test]
fn a_spot_over_the_labels_size_is_refused() {
    let mut request = whole();
    request.labels[0].uses.push(spot_row(2.0));
    for (depth, status) in [(1.0, Status::Refused), (0.5, Status::Allowed)] {
        let mut drawn = alder_bend();
        drawn.push(rectangle("spot", "mound", 65.0, 20.0, 3.0, depth));
        let spot = property(&drawn, KANSAS).feature("spot").unwrap().region().unwrap().clone();
        let mut one = request.clone();
        one.tasks = vec![task("spot", Method::Spot, "0.4 fl oz/1,000 sq ft", Some("lawn"), Target::Ground(spot))];
        let visit = planned(&one);
        let verdict = found(&visit, "ground::spot-area", status);
        assert!((verdict.measured.as_ref().unwrap().value - 3.0 * depth).abs() < 1e-3);
    }
}

/// FIFRA section 2(ee): an unlisted pest on a listed site is no violation unless the label forbids it.
#[test]
fn an_unlisted_pest_on_a_listed_site_is_warned() {
    let mut request = whole();
    request.findings[0].pest = "sod webworm".to_owned();
    let visit = planned(&request);
    assert!(found(&visit, "use::unlisted-pest", Status::Caution).text.contains("2(ee)"));
    assert_ne!(visit.verdict(), Status::Refused);
}

#[test]
fn an_unlisted_site_is_refused() {
    let mut request = whole();
    request.tasks = vec![task(
        "beds",
        Method::Broadcast,
        "0.4 fl oz/1,000 sq ft",
        Some("lawn"),
        Target::Features(vec!["hedge".to_owned()]),
    )];
    let visit = planned(&request);
    assert_eq!(visit.verdict(), Status::Refused);
    assert!(visit.tasks.is_empty());
    let vegetables = Target::Features(vec!["vegetables".to_owned()]);
    request.tasks = vec![task("food", Method::Broadcast, "0.4 fl oz/1,000 sq ft", Some("lawn"), vegetables)];
    assert_eq!(found(&planned(&request), "use::food-plants", Status::Refused).concerns.as_deref(), Some("food"));
}

/// Default of 3 to 8 mph where the label is silent: Pesticide Environmental Stewardship, drift pages.
#[test]
fn nine_miles_an_hour_under_a_silent_label_is_warned() {
    let mut request = whole();
    request.labels[0].restraints.wind = Statement::Silent;
    let visit = planned(&request);
    let eleven = visit.hours.iter().find(|hour| hour.start.hour() == 11).unwrap();
    assert_eq!(eleven.status, Status::Caution);
    assert!(eleven.reasons.iter().any(|reason| reason.text == "wind or gust above default range"));
}

/// 0.5 fl oz per gallon at 1.5 gal per 1,000 sq ft is 0.75 fl oz per 1,000 sq ft.
#[test]
fn a_rate_per_gallon_taken_for_one_per_area_is_refused() {
    let mut request = whole();
    let turf = row(&mut request.labels[0], "turf");
    let half = rate("0.5 fl oz/1,000 sq ft");
    if let Statement::Stated { value, .. } = &mut request.labels[0].uses[turf].rate {
        value.highest = half;
    }
    request.labels[0].uses[turf].maximum_single = stated(half, "At most 0.5 fl oz per 1,000 sq ft.");
    request.tasks.truncate(1);
    request.tasks[0].rate = RateWish::Stated(rate("0.5 fl oz/gal"));
    let lawn_area = planned(&request).tasks[0].ground;
    let gallons = 1.5 * lawn_area.to(AreaUnit::SquareFoot) / 1000.0;
    request.tasks[0].spray = Some(quantity::Volume::new(gallons, VolumeUnit::UsGallon));
    let visit = planned(&request);
    let verdict = found(&visit, "rate::highest", Status::Refused);
    assert!((verdict.measured.as_ref().unwrap().value - 0.75).abs() < 1e-9);
    found(&visit, "rate::basis-converted", Status::Caution);
}

/// Entered as fluid ounces, a weight is refused: the dimension differs.
#[test]
fn weight_ounces_are_never_fluid_ounces() {
    let mut request = whole();
    request.tasks.truncate(1);
    request.tasks[0].rate = RateWish::Stated(rate("0.3 oz (weight)/1,000 sq ft"));
    match plan(&request) {
        Ok(visit) => assert_eq!(found(&visit, "rate::basis", Status::Refused).concerns.as_deref(), Some("lawn")),
        Err(problems) => assert!(problems.iter().any(|problem| problem.code == "visit::no-graduation"), "{problems}"),
    }
}

/// Left unresolved, band and lawn overlap: 0.40 + 0.55 = 0.95 fl oz/1,000 sq ft, over 0.80.
#[test]
fn an_unresolved_overlap_is_refused() {
    let mut request = whole();
    request.tasks[0].overlap = Overlap::Unresolved;
    let visit = planned(&request);
    let verdict = found(&visit, "ground::treated-twice", Status::Refused);
    assert!((verdict.measured.as_ref().unwrap().value - 0.95).abs() < 1e-9);
}

/// The hedge at the top of its dilution range breaks the maximum per area though the dilution is on
/// the label.
#[test]
fn the_top_dilution_breaks_the_area_maximum() {
    let mut request = whole();
    request.tasks[2].rate = RateWish::Stated(rate("0.08 fl oz/gal"));
    let visit = planned(&request);
    assert!(
        (found(&visit, "rate::maximum-single", Status::Refused).measured.as_ref().unwrap().value - 1.0909).abs() < 1e-3
    );
    request.tasks[2].rate = RateWish::HighestLawful;
    let visit = planned(&request);
    let hedge = visit.tasks.iter().find(|task| task.id == "hedge").unwrap();
    assert!((hedge.product.rate.value() - 0.058_666_67).abs() < 1e-6);
}

/// At 0.80 today the band would reach 1.60, over the 1.41 that the active ingredient allows.
#[test]
fn the_band_at_its_single_maximum_passes_the_year() {
    let mut request = whole();
    request.tasks[1].rate = RateWish::Stated(rate("0.8 fl oz/1,000 sq ft"));
    let verdict_mend = found(&planned(&request), "limit::active-ingredient", Status::Refused).mend.clone().unwrap();
    assert!(verdict_mend.contains("0.610"), "{verdict_mend}");
    request.tasks[1].rate = RateWish::HighestLawful;
    let visit = planned(&request);
    let band = visit.tasks.iter().find(|task| task.id == "perimeter").unwrap();
    assert!((band.product.rate.value() - 0.610_468).abs() < 1e-5);
    assert_ne!(visit.verdict(), Status::Refused);
}

/// Two products with the same active ingredient: 0.30 + 0.20 lb a.i./acre against a cap of 0.45,
/// though each is inside its own product cap.
#[test]
fn two_products_with_one_active_ingredient_share_its_cap() {
    let mut request = whole();
    request.tasks.truncate(1);
    let pounds = |value: f64| quantity::MassPerArea::new(value, quantity::MassPerAreaUnit::PoundPerAcre);
    let ounces = |value: f64| {
        let unit = quantity::VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet;
        quantity::AmountPerArea::Volume(quantity::VolumePerArea::new(value, unit))
    };
    if let Statement::Stated { value, .. } = &mut request.labels[0].restraints.caps[1] {
        value.amount = label::CapAmount::ActiveIngredient(pounds(0.45));
    }
    let turf = row(&mut request.labels[0], "turf");
    let wide = rate("1.0 fl oz/1,000 sq ft");
    if let Statement::Stated { value, .. } = &mut request.labels[0].uses[turf].rate {
        value.highest = wide;
    }
    request.labels[0].uses[turf].maximum_single = stated(wide, "At most 1.0 fl oz per 1,000 sq ft.");
    request.history = History::Known {
        complete_since: None,
        applications: vec![Application {
            date: jiff::civil::date(2026, 4, 2),
            product: "Another Invented Product".to_owned(),
            per_area: ounces(0.1),
            active_ingredients: vec![("Inventrin".to_owned(), pounds(0.30))],
            group: Some("3A".to_owned()),
            place: Place::Everywhere,
        }],
    };
    for (today, status) in [(0.20, Status::Refused), (0.14, Status::Allowed)] {
        request.tasks[0].rate = RateWish::Stated(rate("0.2 fl oz/1,000 sq ft").with_value(today / 0.340_312_5));
        let visit = planned(&request);
        found(&visit, "limit::active-ingredient", status);
        found(&visit, "limit::product", Status::Allowed);
    }
}

/// Granules 2.3 lb/1,000 sq ft at 0.2 % a.i.: 0.2004 lb a.i./acre; 6,320 sq ft takes 14.54 lb.
#[test]
fn granules_over_a_lawn() {
    let mut label = concentrate();
    label.product.formulation = Formulation::Granule;
    label.product.active_ingredients[0].content =
        quantity::Content::MassFraction(quantity::MassFraction::from_percent(0.2).unwrap());
    label.restraints = Constraints::default();
    label.uses.truncate(1);
    let row = &mut label.uses[0];
    row.method = Method::GranularBroadcast;
    let pounds = rate("2.3 lb/1,000 sq ft");
    row.maximum_single = stated(pounds, "At most 2.3 lb per 1,000 sq ft.");
    if let Statement::Stated { value, .. } = &mut row.rate {
        value.lowest = None;
        value.highest = pounds;
    }
    let lot = vec![rectangle("lot", "boundary", 0.0, 0.0, 79.0, 80.0)];
    let mut request = request(property(&lot, KANSAS), 0.0);
    request.labels = vec![label];
    request.tasks = vec![task("granules", Method::GranularBroadcast, "2.3 lb/1,000 sq ft", None, Target::Turf)];
    let mut spreader = hand_sprayer().details().clone();
    spreader.kind = sprayer::EquipmentKind::RotarySpreader;
    spreader.capacity = sprayer::Capacity::Hopper(quantity::Mass::new(10.0, MassUnit::Pound));
    spreader.flow = None;
    spreader.calibrations = Vec::new();
    spreader.graduations = vec![quantity::Graduation::new(10.0, AmountUnit::Mass(MassUnit::Gram)).unwrap()];
    request.equipment = vec![sprayer::Sprayer::new(spreader).unwrap()];
    let visit = planned(&request);
    let granules = &visit.tasks[0];
    let total = granules.product.amount.to(AmountUnit::Mass(MassUnit::Pound)).unwrap();
    assert!((total - 14.54).abs() < 0.005, "{total}");
    let active = granules.product.measures.iter().find(|measure| measure.name == "active-ingredient-per-area").unwrap();
    assert!((active.figure.value - 0.2004).abs() < 5e-5, "{active:?}");
    assert_eq!(granules.product.batches.len(), 2);
}

#[test]
fn a_band_wider_or_a_wall_higher_than_the_label_is_refused() {
    let mut request = whole();
    request.tasks[1].target =
        Target::Structures { features: Vec::new(), band_width: feet(12.0), wall_height: feet(4.0) };
    let visit = planned(&request);
    found(&visit, "ground::band-width", Status::Refused);
    found(&visit, "ground::wall-height", Status::Refused);
    request.tasks[1].target = structures();
    found(&planned(&request), "ground::wall-height", Status::Allowed);
}

#[test]
fn too_soon_and_too_often_are_refused() {
    let mut request = whole();
    let per_area = rate("0.01 fl oz/1,000 sq ft").per_area().unwrap();
    let past = |month: i8, day: i8| Application {
        date: jiff::civil::date(2026, month, day),
        product: "concentrate".to_owned(),
        per_area,
        active_ingredients: Vec::new(),
        group: None,
        place: Place::Turf,
    };
    request.history =
        History::Known { complete_since: None, applications: vec![past(3, 1), past(4, 1), past(5, 1), past(6, 20)] };
    let visit = planned(&request);
    let interval = found(&visit, "limit::interval", Status::Refused);
    assert!(interval.mend.as_ref().unwrap().contains("2026-07-11"));
    found(&visit, "limit::number", Status::Refused);
}

/// The label's lawns take 0.2 to 0.4 fl oz; of 1.6 in the year so much is left as the past lets.
#[test]
fn a_passed_cap_names_no_rate_under_the_labels_lowest() {
    for (before, mend) in [
        ("1.3 fl oz/1,000 sq ft", "at most 0.300 fl oz/1,000 sq ft today"),
        ("1.5 fl oz/1,000 sq ft", "less than the label's lowest rate: leave the place out"),
        ("1.6 fl oz/1,000 sq ft", "nothing more may be applied here until after 2026-12-31"),
    ] {
        let mut request = whole();
        let per_area = rate(before).per_area().unwrap();
        let past = Application {
            date: jiff::civil::date(2026, 4, 2),
            product: "concentrate".to_owned(),
            per_area,
            active_ingredients: Vec::new(),
            group: None,
            place: Place::Turf,
        };
        request.history = History::Known { complete_since: None, applications: vec![past] };
        request.tasks.retain(|task| task.id == "lawn");
        let told = planned(&request);
        let verdict = found(&told, "limit::product", Status::Refused);
        assert!(verdict.mend.as_deref().is_some_and(|told| told.contains(mend)), "{before}: {:?}", verdict.mend);
    }
}

#[test]
fn every_name_that_leads_nowhere_is_reported_at_once() {
    let mut request = whole();
    request.tasks[0].label = "nothing".to_owned();
    request.tasks[1].equipment = "nothing".to_owned();
    request.tasks[2].target = Target::Features(vec!["nothing".to_owned()]);
    let problems = plan(&request).unwrap_err();
    for code in ["visit::unknown-label", "visit::unknown-equipment", "visit::unknown-feature"] {
        assert!(problems.iter().any(|problem| problem.code == code && problem.mend.is_some()), "{code} in {problems}");
    }
}

/// The choice for one task knows the ground of the others: the record of the band is not the lawn's.
#[test]
fn the_choice_keeps_the_other_tasks() {
    let choices = treatment::choose(&whole()).unwrap();
    let lawn = choices.iter().find(|choice| choice.task == "lawn").unwrap();
    assert_ne!(lawn.status, Status::Refused, "{:?}", lawn.rejections);
    let mut without_turf = whole();
    without_turf.labels[0].uses.retain(|row| row.id != "turf");
    let rejected = treatment::choose(&without_turf).unwrap();
    let lawn = rejected.iter().find(|choice| choice.task == "lawn").unwrap();
    assert!(lawn.planned.is_none());
    assert!(lawn.rejections.iter().all(|verdict| verdict.clause.is_some()), "{:?}", lawn.rejections);
}

/// The same mode-of-action group as last time is a caution, and the choice says so, also where the
/// label allows as many in a row.
#[test]
fn the_same_group_again_is_said_whatever_the_label_allows() {
    for stated_number in [Statement::Silent, stated(2, "No more than 2 in a row of one group.")] {
        let mut request = whole();
        request.labels[0].restraints.consecutive_same_group = stated_number;
        found(&planned(&request), "limit::rotation", Status::Caution);
        let choices = treatment::choose(&request).unwrap();
        let lawn = choices.iter().find(|choice| choice.task == "lawn").unwrap();
        assert!(lawn.reasons.iter().any(|reason| reason.contains("same mode-of-action group")), "{:?}", lawn.reasons);
    }
    let mut request = whole();
    request.labels[0].restraints.consecutive_same_group = stated(1, "Never twice in a row.");
    found(&planned(&request), "limit::rotation", Status::Refused);
}

#[test]
fn an_unknown_history_never_praises_a_choice() {
    let mut request = whole();
    request.history = History::Unknown;
    for choice in treatment::choose(&request).unwrap() {
        assert!(choice.reasons.iter().any(|reason| reason.contains("not known")), "{:?}", choice.reasons);
    }
}
