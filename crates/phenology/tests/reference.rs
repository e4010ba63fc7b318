//! Published values that this crate must reach, each with its source.
//!
//! `reference/budworm_counts.csv`: western spruce budworm, counts of larvae of instars 2 to 6, pupae and adults on twelve
//! days, with the degree-days by then. Dennis, B., W. P. Kemp and R. C. Beckwith 1986, Environmental Entomology 15:
//! 540-546, as kept with Boesch, P. (2021), [Re] Modeling insect phenology using ordinal regression and continuation
//! ratio models, ReScience C, <https://doi.org/10.5281/zenodo.4012772> (CC BY 4.0).

use phenology::{Correction, Development, Prior, Sighting};
use quantity::{DegreeDayUnit, DegreeDays};

/// Estimates that the SAS program of the paper gives for these counts (the replication, its Table 2): middles, and the
/// variance that each degree-day adds.
const ESTIMATES: [f64; 7] = [120.039, 204.665, 264.590, 341.291, 464.477, 595.707, 1.412];

/// Estimates of Kemp, Dennis and Beckwith 1986, Environmental Entomology 15: 547-553, Table 1, from more counts.
const KEMP_1986: [f64; 7] = [121.080, 204.360, 264.410, 342.473, 465.620, 599.570, 1.559];

fn heat(value: f64) -> DegreeDays {
    DegreeDays::new(value, DegreeDayUnit::Celsius)
}

fn development(parameters: [f64; 7]) -> Development {
    let middles = parameters[..6].iter().map(|middle| heat(*middle)).collect();
    Development::by_dennis_1986(middles, heat(parameters[6])).unwrap()
}

fn sightings() -> Vec<Sighting> {
    let rows: Vec<Vec<f64>> = include_str!("reference/budworm_counts.csv")
        .lines()
        .skip(1)
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    assert_eq!(rows.len(), 84);
    let days = rows.chunk_by(|a, b| a[0] == b[0]);
    days.map(|day| Sighting { heat: heat(day[0][0]), counts: day.iter().map(|row| row[3] as u32).collect() }).collect()
}

fn log_likelihood(parameters: [f64; 7]) -> f64 {
    let development = development(parameters);
    let of_day = |sighting: &Sighting| {
        let shares = development.at(sighting.heat);
        let of = |(count, share): (&u32, &f64)| f64::from(*count) * share.max(1e-12).ln();
        sighting.counts.iter().zip(shares.shares()).map(of).sum::<f64>()
    };
    sightings().iter().map(of_day).sum()
}

/// The published estimates are those under which the counts are the likeliest: nothing else moves all seven at once to
/// where a maximum is. They are printed to thousandths, so that half a percent off in any of them must be worse.
#[test]
fn published_estimates_are_the_likeliest() {
    let best = log_likelihood(ESTIMATES);
    for index in 0..7 {
        for factor in [0.995, 1.005] {
            let mut moved = ESTIMATES;
            moved[index] *= factor;
            assert!(log_likelihood(moved) < best, "parameter {index} times {factor}");
        }
    }
    // Those from more counts do nearly as well on these.
    let of_more = log_likelihood(KEMP_1986);
    assert!(best - of_more > 0.0 && best - of_more < 2.0, "{}", best - of_more);
}

/// The figures with which R gives the shares under the estimates at 237 degree-days: plogis((a - t)/sqrt(b t)), here by
/// SciPy 1.17.1, `expit`.
#[test]
fn shares_at_237_degree_days() {
    let expected = [
        1.669_333_341_2e-03,
        1.441_730_560_5e-01,
        6.729_525_446_2e-01,
        1.778_737_668_0e-01,
        3.327_322_292_2e-03,
        3.973_846_815_2e-06,
        3.048_309_382_7e-09,
    ];
    let shares = development(ESTIMATES).at(heat(237.0));
    for (found, expected) in shares.shares().iter().zip(expected) {
        assert!((found - expected).abs() < 5e-10, "{found} is not {expected}");
    }
}

/// Heat counted a tenth short is found by the counts: each sighting at 1/1.1 of its heat.
#[test]
fn a_scale_that_is_a_tenth_off_is_found() {
    let short: Vec<Sighting> =
        sightings().into_iter().map(|sighting| Sighting { heat: sighting.heat / 1.1, ..sighting }).collect();
    let prior = Prior::new(0.15, 1.0).unwrap();
    let found = Correction::new(&development(ESTIMATES), &short, prior).unwrap();
    let own = Correction::new(&development(ESTIMATES), &sightings(), prior).unwrap();
    assert!((own.factor() - 1.0).abs() < 0.01, "{}", own.factor());
    assert!((found.factor() - 1.1).abs() < 0.015, "{}", found.factor());
    let (low, high) = found.interval();
    assert!(low < 1.1 && 1.1 < high && high - low < 0.05);
}
