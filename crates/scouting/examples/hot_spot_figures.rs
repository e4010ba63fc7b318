//! What treating hot spots leaves, on simulated infestations: by the surface, by circles round the worst counts on as much
//! ground, and by treating everything; with k of all counts, as spots are found, and with k fitted with the surface. And how
//! often spots alone may be treated where the lawn as a whole may not. Prints tables.

use geometry::{Point, Region};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use scouting::{
    ClumpingK, CountAt, CountBasis, Counts, CountsByLot, Dispersion, Draws, HotSpotAim, HotSpots, Judging,
    LEAST_CHANCE, PestDensity, ScoutedGround, Stop, Surface, Threshold, advise, square_for,
};

const ROUNDS: u32 = 40;
/// Rounds of what unlocks spots, for which there is one surface a round.
const ROUNDS_OF_SPOTS: u32 = 200;
/// Pests on a square foot, the ground of one count, from which on ground is infested.
const THRESHOLD: f64 = 4.0;
/// k of counts that scatter as chance has it.
const NOT_CLUMPED: f64 = 20.0;
const WIDTH: f64 = 30.0;
const DEPTH: f64 = 25.0;

/// The true mean of a count at a place.
type Truth = Box<dyn Fn(f64, f64) -> f64>;

fn front(draws: &mut Draws) -> Truth {
    let (reach, sway) = (8.0 + 8.0 * draws.share(), 6.0 * draws.share());
    Box::new(move |x, y| 0.3 + 12.0 / (1.0 + ((x - reach - sway * (y / 8.0).sin()) / 2.0).exp()))
}

fn clumps(draws: &mut Draws) -> Truth {
    let middles: Vec<(f64, f64)> = (0..4).map(|_| (WIDTH * draws.share(), DEPTH * draws.share())).collect();
    Box::new(move |x, y| {
        let of = |(cx, cy): &(f64, f64)| 14.0 * (-((x - cx).powi(2) + (y - cy).powi(2)) / 18.0).exp();
        0.3 + middles.iter().map(of).sum::<f64>()
    })
}

fn even(mean: f64) -> Truth {
    Box::new(move |_, _| mean)
}

/// An infestation by its name.
type Kind = (&'static str, fn(&mut Draws) -> Truth);

/// Shares: infested of the turf, treated of the turf, infested and untreated of the infested by the surface, by circles.
struct Outcome {
    infested: f64,
    treated: f64,
    stays: f64,
    stays_by_circles: f64,
    /// With k fitted with the surface.
    treated_by_fitted: f64,
    stays_by_fitted: f64,
}

fn turf() -> Option<Region> {
    Region::rectangle(Point::from_metres(0.0, 0.0), Point::from_metres(WIDTH, DEPTH)).ok()
}

/// Counts on a grid, each somewhere in the middle half of its field; and the gap between them.
fn counted(truth: &Truth, places: u32, dispersion: Dispersion, draws: &mut Draws) -> (Vec<CountAt>, f64) {
    let gap = (WIDTH * DEPTH / f64::from(places)).sqrt();
    let (columns, rows) = ((WIDTH / gap).round(), (DEPTH / gap).round());
    let mut counts = Vec::new();
    for column in 0..columns as u32 {
        for row in 0..rows as u32 {
            let mut within =
                |index: u32, of: f64, size: f64| (f64::from(index) + 0.25 + 0.5 * draws.share()) * size / of;
            let (x, y) = (within(column, columns, WIDTH), within(row, rows, DEPTH));
            let count = CountsByLot::about(dispersion, truth(x, y)).draw(draws);
            counts.push(CountAt { at: Point::from_metres(x, y), count });
        }
    }
    (counts, gap)
}

fn round(truth: &Truth, places: u32, k: f64, draws: &mut Draws) -> Option<Outcome> {
    let turf = turf()?;
    let (mut counts, gap) = counted(truth, places, Dispersion::clumped(k)?, draws);
    let basis = Area::new(1.0, AreaUnit::SquareFoot);
    let values = counts.iter().map(|one| one.count).collect();
    let fitted = Counts::new(values, CountBasis::Area(basis)).ok()?.0.dispersion(None).dispersion;
    let surface = Surface::through(&counts, basis, fitted).ok()?;
    let likely = match fitted {
        Dispersion::NegativeBinomial(k) => k,
        Dispersion::Poisson => ClumpingK::new(NOT_CLUMPED)?,
    };
    let by_fitted = Surface::with_fitted_k(&counts, basis, likely).ok()?;
    let threshold = PestDensity::new(THRESHOLD, basis)?;
    let aim = HotSpotAim { threshold, may_stay: 0.1, least_chance: LEAST_CHANCE, square: square_for(&turf, 1_000) };
    let spots = HotSpots::on(&turf, &surface, aim).ok()?;
    let fitted_spots = HotSpots::on(&turf, &by_fitted, aim).ok()?;
    let is_infested = |place: Point| {
        let (x, y) = place.metres();
        truth(x, y) >= THRESHOLD
    };
    let all: f64 = spots.squares.iter().map(|one| one.share).sum();
    let share = |keep: &dyn Fn(&scouting::SurfaceSquare) -> bool| -> f64 {
        spots.squares.iter().filter(|one| keep(one)).map(|one| one.share).sum()
    };
    let infested = share(&|one| is_infested(one.place));
    let treated = share(&|one| one.is_treated);
    let stays = share(&|one| is_infested(one.place) && !one.is_treated);
    let of_fitted = |keep: &dyn Fn(&scouting::SurfaceSquare) -> bool| -> f64 {
        fitted_spots.squares.iter().filter(|one| keep(one)).map(|one| one.share).sum()
    };
    let treated_by_fitted = of_fitted(&|one| one.is_treated);
    let stays_by_fitted = of_fitted(&|one| is_infested(one.place) && !one.is_treated);
    // Circles by falling count, until as much ground is treated; each as large as the ground that falls to a count.
    counts.sort_by_key(|one| std::cmp::Reverse(one.count));
    let circle = Length::new(gap / std::f64::consts::PI.sqrt(), LengthUnit::Metre);
    let mut in_circles = vec![false; spots.squares.len()];
    let mut covered = 0.0;
    for one in &counts {
        if covered >= treated {
            break;
        }
        for (square, is_in) in spots.squares.iter().zip(&mut in_circles) {
            if !*is_in && square.place.distance_to(one.at) <= circle {
                *is_in = true;
                covered += square.share;
            }
        }
    }
    let left = spots.squares.iter().zip(&in_circles).filter(|(one, is_in)| is_infested(one.place) && !**is_in);
    let stays_by_circles: f64 = left.map(|(one, _)| one.share).sum();
    Some(Outcome {
        infested: infested / all,
        treated: treated / all,
        stays: stays / all,
        stays_by_circles: stays_by_circles / all,
        treated_by_fitted: treated_by_fitted / all,
        stays_by_fitted: stays_by_fitted / all,
    })
}

const KINDS: [Kind; 4] = [
    ("a front from one side", front),
    ("four clumps", clumps),
    ("even, half of the threshold", |_| even(THRESHOLD / 2.0)),
    ("even, twice the threshold", |_| even(THRESHOLD * 2.0)),
];

/// What a lawn is, and what its counts say of the whole and of spots.
struct Spots {
    whole: Stop,
    /// As a place that is more likely infested than not would say it by itself.
    by_surest_place: bool,
    shown: bool,
    treated: f64,
    /// The share of what is treated that is infested.
    infested: f64,
}

fn spots(truth: &Truth, places: u32, k: f64, draws: &mut Draws) -> Option<Spots> {
    let turf = turf()?;
    let (at, _) = counted(truth, places, Dispersion::clumped(k)?, draws);
    let basis = CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot));
    let counts = Counts::new(at.iter().map(|one| one.count).collect(), basis).ok()?.0;
    let threshold = Threshold::new(THRESHOLD, basis, "invented").ok()?;
    let judging = Judging::default();
    let advice = advise(&counts, &threshold, judging).ok()?;
    let found = ScoutedGround::of(&turf, &at, (&counts, &threshold), (&advice, judging), 0.1).ok()?;
    let all: f64 = found.spots.squares.iter().map(|one| one.share).sum();
    let treated: Vec<_> = found.spots.squares.iter().filter(|one| one.is_treated).collect();
    let is_infested = |place: Point| truth(place.metres().0, place.metres().1) >= THRESHOLD;
    let ground: f64 = treated.iter().map(|one| one.share).sum();
    let infested: f64 = treated.iter().filter(|one| is_infested(one.place)).map(|one| one.share).sum();
    Some(Spots {
        whole: advice.stop,
        by_surest_place: found.spots.squares.iter().any(|one| one.chance >= 0.5),
        shown: found.evidence.is_some_and(|evidence| evidence.is_shown()),
        treated: ground / all,
        infested: if ground > 0.0 { (infested / ground).abs() } else { 0.0 },
    })
}

fn spots_alone() {
    println!(
        "\nOf lawns that are not to be treated as a whole, how many may be treated in spots; {ROUNDS_OF_SPOTS} rounds each.\n"
    );
    println!(
        "| infestation | k | counts | whole treated | of the others, spots shown | where one place alone was enough | ground of spots shown | of it infested |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (name, kind) in KINDS {
        for k in [0.5, 2.0] {
            for places in [12, 24, 60] {
                let mut draws = Draws::of_seed(22);
                let rounds: Vec<Spots> = (0..ROUNDS_OF_SPOTS)
                    .filter_map(|_| {
                        let truth = kind(&mut draws);
                        spots(&truth, places, k, &mut draws)
                    })
                    .collect();
                let others: Vec<&Spots> = rounds.iter().filter(|one| one.whole.treats() != Some(true)).collect();
                let shown: Vec<&&Spots> = others.iter().filter(|one| one.shown).collect();
                let share = |part: usize, of: usize| match of {
                    0 => "-".to_owned(),
                    _ => format!("{:.0} %", 100.0 * part as f64 / of as f64),
                };
                let mean = |of: fn(&Spots) -> f64| match shown.len() {
                    0 => "-".to_owned(),
                    number => {
                        format!("{:.0} %", 100.0 * shown.iter().map(|one| of(one)).sum::<f64>() / number as f64)
                    }
                };
                println!(
                    "| {name} | {k} | {places} | {} | {} | {} | {} | {} |",
                    share(rounds.len() - others.len(), rounds.len()),
                    share(shown.len(), others.len()),
                    share(others.iter().filter(|one| one.by_surest_place).count(), others.len()),
                    mean(|one| one.treated),
                    mean(|one| one.infested),
                );
            }
        }
    }
}

/// Both tables, or the second alone where `spots` is named.
fn main() {
    if std::env::args().skip(1).any(|one| one == "spots") {
        spots_alone();
        return;
    }
    println!(
        "Of the infested ground, what stays untreated; {ROUNDS} rounds each, k = 2, a tenth may stay. Treating everything leaves \
         nothing and treats all of the turf.\n"
    );
    println!(
        "| infestation | counts | infested | treated by the surface | stays | stays by circles on as much ground | treated, k fitted \
         with it | stays |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for (name, kind) in KINDS {
        for places in [12, 24, 60] {
            let mut draws = Draws::of_seed(21);
            let rounds: Vec<Outcome> = (0..ROUNDS)
                .filter_map(|_| {
                    let truth = kind(&mut draws);
                    round(&truth, places, 2.0, &mut draws)
                })
                .collect();
            let mean = |of: fn(&Outcome) -> f64| rounds.iter().map(of).sum::<f64>() / rounds.len() as f64;
            let infested = mean(|one| one.infested);
            let of_infested = |stays: f64| {
                if infested > 0.0 { format!("{:.0} %", 100.0 * stays / infested) } else { "-".into() }
            };
            println!(
                "| {name} | {places} | {:.0} % | {:.0} % | {} | {} | {:.0} % | {} |",
                (infested * 100.0).abs(),
                mean(|one| one.treated) * 100.0,
                of_infested(mean(|one| one.stays)),
                of_infested(mean(|one| one.stays_by_circles)),
                mean(|one| one.treated_by_fitted) * 100.0,
                of_infested(mean(|one| one.stays_by_fitted)),
            );
        }
    }
    spots_alone();
}
