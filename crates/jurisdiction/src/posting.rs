//! Signs at treated ground, as a rule demands them.

use crate::words::plain;
use jiff::Span;
use jiff::civil::{DateTime, Time};
use problem::Problem;
use quantity::{Length, LengthUnit};
use std::num::NonZeroU16;

/// The edge of a sign that a height is measured to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SignEdge {
    /// The bottom edge.
    Bottom,
    /// The top edge.
    Top,
    /// The rule only says how high the sign stands. Read as the bottom edge, which meets either.
    NotStated,
}

impl SignEdge {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Bottom, Self::Top, Self::NotStated];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bottom => "bottom",
            Self::Top => "top",
            Self::NotStated => "not-stated",
        }
    }
}

/// How high above the ground an edge of the sign must be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SignHeight {
    edge: SignEdge,
    lowest: Option<Length>,
    highest: Option<Length>,
}

impl SignHeight {
    /// Heights from `lowest` to `highest`, either of which may be open.
    ///
    /// # Errors
    /// `rules::sign-height` when both are open, one is not above the ground, they are exchanged, or a top
    /// edge is bounded from above (no rule known does so, and the sign's own height would be needed).
    pub fn new(edge: SignEdge, lowest: Option<Length>, highest: Option<Length>) -> Result<Self, Problem> {
        let refused = |found: String| {
            Err(Problem::error("rules::sign-height", found).expected(
                "a height above the ground, such as `at_least = \"8 in\"`, below `at_most` where both are given",
            ))
        };
        if lowest.is_none() && highest.is_none() {
            return refused("neither the lowest nor the highest height of the sign is given".to_owned());
        }
        if [lowest, highest].into_iter().flatten().any(|height| !height.is_positive()) {
            return refused("a height of the sign is not above the ground".to_owned());
        }
        if let (Some(low), Some(high)) = (lowest, highest)
            && high < low
        {
            let (low, high) = (plain(low, LengthUnit::Inch), plain(high, LengthUnit::Inch));
            return refused(format!("the lowest height `{low}` is above the highest `{high}`"));
        }
        if edge == SignEdge::Top && highest.is_some() {
            return refused("the top edge of a sign is bounded from above".to_owned());
        }
        Ok(Self { edge, lowest, highest })
    }

    /// The edge that is measured.
    pub fn edge(self) -> SignEdge {
        self.edge
    }

    /// The lowest height allowed; `None` when it is open.
    pub fn lowest(self) -> Option<Length> {
        self.lowest
    }

    /// The highest height allowed; `None` when it is open.
    pub fn highest(self) -> Option<Length> {
        self.highest
    }

    /// Whether a sign with its bottom edge and top edge at these heights meets it.
    pub fn is_met_by(self, bottom: Length, top: Length) -> bool {
        let edge = if self.edge == SignEdge::Top { top } else { bottom };
        self.lowest.is_none_or(|lowest| edge >= lowest) && self.highest.is_none_or(|highest| edge <= highest)
    }
}

/// The least size of a sign, whichever way it is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SignSize {
    /// The shorter side, at least.
    short: Length,
    /// The longer side, at least.
    long: Length,
}

impl SignSize {
    /// Two sides in any order; `None` when one of them is nothing.
    pub fn new(one: Length, other: Length) -> Option<Self> {
        (one.is_positive() && other.is_positive()).then(|| Self { short: one.min(other), long: one.max(other) })
    }

    /// The shorter side.
    pub fn short(self) -> Length {
        self.short
    }

    /// The longer side.
    pub fn long(self) -> Length {
        self.long
    }

    /// The least size that is enough for both.
    #[must_use]
    pub fn larger(self, other: Self) -> Self {
        Self { short: self.short.max(other.short), long: self.long.max(other.long) }
    }
}

/// When a sign is put up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PutUp {
    /// Before the application begins.
    Before,
    /// When the application is made.
    At,
}

impl PutUp {
    /// Every one, the strictest first.
    pub const ALL: &'static [Self] = &[Self::Before, Self::At];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::At => "at",
        }
    }
}

/// How long a sign stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Removal {
    /// At least so many hours after the end of the application.
    Hours(NonZeroU16),
    /// Not before the day after the application.
    NextDay,
}

impl Removal {
    /// The first moment at which the sign of an application that ended at `ended` may be taken away.
    pub fn earliest(self, ended: DateTime) -> DateTime {
        match self {
            Self::Hours(hours) => ended.checked_add(Span::new().hours(i64::from(hours.get()))).unwrap_or(DateTime::MAX),
            Self::NextDay => ended.date().tomorrow().map_or(DateTime::MAX, |date| date.to_datetime(Time::midnight())),
        }
    }
}

/// A sign that a rule demands. What the rule, as far as it was read, does not say is `None` or empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Posting {
    /// How high it stands.
    pub height: Option<SignHeight>,
    /// How large it is at least.
    pub least_size: Option<SignSize>,
    /// How high its letters are at least.
    pub least_letters: Option<Length>,
    /// The words that it must carry.
    pub wording: Vec<String>,
    /// Colours, symbol and material.
    pub look: Option<String>,
    /// Where it is put up.
    pub place: Option<String>,
    /// When it is put up.
    pub put_up: Option<PutUp>,
    /// How long it stays.
    pub removal: Option<Removal>,
}
