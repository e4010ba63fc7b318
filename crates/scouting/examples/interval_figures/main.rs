//! How often the 95 % intervals hold what is true: of a mean, of k, of mounds on a lawn, of control by each formula, of the
//! growth of the survival and of the latest control; and how often pests that do not change are taken for resistant. Prints
//! tables.

mod control;
mod mounds;
mod resistance;

use scouting::{CountBasis, Counts, CountsByLot, Dispersion, Draws};

const LOTS: u32 = 1_000;
const STATIONS: [usize; 5] = [4, 8, 16, 30, 60];

fn clumped(k: Option<f64>) -> (Dispersion, String) {
    match k.and_then(Dispersion::clumped) {
        Some(dispersion) => (dispersion, k.map_or_else(String::new, |k| k.to_string())),
        None => (Dispersion::Poisson, "Poisson".into()),
    }
}

fn counts(by_lot: &CountsByLot, stations: usize, draws: &mut Draws) -> Counts {
    let values = (0..stations).map(|_| by_lot.draw(draws)).collect();
    Counts::new(values, CountBasis::Plant).unwrap_or_else(|_| unreachable!("counts on plants")).0
}

fn percent(count: u32, of: u32) -> String {
    if of == 0 { "-".into() } else { format!("{:.1} %", 100.0 * f64::from(count) / f64::from(of)) }
}

fn heading(first: &str, more: impl Iterator<Item = String>) {
    let columns: Vec<String> = more.collect();
    println!("| {first} | {} |", columns.join(" | "));
    println!("|{}", " --- |".repeat(columns.len() + first.split('|').count()));
}

fn of_means() {
    println!("How often the interval of a mean holds the true one, {LOTS} lots of counts each.\n");
    heading("k | mean", STATIONS.iter().map(|stations| format!("{stations} counts")));
    let mut draws = Draws::of_seed(11);
    for k in [Some(0.3), Some(0.5), Some(1.0), Some(3.0), None] {
        let (dispersion, k) = clumped(k);
        for mean in [0.3, 1.0, 4.0, 15.0] {
            let by_lot = CountsByLot::about(dispersion, mean);
            let cells = STATIONS.map(|stations| {
                let holds = (0..LOTS).filter(|_| {
                    let found = counts(&by_lot, stations, &mut draws).interval(0.95);
                    found.is_some_and(|found| (found.low..=found.high).contains(&mean))
                });
                percent(holds.count() as u32, LOTS)
            });
            println!("| {k} | {mean} | {} |", cells.join(" | "));
        }
    }
}

fn of_k() {
    println!("\nHow often the interval of k holds the true one, of the lots that have one.\n");
    let enough = &STATIONS[2..];
    heading("k | mean", enough.iter().map(|stations| format!("{stations} counts")));
    let mut draws = Draws::of_seed(12);
    for k in [0.3, 0.5, 1.0, 3.0] {
        for mean in [0.3, 1.0, 4.0, 15.0] {
            let by_lot = CountsByLot::about(clumped(Some(k)).0, mean);
            let cells: Vec<String> = enough
                .iter()
                .map(|&stations| {
                    let found: Vec<_> =
                        (0..LOTS).filter_map(|_| counts(&by_lot, stations, &mut draws).k_interval(0.95)).collect();
                    let holds = found
                        .iter()
                        .filter(|found| found.low.value() <= k && found.high.is_none_or(|high| k <= high.value()));
                    percent(holds.count() as u32, found.len() as u32)
                })
                .collect();
            println!("| {k} | {mean} | {} |", cells.join(" | "));
        }
    }
}

/// What rows of a table come to, reckoned by two at once. A row has its own seed, so that it does not hang on how many are.
fn by_two<R: Sync, F: Send>(rows: &[R], of: impl Fn(usize, &R) -> F + Sync) -> Vec<F> {
    let halves: Vec<Vec<(usize, F)>> = std::thread::scope(|scope| {
        let of = &of;
        let half = |from: usize| {
            scope.spawn(move || {
                rows.iter().enumerate().skip(from).step_by(2).map(|(at, row)| (at, of(at, row))).collect()
            })
        };
        let both = [half(0), half(1)];
        both.into_iter().map(|one| one.join().unwrap_or_default()).collect()
    });
    let mut all: Vec<(usize, F)> = halves.into_iter().flatten().collect();
    all.sort_by_key(|(at, _)| *at);
    all.into_iter().map(|(_, found)| found).collect()
}

/// All tables, or those that are named: `means`, `k`, `mounds`, `control`, `resistance`, `trend`.
fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    let tables: [(&str, fn()); 6] = [
        ("means", of_means),
        ("k", of_k),
        ("mounds", mounds::table),
        ("control", control::table),
        ("resistance", resistance::signs),
        ("trend", resistance::trends),
    ];
    for (name, table) in tables {
        if wanted.is_empty() || wanted.iter().any(|one| one == name) {
            table();
        }
    }
}
