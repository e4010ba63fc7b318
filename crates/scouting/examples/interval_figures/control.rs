//! The intervals of control, by each formula.

use crate::{by_two, clumped, counts, heading, percent};
use scouting::{CountBasis, Counts, CountsByLot, Dispersion, Draws, EfficacyTrial, GroundCounts};

/// Trials for each figure.
const TRIALS: u32 = 1_000;

/// Living and dead counts that scatter about means; the dead of clumped pests are clumped as the living are, and each dies
/// by itself.
pub(crate) struct Grounds {
    pub(crate) before: f64,
    pub(crate) survival: f64,
    pub(crate) growth: f64,
    pub(crate) dispersion: Dispersion,
    pub(crate) stations: usize,
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

    pub(crate) fn by_living(&self, is_before_counted: bool, draws: &mut Draws) -> EfficacyTrial {
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

/// How often each interval holds, by formula, and by what was counted.
pub(crate) fn table() {
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
    let rows = by_two(&grid, |number, cell| row(&of(cell).4, 1_300 + number as u64));
    let mut classes = [[[(0, 0); FEWEST.len()]; 3]; 4];
    for (cell, (cells, found)) in grid.iter().zip(&rows) {
        let (k, before, stations, survival, _) = of(cell);
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
