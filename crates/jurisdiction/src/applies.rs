//! To which applications a rule applies, and what is known of one.

use crate::{Jurisdiction, RuleId};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Which pesticides a rule speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pesticides {
    /// Every one, whatever its classification.
    All,
    /// Restricted use pesticides only.
    RestrictedUse,
}

impl Pesticides {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::All, Self::RestrictedUse];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::All => "all",
            Self::RestrictedUse => "restricted-use",
        }
    }
}

/// For whom somebody applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Work {
    /// On the property of another, for pay.
    ForHire,
    /// As a commercial applicator for an employer, not for hire: a golf course, a town.
    NotForHire,
    /// On one's own agricultural production (a private applicator).
    Private,
}

impl Work {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::ForHire, Self::NotForHire, Self::Private];
}

/// Whose work a rule speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scope {
    /// Anyone's.
    Anyone,
    /// Commercial applicators, for hire or not.
    Commercial,
    /// For hire only.
    ForHire,
    /// Private applicators.
    Private,
}

impl Scope {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Anyone, Self::Commercial, Self::ForHire, Self::Private];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Anyone => "anyone",
            Self::Commercial => "commercial",
            Self::ForHire => "for-hire",
            Self::Private => "private",
        }
    }

    /// Whether it takes in this work.
    pub const fn takes_in(self, work: Work) -> bool {
        match self {
            Self::Anyone => true,
            Self::Commercial => matches!(work, Work::ForHire | Work::NotForHire),
            Self::ForHire => matches!(work, Work::ForHire),
            Self::Private => matches!(work, Work::Private),
        }
    }
}

/// What is treated, as far as rules tell it apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ground {
    /// Lawn.
    Turf,
    /// Trees, shrubs, flowers.
    Ornamental,
    /// The band along a building and its wall.
    Perimeter,
}

impl Ground {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Turf, Self::Ornamental, Self::Perimeter];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Turf => "turf",
            Self::Ornamental => "ornamental",
            Self::Perimeter => "perimeter",
        }
    }
}

/// One kind of application to which a rule applies; a rule may name several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Applies {
    /// Which pesticides.
    pub pesticides: Pesticides,
    /// Whose work.
    pub work: Scope,
    /// What is treated; empty when the rule does not tell grounds apart.
    pub ground: BTreeSet<Ground>,
}

impl Applies {
    /// Whether it takes in an application. Where it is not known what is treated, it does.
    pub fn takes_in(&self, circumstances: &Circumstances) -> bool {
        let pesticide = self.pesticides == Pesticides::All || circumstances.restricted_use;
        let ground = self.ground.is_empty()
            || circumstances.ground.is_empty()
            || !self.ground.is_disjoint(&circumstances.ground);
        pesticide && self.work.takes_in(circumstances.work) && ground
    }
}

/// What is known of an application, as far as rules ask.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Circumstances {
    /// Where the property lies: the state, or only the country when the state is not known.
    pub place: Jurisdiction,
    /// The day of the application.
    pub date: Date,
    /// Whether a restricted use pesticide is among the products.
    pub restricted_use: bool,
    /// For whom it is applied.
    pub work: Work,
    /// What is treated; empty when that is not known, and then every rule counts.
    pub ground: BTreeSet<Ground>,
    /// What a person found out of conditions that only a person can judge ([`crate::Rule::only_where`]), by
    /// rule. A condition without an answer is taken to be met.
    pub conditions: BTreeMap<RuleId, bool>,
}
