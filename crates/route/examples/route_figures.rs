//! What routes over the invented lots are worth: the tables of docs/route.md. Prints, and draws lots that are named.
//!
//! `route_figures [--wind] [--each] [--draw FOLDER] [LOT ...]`

mod lots;
mod picture;

use lots::Lot;
use route::dose::{DoseFigures, Taper, WalkingError, dose, variation_of_even_fan};
use route::evaluate::{RouteFigures, evaluate};
use route::{Route, plan};
use std::sync::atomic::{AtomicUsize, Ordering};

struct Outcome {
    name: String,
    figures: RouteFigures,
    /// By taper, as planned and with an error of walking.
    doses: Vec<(DoseFigures, DoseFigures)>,
    passes_time: f64,
    plan_time: f64,
}

/// A heading of the table, how the figure is read, its unit, and the goals for the median, the 95th percentile and the worst.
type Row = (&'static str, fn(&RouteFigures) -> f64, [f64; 3], bool);

const ROWS: [Row; 9] = [
    ("strict coverage, %", |figures| 100.0 * figures.covered, [99.5, 99.5, 99.5], true),
    ("disc coverage, %", |figures| 100.0 * figures.covered_by_discs, [99.8, 99.75, 99.65], true),
    ("overlap, %", |figures| 100.0 * figures.overlap, [4.5, 11.0, 20.0], false),
    ("off-target, %", |figures| 100.0 * figures.off_target, [0.4, 1.2, 2.0], false),
    ("length", |figures| figures.length, [1.05, 1.13, 1.27], false),
    ("dead walk, %", |figures| 100.0 * figures.dead_walk, [15.0, 26.0, 36.0], false),
    ("wet steps, %", |figures| 100.0 * figures.wet_steps, [2.2, 6.0, 11.0], false),
    ("wet runs, %", |figures| 100.0 * figures.wet_runs, [0.8, 2.8, 5.5], false),
    ("refills beyond the fewest", |figures| figures.spare_refills as f64, [0.0, 1.0, 2.0], false),
];

/// Tapers of the pattern across a swath for which the dose is told.
const TAPERS: [f64; 3] = [0.0, 0.5, 1.0];
/// The error of walking that is assumed: standard deviations to the side, in swaths, and of the pace.
const ASIDE: f64 = 0.08;
const PACE: f64 = 0.1;

fn main() {
    let mut names: Vec<String> = Vec::new();
    let (mut wind, mut each, mut folder) = (false, false, None);
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--wind" => wind = true,
            "--each" => each = true,
            "--draw" => folder = arguments.next(),
            _ => names.push(argument),
        }
    }
    let lots: Vec<Lot> = lots::lots().into_iter().filter(|lot| names.is_empty() || names.contains(&lot.name)).collect();
    let outcomes = all(&lots, wind, folder.as_deref());
    if each {
        print_each(&outcomes);
    }
    println!("## All lots");
    print_table(&outcomes);
    print_classes(&outcomes);
    print_rest(&outcomes);
    print_doses(&outcomes);
    // The hard lots were drawn to be extreme one way or another; the others are as lots are.
    let usual: Vec<Outcome> = outcomes.into_iter().filter(|outcome| !outcome.name.starts_with("h_")).collect();
    if !usual.is_empty() {
        println!("\n## Without the hard lots");
        print_table(&usual);
    }
}

/// Seconds of processor time of this thread, where the system tells it; the machine may be shared.
fn thread_seconds() -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    told.split_whitespace().next().and_then(|text| text.parse::<f64>().ok()).unwrap_or(0.0) / 1e9
}

fn all(lots: &[Lot], wind: bool, folder: Option<&str>) -> Vec<Outcome> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(lot) = lots.get(index) else { return done };
            done.push((index, outcome(lot, wind, folder)));
        }
    };
    let mut done: Vec<(usize, Outcome)> = std::thread::scope(|scope| {
        let count = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        let threads: Vec<_> = (0..count).map(|_| scope.spawn(work)).collect();
        threads.into_iter().flat_map(|thread| thread.join().expect("a lot is planned")).collect()
    });
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, outcome)| outcome).collect()
}

fn outcome(lot: &Lot, wind: bool, folder: Option<&str>) -> Outcome {
    let mut request = lot.request.clone();
    if wind {
        request.wind_from = lot.wind;
    }
    let before = thread_seconds();
    let passes = route::passes(&request).map_or(0, |passes| passes.len());
    let passes_time = if passes > 0 { thread_seconds() - before } else { 0.0 };
    let before = thread_seconds();
    let route: Route = plan(&request).unwrap_or_else(|problems| panic!("{}: {problems}", lot.name));
    let plan_time = thread_seconds() - before;
    let figures = evaluate(&request, &route);
    let error = WalkingError { aside: request.swath * ASIDE, pace: PACE, seed: 1 };
    let doses = TAPERS
        .iter()
        .filter_map(|taper| Taper::new(*taper))
        .map(|taper| (dose(&request, &route, taper, None), dose(&request, &route, taper, Some(error))))
        .collect();
    if let Some(folder) = folder {
        let path = std::path::Path::new(folder).join(format!("{}.svg", lot.name));
        std::fs::write(&path, picture::svg(&request, &route)).expect("the folder can be written to");
    }
    Outcome { name: lot.name.clone(), figures, doses, passes_time, plan_time }
}

/// Median, 95th percentile and worst of values of which low or high ones are better; the worst with its place.
fn ranks(values: &[f64], high_is_good: bool) -> (f64, f64, f64, usize) {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|one, other| values[*one].total_cmp(&values[*other]).then(one.cmp(other)));
    if high_is_good {
        order.reverse();
    }
    let at = |share: f64| values[order[((values.len() - 1) as f64 * share).round() as usize]];
    (at(0.5), at(0.95), at(1.0), order[values.len() - 1])
}

fn print_table(outcomes: &[Outcome]) {
    println!("\n{} lots\n", outcomes.len());
    println!("| figure | median | p95 | worst | worst lot | goal | reached |");
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (name, read, goals, high_is_good) in ROWS {
        let values: Vec<f64> = outcomes.iter().map(|outcome| read(&outcome.figures)).collect();
        let (median, most, worst, place) = ranks(&values, high_is_good);
        let reaches = |value: f64, goal: f64| if high_is_good { value >= goal } else { value <= goal };
        let reached = [(median, goals[0]), (most, goals[1]), (worst, goals[2])]
            .map(|(value, goal)| if reaches(value, goal) { "yes" } else { "no" });
        println!(
            "| {name} | {median:.3} | {most:.3} | {worst:.3} | {} | {} / {} / {} | {} |",
            outcomes[place].name,
            goals[0],
            goals[1],
            goals[2],
            reached.join(" / ")
        );
    }
    let above: Vec<&str> = outcomes
        .iter()
        .filter(|outcome| 100.0 * outcome.figures.overlap > 22.0 * outcome.figures.kappa)
        .map(|outcome| outcome.name.as_str())
        .collect();
    println!("\nOverlap above 22 kappa on {} lots: {}", above.len(), above.join(", "));
    let fewest = outcomes.iter().filter(|outcome| outcome.figures.spare_refills == 0).count();
    let cut = outcomes.iter().filter(|outcome| outcome.figures.cut_passes > 0).count();
    let most = outcomes.iter().map(|outcome| outcome.figures.cut_passes).max().unwrap_or(0);
    println!("Passes cut where the tank is empty on {cut} lots, at most {most}");
    println!("Fewest refills on {:.1} % of lots", 100.0 * fewest as f64 / outcomes.len().max(1) as f64);
}

fn print_classes(outcomes: &[Outcome]) {
    println!("\n| kappa | lots | overlap % median / p95 | length | off-target % | dead walk % | wet steps % |");
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    let classes = [(0.0, 0.25), (0.25, 0.4), (0.4, 0.6), (0.6, f64::MAX)];
    for (low, high) in classes {
        let inside: Vec<&Outcome> =
            outcomes.iter().filter(|outcome| (low..high).contains(&outcome.figures.kappa)).collect();
        if inside.is_empty() {
            continue;
        }
        let cell = |read: fn(&RouteFigures) -> f64| {
            let values: Vec<f64> = inside.iter().map(|outcome| read(&outcome.figures)).collect();
            let (median, most, _, _) = ranks(&values, false);
            format!("{median:.3} / {most:.3}")
        };
        let name = if high == f64::MAX { format!("{low} and more") } else { format!("{low} to {high}") };
        println!(
            "| {name} | {} | {} | {} | {} | {} | {} |",
            inside.len(),
            cell(ROWS[2].1),
            cell(ROWS[4].1),
            cell(ROWS[3].1),
            cell(ROWS[5].1),
            cell(ROWS[6].1)
        );
    }
}

fn print_rest(outcomes: &[Outcome]) {
    let median = |read: &dyn Fn(&Outcome) -> f64| {
        let values: Vec<f64> = outcomes.iter().map(read).collect();
        let (median, most, worst, place) = ranks(&values, false);
        format!("{median:.3} / {most:.3} / {worst:.3} ({})", outcomes[place].name)
    };
    println!("\nMedian / p95 / worst:");
    println!("- passes {}", median(&|outcome| outcome.figures.passes as f64));
    println!(
        "- share of passes with a turned wand {}",
        median(&|outcome| { outcome.figures.skewed as f64 / outcome.figures.passes.max(1) as f64 })
    );
    println!("- share of sprayed length with a narrowed swath {}", median(&|outcome| outcome.figures.narrowed));
    println!("- steps astray {}", median(&|outcome| outcome.figures.astray));
    println!("- processor seconds of the passes {}", median(&|outcome| outcome.passes_time));
    println!("- processor seconds of the plan {}", median(&|outcome| outcome.plan_time));
}

fn print_doses(outcomes: &[Outcome]) {
    println!(
        "\nDose, median / p95 / worst, in %; with the error of walking assumed: {ASIDE} swaths aside, {PACE} of the pace\n"
    );
    println!("| taper | walking | variation | inside | blocks of 0.25 m | under 75 % | over 125 % | outside |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (index, taper) in TAPERS.iter().enumerate() {
        for (name, astray) in [("as planned", false), ("with error", true)] {
            let cell = |read: fn(&DoseFigures) -> f64| {
                let of = |outcome: &Outcome| {
                    let (planned, strayed) = &outcome.doses[index];
                    100.0 * read(if astray { strayed } else { planned })
                };
                let values: Vec<f64> = outcomes.iter().map(of).filter(|value| value.is_finite()).collect();
                let (median, most, worst, _) = ranks(&values, false);
                format!("{median:.1} / {most:.1} / {worst:.1}")
            };
            println!(
                "| {taper} | {name} | {} | {} | {} | {} | {} | {} |",
                cell(|dose| dose.variation),
                cell(|dose| dose.interior_variation.unwrap_or(f64::NAN)),
                cell(|dose| dose.block_variation),
                cell(|dose| dose.under_three_quarters),
                cell(|dose| dose.over_five_quarters),
                cell(|dose| dose.outside)
            );
        }
    }
    // An even fan doses 0, 1 or 2 but for bends: what the closed form says must be what the map says.
    let off = |outcome: &Outcome| {
        let closed = variation_of_even_fan(outcome.figures.overlap, 1.0 - outcome.figures.covered);
        100.0 * (outcome.doses[0].0.variation - closed)
    };
    let values: Vec<f64> = outcomes.iter().map(off).collect();
    let (median, most, worst, place) = ranks(&values, false);
    println!(
        "\nEven fan, dose map less closed form, points of variation: median {median:.2}, p95 {most:.2}, largest {worst:.2} ({})",
        outcomes[place].name
    );
}

fn print_each(outcomes: &[Outcome]) {
    println!(
        "| lot | kappa | covered | discs | overlap | off | length | dead | wet | runs | refills | spare | passes | narrowed | s |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for Outcome { name, figures: f, plan_time, .. } in outcomes {
        println!(
            "| {name} | {:.2} | {:.2} | {:.2} | {:.2} | {:.2} | {:.3} | {:.1} | {:.2} | {:.2} | {} | {} | {} | {:.2} | {plan_time:.2} |",
            f.kappa,
            100.0 * f.covered,
            100.0 * f.covered_by_discs,
            100.0 * f.overlap,
            100.0 * f.off_target,
            f.length,
            100.0 * f.dead_walk,
            100.0 * f.wet_steps,
            100.0 * f.wet_runs,
            f.refills,
            f.spare_refills,
            f.passes,
            f.narrowed
        );
    }
}
