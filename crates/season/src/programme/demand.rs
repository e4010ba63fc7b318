//! What is asked of a programme beside the labels: weeks closed, dates pinned, uses forbidden, protection required,
//! and what was counted.

use super::weeks::Week;
use jiff::civil::Date;

/// Why weeks are closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WhyClosed {
    /// Plants on the ground bloom.
    Bloom,
    /// The client wants nobody there.
    Client,
    /// A use has its season, and this is outside of it.
    SeasonOfUse,
}

impl WhyClosed {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Bloom, Self::Client, Self::SeasonOfUse];

    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bloom => "bloom",
            Self::Client => "client",
            Self::SeasonOfUse => "season-of-use",
        }
    }
}

/// Dates on which nothing, or one use, may be applied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blackout {
    /// Why.
    pub why: WhyClosed,
    /// On which ground; `None` on all.
    pub ground: Option<usize>,
    /// Which use; `None` for all.
    pub product_use: Option<usize>,
    /// From.
    pub from: Date,
    /// To, included.
    pub to: Date,
}

/// An application that has to be in the programme.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pin {
    /// Where.
    pub ground: usize,
    /// Which use; `None` for any.
    pub product_use: Option<usize>,
    /// When.
    pub week: Week,
}

/// Applications that must not be in the programme.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Forbidden {
    /// On which ground; `None` on all.
    pub ground: Option<usize>,
    /// Which use; `None` for all.
    pub product_use: Option<usize>,
    /// In which weeks; `None` in all.
    pub weeks: Option<(Week, Week)>,
    /// Why, in words.
    pub reason: Option<String>,
}

/// Protection that has to be there.
#[derive(Debug, Clone, PartialEq)]
pub struct Required {
    /// Where.
    pub ground: usize,
    /// Against which pest.
    pub pest: usize,
    /// At least this share controlled, 0 to 1, in each week.
    pub share: f64,
    /// From.
    pub from: Date,
    /// To, included.
    pub to: Date,
}

/// What was counted on a day. From its week on the rest of the pest's generation is expected in the same proportion;
/// and below the threshold nothing is applied against it in that week.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Count {
    /// Where.
    pub ground: usize,
    /// Which pest.
    pub pest: usize,
    /// When.
    pub date: Date,
    /// So many, in the unit of the pest's pressure.
    pub found: f64,
}

/// All of it together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Demands {
    /// Applications that have to be in it.
    pub pins: Vec<Pin>,
    /// Applications that must not be in it.
    pub forbidden: Vec<Forbidden>,
    /// Protection that has to be there.
    pub required: Vec<Required>,
}
