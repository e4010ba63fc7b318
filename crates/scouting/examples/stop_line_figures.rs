//! How often stop lines err, and how many counts they save against a fixed number that errs as seldom: where k is known, where
//! another k than the true one is stated, and where nobody tells it, as the program then walks. Prints tables.
//!
//! The figures of a known and of a wrong k are reckoned, not drawn by lot ([`scouting::StopLinePlan::characteristic`]); a walk
//! by lot of each plan stands beside the first as a check. Those of a k that is not known are drawn by lot, since its lines
//! move with each count.

use scouting::{
    ClumpingK, CountBasis, Counts, CountsByLot, Dispersion, Draws, Judging, StopLineAim, StopLinePlan, Threshold,
    advise,
};

const WALKS: u32 = 10_000;
const WALKS_UNKNOWN: u32 = 4_000;
const MEANS: [(f64, f64); 4] = [(0.5, 1.0), (2.0, 4.0), (5.0, 10.0), (4.0, 6.0)];

fn dispersion(k: Option<f64>) -> Dispersion {
    k.and_then(ClumpingK::new).map_or(Dispersion::Poisson, Dispersion::NegativeBinomial)
}

fn told(k: Option<f64>) -> String {
    k.map_or("Poisson".to_owned(), |k| k.to_string())
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

/// Stated errors of a tenth either way, and as many counts as the program takes.
fn plan((lower, upper): (f64, f64), dispersion: Dispersion) -> Option<StopLinePlan> {
    let Judging { treat_in_vain, leave_wrongly, least, most, .. } = Judging::default();
    StopLinePlan::new(StopLineAim { lower, upper, dispersion, treat_in_vain, leave_wrongly, least, most }).ok()
}

fn walks(plan: &StopLinePlan, dispersion: Dispersion, mean: f64) -> f64 {
    let by_lot = CountsByLot::about(dispersion, mean);
    let mut draws = Draws::of_seed(7);
    let treated = (0..WALKS).filter(|_| plan.walk_of(|| by_lot.draw(&mut draws)).0.treats() == Some(true)).count();
    treated as f64 / f64::from(WALKS)
}

fn where_k_is_known() {
    println!(
        "| lower and upper mean | k | treats in vain | by lot | leaves wrongly | by lot | counts at lower | at upper | fixed number | saved |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for means in MEANS {
        for k in [Some(0.3), Some(0.5), Some(1.0), Some(3.0), None] {
            let Some(plan) = plan(means, dispersion(k)) else { continue };
            let (lower, upper) = means;
            let (at_lower, at_upper) = (plan.characteristic(lower), plan.characteristic(upper));
            let by_lot = [lower, upper].map(|mean| walks(&plan, dispersion(k), mean));
            let fixed = plan.fixed_stations();
            let mean = f64::midpoint(at_lower.stations, at_upper.stations);
            println!(
                "| {lower}, {upper} | {} | {} | {} | {} | {} | {:.1} | {:.1} | {} | {} |",
                told(k),
                percent(at_lower.treats),
                percent(by_lot[0]),
                percent(1.0 - at_upper.treats),
                percent(1.0 - by_lot[1]),
                at_lower.stations,
                at_upper.stations,
                fixed.map_or("over 500".to_owned(), |fixed| fixed.to_string()),
                fixed.map_or("-".to_owned(), |fixed| format!("{:.0} %", (1.0 - mean / f64::from(fixed)) * 100.0)),
            );
        }
    }
}

fn where_a_wrong_k_is_stated() {
    println!(
        "\n| lower and upper mean | stated k | true k | treats in vain | leaves wrongly | counts at lower | at upper |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for means in MEANS {
        let Some(plan) = plan(means, dispersion(Some(1.0))) else { continue };
        for k in [0.3, 0.5, 3.0] {
            let (lower, upper) = means;
            let [at_lower, at_upper] = [lower, upper].map(|mean| plan.characteristic_of(mean, dispersion(Some(k))));
            println!(
                "| {lower}, {upper} | 1 | {k} | {} | {} | {:.1} | {:.1} |",
                percent(at_lower.treats),
                percent(1.0 - at_upper.treats),
                at_lower.stations,
                at_upper.stations,
            );
        }
    }
}

/// Of walks as the program makes them where nobody tells k: each count moves the lines.
struct Unknown {
    /// How many were treated.
    treated: f64,
    /// Counts on average.
    counts: f64,
    /// Of the first ones, how many ended with a warning of their errors.
    warned: f64,
}

/// So many of the walks are asked for their warnings, which takes longer than the walks.
const ASKED: u32 = 200;

fn unknown(means: (f64, f64), truth: Dispersion, mean: f64) -> Option<Unknown> {
    let judging = Judging { in_vain_at: means.0 / means.1, ..Judging::default() };
    let threshold = Threshold::new(means.1, CountBasis::Plant, "invented").ok()?;
    let by_lot = CountsByLot::about(truth, mean);
    let mut draws = Draws::of_seed(9);
    let mut sums = Unknown { treated: 0.0, counts: 0.0, warned: 0.0 };
    for walk in 0..WALKS_UNKNOWN {
        let mut counts: Vec<u32> = (1..judging.least).map(|_| by_lot.draw(&mut draws)).collect();
        loop {
            counts.push(by_lot.draw(&mut draws));
            let all = Counts::new(counts.clone(), CountBasis::Plant).ok()?.0;
            let lines = plan(means, Dispersion::NegativeBinomial(all.line_scatter(None).k))?;
            if let Some(treats) = lines.stop(counts.len() as u32, all.total()).treats() {
                sums.treated += f64::from(u8::from(treats));
                sums.counts += counts.len() as f64;
                if walk < ASKED {
                    sums.warned += f64::from(u8::from(!advise(&all, &threshold, judging).ok()?.warnings.is_empty()));
                }
                break;
            }
        }
    }
    let of = f64::from(WALKS_UNKNOWN);
    Some(Unknown { treated: sums.treated / of, counts: sums.counts / of, warned: sums.warned / f64::from(ASKED) })
}

fn where_nobody_tells_k() {
    println!(
        "\n| lower and upper mean | true k | treats in vain | leaves wrongly | warned of | counts where there is next to nothing | at lower | at upper | fixed number | saved |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    // Those of which one is half of the other, as is usual.
    for (lower, upper) in MEANS.into_iter().filter(|(lower, upper)| lower * 2.0 == *upper) {
        for k in [Some(0.3), Some(0.5), Some(1.0), Some(3.0), None] {
            let found = [lower * 0.1, lower, upper].map(|mean| unknown((lower, upper), dispersion(k), mean));
            let [Some(none), Some(at_lower), Some(at_upper)] = found else { continue };
            // Of somebody who knows k, and counts a fixed number.
            let errors = (at_lower.treated, 1.0 - at_upper.treated);
            let fixed = plan((lower, upper), dispersion(k)).and_then(|plan| plan.fixed_stations_for(errors));
            let mean = f64::midpoint(at_lower.counts, at_upper.counts);
            println!(
                "| {lower}, {upper} | {} | {} | {} | {:.0} % | {:.1} | {:.1} | {:.1} | {} | {} |",
                told(k),
                percent(errors.0),
                percent(errors.1),
                50.0 * (at_lower.warned + at_upper.warned),
                none.counts,
                at_lower.counts,
                at_upper.counts,
                fixed.map_or("over 500".to_owned(), |fixed| fixed.to_string()),
                fixed.map_or("-".to_owned(), |fixed| format!("{:.0} %", (1.0 - mean / f64::from(fixed)) * 100.0)),
            );
        }
    }
}

fn main() {
    println!("Errors stated: 10 % either way; 5 to 50 counts.\n");
    where_k_is_known();
    where_a_wrong_k_is_stated();
    where_nobody_tells_k();
}
