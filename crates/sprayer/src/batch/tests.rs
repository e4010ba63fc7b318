//! Worked tanks of a small job, and the laws of rounding for any job.

use super::*;
use proptest::prelude::*;
use quantity::{MassUnit, VolumePerAreaUnit};

const ML: AmountUnit = AmountUnit::Volume(VolumeUnit::Millilitre);
const FL_OZ: AmountUnit = AmountUnit::Volume(VolumeUnit::UsFluidOunce);

fn gallons(value: f64) -> Volume {
    Volume::new(value, VolumeUnit::UsGallon)
}

fn every(step: f64, unit: AmountUnit) -> Graduation {
    Graduation::new(step, unit).unwrap()
}

/// Fluid ounces per 1,000 sq ft at gallons per 1,000 sq ft.
fn at_rate(ounces: f64, output: f64) -> Concentration {
    let rate = Amount::new(ounces, FL_OZ).per_area(Area::new(1_000.0, AreaUnit::SquareFoot));
    let output = VolumePerArea::new(output, VolumePerAreaUnit::UsGallonPer1000SquareFeet);
    Concentration::of_rate(rate, output).unwrap()
}

fn order(spray: f64, dose: Dose) -> MixOrder {
    MixOrder { spray: gallons(spray), tank: gallons(2.0), dose, graduation: every(0.2, ML) }
}

fn ml(amount: Amount) -> f64 {
    amount.to(ML).unwrap()
}

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected}");
}

#[track_caller]
fn codes(result: Result<BatchPlan, Problems>) -> Vec<&'static str> {
    result.unwrap_err().iter().map(|problem| problem.code).collect()
}

// The figures of these three were worked out apart from this code: a fluid ounce is 29.5735295625 mL.

#[test]
fn six_full_tanks_and_a_last_one_at_the_highest_rate() {
    let dose = at_rate(0.4, 1.6875);
    let order = order(13.479_784_234_057_217, Dose { wanted: dose, at_most: Some(dose), at_least: None });
    let plan = plan_batches(&order).unwrap();
    assert_eq!((plan.full_tanks, plan.count()), (6, 7));
    let full = plan.full.unwrap();
    close(ml(full.product), 14.020_043_644_444_444, 1e-9);
    close(ml(full.measured), 14.0, 1e-9);
    close(0.4 * full.measured_share(), 0.399_428_143_165_520_44, 1e-12);
    let last = plan.last().unwrap();
    close(last.spray.unwrap().to(VolumeUnit::UsGallon), 1.479_784_234_057_216_7, 1e-9);
    close(ml(last.product), 10.373_319_772_921_485, 1e-9);
    close(ml(last.measured), 10.2, 1e-9);
    close(ml(plan.measured()), 94.2, 1e-9);
    close(ml(plan.product()), 94.493_581_639_588_16, 1e-9);
}

#[test]
fn one_tank_in_part_rounds_up_below_the_highest_rate() {
    let dose = Dose { wanted: at_rate(0.55, 2.0), at_most: Some(at_rate(0.8, 2.0)), at_least: Some(at_rate(0.3, 2.0)) };
    let plan = plan_batches(&order(1.612_685_723_818_736, dose)).unwrap();
    assert_eq!((plan.full_tanks, plan.count()), (0, 1));
    close(ml(plan.full.unwrap().product), 16.265_441_259_375, 1e-9);
    close(ml(plan.full.unwrap().measured), 16.2, 1e-9);
    close(ml(plan.last().unwrap().product), 13.115_522_455_303_152, 1e-9);
    close(ml(plan.last().unwrap().measured), 13.2, 1e-9);
}

#[test]
fn a_dilution_keeps_under_its_ceiling() {
    let dilution = |ounces| Concentration::new(Amount::new(ounces, FL_OZ), gallons(1.0)).unwrap();
    let dose = Dose { wanted: dilution(0.05), at_most: Some(dilution(0.058_666_667)), at_least: Some(dilution(0.04)) };
    let plan = plan_batches(&order(1.2, dose)).unwrap();
    close(ml(plan.last().unwrap().product), 1.774_411_773_75, 1e-9);
    close(ml(plan.last().unwrap().measured), 1.8, 1e-9);
}

#[test]
fn spray_that_fills_tanks_exactly_leaves_no_last_one() {
    let dose = Dose { wanted: at_rate(0.4, 1.6875), at_most: None, at_least: None };
    // 0.1 + 0.2 style sums fall just short of or just past whole tanks.
    for spray in [6.0, 6.0 + 1e-12, 6.0 - 1e-12] {
        let plan = plan_batches(&order(spray, dose)).unwrap();
        assert_eq!((plan.full_tanks, plan.last()), (3, None));
    }
}

#[test]
fn a_measure_too_coarse_names_the_one_that_would_do() {
    let dose = at_rate(0.4, 1.6875);
    let mut order =
        order(13.479_784, Dose { wanted: dose, at_most: Some(dose), at_least: Some(at_rate(0.39, 1.6875)) });
    order.graduation = every(5.0, ML);
    let problems = plan_batches(&order).unwrap_err();
    let found: Vec<_> = problems.iter().map(|p| (p.code, p.place.path.as_deref().unwrap())).collect();
    assert_eq!(found, [("sprayer::finer-measure", "full tank"), ("sprayer::finer-measure", "last tank")]);
    // The full tank may hold 13.670 to 14.020 mL: a mark every 2 mL stands at 14.
    let mend = problems.iter().next().unwrap().mend.clone().unwrap();
    assert_eq!(mend, "use a finer measure, such as one marked every 2 mL");
    assert!(problems.iter().all(crate::is_refusal));
}

#[test]
fn a_last_tank_too_small_for_the_measure_shares_with_the_one_before() {
    let dose = at_rate(0.4, 1.6875);
    // 14.02 mL in 2 gal: of the 0.01 gal left for the last tank, 0.07 mL cannot be measured on 0.2 mL.
    let plan = plan_batches(&order(6.01, Dose { wanted: dose, at_most: Some(dose), at_least: None })).unwrap();
    assert_eq!((plan.full_tanks, plan.count(), plan.part_filled.len()), (2, 4, 2));
    close(ml(plan.full.unwrap().measured), 14.0, 1e-9);
    for tank in &plan.part_filled {
        close(tank.spray.unwrap().to(VolumeUnit::UsGallon), 1.005, 1e-12);
        // 7.0451 mL: the mark above would pass the rate.
        close(ml(tank.product), 14.020_043_644_444_444 * 1.005 / 2.0, 1e-9);
        close(ml(tank.measured), 7.0, 1e-9);
    }
    close(plan.spray().unwrap().to(VolumeUnit::UsGallon), 6.01, 1e-12);
}

#[test]
fn all_tanks_share_where_two_do_not_settle_it() {
    let dilution = |millilitres| Concentration::new(Amount::new(millilitres, ML), gallons(1.0)).unwrap();
    // 10 mL a gallon within 4 %, on marks of 5 mL: 20 mL in 2 gal, nothing in 0.25 gal, and 11.25 mL in the
    // 1.125 gal that two tanks share, which may hold 10.8 to 11.7. Three tanks of 1.4167 gal hold 14.17 mL
    // and may hold 13.6 to 14.73; so that is refused too.
    let dose = Dose { wanted: dilution(10.0), at_most: Some(dilution(10.4)), at_least: Some(dilution(9.6)) };
    let by_fives = |spray, dose| plan_batches(&MixOrder { graduation: every(5.0, ML), ..order(spray, dose) });
    assert_eq!(codes(by_fives(4.25, dose)), ["sprayer::finer-measure"]);
    // Of 4.4 gal, 4 mL for 0.4 gal and 12 mL for 1.2 gal are too far from a mark; 14.67 mL may be 15.
    let plan = by_fives(4.4, dose).unwrap();
    assert_eq!((plan.full_tanks, plan.count()), (0, 3));
    for tank in plan.batches() {
        close(ml(tank.measured), 15.0, 1e-9);
        close(tank.spray.unwrap().to(VolumeUnit::UsGallon), 4.4 / 3.0, 1e-12);
    }
    close(ml(plan.full.unwrap().measured), 20.0, 1e-9);
    // A full tank that cannot be measured does not stand in the way of even shares.
    let dose = Dose { wanted: dilution(9.0), at_most: Some(dilution(9.1)), at_least: Some(dilution(8.9)) };
    let plan = by_fives(20.0 / 9.0, dose).unwrap();
    assert_eq!((plan.full, plan.full_tanks, plan.count()), (None, 0, 2));
    close(ml(plan.measured()), 20.0, 1e-9);
}

#[test]
fn a_dose_of_nothing_is_refused() {
    let nothing = Concentration::new(Amount::new(0.0, ML), gallons(1.0)).unwrap();
    let dose = Dose { wanted: nothing, at_most: None, at_least: None };
    assert_eq!(codes(plan_batches(&order(1.0, dose))), ["sprayer::no-dose"]);
}

#[test]
fn a_full_tank_that_is_never_filled_does_not_refuse() {
    let dose = at_rate(0.4, 1.6875);
    // 14.02 mL for a full tank cannot be held between 0.3999 and 0.4 on marks of 1 mL; 14 mL can.
    let dose = Dose { wanted: dose, at_most: Some(dose), at_least: Some(at_rate(0.3999, 1.6875)) };
    let spray = 2.0 * 14.0 / 14.020_043_644_444_444 + 1e-9;
    let mut order = order(spray, dose);
    order.graduation = every(1.0, ML);
    let plan = plan_batches(&order).unwrap();
    assert_eq!((plan.full, plan.count()), (None, 1));
}

#[test]
fn rounding_goes_up_where_the_nearest_mark_is_below_the_least() {
    let dilution = |millilitres| Concentration::new(Amount::new(millilitres, ML), gallons(1.0)).unwrap();
    let dose = Dose { wanted: dilution(10.4), at_most: Some(dilution(13.0)), at_least: Some(dilution(10.2)) };
    let mut order = order(1.0, dose);
    order.graduation = every(1.0, ML);
    close(ml(plan_batches(&order).unwrap().last().unwrap().measured), 11.0, 1e-9);
}

#[test]
fn weight_is_not_measured_in_a_cylinder() {
    let weighed = Concentration::new(Amount::new(1.0, AmountUnit::Mass(MassUnit::Ounce)), gallons(1.0)).unwrap();
    let dose = Dose { wanted: weighed, at_most: None, at_least: None };
    assert_eq!(codes(plan_batches(&order(1.0, dose))), ["sprayer::dimension"]);
    let mut by_scale = order(1.0, dose);
    by_scale.graduation = every(1.0, AmountUnit::Mass(MassUnit::Gram));
    // 28.35 g stands nearest to 28.
    let grams = plan_batches(&by_scale).unwrap().last().unwrap().measured.to(AmountUnit::Mass(MassUnit::Gram));
    close(grams.unwrap(), 28.0, 1e-9);
}

#[test]
fn every_fault_of_an_order_is_reported() {
    let dose = Dose { wanted: at_rate(0.5, 1.5), at_most: Some(at_rate(0.4, 1.5)), at_least: Some(at_rate(0.6, 1.5)) };
    let mut bad = order(-1.0, dose);
    assert_eq!(
        codes(plan_batches(&bad)),
        ["sprayer::no-volume", "sprayer::above-highest-dose", "sprayer::below-lowest-dose"]
    );
    let refusals: Vec<bool> = plan_batches(&bad).unwrap_err().iter().map(crate::is_refusal).collect();
    assert_eq!(refusals, [false, true, true]);
    bad.spray = gallons(30_000.0);
    bad.dose = Dose { wanted: at_rate(0.5, 1.5), at_most: None, at_least: None };
    assert_eq!(codes(plan_batches(&bad)), ["sprayer::too-many-tanks"]);
    assert!(Concentration::new(Amount::new(-1.0, ML), gallons(1.0)).is_none());
    assert!(Concentration::new(Amount::new(1.0, ML), gallons(0.0)).is_none());
}

proptest! {
    #[test]
    fn tanks_add_up_and_none_passes_a_limit(
        spray in 0.05..400.0_f64,
        tank in 0.5..50.0_f64,
        rate in 0.05..8.0_f64,
        output in 0.5..6.0_f64,
        room in 1.0..1.6_f64,
        step in prop::sample::select(vec![0.01, 0.05, 0.1, 0.2, 0.25, 0.5, 1.0]),
    ) {
        let order = MixOrder {
            spray: gallons(spray),
            tank: gallons(tank),
            dose: Dose { wanted: at_rate(rate, output), at_most: Some(at_rate(rate * room, output)), at_least: None },
            graduation: every(step, ML),
        };
        let Ok(plan) = plan_batches(&order) else {
            // Only tanks with less product than the first mark may be refused: the only one, full ones, or
            // the last even when it shares with the one before.
            let product = |volume| ml(order.dose.wanted.in_spray(gallons(volume)));
            let least = if spray < tank { product(spray) } else { product(f64::midpoint(tank, spray % tank)) };
            prop_assert!(least < step, "{least} mL on {step} mL refused");
            return Ok(());
        };
        prop_assert!((plan.spray().unwrap().ratio(order.spray) - 1.0).abs() < 1e-9);
        prop_assert_eq!(plan.batches().count(), plan.count() as usize);
        for batch in plan.batches() {
            let (product, measured) = (ml(batch.product), ml(batch.measured));
            prop_assert!(batch.spray.unwrap().ratio(order.tank) <= 1.0 + 1e-9);
            prop_assert!(measured <= product * room * (1.0 + 1e-9));
            prop_assert!(measured <= product + step / 2.0 + 1e-9);
            prop_assert!(measured > product - step - 1e-9);
            let marks = measured / step;
            prop_assert!((marks - marks.round()).abs() < 1e-6 * marks.max(1.0));
        }
    }

    #[test]
    fn with_a_least_the_measured_amount_is_inside_or_refused(
        wanted in 0.5..50.0_f64, low in 0.7..1.0_f64, high in 1.0..1.3_f64, step in 0.1..5.0_f64,
    ) {
        let dilution = |value| Concentration::new(Amount::new(value, ML), gallons(1.0)).unwrap();
        let dose = Dose {
            wanted: dilution(wanted), at_most: Some(dilution(wanted * high)), at_least: Some(dilution(wanted * low)),
        };
        let mut order = order(1.0, dose);
        order.graduation = every(step, ML);
        let mark_inside = (wanted * high / step).floor() >= (wanted * low / step).ceil().max(1.0);
        if let Ok(plan) = plan_batches(&order) {
            let measured = ml(plan.last().unwrap().measured);
            prop_assert!(measured >= wanted * low * (1.0 - 1e-9) && measured <= wanted * high * (1.0 + 1e-9));
            prop_assert!(measured > 0.0);
        } else {
            // Refused only when no mark next to the amount lies inside.
            let (below, above) = ((wanted / step).floor() * step, (wanted / step).ceil() * step);
            prop_assert!(below < wanted * low * (1.0 + 1e-9) && above > wanted * high * (1.0 - 1e-9) || !mark_inside);
        }
    }
}
