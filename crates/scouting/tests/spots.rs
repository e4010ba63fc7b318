//! Spots alone on simulated lawns: shown where there are some, and hardly ever where all ground is alike.

use geometry::{Point, Region};
use quantity::{Area, AreaUnit};
use scouting::{
    CountAt, CountBasis, Counts, CountsByLot, Dispersion, Draws, Judging, ScoutedGround, SpotEvidence, Stop, Threshold,
    advise,
};

const LEVEL: f64 = 4.0;

/// Counts on a grid of six by four over 30 by 20 m, each on a square foot, and what they say of spots.
fn looked_at(draws: &mut Draws, k: f64, mean: impl Fn(f64, f64) -> f64) -> (Stop, Option<SpotEvidence>) {
    let places: Vec<CountAt> = (0..6)
        .flat_map(|column| (0..4).map(move |row| (column, row)))
        .map(|(column, row)| {
            let (x, y) = (5.0 * f64::from(column) + 2.5, 5.0 * f64::from(row) + 2.5);
            let by_lot = CountsByLot::about(Dispersion::clumped(k).unwrap(), mean(x, y));
            CountAt { at: Point::from_metres(x, y), count: by_lot.draw(draws) }
        })
        .collect();
    let basis = CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot));
    let counts = Counts::new(places.iter().map(|one| one.count).collect(), basis).unwrap().0;
    let threshold = Threshold::new(LEVEL, basis, "invented").unwrap();
    let judging = Judging::default();
    let advice = advise(&counts, &threshold, judging).unwrap();
    let lawn = Region::rectangle(Point::from_metres(0.0, 0.0), Point::from_metres(30.0, 20.0)).unwrap();
    let ground = ScoutedGround::of(&lawn, &places, (&counts, &threshold), (&advice, judging), 0.1);
    // Where nothing was found there is no surface, and no spots.
    (advice.stop, ground.ok().and_then(|ground| ground.evidence))
}

/// How many of so many lawns that are not to be treated as a whole may be treated in spots.
fn shown(rounds: u32, seed: u64, mean: impl Fn(f64, f64) -> f64) -> (usize, usize) {
    let mut draws = Draws::of_seed(seed);
    let looked: Vec<_> = (0..rounds).map(|_| looked_at(&mut draws, 2.0, &mean)).collect();
    let others: Vec<_> = looked.iter().filter(|(stop, _)| stop.treats() != Some(true)).collect();
    let shown = others.iter().filter(|(_, evidence)| evidence.is_some_and(|one| one.is_shown()));
    (shown.count(), others.len())
}

#[test]
fn even_ground_under_the_threshold_hardly_ever_shows_spots() {
    let (shown, others) = shown(60, 31, |_, _| LEVEL / 2.0);
    assert!(others >= 50, "{others}");
    assert!(shown * 20 <= others, "{shown} of {others}");
}

#[test]
fn a_clump_on_a_lawn_under_the_threshold_is_shown() {
    // One clump of 7 m about a corner, far over the threshold; 1.9 on the whole lawn.
    let clump = |x: f64, y: f64| 0.3 + 25.0 * (-((x - 5.0).powi(2) + (y - 5.0).powi(2)) / 30.0).exp();
    let (shown, others) = shown(30, 32, clump);
    assert!(others >= 15, "{others}");
    assert!(shown * 10 >= others * 7, "{shown} of {others}");
}

#[test]
fn one_high_count_shows_nothing() {
    // All alike but for one count.
    let places: Vec<CountAt> = (0..24_u32)
        .map(|index| CountAt {
            at: Point::from_metres(5.0 * f64::from(index % 6) + 2.5, 5.0 * f64::from(index / 6) + 2.5),
            count: if index == 8 { 30 } else { index % 2 },
        })
        .collect();
    let basis = CountBasis::Area(Area::new(1.0, AreaUnit::SquareFoot));
    let counts = Counts::new(places.iter().map(|one| one.count).collect(), basis).unwrap().0;
    let threshold = Threshold::new(LEVEL, basis, "invented").unwrap();
    let judging = Judging::default();
    let advice = advise(&counts, &threshold, judging).unwrap();
    let lawn = Region::rectangle(Point::from_metres(0.0, 0.0), Point::from_metres(30.0, 20.0)).unwrap();
    let ground = ScoutedGround::of(&lawn, &places, (&counts, &threshold), (&advice, judging), 0.1).unwrap();
    assert!(!ground.evidence.is_some_and(|one| one.is_shown()), "{:?}", ground.evidence);
}
