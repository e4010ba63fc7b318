//! A ratio of means and of living shares, and how far it can be trusted.

use problem::{Problem, Problems};

use super::{Control, EfficacyDoubt, EfficacyFormula, GroundCounts};
use crate::count::{CountBasis, Counts, t_value};
use crate::dispersion::ClumpingK;
use crate::draws::Draws;
use crate::scatter::Scatter;

/// Below so many pests in one of its numbers an interval is drawn by lot.
const FEW: u64 = 30;
/// Below so many stations in all it is as well.
const FEW_STATIONS: usize = 16;
/// Draws of an interval, and the seed that they begin with: the same counts have the same interval.
const DRAWS: u32 = 4_000;
const SEED: u64 = 1;

/// How an interval was reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IntervalBasis {
    /// From the variance of the logarithm of the ratio (delta method), by Student's t.
    Delta {
        /// Degrees of freedom.
        freedom: usize,
    },
    /// By lot, since the counts are few: k, then each mean and share, as likely as the counts make them.
    ByLot {
        /// How often.
        draws: u32,
        /// The seed.
        seed: u64,
    },
}

/// How the counts were taken to scatter. One k is common to all means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EfficacyScatter {
    /// k of the negative binomial (of the mean clumping that the counts make likely); `None` without a mean in the formula.
    pub k: Option<ClumpingK>,
    /// How many times the variance of dead shares is that of chance alone, 1 or more; `None` without a dead share.
    pub overdispersion: Option<f64>,
}

/// What an estimate says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EfficacyFinding {
    /// No living pest was found on the treated ground.
    NoneLeft,
    /// The whole interval is above no control.
    Reduced,
    /// The interval holds no control: the counts do not show that the treatment did anything.
    NotShown,
    /// The whole interval is below: more pests than on the check.
    Increased,
}

/// Control as estimated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EfficacyEstimate {
    /// By which formula.
    pub formula: EfficacyFormula,
    /// The estimate.
    pub control: Control,
    /// Ends of its 95 % interval, the lower first.
    pub interval: (Control, Control),
    /// How the interval was reached.
    pub basis: IntervalBasis,
    /// How the counts were taken to scatter.
    pub scatter: EfficacyScatter,
    /// Whether the interval may hold less or more often than stated.
    pub doubt: Option<EfficacyDoubt>,
    /// What it says.
    pub finding: EfficacyFinding,
    /// Mean and standard deviation of the logarithm of the survival.
    pub(crate) log_survival: (f64, f64),
}

/// An estimate against the control that is expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ControlAgainst {
    /// The estimate reaches it.
    Reached,
    /// The estimate is below, and the interval holds it.
    PerhapsBelow,
    /// The whole interval is below it.
    Below,
}

impl EfficacyEstimate {
    /// Held against the control that is expected.
    pub fn against(&self, expected: Control) -> ControlAgainst {
        if self.control >= expected {
            ControlAgainst::Reached
        } else if self.interval.1 >= expected {
            ControlAgainst::PerhapsBelow
        } else {
            ControlAgainst::Below
        }
    }
}

/// A mean of counts, or the share of pests that live.
pub(super) enum Part<'c> {
    Mean { counts: &'c Counts, what: &'static str },
    Alive { living: &'c Counts, dead: &'c Counts, what: &'static str },
}

impl<'c> Part<'c> {
    pub(super) fn mean(counts: Option<&'c Counts>, what: &'static str) -> Option<Self> {
        counts.map(|counts| Self::Mean { counts, what })
    }

    pub(super) fn alive(ground: &'c GroundCounts, what: &'static str) -> Option<Self> {
        Some(Self::Alive { living: ground.after.as_ref()?, dead: ground.dead.as_ref()?, what })
    }

    /// Living pests.
    fn living(&self) -> &'c Counts {
        match self {
            Self::Mean { counts, .. } => counts,
            Self::Alive { living, .. } => living,
        }
    }

    fn value(&self) -> f64 {
        match self {
            Self::Mean { counts, .. } => counts.mean(),
            Self::Alive { living, dead, .. } => {
                let (living, dead) = (living.total() as f64, dead.total() as f64);
                living / (living + dead)
            }
        }
    }

    /// Variance of the logarithm, where pests were found.
    fn variance(&self, clumping: f64, overdispersion: f64) -> f64 {
        match self {
            Self::Mean { counts, .. } => (1.0 / counts.mean() + clumping) / counts.stations() as f64,
            Self::Alive { living, dead, .. } => {
                let (living, dead) = (living.total() as f64, dead.total() as f64);
                overdispersion * (1.0 / living - 1.0 / (living + dead))
            }
        }
    }

    /// A value that the counts make likely; with Jeffreys' weight of the mean or of the share.
    fn draw(&self, k: f64, overdispersion: f64, draws: &mut Draws) -> f64 {
        match self {
            Self::Mean { counts, .. } => {
                k * draws.gamma(counts.total() as f64 + 0.5) / draws.gamma(counts.stations() as f64 * k)
            }
            Self::Alive { living, dead, .. } => {
                let living = draws.gamma(living.total() as f64 / overdispersion + 0.5);
                let dead = draws.gamma(dead.total() as f64 / overdispersion + 0.5);
                living / (living + dead)
            }
        }
    }

    /// The square of Pearson over the stations of a dead share, and its degrees of freedom.
    fn pearson(&self) -> Option<(f64, f64)> {
        let Self::Alive { living, dead, .. } = self else { return None };
        let share = self.value();
        let both = living.counts().iter().zip(dead.counts()).map(|(&one, &other)| (f64::from(one), f64::from(other)));
        let telling: Vec<(f64, f64)> = both.filter(|(living, dead)| living + dead > 0.0).collect();
        let of = |&(living, dead): &(f64, f64)| {
            let all = living + dead;
            (living - all * share).powi(2) / (all * share * (1.0 - share))
        };
        let is_mixed = share > 0.0 && share < 1.0;
        Some((if is_mixed { telling.iter().map(of).sum() } else { 0.0 }, telling.len() as f64 - 1.0))
    }
}

/// What is left over what would be there.
pub(super) struct Ratio<'c> {
    pub(super) above: Vec<Part<'c>>,
    pub(super) below: Vec<Part<'c>>,
}

impl<'c> Ratio<'c> {
    fn parts(&self) -> impl Iterator<Item = &Part<'c>> {
        self.above.iter().chain(&self.below)
    }

    /// What keeps it from having a value.
    pub(super) fn check(&self, problems: &mut Problems) {
        let areas: Vec<(CountBasis, &str)> = self
            .parts()
            .filter_map(|part| match part {
                Part::Mean { counts, what } => Some((counts.basis(), *what)),
                Part::Alive { .. } => None,
            })
            .collect();
        if let Some((first, of_first)) = areas.first() {
            for (other, what) in areas.iter().filter(|(other, _)| !is_same(*first, *other)) {
                problems.push(
                    Problem::error(
                        "scouting::efficacy-basis",
                        format!("counts {of_first} are `{}`, and {what} `{}`", first.words(), other.words()),
                    )
                    .expected("one area of a count before and after, treated and check")
                    .mend("count with the same frame, or leave the other counts out"),
                );
            }
        }
        for part in self.parts() {
            let Part::Alive { living, dead, what } = part else { continue };
            if living.stations() != dead.stations() {
                problems.push(
                    Problem::error(
                        "scouting::efficacy-dead",
                        format!(
                            "`{}` counts of dead pests {what}, `{}` of living ones",
                            dead.stations(),
                            living.stations()
                        ),
                    )
                    .expected("both at every station"),
                );
            }
            if living.total() + dead.total() == 0 {
                problems.push(nothing("living or dead", what));
            }
        }
        // What stands below, and a check before, must not be nothing; none left on the treated ground is an answer.
        let compared = self.below.iter().chain(self.above.iter().skip(1));
        for part in compared.filter(|part| part.living().total() == 0) {
            let (Part::Mean { what, .. } | Part::Alive { what, .. }) = part;
            problems.push(nothing("living", what));
        }
    }

    pub(super) fn estimate(&self, formula: EfficacyFormula) -> EfficacyEstimate {
        let means: Vec<&Counts> = self
            .parts()
            .filter_map(|part| match part {
                Part::Mean { counts, .. } => Some(*counts),
                Part::Alive { .. } => None,
            })
            .collect();
        let scatter = (!means.is_empty()).then(|| Scatter::after(&means));
        let pearson: Vec<(f64, f64)> = self.parts().filter_map(Part::pearson).collect();
        let overdispersion = (!pearson.is_empty()).then(|| {
            let (square, freedom) = pearson.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
            if freedom > 0.0 { (square / freedom).max(1.0) } else { 1.0 }
        });
        let ratio = |of: &mut dyn FnMut(&Part<'_>) -> f64| -> f64 {
            let above: f64 = self.above.iter().map(&mut *of).product();
            let below: f64 = self.below.iter().map(of).product();
            above / below
        };
        let survival = ratio(&mut |part| part.value());
        let fewest = self.parts().map(|part| part.living().total()).min().unwrap_or(0);
        let stations: usize = self.parts().map(|part| part.living().stations()).sum();
        let clumping = scatter.as_ref().map_or(0.0, Scatter::clumping);
        let overdispersed = overdispersion.unwrap_or(1.0);
        let freedom = stations.saturating_sub(self.parts().count());
        let delta = (fewest >= FEW && stations >= FEW_STATIONS).then(|| t_value(0.95, freedom)).flatten();
        let (interval, basis, log_survival) = if let Some(t) = delta {
            let variance: f64 = self.parts().map(|part| part.variance(clumping, overdispersed)).sum();
            let spread = variance.sqrt();
            let ends = (survival * (t * spread).exp(), survival * (-t * spread).exp());
            (ends, IntervalBasis::Delta { freedom }, (survival.ln(), spread))
        } else {
            let mut draws = Draws::of_seed(SEED);
            let mut drawn: Vec<f64> = (0..DRAWS)
                .map(|_| {
                    let k = scatter.as_ref().map_or(1.0, |scatter| scatter.draw(&mut draws));
                    ratio(&mut |part| part.draw(k, overdispersed, &mut draws))
                })
                .collect();
            drawn.sort_by(f64::total_cmp);
            let at = |share: f64| drawn[((share * f64::from(DRAWS)) as usize).min(drawn.len() - 1)];
            let logs: Vec<f64> = drawn.iter().map(|one| one.max(f64::MIN_POSITIVE).ln()).collect();
            // By quartiles: a few draws that are far out would tell the spread else.
            let quarter = |share: f64| logs[(share * f64::from(DRAWS)) as usize];
            let spread = (quarter(0.75) - quarter(0.25)) / 1.349;
            ((at(0.975), at(0.025)), IntervalBasis::ByLot { draws: DRAWS, seed: SEED }, (quarter(0.5), spread))
        };
        // Where none is left the estimate is complete, and so is the upper end.
        let interval = (interval.0.max(survival), interval.1.min(survival));
        let finding = if survival == 0.0 {
            EfficacyFinding::NoneLeft
        } else if interval.0 < 1.0 {
            EfficacyFinding::Reduced
        } else if interval.1 > 1.0 {
            EfficacyFinding::Increased
        } else {
            EfficacyFinding::NotShown
        };
        let k = scatter.and(ClumpingK::new(1.0 / clumping));
        let fewest_stations = self.parts().map(|part| part.living().stations()).min().unwrap_or(0);
        EfficacyEstimate {
            formula,
            control: Control::known(1.0 - survival),
            interval: (Control::known(1.0 - interval.0), Control::known(1.0 - interval.1)),
            basis,
            scatter: EfficacyScatter { k, overdispersion },
            doubt: EfficacyDoubt::of(fewest_stations, fewest),
            finding,
            log_survival,
        }
    }
}

fn is_same(one: CountBasis, other: CountBasis) -> bool {
    match (one, other) {
        (CountBasis::Area(one), CountBasis::Area(other)) => (one.ratio(other) - 1.0).abs() < 1e-9,
        (one, other) => one == other,
    }
}

fn nothing(kind: &str, what: &str) -> Problem {
    Problem::error("scouting::efficacy-nothing", format!("`0` {kind} pests counted {what}"))
        .expected("one or more")
        .mend("count at more stations, or judge by the density alone")
}
