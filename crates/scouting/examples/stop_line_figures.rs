//! How often stop lines err, and how many counts they save against a fixed number that errs as seldom: where k is known, where
//! another k than the true one is stated, and where nobody tells it, as the program then walks. Prints tables.
//!
//! The figures of a known and of a wrong k are reckoned, not drawn by lot ([`scouting::StopLinePlan::characteristic`]); a walk
//! by lot of each plan stands beside the first as a check. Those of a k that is not known are drawn by lot, since its lines
//! move with each count.

use scouting::{
    ClumpingK, CountBasis, Counts, CountsByLot, Dispersion, Draws, Judging, StopLinePlan, Threshold, decide,
};

const WALKS: u32 = 10_000;
const WALKS_UNKNOWN: u32 = 4_000;
const WALKS_TO_MORE: u32 = 2_000;
/// So many of the walks are asked for their warnings, which takes longer than the walks.
const ASKED: u32 = 200;

const THRESHOLDS: [f64; 5] = [0.5, 1.0, 3.0, 8.0, 20.0];
/// Scatter by its k; `None` as chance alone has it.
const KS: [Option<f64>; 5] = [Some(0.3), Some(0.5), Some(1.0), Some(3.0), None];
/// Counts at most where fifty do not keep the errors of a k that nobody tells.
const MORE: u32 = 150;

/// A threshold and how it is judged: the usual way, and one with means that lie closer together.
#[derive(Clone, Copy)]
struct Case {
    threshold: f64,
    judging: Judging,
}

impl Case {
    fn all() -> impl Iterator<Item = Self> {
        let judging = Judging::default();
        let close = Self { threshold: 5.0, judging: Judging { in_vain_at: 0.82, ..judging } };
        THRESHOLDS.into_iter().map(move |threshold| Self { threshold, judging }).chain([close])
    }

    fn with_most(self, most: u32) -> Self {
        Self { judging: Judging { most, ..self.judging }, ..self }
    }

    fn plan(&self, k: ClumpingK) -> Option<StopLinePlan> {
        StopLinePlan::new(self.judging.aim(self.threshold, k)).ok()
    }

    /// The plan of somebody who knows how counts scatter.
    fn known(&self, dispersion: Dispersion) -> Option<StopLinePlan> {
        let aim = self.judging.aim(self.threshold, ClumpingK::new(1.0)?);
        StopLinePlan::new(scouting::StopLineAim { dispersion, ..aim }).ok()
    }

    /// The threshold, and the two means as shares of it.
    fn told(&self) -> String {
        let at = self.judging.in_vain_at;
        format!("{} ({at:.2}, {:.2} ×)", self.threshold, 1.0 / at)
    }
}

fn dispersion(k: Option<f64>) -> Dispersion {
    k.and_then(ClumpingK::new).map_or(Dispersion::Poisson, Dispersion::NegativeBinomial)
}

fn scatter(k: Option<f64>) -> String {
    k.map_or("Poisson".to_owned(), |k| k.to_string())
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn fixed_told(fixed: Option<u32>) -> String {
    fixed.map_or("over 500".to_owned(), |fixed| fixed.to_string())
}

fn saved(counts: f64, fixed: Option<u32>) -> String {
    fixed.map_or("-".to_owned(), |fixed| format!("{:.0} %", (1.0 - counts / f64::from(fixed)) * 100.0))
}

fn walks(plan: &StopLinePlan, dispersion: Dispersion, mean: f64) -> f64 {
    let by_lot = CountsByLot::about(dispersion, mean);
    let mut draws = Draws::of_seed(7);
    let treated = (0..WALKS).filter(|_| plan.walk_of(|| by_lot.draw(&mut draws)).0.treats() == Some(true)).count();
    treated as f64 / f64::from(WALKS)
}

/// The rows of a table, made on as many cores as there are.
fn print_rows<Of: Copy + Send + Sync>(of: &[Of], row: impl Fn(Of) -> Option<String> + Sync) {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let made = std::thread::scope(|scope| {
        let of_core = |core: usize| {
            let row = &row;
            let part: Vec<(usize, Of)> = of.iter().copied().enumerate().skip(core).step_by(cores).collect();
            scope.spawn(move || part.into_iter().map(|(at, one)| (at, row(one))).collect::<Vec<_>>())
        };
        let running: Vec<_> = (0..cores).map(of_core).collect();
        running.into_iter().flat_map(|one| one.join().unwrap_or_default()).collect::<Vec<_>>()
    });
    let mut made = made;
    made.sort_by_key(|(at, _)| *at);
    for (_, row) in made {
        println!("{}", row.unwrap_or_default());
    }
}

fn grid() -> Vec<(Case, Option<f64>)> {
    Case::all().flat_map(|case| KS.map(|k| (case, k))).collect()
}

fn where_k_is_known() {
    println!(
        "| threshold (means) | k | treats at the lower mean | by lot | at 0.75 × | at 1 × | leaves at the upper mean | by lot | counts at lower | at 1 × | at upper | fixed number | saved | saved at 1 × | most needed |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    print_rows(&grid(), |(case, k)| {
        let plan = case.known(dispersion(k))?;
        let (lower, upper) = plan.means();
        let [at_lower, near, at, at_upper] =
            [lower, case.threshold * 0.75, case.threshold, upper].map(|mean| plan.characteristic(mean));
        let by_lot = [lower, upper].map(|mean| walks(&plan, dispersion(k), mean));
        let fixed = plan.fixed_stations();
        Some(format!(
            "| {} | {} | {} | {} | {} | {} | {} | {} | {:.1} | {:.1} | {:.1} | {} | {} | {} | {} |",
            case.told(),
            scatter(k),
            percent(at_lower.treats),
            percent(by_lot[0]),
            percent(near.treats),
            percent(at.treats),
            percent(1.0 - at_upper.treats),
            percent(1.0 - by_lot[1]),
            at_lower.stations,
            at.stations,
            at_upper.stations,
            fixed_told(fixed),
            saved(f64::midpoint(at_lower.stations, at_upper.stations), fixed),
            saved(at.stations, fixed),
            fixed_told(plan.most_needed()),
        ))
    });
}

/// Of the plans that err more than stated with fifty counts at most.
fn where_more_are_counted() {
    println!(
        "\n| threshold (means) | k | most | treats at the lower mean | by lot | leaves at the upper mean | by lot | counts at lower | at 1 × | at upper | fixed number | saved | saved at 1 × |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let more = grid().into_iter().filter_map(|(case, k)| {
        let most = case.known(dispersion(k))?.most_needed()?;
        (most > case.judging.most).then(|| (case.with_most(most), k))
    });
    print_rows(&more.collect::<Vec<_>>(), |(case, k)| {
        let plan = case.known(dispersion(k))?;
        let (lower, upper) = plan.means();
        let [at_lower, at, at_upper] = [lower, case.threshold, upper].map(|mean| plan.characteristic(mean));
        let by_lot = [lower, upper].map(|mean| walks(&plan, dispersion(k), mean));
        let fixed = plan.fixed_stations();
        Some(format!(
            "| {} | {} | {} | {} | {} | {} | {} | {:.1} | {:.1} | {:.1} | {} | {} | {} |",
            case.told(),
            scatter(k),
            case.judging.most,
            percent(at_lower.treats),
            percent(by_lot[0]),
            percent(1.0 - at_upper.treats),
            percent(1.0 - by_lot[1]),
            at_lower.stations,
            at.stations,
            at_upper.stations,
            fixed_told(fixed),
            saved(f64::midpoint(at_lower.stations, at_upper.stations), fixed),
            saved(at.stations, fixed),
        ))
    });
}

fn where_a_wrong_k_is_stated() {
    println!(
        "\n| threshold (means) | stated k | true k | treats at the lower mean | leaves at the upper mean | counts at lower | at 1 × | at upper |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    let of: Vec<_> = Case::all().flat_map(|case| [0.3, 0.5, 3.0].map(|k| (case, k))).collect();
    print_rows(&of, |(case, k)| {
        let plan = case.plan(ClumpingK::new(1.0)?)?;
        let (lower, upper) = plan.means();
        let [at_lower, at, at_upper] =
            [lower, case.threshold, upper].map(|mean| plan.characteristic_of(mean, dispersion(Some(k))));
        Some(format!(
            "| {} | 1 | {k} | {} | {} | {:.1} | {:.1} | {:.1} |",
            case.told(),
            percent(at_lower.treats),
            percent(1.0 - at_upper.treats),
            at_lower.stations,
            at.stations,
            at_upper.stations,
        ))
    });
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

fn unknown(case: &Case, truth: Dispersion, mean: f64, walks: u32) -> Option<Unknown> {
    let Case { threshold, judging } = *case;
    let level = Threshold::new(threshold, CountBasis::Plant, "invented").ok()?;
    let by_lot = CountsByLot::about(truth, mean);
    let mut draws = Draws::of_seed(9);
    let mut sums = Unknown { treated: 0.0, counts: 0.0, warned: 0.0 };
    for walk in 0..walks {
        let mut counts: Vec<u32> = (1..judging.least).map(|_| by_lot.draw(&mut draws)).collect();
        loop {
            counts.push(by_lot.draw(&mut draws));
            let all = Counts::new(counts.clone(), CountBasis::Plant).ok()?.0;
            let lines = case.plan(all.line_scatter(None).k)?;
            if let Some(treats) = lines.stop(counts.len() as u32, all.total()).treats() {
                sums.treated += f64::from(u8::from(treats));
                sums.counts += counts.len() as f64;
                if walk < ASKED {
                    let decided = decide(&all, &level, judging).ok()?;
                    sums.warned += f64::from(u8::from(!decided.doubts(counts.len(), judging).is_empty()));
                }
                break;
            }
        }
    }
    let of = f64::from(walks);
    Some(Unknown { treated: sums.treated / of, counts: sums.counts / of, warned: sums.warned / f64::from(ASKED) })
}

/// Of somebody who knows k and counts a fixed number: as many as err as seldom. Of no error in so many walks one is taken.
fn fixed_for(case: &Case, k: Option<f64>, (in_vain, wrongly): (f64, f64), walks: u32) -> Option<u32> {
    let one = 1.0 / f64::from(walks);
    case.known(dispersion(k))?.fixed_stations_for((in_vain.max(one), wrongly.max(one)))
}

fn where_nobody_tells_k() {
    println!(
        "\n| threshold (means) | true k | treats at the lower mean | at 0.75 × | at 1 × | leaves at the upper mean | warned of | counts at 0.1 × | at lower | at 1 × | at upper | fixed number | saved | saved at 1 × |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    print_rows(&grid(), |(case, k)| {
        let (at, truth) = (case.judging.in_vain_at, dispersion(k));
        let [none, at_lower, near, here, at_upper] =
            [0.1, at, 0.75, 1.0, 1.0 / at].map(|share| unknown(&case, truth, case.threshold * share, WALKS_UNKNOWN));
        let (none, at_lower, near, here, at_upper) = (none?, at_lower?, near?, here?, at_upper?);
        let errors = (at_lower.treated, 1.0 - at_upper.treated);
        let fixed = fixed_for(&case, k, errors, WALKS_UNKNOWN);
        Some(format!(
            "| {} | {} | {} | {} | {} | {} | {:.0} % | {:.1} | {:.1} | {:.1} | {:.1} | {} | {} | {} |",
            case.told(),
            scatter(k),
            percent(errors.0),
            percent(near.treated),
            percent(here.treated),
            percent(errors.1),
            50.0 * (at_lower.warned + at_upper.warned),
            none.counts,
            at_lower.counts,
            here.counts,
            at_upper.counts,
            fixed_told(fixed),
            saved(f64::midpoint(at_lower.counts, at_upper.counts), fixed),
            saved(here.counts, fixed),
        ))
    });
}

fn where_nobody_tells_k_and_more_are_counted() {
    println!(
        "\n| threshold (means) | true k | most | treats at the lower mean | leaves at the upper mean | counts at lower | at upper |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    let of: Vec<_> =
        [0.5, 3.0].into_iter().flat_map(|threshold| [Some(0.3), Some(0.5)].map(|k| (threshold, k))).collect();
    print_rows(&of, |(threshold, k)| {
        let case = Case { threshold, judging: Judging::default() }.with_most(MORE);
        let at = case.judging.in_vain_at;
        let [at_lower, at_upper] =
            [at, 1.0 / at].map(|share| unknown(&case, dispersion(k), threshold * share, WALKS_TO_MORE));
        let (at_lower, at_upper) = (at_lower?, at_upper?);
        Some(format!(
            "| {} | {} | {MORE} | {} | {} | {:.1} | {:.1} |",
            case.told(),
            scatter(k),
            percent(at_lower.treated),
            percent(1.0 - at_upper.treated),
            at_lower.counts,
            at_upper.counts,
        ))
    });
}

fn main() {
    println!("Errors stated: 10 % either way; 5 to 50 counts where nothing else is said.\n");
    where_k_is_known();
    where_more_are_counted();
    where_a_wrong_k_is_stated();
    where_nobody_tells_k();
    where_nobody_tells_k_and_more_are_counted();
}
