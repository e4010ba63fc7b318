//! Where the interval of a control holds less or more often than stated.

use problem::Problem;

/// With fewer stations than this on one of the grounds an interval holds more often than stated.
const STATIONS: usize = 8;
/// With fewer pests than this in one of the numbers it does as well.
const PESTS: u64 = 5;

/// Where a 95 % interval of control does not hold in 93 to 97 of a hundred cases, by simulation (`docs/scouting.md`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EfficacyDoubt {
    /// Few stations, or few pests in one of the numbers: it holds in 97 to 100 of a hundred, and is wider than need be.
    WiderThanNeeded {
        /// Stations on the ground that has fewest.
        stations: usize,
        /// The fewest pests in one of the numbers.
        pests: u64,
    },
}

impl EfficacyDoubt {
    /// Of the fewest stations on one of the grounds, and the fewest pests in one of the numbers; `None` where it holds as stated.
    pub(super) fn of(stations: usize, pests: u64) -> Option<Self> {
        (stations < STATIONS || pests < PESTS).then_some(Self::WiderThanNeeded { stations, pests })
    }

    /// As a warning.
    pub fn problem(self) -> Problem {
        let Self::WiderThanNeeded { stations, pests } = self;
        Problem::warning(
            "scouting::control-interval-wide",
            format!(
                "`{stations}` stations on one of the grounds and `{pests}` pests in one of the numbers are few, so that the 95 % \
                 interval of the control is wider than need be"
            ),
        )
        .expected(format!("{STATIONS} stations or more on each ground, and {PESTS} pests or more in each number"))
        .mend("count at more stations for a narrower one")
    }
}
