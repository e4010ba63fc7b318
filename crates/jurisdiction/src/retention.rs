//! How long papers are kept.

use crate::{Binding, Circumstances, CountedFrom, Demand, Known, Period, RuleSet};
use jiff::civil::Date;

/// What must be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Paper {
    /// The record of the application.
    Record,
    /// Notices and requests for them.
    Notice,
    /// The contract with the client.
    Contract,
}

impl Paper {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Record, Self::Notice, Self::Contract];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Record => "record",
            Self::Notice => "notice",
            Self::Contract => "contract",
        }
    }

    /// In a sentence: `keep …`.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Record => "the application record",
            Self::Notice => "the notices and the requests for them",
            Self::Contract => "the contract",
        }
    }
}

/// That something is kept for a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Retention {
    /// What.
    pub paper: Paper,
    /// How long.
    pub period: Period,
    /// From when the period is counted.
    pub from: CountedFrom,
}

impl Retention {
    /// The last day on which the paper of an application on `date` must be kept.
    pub fn until(self, date: Date) -> Date {
        self.period.last_day(self.from.day(date))
    }
}

/// Until when a paper is kept, and by which rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept<'r> {
    /// The last day on which it must be kept.
    pub until: Date,
    /// The rule that keeps it longest.
    pub by: Binding<'r>,
}

/// The longest time that any rule known keeps a paper of this application.
pub fn retention<'r>(rules: &'r RuleSet, circumstances: &Circumstances, paper: Paper) -> Known<Kept<'r>> {
    let mut longest: Option<Kept<'r>> = None;
    for by in rules.binding_on(circumstances) {
        let Demand::Retention(retention) = &by.rule.demand else { continue };
        if retention.paper != paper {
            continue;
        }
        let until = retention.until(circumstances.date);
        if longest.is_none_or(|longest| until > longest.until) {
            longest = Some(Kept { until, by });
        }
    }
    longest.map_or(Known::NoRuleKnown, Known::Demanded)
}
