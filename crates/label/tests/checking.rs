//! What the check of a label finds, and what it leaves alone.

mod support;

use label::{ApplicationCount, Cap, CapAmount, Constraints, Label, RateRange, Window, check};
use proptest::prelude::*;
use quantity::{
    AmountPerArea, Density, DensityUnit, MassFraction, MassPerArea, MassPerAreaUnit, VolumePerArea, VolumePerAreaUnit,
};
use support::{label, rate, stated};

fn codes(label: &Label) -> Vec<&'static str> {
    let left_out = ["label::silent", "label::no-precautions", "label::no-first-aid", "label::no-storage"];
    check(label).iter().map(|problem| problem.code).filter(|code| !left_out.contains(code)).collect()
}

fn with_rate(lowest: &str, highest: &str) -> Label {
    let mut label = label("x", Constraints::default());
    let range =
        RateRange { lowest: Some(rate(lowest)), highest: rate(highest), choice: None, below_lowest_prohibited: false };
    label.uses[0].rate = stated(range, "Rates.");
    label
}

fn cap(amount: CapAmount) -> Cap {
    Cap { amount, active_ingredient: None, window: Window::CalendarYear, counts_other_products: false }
}

fn product(fl_oz: f64) -> CapAmount {
    let unit = VolumePerAreaUnit::UsFluidOuncePer1000SquareFeet;
    CapAmount::Product(AmountPerArea::Volume(VolumePerArea::new(fl_oz, unit)))
}

#[test]
fn a_sound_label_is_left_alone() {
    assert!(codes(&label("x", Constraints::default())).is_empty());
    assert!(codes(&with_rate("0.4 fl oz/1,000 sq ft", "0.4 fl oz/1,000 sq ft")).is_empty());
    // The same rate in another unit: 17.4 fl oz/acre is 0.4 fl oz/1,000 sq ft.
    assert!(codes(&with_rate("8.7 fl oz/acre", "17.4 fl oz/acre")).is_empty());
}

/// An acre rate read as a rate per 1,000 sq ft is 43.56 times too high.
#[test]
fn an_acre_rate_per_thousand_is_named() {
    let problems = check(&with_rate("8.712 fl oz/1,000 sq ft", "17.424 fl oz/1,000 sq ft"));
    let found = problems.iter().find(|problem| problem.code == "label::rate-above-maximum").unwrap();
    assert!(found.found.contains("43.6 times"), "{found}");
    assert!(found.mend.as_deref().unwrap().contains("43.56-fold"), "{found}");
    assert_eq!(found.place.path.as_deref(), Some("use[1].rate.highest"));
}

#[test]
fn gallons_for_fluid_ounces_are_named() {
    let problems = check(&with_rate("0.2 gal/1,000 sq ft", "0.4 gal/1,000 sq ft"));
    let found = problems.iter().find(|problem| problem.code == "label::rate-above-maximum").unwrap();
    assert!(found.mend.as_deref().unwrap().contains("128-fold"), "{found}");
}

/// Content = per cent × density, to within 5 %.
#[test]
fn content_percentage_and_density_agree_within_five_per_cent() {
    let with = |percent: f64| {
        let mut label = label("x", Constraints::default());
        label.product.density = Some(Density::new(10.0, DensityUnit::PoundPerUsGallon));
        label.product.active_ingredients[0].mass_fraction = MassFraction::from_percent(percent).ok();
        label
    };
    for percent in [10.0, 9.55, 10.5] {
        assert!(codes(&with(percent)).is_empty(), "{percent}");
    }
    for percent in [9.5, 10.6, 1.0, 99.0] {
        assert_eq!(codes(&with(percent)), ["label::content-disagrees"], "{percent}");
    }
}

#[test]
fn caps_leave_room_for_one_application() {
    let mut label = label("x", Constraints::default());
    label.restraints.caps = vec![stated(cap(product(0.4)), "0.4 a year.")];
    assert!(codes(&label).is_empty());
    label.restraints.caps = vec![stated(cap(product(1.6)), "1.6 a year."), stated(cap(product(0.39)), "0.39 a year.")];
    assert_eq!(codes(&label), ["label::cap-below-maximum"]);
    let problems = check(&label);
    let found = problems.iter().find(|problem| problem.code == "label::cap-below-maximum").unwrap();
    assert_eq!(found.place.path.as_deref(), Some("restraints.cap[2]"));
    // 0.4 fl oz/1,000 sq ft of 1 lb/gal is 0.136125 lb/acre.
    for (pounds, fits) in [(0.1362, true), (0.1361, false)] {
        let most = CapAmount::ActiveIngredient(MassPerArea::new(pounds, MassPerAreaUnit::PoundPerAcre));
        label.restraints.caps = vec![stated(cap(most), "A year.")];
        assert_eq!(codes(&label).is_empty(), fits, "{pounds}");
    }
}

#[test]
fn number_interval_and_cap_are_held_against_each_other() {
    let mut label = label("x", Constraints::default());
    let five = ApplicationCount { count: 5, window: Window::CalendarYear };
    label.restraints.maximum_applications = stated(five, "5 a year.");
    label.restraints.minimum_interval_days = stated(91, "91 days.");
    // The first on day 1, the fifth on day 365.
    assert!(codes(&label).is_empty());
    label.restraints.minimum_interval_days = stated(92, "92 days.");
    assert_eq!(codes(&label), ["label::count-beyond-window"]);
    label.restraints.minimum_interval_days = stated(21, "21 days.");
    label.restraints.caps = vec![stated(cap(product(0.9)), "0.9 a year.")];
    assert_eq!(codes(&label), ["label::count-beyond-cap"]);
}

proptest! {
    /// Whatever the rates, a lowest above the highest is refused and nothing else is.
    #[test]
    fn the_lowest_rate_is_never_above_the_highest(lowest in 0.01..0.4_f64, highest in 0.01..0.4_f64) {
        let label = with_rate(&format!("{lowest} fl oz/1,000 sq ft"), &format!("{highest} fl oz/1,000 sq ft"));
        prop_assert_eq!(codes(&label).contains(&"label::rate-order"), lowest > highest * (1.0 + 1e-6));
    }

    /// The same rates in metric units are judged alike.
    #[test]
    fn units_do_not_change_the_judgement(value in 0.01..30.0_f64) {
        let us = with_rate(&format!("{value} fl oz/1,000 sq ft"), &format!("{value} fl oz/1,000 sq ft"));
        // 1 fl oz/1,000 sq ft is 3.1833 L/ha; far enough from the limits rounding cannot matter.
        prop_assume!((value - 0.4).abs() > 1e-3);
        let litres = value * 3.183_273;
        let metric = with_rate(&format!("{litres} L/ha"), &format!("{litres} L/ha"));
        prop_assert_eq!(
            codes(&us).contains(&"label::rate-above-maximum"),
            codes(&metric).contains(&"label::rate-above-maximum")
        );
    }
}
