//! The rules that a programme keeps, each with its words and, where a label made it, its sentence.

use label::{Clause, Strength};

/// The sentence of a label behind a rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// The label's id.
    pub label: String,
    /// Verbatim text.
    pub text: String,
    /// Page.
    pub page: Option<u32>,
    /// How far it binds.
    pub strength: Strength,
}

impl Said {
    /// The sentence of a label.
    pub fn new(label: &str, clause: &Clause) -> Self {
        Self { label: label.to_owned(), text: clause.text.clone(), page: clause.page, strength: clause.strength }
    }
}

/// What kind of rule it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RuleKind {
    /// One use on one ground in one visit: two products at once are a tank mixture, for the plan of the visit to judge.
    OneUseAVisit,
    /// So many applications in a window.
    Number,
    /// So much product in a window.
    ProductCap,
    /// So much of an active ingredient in a window.
    IngredientCap,
    /// Days between applications.
    Interval,
    /// So many in a row of one mode-of-action group.
    InARow,
    /// Another mode-of-action group for the next generation.
    Rotation,
    /// Weeks closed.
    Closed,
    /// Money.
    Budget,
    /// Product in hand.
    Stock,
    /// A date pinned.
    Pinned,
    /// Something forbidden.
    Forbidden,
    /// Protection required.
    Required,
    /// A count below the threshold.
    Counted,
}

impl RuleKind {
    /// Whether it was asked for by client or business, and may be taken back.
    pub const fn is_asked(self) -> bool {
        matches!(
            self,
            Self::Closed
                | Self::Budget
                | Self::Stock
                | Self::Pinned
                | Self::Forbidden
                | Self::Required
                | Self::OneUseAVisit
        )
    }

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OneUseAVisit => "one-use-a-visit",
            Self::Number => "number",
            Self::ProductCap => "product-cap",
            Self::IngredientCap => "active-ingredient-cap",
            Self::Interval => "interval",
            Self::InARow => "in-a-row",
            Self::Rotation => "rotation",
            Self::Closed => "closed",
            Self::Budget => "budget",
            Self::Stock => "stock",
            Self::Pinned => "pinned",
            Self::Forbidden => "forbidden",
            Self::Required => "required",
            Self::Counted => "counted",
        }
    }
}

/// One rule by name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    /// What kind it is.
    pub kind: RuleKind,
    /// What it says, in words.
    pub words: String,
    /// The sentence behind it, where a label made it.
    pub said: Option<Said>,
}
