//! Rounding to the marks of the measure in hand.

use crate::amount::{Amount, AmountUnit};
use crate::print::{before_unit, number};
use problem::Problem;
use std::fmt;

/// An amount this near to a mark, relative to the amount, stands on the mark: far below what can be
/// poured, far above what the arithmetic loses.
const ON_MARK: f64 = 1e-9;

/// The smallest step of a measure, such as a cylinder marked every 0.2 mL.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Graduation {
    step: f64,
    unit: AmountUnit,
}

impl Graduation {
    /// A measure marked every so many of a unit, from nothing on.
    ///
    /// # Errors
    /// When `step` is NaN, infinite, nothing or below.
    pub fn new(step: f64, unit: AmountUnit) -> Result<Self, Problem> {
        if step.is_finite() && step > 0.0 {
            return Ok(Self { step, unit });
        }
        Err(Problem::error(
            "quantity::graduation",
            format!("graduation `{step} {}` is not above nothing", unit.symbol()),
        )
        .expected("the step between two marks of the measure, above 0"))
    }

    /// The step between two marks.
    pub fn step(self) -> Amount {
        Amount::new(self.step, self.unit)
    }

    /// The unit in which the measure is marked.
    pub fn unit(self) -> AmountUnit {
        self.unit
    }

    /// The nearest mark, of two equally near ones the lower; `None` where the dimension differs or
    /// the amount is not finite.
    pub fn nearest(self, amount: Amount) -> Option<Amount> {
        let steps = self.steps(amount)?;
        let below = whole_below(steps);
        self.mark(if steps - below > 0.5 + tolerance(steps) { below + 1.0 } else { below })
    }

    /// The highest mark that is not above the amount; `None` as for [`Self::nearest`].
    pub fn down(self, amount: Amount) -> Option<Amount> {
        self.mark(whole_below(self.steps(amount)?))
    }

    /// The lowest mark that is not below the amount; `None` as for [`Self::nearest`].
    pub fn up(self, amount: Amount) -> Option<Amount> {
        self.mark(-whole_below(-self.steps(amount)?))
    }

    fn steps(self, amount: Amount) -> Option<f64> {
        Some(amount.to(self.unit)? / self.step).filter(|steps| steps.is_finite())
    }

    fn mark(self, steps: f64) -> Option<Amount> {
        // Three steps of 0.2 are 0.6 and not 0.6000000000000001.
        let per_unit = (1.0 / self.step).round();
        let even = per_unit >= 1.0 && (per_unit * self.step - 1.0).abs() < 1e-15;
        let value = if even { steps / per_unit } else { steps * self.step };
        value.is_finite().then(|| Amount::new(value + 0.0, self.unit))
    }

    /// Steps of 1, 2 or 5 times a power of ten below this one, coarsest first.
    fn finer(self) -> impl Iterator<Item = Self> {
        let top = self.step.log10().floor() as i32;
        (0..=6)
            .flat_map(move |down| {
                [5.0, 2.0, 1.0].map(move |digit| {
                    let power = top - down;
                    // A quotient of whole numbers is the number nearest to 0.05; a product is not.
                    let step = if power < 0 { digit / 10_f64.powi(-power) } else { digit * 10_f64.powi(power) };
                    Self { step, ..self }
                })
            })
            .filter(move |finer| finer.step < self.step * (1.0 - ON_MARK) && finer.step > 0.0)
    }
}

impl fmt::Display for Graduation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", before_unit(number(self.step), self.unit.system()), self.unit.symbol())
    }
}

fn tolerance(steps: f64) -> f64 {
    ON_MARK * steps.abs()
}

/// The whole number of steps that is not above, where within the tolerance counts as reached.
fn whole_below(steps: f64) -> f64 {
    let near = steps.round();
    if (steps - near).abs() <= tolerance(steps) { near } else { steps.floor() }
}

/// How an amount came to its mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Rounding {
    /// The exact amount stands on a mark.
    Exact,
    /// To the nearest mark.
    Nearest,
    /// Down, since the nearest mark would pass the limit.
    DownAtLimit,
}

/// An amount on a mark of the measure, within its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    amount: Amount,
    exact: Amount,
    rounding: Rounding,
    graduation: Graduation,
}

impl Measured {
    /// The amount to measure.
    pub fn amount(&self) -> Amount {
        self.amount
    }

    /// The amount before rounding.
    pub fn exact(&self) -> Amount {
        self.exact
    }

    /// How it was rounded.
    pub fn rounding(&self) -> Rounding {
        self.rounding
    }

    /// The measure.
    pub fn graduation(&self) -> Graduation {
        self.graduation
    }
}

/// The measure is too coarse: no mark that the rule may take lies within the limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NeedsFinerMeasure {
    graduation: Graduation,
    exact: Amount,
    finer: Option<Graduation>,
}

impl NeedsFinerMeasure {
    /// The measure that is too coarse.
    pub fn graduation(&self) -> Graduation {
        self.graduation
    }

    /// The amount that should have been measured.
    pub fn exact(&self) -> Amount {
        self.exact
    }

    /// The coarsest measure that would do, marked in steps of 1, 2 or 5 times a power of ten of the
    /// same unit; `None` when none does, as when the least amount is above the most.
    pub fn finer(&self) -> Option<Graduation> {
        self.finer
    }

    /// The same as a problem under the code of the room that measures.
    pub fn into_problem(self, code: &'static str) -> Problem {
        let problem = Problem::error(code, self.to_string());
        match self.finer {
            Some(finer) => problem.mend(format!("use a finer measure, such as one marked every {finer}")),
            None => problem.expected("an amount within its limits"),
        }
    }
}

impl fmt::Display for NeedsFinerMeasure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let exact = self.exact.show(self.graduation.unit).unwrap_or_default();
        write!(f, "`{exact}` cannot be measured within its limits on marks of `{}`", self.graduation)
    }
}

impl std::error::Error for NeedsFinerMeasure {}

/// Why an amount cannot be measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeasureError {
    /// The measure is too coarse.
    NeedsFinerMeasure(NeedsFinerMeasure),
    /// A volume and a mass were taken together, or an amount is not finite.
    DimensionDiffers,
}

impl fmt::Display for MeasureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NeedsFinerMeasure(needs) => needs.fmt(f),
            Self::DimensionDiffers => f.write_str("a volume and a mass cannot be measured by each other"),
        }
    }
}

impl std::error::Error for MeasureError {}

/// The amount to measure for an exact one: the nearest mark; where that passes the most that is
/// allowed, the highest mark below both the exact amount and the limit. It is never above `at_most`
/// (by more than one part in 10⁹, which cannot be poured).
///
/// # Errors
/// [`MeasureError::NeedsFinerMeasure`] when what comes out is below `at_least`, or nothing where
/// there should be something; [`MeasureError::DimensionDiffers`] when volumes and masses are mixed.
pub fn measured(
    exact: Amount,
    graduation: Graduation,
    at_most: Amount,
    at_least: Option<Amount>,
) -> Result<Measured, MeasureError> {
    let (amount, rounding, within) =
        on_mark(exact, graduation, at_most, at_least).ok_or(MeasureError::DimensionDiffers)?;
    if within {
        return Ok(Measured { amount, exact, rounding, graduation });
    }
    let would_do = |finer: &Graduation| on_mark(exact, *finer, at_most, at_least).is_some_and(|(_, _, within)| within);
    let finer = graduation.finer().find(would_do);
    Err(MeasureError::NeedsFinerMeasure(NeedsFinerMeasure { graduation, exact, finer }))
}

/// The mark, how it was found, and whether it lies within the limits; `None` where dimensions differ.
fn on_mark(
    exact: Amount,
    graduation: Graduation,
    at_most: Amount,
    at_least: Option<Amount>,
) -> Option<(Amount, Rounding, bool)> {
    let unit = graduation.unit;
    let number = |amount: Amount| amount.to(unit).filter(|number| number.is_finite());
    let (wanted, most) = (number(exact)?, number(at_most)?);
    let least = match at_least {
        Some(amount) => number(amount)?,
        None => 0.0,
    };
    let mut mark = graduation.nearest(exact)?;
    let mut rounding = Rounding::Nearest;
    if number(mark)? > most + ON_MARK * most.abs() {
        mark = graduation.down(if wanted < most { exact } else { at_most })?;
        rounding = Rounding::DownAtLimit;
    }
    let value = number(mark)?;
    if (value - wanted).abs() <= ON_MARK * wanted.abs() {
        rounding = Rounding::Exact;
    }
    let nothing = value <= 0.0 && wanted > 0.0;
    let within = !nothing && value >= least - ON_MARK * least.abs();
    Some((mark, rounding, within))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{MassUnit, VolumeUnit};

    const ML: AmountUnit = AmountUnit::Volume(VolumeUnit::Millilitre);

    fn ml(value: f64) -> Amount {
        Amount::new(value, ML)
    }

    fn every(step: f64) -> Graduation {
        Graduation::new(step, ML).unwrap()
    }

    fn value(amount: Option<Amount>) -> f64 {
        amount.and_then(|amount| amount.to(ML)).unwrap()
    }

    #[track_caller]
    fn reads(amount: Option<Amount>, expected: f64) {
        assert!((value(amount) - expected).abs() < 1e-12, "{amount:?} is not {expected} mL");
    }

    #[test]
    fn amounts_go_to_the_marks_around_them() {
        reads(every(0.2).nearest(ml(14.02)), 14.0);
        reads(every(0.2).up(ml(14.02)), 14.2);
        reads(every(0.2).down(ml(14.18)), 14.0);
        reads(every(0.2).nearest(ml(14.1)), 14.0);
        reads(every(0.25).nearest(ml(0.3)), 0.25);
        reads(every(5.0).nearest(ml(94.5)), 95.0);
    }

    #[test]
    fn an_amount_on_a_mark_stays_on_it() {
        for steps in 0..2000 {
            let on = ml(f64::from(steps) * 0.2);
            for amount in [every(0.2).nearest(on), every(0.2).down(on), every(0.2).up(on)] {
                reads(amount, f64::from(steps) / 5.0);
            }
        }
        reads(every(0.1).down(ml(0.1 + 0.2)), 0.3);
        reads(every(0.1).up(ml(0.1 + 0.2)), 0.3);
    }

    #[test]
    fn a_volume_has_no_mark_on_a_scale() {
        let scale = Graduation::new(1.0, AmountUnit::Mass(MassUnit::Gram)).unwrap();
        assert_eq!(scale.nearest(ml(3.0)), None);
        assert_eq!(measured(ml(3.0), scale, ml(3.0), None), Err(MeasureError::DimensionDiffers));
    }

    #[test]
    fn a_step_must_be_above_nothing() {
        for step in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Graduation::new(step, ML).is_err());
        }
    }

    #[test]
    fn a_limit_is_never_passed() {
        let at_limit = |exact: f64| measured(ml(exact), every(0.2), ml(exact), None).unwrap();
        reads(Some(at_limit(14.020_043_6).amount()), 14.0);
        assert_eq!(at_limit(14.020_043_6).rounding(), Rounding::Nearest);
        reads(Some(at_limit(10.3733).amount()), 10.2);
        assert_eq!(at_limit(10.3733).rounding(), Rounding::DownAtLimit);
        assert_eq!(at_limit(14.0).rounding(), Rounding::Exact);
        // Even an exact amount above the limit comes down to it.
        reads(Some(measured(ml(15.1), every(0.2), ml(14.1), None).unwrap().amount()), 14.0);
    }

    #[test]
    fn a_measure_too_coarse_names_the_one_that_would_do() {
        let needs = |result| match result {
            Err(MeasureError::NeedsFinerMeasure(needs)) => needs,
            other => panic!("{other:?}"),
        };
        let short = needs(measured(ml(10.3733), every(0.2), ml(10.3733), Some(ml(10.32))));
        assert_eq!(short.finer(), Some(every(0.05)));
        assert_eq!(
            short.into_problem("sprayer::measure").to_string(),
            "error[sprayer::measure]: `10.4 mL` cannot be measured within its limits on marks of `0.2 mL`\n  \
             mend: use a finer measure, such as one marked every 0.05 mL"
        );
        let nothing = needs(measured(ml(0.04), every(0.2), ml(0.05), None));
        assert_eq!(nothing.finer(), Some(every(0.05)));
        let never = needs(measured(ml(5.0), every(1.0), ml(4.0), Some(ml(4.5))));
        assert_eq!(never.finer(), None);
        assert!(measured(ml(0.0), every(0.2), ml(1.0), None).is_ok(), "nothing of nothing is right");
    }
}
