//! What to count next time, so that the answer is surer.

use super::Followed;
use crate::count::Counts;
use crate::efficacy::Control;

/// With fewer stations than this the interval is wider than need be (`docs/scouting.md`).
const STATIONS: usize = 8;

/// Where so many times the stations would not settle it, no number is told.
const MOST_TIMES: f64 = 10.0;

/// What to count next time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CountNext {
    /// After the treatment, in time.
    After,
    /// Ground that is left untreated.
    Check,
    /// Before the treatment as well.
    Before,
    /// Ground left untreated where the pests are.
    CheckWithPests,
    /// At so many stations on the treated ground, and as many on the check.
    Stations(u32),
    /// Nothing more of this treatment: it reached what is expected, as far as counts of this number can tell.
    Enough,
    /// Nothing more of this treatment: it is settled that it stayed below what is expected.
    SettledBelow,
}

impl CountNext {
    /// In words.
    pub fn words(self) -> String {
        match self {
            Self::After => {
                "count again 3 to 14 days after the treatment, at the same places with the same frame".into()
            }
            Self::Check => {
                "leave a strip untreated that is infested alike, four stations or more, and count on it on the \
                            same days: without it a fall may be the season's"
                    .into()
            }
            Self::Before => {
                "count in the days before the treatment as well, on the treated ground and on the strip left \
                             untreated: then they need not be alike"
                    .into()
            }
            Self::CheckWithPests => {
                "choose the strip left untreated where the pests are: with none on it there is nothing \
                                     to compare with"
                    .into()
            }
            Self::Stations(number) => format!(
                "count at about {number} stations on the treated ground and as many on the strip left untreated: with \
                 fewer it stays open"
            ),
            Self::Enough => "nothing more of this treatment; count again as for any threshold".into(),
            Self::SettledBelow => {
                "nothing more of this treatment: that it stayed below what is expected is settled; see the causes"
                    .into()
            }
        }
    }
}

/// What a count after a treatment lacks, what weighs most first.
pub(super) fn after(count: &Followed, expected: Control) -> Vec<CountNext> {
    let trial = &count.trial;
    let mut wanted = Vec::new();
    let has_pests = |counts: &Option<Counts>| counts.as_ref().is_some_and(|counts| counts.total() > 0);
    if trial.check.after.is_none() {
        wanted.push(CountNext::Check);
    } else if !has_pests(&trial.check.after) {
        wanted.push(CountNext::CheckWithPests);
    }
    if trial.treated.before.is_none() || trial.check.before.is_none() {
        wanted.push(CountNext::Before);
    } else if !has_pests(&trial.treated.before) || !has_pests(&trial.check.before) {
        wanted.push(CountNext::CheckWithPests);
    }
    wanted.dedup();
    let all = [&trial.treated.after, &trial.check.after];
    let fewest = all.into_iter().flatten().map(Counts::stations).min().unwrap_or(0);
    let Ok(estimate) = &count.control else { return wanted };
    let (low, high) = estimate.interval;
    if high < expected {
        // More stations would not change that; a check and counts before, were they lacking, still might.
        wanted.insert(0, CountNext::SettledBelow);
        return wanted;
    }
    let is_open = low < expected;
    if is_open && let Some(number) = stations(estimate.log_survival, fewest, expected) {
        wanted.push(CountNext::Stations(number));
    } else if is_open && fewest < STATIONS {
        wanted.push(CountNext::Stations(STATIONS as u32));
    }
    if wanted.is_empty() {
        wanted.push(CountNext::Enough);
    }
    wanted
}

/// Of how many stations the interval would leave the control expected out, were the estimate the truth: its width falls with
/// the root of their number. `None` where more than [`MOST_TIMES`] as many would be needed.
fn stations((log, spread): (f64, f64), fewest: usize, expected: Control) -> Option<u32> {
    let far = (log - expected.survival().max(1e-3).ln()).abs();
    let times = (1.96 * spread / far).powi(2);
    let number = (fewest as f64 * times).ceil();
    (times.is_finite() && times <= MOST_TIMES).then_some((number as u32).max(fewest as u32 + 1).max(STATIONS as u32))
}
