//! Where the interval of a control holds less or more often than stated.

use problem::Problem;

/// With fewer stations than this on one of the grounds an interval holds more often than stated.
const STATIONS: usize = 8;
/// With fewer pests than this in one of the numbers it does as well.
const PESTS: u64 = 5;
/// From so many stations on few pests left are a lucky count as well as a good treatment.
const MANY_STATIONS: usize = 16;
/// Fewer pests than this are few there.
const FEW_PESTS: u64 = 10;

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
    /// None left on many stations, or few: it holds in 52 to 92 of a hundred cases only.
    HoldsLess {
        /// Stations on the ground that has fewest.
        stations: usize,
        /// The fewest pests in one of the numbers.
        pests: u64,
    },
}

impl EfficacyDoubt {
    /// Of the fewest stations on one of the grounds, and the fewest pests in one of the numbers; `None` where it holds as stated.
    pub(super) fn of(stations: usize, pests: u64) -> Option<Self> {
        if (pests == 0 && stations > STATIONS) || (stations >= MANY_STATIONS && (PESTS..FEW_PESTS).contains(&pests)) {
            return Some(Self::HoldsLess { stations, pests });
        }
        (stations < STATIONS || pests < PESTS).then_some(Self::WiderThanNeeded { stations, pests })
    }

    /// As a warning.
    pub fn problem(self) -> Problem {
        match self {
            Self::WiderThanNeeded { stations, pests } => {
                let few = match (stations < STATIONS, pests < PESTS) {
                    (true, true) => format!(
                        "`{stations}` stations on one of the grounds and `{pests}` pests in one of the numbers are few"
                    ),
                    (true, false) => format!("`{stations}` stations on one of the grounds are few"),
                    (false, _) => format!("`{pests}` pests in one of the numbers are few"),
                };
                Problem::warning(
                    "scouting::control-interval-wide",
                    format!("{few}, so that the 95 % interval of the control is wider than need be"),
                )
                .expected(format!("{STATIONS} stations or more on each ground, and {PESTS} pests or more in each number"))
                .mend("count at more stations for a narrower one")
            }
            Self::HoldsLess { stations, pests } => Problem::warning(
                "scouting::control-interval-holds-less",
                format!(
                    "`{pests}` pests in one of the numbers, of `{stations}` stations, are a lucky count as well as a good \
                     treatment: the 95 % interval of the control holds less often than stated"
                ),
            )
            .expected(format!("{FEW_PESTS} pests or more in each number"))
            .mend("count once more, at other stations, before relying on it"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cells of the table of `docs/scouting.md`.
    #[test]
    fn what_holds_less_is_not_told_as_wider_than_need_be() {
        let code = |stations, pests| EfficacyDoubt::of(stations, pests).map(|doubt| doubt.problem().code);
        let (wide, less) = ("scouting::control-interval-wide", "scouting::control-interval-holds-less");
        assert_eq!([code(18, 0), code(18, 7), code(12, 0)], [Some(less); 3]);
        assert_eq!([code(18, 3), code(4, 0), code(8, 0), code(4, 20)], [Some(wide); 4]);
        assert_eq!([code(18, 10), code(8, 7), code(8, 30)], [None; 3]);
        let told = EfficacyDoubt::of(8, 2).expect("a doubt").problem().found;
        assert!(told.starts_with("`2` pests") && !told.contains("stations"), "{told}");
    }
}
