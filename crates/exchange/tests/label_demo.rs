//! The labels of the demonstration: they can be read, they make sense, and they say what the
//! acceptance example and the short cases of the trade take from them.

use exchange::label_file::{check_label, parse_label};
use label::{CapAmount, Fit, Label, Method, Reason, Site, rows_for};
use quantity::{AmountPerArea, Area, AreaUnit, DensityUnit, MassPerAreaUnit, MassUnit, SpeedUnit, VolumePerAreaUnit};

const SPRAY: &str = include_str!("../../../demo/labels/brackwater-sc.toml");
const GRANULES: &str = include_str!("../../../demo/labels/gravelhome-gr.toml");
const BAIT: &str = include_str!("../../../demo/labels/anthollow-rb.toml");
const WRONG: &str = include_str!("../../../demo/broken/label-wrong.toml");

fn read(text: &str) -> Label {
    let (label, problems) = parse_label("label.toml", text).unwrap_or_else(|problems| panic!("{problems}"));
    assert!(problems.is_empty(), "{problems}");
    label
}

#[test]
fn the_demo_labels_are_in_order() {
    for text in [SPRAY, GRANULES, BAIT] {
        let (label, problems) = check_label("label.toml", text);
        assert!(label.expect("a label").product.invented);
        assert!(problems.is_empty(), "{problems}");
        assert!(text.starts_with("# INVENTED LABEL"));
    }
}

#[test]
fn the_wrong_label_shows_many_kinds_of_mistakes() {
    let (_, problems) = check_label("label-wrong.toml", WRONG);
    let codes: std::collections::BTreeSet<&str> = problems.iter().map(|problem| problem.code).collect();
    for code in [
        "label::cap-below-maximum",
        "label::content-disagrees",
        "label::count-beyond-window",
        "label::no-page",
        "label::no-strength",
        "label::permits-prohibited",
        "label::range-order",
        "label::rate-above-maximum",
        "label::signal-word",
        "label::silent",
        "toml::unknown-field",
    ] {
        assert!(codes.contains(code), "no {code}");
    }
    let fold = problems.iter().find(|problem| problem.code == "label::rate-above-maximum").unwrap();
    assert!(fold.mend.as_deref().unwrap().contains("43.56-fold"));
    assert!(problems.iter().all(|problem| problem.place.line.is_some()));
}

/// Figures of the acceptance example.
#[test]
fn the_spray_says_what_the_example_needs() {
    let label = read(SPRAY);
    let restraints = &label.restraints;
    let wind = restraints.wind.value().unwrap();
    assert_eq!(wind.at_least.unwrap().to(SpeedUnit::MilePerHour).round(), 3.0);
    assert_eq!(wind.at_most.unwrap().to(SpeedUnit::MilePerHour).round(), 10.0);
    assert!(wind.gusts_count);
    let unit = VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet;
    for (id, lowest, highest, most) in
        [("turf", 0.2, 0.4, 0.4), ("perimeter", 0.3, 0.8, 0.8), ("ornamental", 0.04, 0.08, 0.8)]
    {
        let row = label.uses.iter().find(|row| row.id == id).unwrap();
        let rate = row.rate.value().unwrap();
        assert_eq!((rate.lowest.unwrap().value(), rate.highest.value()), (lowest, highest), "{id}");
        let per_area = row.maximum_single.value().unwrap().per_area().unwrap().volume().unwrap();
        assert!((per_area.to(unit) - most).abs() < 1e-12, "{id}");
    }
    // The spray volumes of the example lie within the carrier ranges.
    for (id, gallons) in [("turf", 1.6875), ("perimeter", 2.0)] {
        let row = label.uses.iter().find(|row| row.id == id).unwrap();
        let carrier = row.constraints.carrier.value().unwrap();
        let gallon = VolumePerAreaUnit::UsGallonPer1000SquareFeet;
        assert!(carrier.at_least.unwrap().to(gallon) <= gallons && gallons <= carrier.at_most.unwrap().to(gallon));
    }
}

/// Percentage times density is mass per volume: 11.4 % of 8.77 lb/gal is 1.0 lb/gal.
#[test]
fn the_spray_weighs_what_it_says() {
    let product = read(SPRAY).product;
    let share = product.active_ingredients[0].mass_fraction.unwrap().part();
    let content = product.density.unwrap().to(DensityUnit::PoundPerUsGallon) * share;
    assert!((content - 1.0).abs() < 0.005, "{content}");
}

/// The cap of active ingredient, 0.48 lb/acre, is 1.410 fl oz of product per 1,000 sq ft: with
/// 1 lb/gal, 1 fl oz/1,000 sq ft is 43.56/128 = 0.3403 lb/acre.
#[test]
fn the_ingredient_cap_of_the_spray_in_product() {
    let label = read(SPRAY);
    let most = label.restraints.caps.iter().filter_map(|cap| cap.value()).find_map(|cap| match cap.amount {
        CapAmount::ActiveIngredient(most) => Some(most),
        CapAmount::Product(_) => None,
    });
    let like = label.uses[0].rate.value().unwrap().highest.per_area().unwrap();
    let product = label
        .product
        .product_for_ingredient(&label.product.active_ingredients[0], most.unwrap(), like)
        .and_then(AmountPerArea::volume)
        .unwrap();
    let found = product.to(VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet);
    assert!((found - 0.48 / (43.56 / 128.0)).abs() < 1e-9, "{found}");
}

/// Granules: 2.3 lb/1,000 sq ft at 0.2 % is 0.2004 lb a.i./acre; 6,320 sq ft takes 14.54 lb.
#[test]
fn the_granules_by_weight() {
    let label = read(GRANULES);
    let rate = label.uses[0].rate.value().unwrap().highest.per_area().unwrap();
    let ingredient = label.product.ingredient_per_area(&label.product.active_ingredients[0], rate).unwrap();
    assert!((ingredient.to(MassPerAreaUnit::PoundPerAcre) - 0.2004).abs() < 5e-5);
    let on_lawn = rate.mass().unwrap() * Area::new(6320.0, AreaUnit::SquareFoot);
    assert!((on_lawn.to(MassUnit::Pound) - 14.54).abs() < 0.005);
}

/// Bait: 1.5 lb/acre on 6,320 sq ft (0.1451 acre) is 0.2176 lb, 3.48 oz.
#[test]
fn the_bait_by_weight() {
    let label = read(BAIT);
    let rate = label.uses[0].rate.value().unwrap().highest.per_area().unwrap().mass().unwrap();
    let on_lawn = rate * Area::new(6320.0, AreaUnit::SquareFoot);
    assert!((on_lawn.to(MassUnit::Pound) - 0.2176).abs() < 5e-5);
    assert!((on_lawn.to(MassUnit::Ounce) - 3.48).abs() < 0.005);
}

#[test]
fn the_rows_answer_site_pest_and_method() {
    let label = read(SPRAY);
    let permitted = |site, pest, method| {
        let rows = rows_for(&label, site, pest, method);
        rows.iter().filter(|row| row.is_permitted()).map(|row| row.row.id.clone()).collect::<Vec<_>>()
    };
    assert_eq!(permitted(Site::Turf, "chinch bug", Method::Broadcast), ["turf"]);
    assert_eq!(permitted(Site::StructurePerimeter, "Cricket", Method::Perimeter), ["perimeter"]);
    assert!(permitted(Site::Turf, "fire ant", Method::Broadcast).is_empty());
    assert!(permitted(Site::Tree, "aphid", Method::Foliar).is_empty());
    let rows = rows_for(&label, Site::FoodCrop, "aphid", Method::Foliar);
    assert!(rows.iter().all(|row| matches!(&row.fit, Fit::Rejected(r) if r.reason == Reason::SiteProhibited
        && r.clause.text == "Not for use on plants grown for food.")));
    let unlisted = rows_for(&label, Site::Turf, "billbug", Method::Broadcast);
    assert_eq!(unlisted[0].fit, Fit::UnlistedPest);
    assert!(unlisted[0].caution().unwrap().contains("check the state"));
}
