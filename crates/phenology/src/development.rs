//! Shares of the stages by the heat so far.

use crate::boundary::{Boundary, logistic};
use problem::{Problem, Problems};
use quantity::{DegreeDayUnit, DegreeDays};

/// How a generation goes through its stages. There is one stage more than there are steps between stages.
#[derive(Debug, Clone, PartialEq)]
pub struct Development {
    steps: Steps,
}

#[derive(Debug, Clone, PartialEq)]
enum Steps {
    Each(Vec<Boundary>),
    /// Middles, and the variance that each degree-day adds.
    Shared(Vec<DegreeDays>, DegreeDays),
}

/// Share of the individuals in each stage, in the order of the stages; they are 0 to 1 and their sum is 1.
#[derive(Debug, Clone, PartialEq)]
pub struct StageShares(Vec<f64>);

impl StageShares {
    pub(crate) const fn new(shares: Vec<f64>) -> Self {
        Self(shares)
    }

    /// The shares, in the order of the stages.
    pub fn shares(&self) -> &[f64] {
        &self.0
    }

    /// Share in some of the stages together; a stage that is not there adds nothing.
    pub fn of(&self, stages: &[usize]) -> f64 {
        stages.iter().filter_map(|stage| self.0.get(*stage)).sum()
    }

    /// The stage with the largest share; of equal ones the earliest.
    pub fn largest(&self) -> usize {
        let larger = |best: usize, stage: usize| if self.0[stage] > self.0[best] { stage } else { best };
        (0..self.0.len()).fold(0, larger)
    }
}

impl Development {
    /// Steps each with a middle and a spread of its own.
    ///
    /// Where a later step's curve overtakes that of an earlier one, far from both middles, no more are taken to have
    /// passed the later than the earlier: nobody skips a stage.
    ///
    /// # Errors
    /// `phenology::no-step` without any; `phenology::order` for each whose middle is not above that of the one before.
    pub fn by_boundaries(steps: Vec<Boundary>) -> Result<Self, Problems> {
        check_order(&steps.iter().map(|step| step.middle()).collect::<Vec<_>>())?;
        Ok(Self { steps: Steps::Each(steps) })
    }

    /// Steps of which half of the individuals have taken each at its middle, with a variance that grows with the heat so
    /// far: at heat t a step with its middle at a is passed by 1/(1 + exp((a - t)/√(b t))) of them.
    ///
    /// # Errors
    /// As [`Development::by_boundaries`]; `phenology::spread` when `variance_per_degree_day` is not above nothing.
    ///
    /// # Source
    /// Dennis, B., W. P. Kemp and R. C. Beckwith 1986: Stochastic model of insect phenology: estimation and testing.
    /// Environmental Entomology 15: 540-546, <https://doi.org/10.1093/ee/15.3.540>. Kemp, W. P., and J. A. Onsager 1986:
    /// Rangeland grasshoppers (Orthoptera: Acrididae): modeling phenology of natural populations of six species.
    /// Environmental Entomology 15: 924-930, fit it to grasshoppers, on degree-days above 17.8 °C.
    pub fn by_dennis_1986(middles: Vec<DegreeDays>, variance_per_degree_day: DegreeDays) -> Result<Self, Problems> {
        let mut problems = check_order(&middles).err().unwrap_or_default();
        if !variance_per_degree_day.is_positive() {
            let shown = variance_per_degree_day.show(DegreeDayUnit::Celsius);
            problems.push(
                Problem::error("phenology::spread", format!("the variance per degree-day is `{shown}`"))
                    .expected("degree-days above nothing: no two individuals are alike"),
            );
        }
        problems.unless_errors(Self { steps: Steps::Shared(middles, variance_per_degree_day) }).map(|(own, _)| own)
    }

    /// How many stages there are.
    pub fn stages(&self) -> usize {
        1 + match &self.steps {
            Steps::Each(steps) => steps.len(),
            Steps::Shared(middles, _) => middles.len(),
        }
    }

    /// Share in each stage at so much heat since the start.
    pub fn at(&self, heat: DegreeDays) -> StageShares {
        let mut shares = Vec::with_capacity(self.stages());
        let mut before = 1.0_f64;
        for step in 0..self.stages() - 1 {
            let passed = self.passed(step, heat).min(before);
            shares.push(before - passed);
            before = passed;
        }
        shares.push(before);
        StageShares(shares)
    }

    fn passed(&self, step: usize, heat: DegreeDays) -> f64 {
        match &self.steps {
            Steps::Each(steps) => steps[step].passed(heat),
            Steps::Shared(_, _) if !heat.is_positive() => 0.0,
            Steps::Shared(middles, variance) => {
                let unit = DegreeDayUnit::Celsius;
                let deviation = (variance.to(unit) * heat.to(unit)).sqrt();
                logistic((heat - middles[step]).to(unit) / deviation)
            }
        }
    }
}

fn check_order(middles: &[DegreeDays]) -> Result<(), Problems> {
    let mut problems = Problems::new();
    if middles.is_empty() {
        problems.push(
            Problem::error("phenology::no-step", "there is no step between stages")
                .expected("one step or more, such as the hatch"),
        );
    }
    let shown = |heat: DegreeDays| heat.show(DegreeDayUnit::Celsius);
    if let Some(first) = middles.first().filter(|first| !first.is_positive()) {
        problems.push(
            Problem::error("phenology::boundary", format!("the middle of a step is `{}`", shown(*first)))
                .expected("degree-days above nothing, counted from the start"),
        );
    }
    for (index, pair) in middles.windows(2).enumerate().filter(|(_, pair)| pair[1] <= pair[0]) {
        problems.push(
            Problem::error(
                "phenology::order",
                format!(
                    "step `{}` at `{}` follows step `{}` at `{}`",
                    index + 2,
                    shown(pair[1]),
                    index + 1,
                    shown(pair[0])
                ),
            )
            .expected("each step at more degree-days than the one before")
            .mend("put the steps in the order of the stages"),
        );
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::Spread;
    use proptest::prelude::*;

    fn heat(value: f64) -> DegreeDays {
        DegreeDays::new(value, DegreeDayUnit::Celsius)
    }

    fn step(middle: f64, scale: f64) -> Boundary {
        Boundary::new(heat(middle), Spread::Logistic(heat(scale))).unwrap()
    }

    #[test]
    fn a_generation_begins_in_its_first_stage_and_ends_in_its_last() {
        for development in [
            Development::by_boundaries(vec![step(100.0, 5.0), step(200.0, 8.0)]).unwrap(),
            Development::by_dennis_1986(vec![heat(100.0), heat(200.0)], heat(1.0)).unwrap(),
        ] {
            assert_eq!(development.stages(), 3);
            assert_eq!(development.at(heat(0.0)).largest(), 0);
            assert_eq!(development.at(heat(150.0)).largest(), 1);
            assert!(development.at(heat(900.0)).shares()[2] > 0.999);
            assert!(development.at(heat(150.0)).of(&[0, 2]) < 0.05);
            assert_eq!(development.at(heat(150.0)).of(&[7]), 0.0);
        }
    }

    #[test]
    fn nobody_skips_a_stage() {
        // The second curve is so flat that below 100 it would lie above the first.
        let development = Development::by_boundaries(vec![step(100.0, 2.0), step(110.0, 60.0)]).unwrap();
        let early = development.at(heat(60.0));
        assert!(early.shares().iter().all(|share| (0.0..=1.0).contains(share)), "{early:?}");
        assert!(early.shares()[0] > 0.999);
    }

    #[test]
    fn steps_out_of_order_are_refused() {
        let codes = |problems: Problems| problems.iter().map(|problem| problem.code).collect::<Vec<_>>();
        let wrong = Development::by_boundaries(vec![step(200.0, 5.0), step(100.0, 5.0), step(100.0, 5.0)]);
        assert_eq!(codes(wrong.unwrap_err()), ["phenology::order", "phenology::order"]);
        assert_eq!(codes(Development::by_boundaries(Vec::new()).unwrap_err()), ["phenology::no-step"]);
        let wrong = Development::by_dennis_1986(vec![heat(-1.0)], heat(0.0));
        assert_eq!(codes(wrong.unwrap_err()), ["phenology::boundary", "phenology::spread"]);
    }

    proptest! {
        #[test]
        fn shares_are_the_whole_and_nobody_grows_younger(
            steps in prop::collection::vec((5.0..100.0_f64, 0.5..30.0_f64), 1..7),
            at in 0.0..900.0_f64, more in 0.0..50.0_f64, is_shared in any::<bool>(),
        ) {
            let mut middle = 0.0;
            let steps: Vec<(f64, f64)> = steps.into_iter().map(|(by, scale)| { middle += by; (middle, scale) }).collect();
            let development = if is_shared {
                Development::by_dennis_1986(steps.iter().map(|(middle, _)| heat(*middle)).collect(), heat(steps[0].1))
            } else {
                Development::by_boundaries(steps.iter().map(|(middle, scale)| step(*middle, *scale)).collect())
            }.unwrap();
            let (now, later) = (development.at(heat(at)), development.at(heat(at + more)));
            prop_assert_eq!(now.shares().len(), steps.len() + 1);
            prop_assert!((now.shares().iter().sum::<f64>() - 1.0).abs() < 1e-12);
            prop_assert!(now.shares().iter().all(|share| (0.0..=1.0).contains(share)));
            for stage in 0..now.shares().len() {
                let beyond = |shares: &StageShares| shares.shares()[stage..].iter().sum::<f64>();
                prop_assert!(beyond(&later) >= beyond(&now) - 1e-12);
            }
        }
    }
}
