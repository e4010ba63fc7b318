//! Whether a treatment worked: control against an untreated check, with its interval.

mod cause;
mod doubt;
mod estimate;
mod totals;

use problem::{Problem, Problems};

use crate::count::Counts;

pub use cause::{EXPECTED_CONTROL, PoorCause};
pub use doubt::EfficacyDoubt;
pub use estimate::{ControlAgainst, EfficacyEstimate, EfficacyFinding, EfficacyScatter, IntervalBasis};
pub use totals::{Efficacy, EfficacyCounts, efficacy};

use estimate::{Part, Ratio};

/// The share of the pests that would be there without a treatment and are not, because of it: 1 is complete, 0 none, and
/// below 0 there are more than on the check.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Control(f64);

impl Control {
    /// A share; `None` unless finite and at most 1.
    pub fn new(share: f64) -> Option<Self> {
        (share.is_finite() && share <= 1.0).then_some(Self(share))
    }

    pub(crate) const fn known(share: f64) -> Self {
        Self(share)
    }

    /// As a share.
    pub fn share(self) -> f64 {
        self.0
    }

    /// As a percentage.
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }

    /// What is left, as a share of what would be there.
    pub fn survival(self) -> f64 {
        1.0 - self.0
    }
}

/// By what control is reckoned. Each needs other counts.
///
/// # Source
/// Which holds when: Püntener 1981, Manual for field trials in plant protection (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EfficacyFormula {
    /// Living pests after, on ground that was alike before: (C - T) / C.
    ///
    /// Abbott 1925, J. Econ. Entomol. 18: 265-267 (from memory).
    Abbott,
    /// Living pests before and after, on ground that need not have been alike: 1 - (T after · C before) / (T before · C
    /// after).
    ///
    /// Henderson and Tilton 1955, J. Econ. Entomol. 48: 157-161 (from memory).
    HendersonTilton,
    /// Dead shares after, on ground that was alike before: (b - k) / (100 - k), in per cent.
    ///
    /// Schneider-Orelli 1947, Entomologisches Praktikum (from memory).
    SchneiderOrelli,
    /// The dead share on the treated ground, and how the pests of the check grew or fell meanwhile: (m + c) / (100 + c), in
    /// per cent. The ground need not have been alike.
    ///
    /// Sun and Shepard 1947, J. Econ. Entomol. 40: 710-715 (from memory).
    SunShepard,
}

impl EfficacyFormula {
    /// Every formula, the one that asks for least last.
    pub const ALL: [Self; 4] = [Self::HendersonTilton, Self::SunShepard, Self::SchneiderOrelli, Self::Abbott];

    /// Whose it is, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Abbott => "Abbott",
            Self::HendersonTilton => "Henderson and Tilton",
            Self::SchneiderOrelli => "Schneider-Orelli",
            Self::SunShepard => "Sun and Shepard",
        }
    }

    /// What it needs, in words.
    pub fn needs(self) -> &'static str {
        match self {
            Self::Abbott => "living pests after, treated and check, on ground that was alike before",
            Self::HendersonTilton => "living pests before and after, treated and check",
            Self::SchneiderOrelli => "living and dead pests after, treated and check, on ground that was alike before",
            Self::SunShepard => {
                "living and dead pests after on the treated ground, living ones before and after on the check"
            }
        }
    }

    /// Why counts were reckoned by it, in words: what they held, and what that makes of the answer.
    pub fn because(self) -> &'static str {
        match self {
            Self::HendersonTilton => {
                "counted before and after, on the treated ground and on ground left untreated: they need not have been alike"
            }
            Self::SunShepard => {
                "the dead were counted on the treated ground, and nobody counted there before; the ground left untreated tells                  how the pests grew or fell meanwhile"
            }
            Self::SchneiderOrelli => {
                "living and dead were counted after on both, and nobody counted before: the ground is taken to have been alike"
            }
            Self::Abbott => {
                "not counted before on both: the treated ground is taken to have been like the ground left untreated"
            }
        }
    }

    /// Whether treated ground and check must have been alike before.
    pub fn wants_alike(self) -> bool {
        matches!(self, Self::Abbott | Self::SchneiderOrelli)
    }
}

/// What was counted on one piece of ground, treated or left as a check.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct GroundCounts {
    /// Living pests before the treatment.
    pub before: Option<Counts>,
    /// Living pests after it.
    pub after: Option<Counts>,
    /// Dead pests after it, at the same stations in the same order.
    pub dead: Option<Counts>,
}

/// What was counted to tell whether a treatment worked.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EfficacyTrial {
    /// Ground that was treated.
    pub treated: GroundCounts,
    /// Ground that was left as it was.
    pub check: GroundCounts,
}

impl EfficacyTrial {
    /// The formula that these counts allow and that asks for most of them.
    ///
    /// # Errors
    /// Where they allow none.
    pub fn formula(&self) -> Result<EfficacyFormula, Problems> {
        EfficacyFormula::ALL.into_iter().find(|&formula| self.ratio(formula).is_some()).ok_or_else(|| {
            let ways: Vec<String> =
                EfficacyFormula::ALL.iter().map(|one| format!("{} ({})", one.needs(), one.words())).collect();
            Problem::error("scouting::efficacy-data", "these counts tell no control")
                .expected(ways.join("; or "))
                .mend("count on ground left untreated as well; a fall on treated ground alone may be the season's")
                .into()
        })
    }

    /// Control by the formula that these counts allow, with its 95 % interval.
    ///
    /// # Errors
    /// As [`Self::formula`] and [`Self::control_by`].
    pub fn control(&self) -> Result<EfficacyEstimate, Problems> {
        self.control_by(self.formula()?)
    }

    /// Control by one formula, with its 95 % interval.
    ///
    /// # Errors
    /// All of these: counts that the formula needs are missing, were made on other areas, or tell nothing to compare with
    /// (no pest on the check, none before); the ground was not alike before and the formula wants that; dead pests told
    /// of another number of stations than the living ones.
    pub fn control_by(&self, formula: EfficacyFormula) -> Result<EfficacyEstimate, Problems> {
        let Some(ratio) = self.ratio(formula) else {
            return Err(Problem::error(
                "scouting::efficacy-data",
                format!("these counts do not allow the formula of {}", formula.words()),
            )
            .expected(formula.needs())
            .into());
        };
        let mut problems = Problems::new();
        ratio.check(&mut problems);
        if formula.wants_alike()
            && let (Some(treated), Some(check)) = (&self.treated.before, &self.check.before)
            && let Some((low, high)) = before_ratio(treated, check)
            && !(low..=high).contains(&1.0)
        {
            problems.push(
                Problem::error(
                    "scouting::efficacy-unlike",
                    format!("before, the treated ground had `{low:.2}` to `{high:.2}` times the pests of the check"),
                )
                .expected(format!("ground that was alike, as the formula of {} takes it to be", formula.words()))
                .mend("use the counts before: Henderson and Tilton, or Sun and Shepard where the dead were counted"),
            );
        }
        problems.unless_errors(()).map(|_| ratio.estimate(formula))
    }

    /// What is left on the treated ground over what would be there; `None` where a count is missing.
    fn ratio(&self, formula: EfficacyFormula) -> Option<Ratio<'_>> {
        let Self { treated, check } = self;
        let after = [Part::mean(treated.after.as_ref(), TREATED_AFTER), Part::mean(check.after.as_ref(), CHECK_AFTER)];
        let before =
            [Part::mean(treated.before.as_ref(), TREATED_BEFORE), Part::mean(check.before.as_ref(), CHECK_BEFORE)];
        let alive = [Part::alive(treated, TREATED_AFTER), Part::alive(check, CHECK_AFTER)];
        let ([treated_after, check_after], [treated_before, check_before]) = (after, before);
        let [treated_alive, check_alive] = alive;
        Some(match formula {
            EfficacyFormula::Abbott => Ratio { above: vec![treated_after?], below: vec![check_after?] },
            EfficacyFormula::HendersonTilton => {
                Ratio { above: vec![treated_after?, check_before?], below: vec![treated_before?, check_after?] }
            }
            EfficacyFormula::SchneiderOrelli => Ratio { above: vec![treated_alive?], below: vec![check_alive?] },
            EfficacyFormula::SunShepard => {
                Ratio { above: vec![treated_alive?, check_before?], below: vec![check_after?] }
            }
        })
    }
}

const TREATED_BEFORE: &str = "on the treated ground before";
const TREATED_AFTER: &str = "on the treated ground after";
const CHECK_BEFORE: &str = "on the check before";
const CHECK_AFTER: &str = "on the check after";

/// How many times the pests of the check the treated ground had before, as the ends of a 95 % interval.
fn before_ratio(treated: &Counts, check: &Counts) -> Option<(f64, f64)> {
    let ratio = Ratio {
        above: vec![Part::mean(Some(treated), TREATED_BEFORE)?],
        below: vec![Part::mean(Some(check), CHECK_BEFORE)?],
    };
    let mut problems = Problems::new();
    ratio.check(&mut problems);
    (!problems.has_errors()).then(|| ratio.estimate(EfficacyFormula::Abbott)).map(|found| {
        let (low, high) = found.interval;
        (high.survival(), low.survival())
    })
}

#[cfg(test)]
mod tests;
