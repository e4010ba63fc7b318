//! What own sightings tell: whether this year's generation is ahead of the heat that was counted, or behind it.

use crate::development::{Development, StageShares};
use problem::{Problem, Problems};
use quantity::DegreeDays;

/// Of so many individuals one is taken for another stage than it is in.
const MISTAKEN: f64 = 0.01;
/// Steps of the scale on either side of the middle, over five standard deviations of the prior.
const STEPS: i32 = 200;

/// How many individuals of each stage were seen, and how much heat had been counted by then.
#[derive(Debug, Clone, PartialEq)]
pub struct Sighting {
    /// The sum of heat through that day.
    pub heat: DegreeDays,
    /// Individuals of each stage, in the order of the stages.
    pub counts: Vec<u32>,
}

/// What was known before anything was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    spread: f64,
    clumping: f64,
}

impl Prior {
    /// The scale of heat that fits a yard differs from that of the profile by a factor whose logarithm has the standard
    /// deviation `spread`: 0.1 says that two years in three it lies within a tenth. `clumping` says by how many times
    /// the counts vary more than if each individual were found by itself, 1 or more: those of one clutch are of one age.
    ///
    /// # Errors
    /// When `spread` is outside 0.01 to 0.5, or `clumping` outside 1 to 100; both are reported.
    pub fn new(spread: f64, clumping: f64) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        if !(0.01..=0.5).contains(&spread) {
            problems.push(
                Problem::error("phenology::prior", format!("the scale is said to vary by `{spread}`"))
                    .expected("a share from 0.01 to 0.5; a tenth is common"),
            );
        }
        if !(1.0..=100.0).contains(&clumping) {
            problems.push(
                Problem::error("phenology::clumping", format!("counts are said to vary `{clumping}` times as much"))
                    .expected("a number from 1 to 100; 1 when each individual was found by itself"),
            );
        }
        problems.unless_errors(Self { spread, clumping }).map(|(prior, _)| prior)
    }
}

/// The factors by which heat may count more or less here than the profile says, with the chance of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// Factors in rising order, with chances of the sum 1.
    factors: Vec<(f64, f64)>,
}

impl Correction {
    /// What sightings tell, by the rule of Bayes: the chance of each factor is that of the prior times that of finding
    /// the counts as they were found. One individual in a hundred is taken to be named wrongly.
    ///
    /// Without a sighting it is the prior itself.
    ///
    /// # Errors
    /// `phenology::counts` for each sighting that has not one count for each stage, or counts nothing.
    pub fn new(development: &Development, sightings: &[Sighting], prior: Prior) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        for (index, sighting) in sightings.iter().enumerate() {
            let stages = development.stages();
            if sighting.counts.len() != stages {
                problems.push(
                    Problem::error(
                        "phenology::counts",
                        format!("sighting `{}` has `{}` counts", index + 1, sighting.counts.len()),
                    )
                    .expected(format!("one for each of the {stages} stages, 0 where none was seen")),
                );
            } else if sighting.counts.iter().all(|count| *count == 0) {
                problems.push(
                    Problem::error("phenology::counts", format!("sighting `{}` counts nothing", index + 1))
                        .expected("one individual or more: none tells nothing of their age")
                        .mend("leave it out"),
                );
            }
        }
        if problems.has_errors() {
            return Err(problems);
        }
        let weighed = (-STEPS..=STEPS).map(|step| {
            let deviations = 5.0 * f64::from(step) / f64::from(STEPS);
            let factor = (deviations * prior.spread).exp();
            let found: f64 = sightings.iter().map(|sighting| log_chance(development, sighting, factor)).sum();
            (factor, found / prior.clumping - deviations.powi(2) / 2.0)
        });
        let weighed: Vec<(f64, f64)> = weighed.collect();
        let most = weighed.iter().map(|(_, weight)| *weight).fold(f64::NEG_INFINITY, f64::max);
        let whole: f64 = weighed.iter().map(|(_, weight)| (weight - most).exp()).sum();
        let factors = weighed.into_iter().map(|(factor, weight)| (factor, (weight - most).exp() / whole));
        Ok(Self { factors: factors.collect() })
    }

    /// The middle factor: above 1 the generation is ahead of the heat counted.
    pub fn factor(&self) -> f64 {
        self.quantile(0.5)
    }

    /// The factors between which the true one lies with a chance of nine in ten.
    pub fn interval(&self) -> (f64, f64) {
        (self.quantile(0.05), self.quantile(0.95))
    }

    /// Shares of the stages at so much counted heat, over all factors.
    pub fn shares(&self, development: &Development, heat: DegreeDays) -> StageShares {
        let mut shares = vec![0.0; development.stages()];
        for (factor, chance) in &self.factors {
            for (share, own) in shares.iter_mut().zip(development.at(heat * *factor).shares()) {
                *share += chance * own;
            }
        }
        StageShares::new(shares)
    }

    fn quantile(&self, chance: f64) -> f64 {
        let mut sum = 0.0;
        let reached = self.factors.iter().find(|(_, own)| {
            sum += own;
            sum >= chance
        });
        reached.or(self.factors.last()).map_or(1.0, |(factor, _)| *factor)
    }
}

/// Logarithm of the chance of the counts, but for a part that is the same for every factor.
fn log_chance(development: &Development, sighting: &Sighting, factor: f64) -> f64 {
    let shares = development.at(sighting.heat * factor);
    let even = MISTAKEN / shares.shares().len() as f64;
    let of = |(count, share): (&u32, &f64)| f64::from(*count) * ((1.0 - MISTAKEN) * share + even).ln();
    sighting.counts.iter().zip(shares.shares()).map(of).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quantity::DegreeDayUnit;

    fn heat(value: f64) -> DegreeDays {
        DegreeDays::new(value, DegreeDayUnit::Celsius)
    }

    fn development() -> Development {
        Development::by_dennis_1986(vec![heat(100.0), heat(150.0), heat(200.0)], heat(1.5)).unwrap()
    }

    fn prior() -> Prior {
        Prior::new(0.1, 1.0).unwrap()
    }

    /// What would be counted of a thousand when heat counts so many times.
    fn seen(at: f64, factor: f64, of: f64) -> Sighting {
        let shares = development().at(heat(at * factor));
        Sighting { heat: heat(at), counts: shares.shares().iter().map(|share| (share * of).round() as u32).collect() }
    }

    #[test]
    fn without_sightings_nothing_is_moved() {
        let correction = Correction::new(&development(), &[], prior()).unwrap();
        assert!((correction.factor() - 1.0).abs() < 0.003);
        // 1.645 standard deviations of the logarithm on either side.
        let (low, high) = correction.interval();
        assert!((low - (-0.1645_f64).exp()).abs() < 0.003 && (high - 0.1645_f64.exp()).abs() < 0.003);
    }

    #[test]
    fn many_sightings_find_the_factor_and_few_move_toward_it() {
        let find = |of: f64, clumping| {
            let prior = Prior::new(0.1, clumping).unwrap();
            Correction::new(&development(), &[seen(110.0, 1.12, of), seen(150.0, 1.12, of)], prior).unwrap()
        };
        let (many, few) = (find(2000.0, 1.0), find(4.0, 1.0));
        assert!((many.factor() - 1.12).abs() < 0.01, "{}", many.factor());
        let (low, high) = many.interval();
        assert!(low < 1.13 && 1.11 < high && high - low < 0.03);
        assert!(few.factor() > 1.03 && few.factor() < many.factor(), "{}", few.factor());
        let width = |found: &Correction| found.interval().1 - found.interval().0;
        assert!(width(&few) > width(&many) && width(&find(2000.0, 50.0)) > width(&many));
        // Ahead of the heat counted, more have passed on.
        let (own, moved) = (development().at(heat(140.0)), many.shares(&development(), heat(140.0)));
        assert!(moved.shares()[2] > own.shares()[2] + 0.1);
    }

    #[test]
    fn one_that_was_named_wrongly_does_not_rule_everything_out() {
        let wrong = Sighting { heat: heat(60.0), counts: vec![80, 0, 0, 1] };
        let correction = Correction::new(&development(), &[wrong], prior()).unwrap();
        assert!((0.8..1.2).contains(&correction.factor()), "{}", correction.factor());
    }

    #[test]
    fn counts_and_priors_that_mean_nothing_are_refused() {
        let sightings = [
            Sighting { heat: heat(60.0), counts: vec![1, 2] },
            Sighting { heat: heat(60.0), counts: vec![0, 0, 0, 0] },
        ];
        let problems = Correction::new(&development(), &sightings, prior()).unwrap_err();
        assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["phenology::counts"; 2]);
        let problems = Prior::new(0.0, 0.5).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["phenology::prior", "phenology::clumping"]);
        assert!(Prior::new(f64::NAN, 1.0).is_err());
    }

    proptest! {
        #[test]
        fn chances_and_shares_are_the_whole(
            at in 20.0..300.0_f64, counts in prop::collection::vec(0_u32..60, 4), spread in 0.01..0.5_f64, clumping in 1.0..20.0_f64,
        ) {
            prop_assume!(counts.iter().any(|count| *count > 0));
            let prior = Prior::new(spread, clumping).unwrap();
            let correction = Correction::new(&development(), &[Sighting { heat: heat(at), counts }], prior).unwrap();
            let sum: f64 = correction.factors.iter().map(|(_, chance)| chance).sum();
            prop_assert!((sum - 1.0).abs() < 1e-9);
            let (low, high) = correction.interval();
            prop_assert!(low <= correction.factor() && correction.factor() <= high);
            let shares = correction.shares(&development(), heat(at));
            prop_assert!((shares.shares().iter().sum::<f64>() - 1.0).abs() < 1e-9);
        }
    }
}
