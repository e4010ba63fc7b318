//! How often stop lines err, and how many counts they save against a fixed number that errs as seldom. Prints a table.
//!
//! The figures are reckoned, not drawn by lot ([`scouting::StopLinePlan::characteristic`]); a walk by lot of each plan
//! stands beside them as a check.

use scouting::{ClumpingK, CountsByLot, Dispersion, Draws, StopLineAim, StopLinePlan};

const WALKS: u32 = 10_000;

fn walks(plan: &StopLinePlan, dispersion: Dispersion, mean: f64) -> (f64, f64) {
    let by_lot = CountsByLot::about(dispersion, mean);
    let mut draws = Draws::of_seed(7);
    let (mut treated, mut counted) = (0_u32, 0_u64);
    for _ in 0..WALKS {
        let (stop, at) = plan.walk_of(|| by_lot.draw(&mut draws));
        treated += u32::from(stop.treats() == Some(true));
        counted += u64::from(at);
    }
    (f64::from(treated) / f64::from(WALKS), counted as f64 / f64::from(WALKS))
}

fn main() {
    println!("Errors stated: 10 % either way; 5 to 100 counts.\n");
    println!(
        "| lower and upper mean | k | treats in vain | by lot | leaves wrongly | by lot | counts at lower | at upper | fixed number | saved |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for (lower, upper) in [(0.5, 1.0), (2.0, 4.0), (5.0, 10.0), (4.0, 6.0)] {
        for k in [Some(0.5), Some(1.0), Some(3.0), None] {
            let dispersion = k.and_then(ClumpingK::new).map_or(Dispersion::Poisson, Dispersion::NegativeBinomial);
            let aim =
                StopLineAim { lower, upper, dispersion, treat_in_vain: 0.1, leave_wrongly: 0.1, least: 5, most: 100 };
            let Ok(plan) = StopLinePlan::new(aim) else { continue };
            let (at_lower, at_upper) = (plan.characteristic(lower), plan.characteristic(upper));
            let ((in_vain, _), (treated, _)) = (walks(&plan, dispersion, lower), walks(&plan, dispersion, upper));
            let fixed = plan.fixed_stations();
            let mean = f64::midpoint(at_lower.stations, at_upper.stations);
            println!(
                "| {lower}, {upper} | {} | {:.1} % | {:.1} % | {:.1} % | {:.1} % | {:.1} | {:.1} | {} | {} |",
                k.map_or("Poisson".to_owned(), |k| k.to_string()),
                at_lower.treats * 100.0,
                in_vain * 100.0,
                (1.0 - at_upper.treats) * 100.0,
                (1.0 - treated) * 100.0,
                at_lower.stations,
                at_upper.stations,
                fixed.map_or("over 500".to_owned(), |fixed| fixed.to_string()),
                fixed.map_or("-".to_owned(), |fixed| format!("{:.0} %", (1.0 - mean / f64::from(fixed)) * 100.0)),
            );
        }
    }
}
