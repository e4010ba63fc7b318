//! How often the 95 % intervals hold what is true: of a mean, of k, of control by each formula, and how often pests that do
//! not change are taken for resistant. Prints tables.

use jiff::ToSpan as _;
use jiff::civil::date;
use scouting::{
    CountBasis, Counts, CountsByLot, Dispersion, Draws, EXPECTED_CONTROL, EfficacyTrial, GroundCounts, ResistanceSign,
    TreatmentResult, resistance,
};

const LOTS: u32 = 1_000;
/// Trials of control for each figure.
const TRIALS: u32 = 1_000;
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

/// Living and dead counts that scatter about means; the dead of clumped pests are clumped as the living are, and each dies
/// by itself.
struct Grounds {
    before: f64,
    survival: f64,
    growth: f64,
    dispersion: Dispersion,
    stations: usize,
}

impl Grounds {
    fn living(&self, mean: f64, draws: &mut Draws) -> Counts {
        counts(&CountsByLot::about(self.dispersion, mean), self.stations, draws)
    }

    /// The pests of stations, each alive with a chance.
    fn living_and_dead(&self, alive: f64, draws: &mut Draws) -> (Counts, Counts) {
        let all = self.living(self.before, draws);
        let living: Vec<u32> =
            all.counts().iter().map(|&count| (0..count).filter(|_| draws.share() < alive).count() as u32).collect();
        let dead = all.counts().iter().zip(&living).map(|(all, living)| all - living).collect();
        let of = |values| Counts::new(values, CountBasis::Plant).unwrap_or_else(|_| unreachable!("counts on plants")).0;
        (of(living), of(dead))
    }

    fn by_living(&self, is_before_counted: bool, draws: &mut Draws) -> EfficacyTrial {
        let mut ground = |after: f64| GroundCounts {
            before: is_before_counted.then(|| self.living(self.before, draws)),
            after: Some(self.living(after, draws)),
            dead: None,
        };
        EfficacyTrial {
            treated: ground(self.before * self.growth * self.survival),
            check: ground(self.before * self.growth),
        }
    }

    fn schneider_orelli(&self, draws: &mut Draws) -> EfficacyTrial {
        let mut ground = |alive: f64| {
            let (living, dead) = self.living_and_dead(alive, draws);
            GroundCounts { before: None, after: Some(living), dead: Some(dead) }
        };
        EfficacyTrial { treated: ground(0.9 * self.survival), check: ground(0.9) }
    }

    fn sun_shepard(&self, draws: &mut Draws) -> EfficacyTrial {
        let (living, dead) = self.living_and_dead(self.growth * self.survival, draws);
        let check = GroundCounts {
            before: Some(self.living(self.before, draws)),
            after: Some(self.living(self.before * self.growth, draws)),
            dead: None,
        };
        EfficacyTrial { treated: GroundCounts { before: None, after: Some(living), dead: Some(dead) }, check }
    }
}

/// How a trial is made.
type Trial = fn(&Grounds, &mut Draws) -> EfficacyTrial;

/// Fewest pests that were found in one of the numbers of a trial, in classes: the lower end of each.
const FEWEST: [u64; 5] = [0, 1, 5, 10, 30];

/// Of one row of the table: the cells, and by class how often the interval held, of how many trials.
type Row = (String, [[(u32, u32); FEWEST.len()]; 4]);

fn row(grounds: &Grounds, seed: u64) -> Row {
    let ways: [Trial; 4] = [
        |grounds, draws| grounds.by_living(false, draws),
        |grounds, draws| grounds.by_living(true, draws),
        Grounds::schneider_orelli,
        Grounds::sun_shepard,
    ];
    let control = 1.0 - grounds.survival;
    let mut draws = Draws::of_seed(seed);
    let mut classes = [[(0, 0); FEWEST.len()]; 4];
    let cells = [0, 1, 2, 3].map(|way: usize| {
        for _ in 0..TRIALS {
            let trial = ways[way](grounds, &mut draws);
            let Ok(found) = trial.control() else { continue };
            let living = [&trial.treated.before, &trial.treated.after, &trial.check.before, &trial.check.after];
            let fewest = living.into_iter().flatten().map(Counts::total).min().unwrap_or(0);
            let class = FEWEST.iter().rposition(|least| fewest >= *least).unwrap_or(0);
            let (low, high) = (found.interval.0.share(), found.interval.1.share());
            classes[way][class].0 += u32::from(low <= control && control <= high);
            classes[way][class].1 += 1;
        }
        let (holds, told) = classes[way].iter().fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        let share = percent(holds, told);
        if told == TRIALS { share } else { format!("{share} ({})", percent(told, TRIALS)) }
    });
    (cells.join(" | "), classes)
}

fn of_control() {
    println!(
        "\nHow often the interval of control holds the true one, {TRIALS} trials each; in brackets, how many of the trials told one.\n"
    );
    let names = ["Abbott", "Henderson and Tilton", "Schneider-Orelli", "Sun and Shepard"];
    heading("k | pests a station before | stations | control", names.iter().map(|name| (*name).to_owned()));
    let grid: Vec<(Option<f64>, f64, usize, f64)> = [Some(0.5), Some(1.0), Some(3.0), None]
        .into_iter()
        .flat_map(|k| [2.0, 10.0].map(|before| (k, before)))
        .flat_map(|(k, before)| [4, 8, 18].map(|stations| (k, before, stations)))
        .flat_map(|(k, before, stations)| [0.5, 0.1].map(|survival| (k, before, stations, survival)))
        .collect();
    let of = |&(k, before, stations, survival): &(Option<f64>, f64, usize, f64)| {
        let (dispersion, k) = clumped(k);
        let grounds = Grounds { before, survival, growth: 0.8, dispersion, stations };
        (k, before, stations, survival, grounds)
    };
    // A row has its own seed, so that it does not hang on how many are reckoned at once.
    let halves: Vec<Vec<Row>> = std::thread::scope(|scope| {
        let half = |from: usize| {
            let grid = &grid;
            scope.spawn(move || -> Vec<Row> {
                let rows = grid.iter().enumerate().skip(from).step_by(2);
                rows.map(|(number, cell)| row(&of(cell).4, 1_300 + number as u64)).collect()
            })
        };
        let both = [half(0), half(1)];
        both.into_iter().map(|one| one.join().unwrap_or_default()).collect()
    });
    let mut classes = [[[(0, 0); FEWEST.len()]; 3]; 4];
    for (number, cell) in grid.iter().enumerate() {
        let (k, before, stations, survival, _) = of(cell);
        let (cells, found) = &halves[number % 2][number / 2];
        println!("| {k} | {before} | {stations} | {:.0} % | {cells} |", 100.0 * (1.0 - survival));
        let size = [4, 8, 18].iter().position(|one| *one == stations).unwrap_or(0);
        for (way, found) in found.iter().enumerate() {
            for (class, (holds, told)) in found.iter().enumerate() {
                classes[way][size][class].0 += holds;
                classes[way][size][class].1 += told;
            }
        }
    }
    println!(
        "\nThe same by what was counted: the fewest pests in one of its numbers; in brackets, of how many trials.\n"
    );
    heading("stations | fewest pests", names.iter().map(|name| (*name).to_owned()));
    for (size, stations) in [4, 8, 18].into_iter().enumerate() {
        for (class, least) in FEWEST.into_iter().enumerate() {
            let words = match FEWEST.get(class + 1) {
                Some(next) if next - 1 > least => format!("{least} to {}", next - 1),
                Some(_) => format!("{least}"),
                None => format!("{least} or more"),
            };
            let cells = [0, 1, 2, 3].map(|way: usize| {
                let (holds, told) = classes[way][size][class];
                format!("{} ({told})", percent(holds, told))
            });
            println!("| {stations} | {words} | {} |", cells.join(" | "));
        }
    }
}

fn of_resistance() {
    let series = 400;
    println!(
        "\nWhat {series} series of treatments are taken for: in the last two lines half as many again survive from one to the next, in the others as many.\n"
    );
    heading(
        "treatments | scatter between visits | growth of the survival a use",
        ["falls", "a sign of resistance"].iter().map(|name| (*name).to_owned()),
    );
    let mut draws = Draws::of_seed(14);
    for (treatments, between, growth) in
        [(6, 0.0, 1.0), (6, 0.5, 1.0), (12, 0.0, 1.0), (12, 0.5, 1.0), (6, 0.3, 1.5), (12, 0.3, 1.5)]
    {
        let signs: Vec<ResistanceSign> = (0..series)
            .filter_map(|_| {
                let results = (0..treatments).filter_map(|number| {
                    let survival = 0.1 * f64::powi(growth, number) * (between * draws.normal()).exp();
                    let dispersion = Dispersion::clumped(1.5)?;
                    let grounds =
                        Grounds { before: 8.0, survival: survival.min(1.0), growth: 1.0, dispersion, stations: 12 };
                    Some(TreatmentResult {
                        day: date(2025, 5, 1) + (number * 30).days(),
                        property: "invented".into(),
                        group: "3A".into(),
                        estimate: grounds.by_living(true, &mut draws).control().ok()?,
                    })
                });
                resistance(&results.collect::<Vec<_>>(), EXPECTED_CONTROL).first().map(|one| one.sign)
            })
            .collect();
        let count = |of: &[ResistanceSign]| signs.iter().filter(|sign| of.contains(sign)).count() as u32;
        println!(
            "| {treatments} | {between} | {growth} | {} | {} |",
            percent(count(&[ResistanceSign::Falling, ResistanceSign::Signal]), series),
            percent(count(&[ResistanceSign::Signal]), series),
        );
    }
}

/// All tables, or those that are named: `means`, `k`, `control`, `resistance`.
fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    let tables: [(&str, fn()); 4] =
        [("means", of_means), ("k", of_k), ("control", of_control), ("resistance", of_resistance)];
    for (name, table) in tables {
        if wanted.is_empty() || wanted.iter().any(|one| one == name) {
            table();
        }
    }
}
