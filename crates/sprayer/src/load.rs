//! Loads of a spreader, weighed.

use problem::{Problem, Problems};
use quantity::{Amount, Area, AreaUnit, Graduation, Mass, MassPerArea};

use crate::batch::{Batch, BatchPlan, dimension_differs, on_the_measure, shares};
use crate::refusal::{ABOVE_HIGHEST_DOSE, BELOW_LOWEST_DOSE};

/// The product wanted per area, and the bounds that rounding must keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryDose {
    /// Wanted.
    pub wanted: MassPerArea,
    /// The most on any area; `None` where nothing limits it.
    pub at_most: Option<MassPerArea>,
    /// The least on any area; `None` where nothing demands it.
    pub at_least: Option<MassPerArea>,
}

/// Dry product to be weighed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadOrder {
    /// The area treated.
    pub area: Area,
    /// The hopper when full.
    pub hopper: Mass,
    /// The product per area.
    pub dose: DryDose,
    /// The scale in hand.
    pub graduation: Graduation,
}

/// Full hoppers, then one last load. A full hopper is the highest mark that it holds, and goes as
/// far as the rate takes it; only the last load is rounded. Where the scale is too coarse for so little
/// as is left, the last two loads, or else all of them, share the product evenly, as
/// [`crate::plan_batches`] does.
///
/// # Errors
/// All of these that are found:
/// - area or hopper not above nothing, or more than 10,000 loads;
/// - a measure of volumes;
/// - the rate wanted above the most or below the least allowed;
/// - a scale too coarse for the last load, however shared, or coarser than the hopper.
pub fn plan_loads(order: &LoadOrder) -> Result<BatchPlan, Problems> {
    let hopper = check(order)?;
    let total = order.dose.wanted * order.area;
    let loads = total.ratio(hopper);
    let mut full_tanks = loads.floor();
    if loads - full_tanks > 1.0 - 1e-9 {
        full_tanks += 1.0;
    }
    let rest = total - hopper * full_tanks;
    let full = Batch { spray: None, product: Amount::Mass(hopper), measured: Amount::Mass(hopper) };
    let full_tanks = full_tanks as u32;
    let graduation = order.graduation;
    let plan = |full_tanks, part_filled| BatchPlan { full_tanks, full: Some(full), part_filled, graduation };
    if rest.ratio(hopper) <= 1e-9 {
        return Ok(plan(full_tanks, vec![]));
    }
    match load(order, rest) {
        Ok(last) => Ok(plan(full_tanks, vec![last])),
        Err(problem) => {
            let even = |before: u32, loads: u32| (total - hopper * f64::from(before)) / f64::from(loads);
            let shared = shares(full_tanks, |before, loads| load(order, even(before, loads)).ok());
            shared
                .map(|(full_tanks, part_filled)| plan(full_tanks, part_filled))
                .ok_or_else(|| problem.at("last load").into())
        }
    }
}

fn load(order: &LoadOrder, mass: Mass) -> Result<Batch, Box<Problem>> {
    let share = |rate: MassPerArea| Amount::Mass(mass * rate.ratio(order.dose.wanted));
    let product = Amount::Mass(mass);
    let (at_most, at_least) = (order.dose.at_most.map(share), order.dose.at_least.map(share));
    let measured = on_the_measure(product, order.graduation, at_most, at_least)?;
    Ok(Batch { spray: None, product, measured })
}

/// The load of a full hopper, on a mark of the scale.
fn check(order: &LoadOrder) -> Result<Mass, Problems> {
    let mut problems = Problems::new();
    if !order.area.is_positive() {
        let found = format!("area of `{} sq ft`", order.area.to(AreaUnit::SquareFoot));
        problems.push(Problem::error("sprayer::no-area", found).expected("more than nothing"));
    }
    let dose = &order.dose;
    if !dose.wanted.is_positive() {
        problems.push(Problem::error("sprayer::no-dose", "no product per area").expected("more than nothing"));
    }
    if dose.at_most.is_some_and(|at_most| dose.wanted.ratio(at_most) > 1.0 + 1e-9) {
        problems.push(
            Problem::error(ABOVE_HIGHEST_DOSE, "the dose wanted is above the highest")
                .expected("a dose up to the highest")
                .mend("lower the rate"),
        );
    }
    if dose.at_least.is_some_and(|at_least| dose.wanted.ratio(at_least) < 1.0 - 1e-9) {
        problems.push(
            Problem::error(BELOW_LOWEST_DOSE, "the dose wanted is below the lowest")
                .expected("a dose from the lowest up"),
        );
    }
    let Some(Amount::Mass(hopper)) = order.graduation.down(Amount::Mass(order.hopper)) else {
        problems.push(dimension_differs("product", order.graduation));
        return Err(problems);
    };
    if !hopper.is_positive() {
        problems.push(
            Problem::error("sprayer::hopper", "the hopper holds less than one mark of the scale")
                .expected("a hopper that holds a mark or more")
                .mend("use a finer scale"),
        );
    } else if (dose.wanted * order.area).ratio(hopper) > 10_000.0 {
        problems.push(
            Problem::error("sprayer::too-many-tanks", "more than `10000` loads")
                .expected("10,000 loads at most")
                .mend("check the units of rate, area and hopper"),
        );
    }
    problems.unless_errors(hopper).map(|(hopper, _)| hopper)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quantity::{AmountUnit, MassPerAreaUnit, MassUnit};

    const OZ: AmountUnit = AmountUnit::Mass(MassUnit::Ounce);

    fn order(area: f64, pounds: f64, hopper: f64) -> LoadOrder {
        let rate = MassPerArea::new(pounds, MassPerAreaUnit::PoundPer1000SquareFeet);
        LoadOrder {
            area: Area::new(area, AreaUnit::SquareFoot),
            hopper: Mass::new(hopper, MassUnit::Pound),
            dose: DryDose { wanted: rate, at_most: Some(rate), at_least: None },
            graduation: Graduation::new(0.5, OZ).unwrap(),
        }
    }

    #[test]
    fn granules_are_weighed_by_the_hopper() {
        // 6,320 sq ft at 2.3 lb/1,000: 14.536 lb, two hoppers of 5 lb and 4.536 lb (72.576 oz).
        let plan = plan_loads(&order(6_320.0, 2.3, 5.0)).unwrap();
        assert_eq!((plan.full_tanks, plan.count()), (2, 3));
        let last = plan.last().unwrap();
        assert!((last.product.to(OZ).unwrap() - 72.576).abs() < 1e-9);
        assert!((last.measured.to(OZ).unwrap() - 72.5).abs() < 1e-9);
        assert_eq!(plan.spray(), None);
    }

    #[test]
    fn every_fault_of_an_order_is_reported() {
        let mut bad = order(0.0, 2.3, 5.0);
        bad.dose.at_most = Some(bad.dose.wanted * 0.9);
        bad.dose.at_least = Some(bad.dose.wanted * 1.1);
        bad.hopper = Mass::new(0.2, MassUnit::Ounce);
        let codes: Vec<_> = plan_loads(&bad).unwrap_err().iter().map(|problem| problem.code).collect();
        assert_eq!(
            codes,
            ["sprayer::no-area", "sprayer::above-highest-dose", "sprayer::below-lowest-dose", "sprayer::hopper"]
        );
        let refusals: Vec<bool> = plan_loads(&bad).unwrap_err().iter().map(crate::is_refusal).collect();
        assert_eq!(refusals, [false, true, true, false]);
        let mut by_cup = order(100.0, 2.3, 5.0);
        by_cup.graduation = Graduation::new(1.0, AmountUnit::Volume(quantity::VolumeUnit::UsFluidOunce)).unwrap();
        assert_eq!(plan_loads(&by_cup).unwrap_err().iter().next().unwrap().code, "sprayer::dimension");
    }

    #[test]
    fn a_last_load_below_a_mark_shares_with_the_one_before() {
        // 10 lb and 0.2 oz by hoppers of 5 lb on marks of half an ounce.
        let plan = plan_loads(&order((160.2 / 16.0) / 2.3 * 1_000.0, 2.3, 5.0)).unwrap();
        assert_eq!((plan.full_tanks, plan.count()), (1, 3));
        for load in plan.batches().skip(1) {
            assert!((load.product.to(OZ).unwrap() - 40.1).abs() < 1e-9);
            assert!((load.measured.to(OZ).unwrap() - 40.0).abs() < 1e-9);
        }
    }

    proptest! {
        #[test]
        fn loads_add_up_and_stay_under_the_rate(area in 200.0..50_000.0_f64, pounds in 0.5..5.0_f64, hopper in 1.0..50.0_f64) {
            let order = order(area, pounds, hopper);
            let total = order.dose.wanted * order.area;
            let Ok(plan) = plan_loads(&order) else {
                // Less than a mark is wanted in all.
                prop_assert!(total.to(MassUnit::Pound) < 1.0 / 32.0 + 1e-9);
                return Ok(());
            };
            let product = plan.product().to(OZ).unwrap();
            prop_assert!((product - total.to(MassUnit::Ounce)).abs() < 1e-9 * product);
            prop_assert!(plan.measured().to(OZ).unwrap() <= product * (1.0 + 1e-9));
            for load in plan.batches() {
                prop_assert!(load.measured.to(OZ).unwrap() <= hopper * 16.0 * (1.0 + 1e-9));
            }
        }
    }
}
