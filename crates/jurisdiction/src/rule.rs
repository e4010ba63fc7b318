//! One rule.

use crate::{Applies, Circumstances, Demand, Jurisdiction, Source};
use jiff::civil::Date;
use problem::Problem;
use std::fmt;

/// The word by which records and messages name a rule.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RuleId(String);

impl RuleId {
    /// At most 64 small letters, figures and `-`, beginning with a letter or figure.
    ///
    /// # Errors
    /// `rules::id` when it is anything else.
    pub fn new(text: &str) -> Result<Self, Problem> {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if !text.is_empty() && text.len() <= 64 && !text.starts_with('-') && text.chars().all(plain) {
            return Ok(Self(text.to_owned()));
        }
        Err(Problem::error("rules::id", "the name of the rule holds more than small letters, figures and `-`")
            .expected("such as `oh-lawn-sign`, at most 64 letters")
            .mend("write it in small letters, with `-` between words"))
    }

    /// The word itself.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for RuleId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The days on which a rule is in force, first and last included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct InForce {
    first: Option<Date>,
    last: Option<Date>,
}

impl InForce {
    /// From `first` to `last`. Without a first day it is not known since when; the rule then counts on
    /// every day before its last. Without a last day it has not ended, as far as is known.
    ///
    /// # Errors
    /// `rules::dates` when the last day is before the first.
    pub fn new(first: Option<Date>, last: Option<Date>) -> Result<Self, Problem> {
        if let (Some(first), Some(last)) = (first, last)
            && last < first
        {
            return Err(Problem::error("rules::dates", format!("the last day `{last}` is before the first `{first}`"))
                .expected("a last day in force on or after the first")
                .mend("exchange the two, or correct the one that is wrong"));
        }
        Ok(Self { first, last })
    }

    /// The first day, when it is known.
    pub fn first(self) -> Option<Date> {
        self.first
    }

    /// The last day, when the rule has ended or its end is known.
    pub fn last(self) -> Option<Date> {
        self.last
    }

    /// Whether it is in force on a day.
    pub fn is_on(self, date: Date) -> bool {
        self.first.is_none_or(|first| first <= date) && self.last.is_none_or(|last| date <= last)
    }
}

/// One rule of one jurisdiction.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Its name in this set.
    pub id: RuleId,
    /// Where it holds.
    pub jurisdiction: Jurisdiction,
    /// When it is in force.
    pub in_force: InForce,
    /// To which applications it applies: any of these.
    pub applies: Vec<Applies>,
    /// A condition that only a person can judge, in words that follow “only where”.
    pub only_where: Option<String>,
    /// What it says, in words of this set and not those of the law.
    pub sentence: String,
    /// What it demands.
    pub demand: Demand,
    /// Where it was found.
    pub source: Source,
}

impl Rule {
    /// Whether it is in force at the place and on the day.
    pub fn is_in_force(&self, place: &Jurisdiction, date: Date) -> bool {
        self.jurisdiction.covers(place) && self.in_force.is_on(date)
    }

    /// Whether it binds an application: in force there and then, for such work, such a pesticide and such
    /// ground, and its condition not known to be unmet.
    pub fn binds(&self, circumstances: &Circumstances) -> bool {
        self.is_in_force(&circumstances.place, circumstances.date)
            && self.applies.iter().any(|applies| applies.takes_in(circumstances))
            && (self.only_where.is_none() || circumstances.conditions.get(&self.id) != Some(&false))
    }
}
