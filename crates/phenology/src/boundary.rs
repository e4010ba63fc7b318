//! The step from one stage to the next: not all individuals take it at the same heat.

use problem::{Problem, Problems};
use quantity::{DegreeDayUnit, DegreeDays};
use statrs::distribution::{ContinuousCDF, Normal};

/// How individuals differ in the heat that a step takes them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// A logistic distribution with this scale: 46 % lie within one scale of the middle, 76 % within two.
    Logistic(DegreeDays),
    /// A normal distribution with this standard deviation.
    Normal(DegreeDays),
}

/// The step from one stage to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boundary {
    middle: DegreeDays,
    spread: Spread,
}

impl Boundary {
    /// A step that half of the individuals have taken at `middle`.
    ///
    /// # Errors
    /// When the middle or the spread is not above nothing; both are reported.
    pub fn new(middle: DegreeDays, spread: Spread) -> Result<Self, Problems> {
        let mut problems = Problems::new();
        let shown = |heat: DegreeDays| heat.show(DegreeDayUnit::Celsius);
        if !middle.is_positive() {
            problems.push(
                Problem::error("phenology::boundary", format!("the middle of a step is `{}`", shown(middle)))
                    .expected("degree-days above nothing, counted from the start"),
            );
        }
        let (Spread::Logistic(wide) | Spread::Normal(wide)) = spread;
        if !wide.is_positive() {
            problems.push(
                Problem::error("phenology::spread", format!("the spread of a step is `{}`", shown(wide)))
                    .expected("degree-days above nothing: no two individuals are alike"),
            );
        }
        problems.unless_errors(Self { middle, spread }).map(|(boundary, _)| boundary)
    }

    /// Where half of the individuals have taken it.
    pub const fn middle(self) -> DegreeDays {
        self.middle
    }

    /// Share of the individuals that have taken it, 0 to 1.
    pub fn passed(self, heat: DegreeDays) -> f64 {
        let beyond = heat - self.middle;
        match self.spread {
            Spread::Logistic(scale) => logistic(beyond.ratio(scale)),
            Spread::Normal(deviation) => Normal::standard().cdf(beyond.ratio(deviation)),
        }
    }
}

/// The logistic function.
pub(crate) fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heat(value: f64) -> DegreeDays {
        DegreeDays::new(value, DegreeDayUnit::Celsius)
    }

    #[test]
    fn half_have_passed_at_the_middle_and_the_named_shares_beside_it() {
        for spread in [Spread::Logistic(heat(10.0)), Spread::Normal(heat(10.0))] {
            let boundary = Boundary::new(heat(200.0), spread).unwrap();
            assert!((boundary.passed(heat(200.0)) - 0.5).abs() < 1e-9);
            assert!(boundary.passed(heat(0.0)) < 1e-8 && boundary.passed(heat(400.0)) > 1.0 - 1e-8);
        }
        let within = |spread, times: f64| {
            let boundary = Boundary::new(heat(200.0), spread).unwrap();
            boundary.passed(heat(200.0 + times * 10.0)) - boundary.passed(heat(200.0 - times * 10.0))
        };
        assert!((within(Spread::Logistic(heat(10.0)), 1.0) - 0.462).abs() < 0.001);
        assert!((within(Spread::Logistic(heat(10.0)), 2.0) - 0.762).abs() < 0.001);
        assert!((within(Spread::Normal(heat(10.0)), 1.96) - 0.95).abs() < 0.001);
    }

    #[test]
    fn a_step_without_heat_or_spread_is_refused() {
        let problems = Boundary::new(heat(0.0), Spread::Normal(heat(-1.0))).unwrap_err();
        let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
        assert_eq!(codes, ["phenology::boundary", "phenology::spread"]);
    }
}
