//! A sentence of a label or a rule, and what it states.

/// How far a sentence binds.
///
/// # Source
/// EPA Pesticide Registration Notice 2000-5: mandatory and advisory statements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strength {
    /// It binds; a breach refuses.
    Mandatory,
    /// Best practice; a breach asks for a reason and never refuses.
    Advisory,
    /// It informs.
    Descriptive,
}

impl Strength {
    /// Every one, the strongest first.
    pub const ALL: &'static [Self] = &[Self::Mandatory, Self::Advisory, Self::Descriptive];

    /// The word used in files and on paper.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mandatory => "mandatory",
            Self::Advisory => "advisory",
            Self::Descriptive => "descriptive",
        }
    }
}

/// What a sentence applies to.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scope {
    /// Every use of the product: a restraint.
    Product,
    /// One site, whatever the pest.
    Site,
    /// One use row.
    Use,
    /// One method.
    Method,
    /// One state or province, by its usual abbreviation.
    State(String),
}

/// A sentence in its own words, and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clause {
    /// Verbatim text.
    pub text: String,
    /// Page of the label, from 1; `None` when the file does not say.
    pub page: Option<u32>,
    /// How far it binds.
    pub strength: Strength,
    /// What it applies to.
    pub scope: Scope,
}

/// What a label says of one subject: a value with its sentence, that it does not apply, or nothing.
/// Nothing is never zero and never permission.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Statement<T> {
    /// The label says so.
    Stated {
        /// What it says.
        value: T,
        /// In which words.
        clause: Clause,
    },
    /// The subject does not arise for this use (a harvest interval on a lawn).
    NotApplicable,
    /// The label is silent.
    #[default]
    Silent,
}

impl<T> Statement<T> {
    /// The value, when the label states one.
    pub fn value(&self) -> Option<&T> {
        match self {
            Self::Stated { value, .. } => Some(value),
            _ => None,
        }
    }

    /// The sentence, when the label states something.
    pub fn clause(&self) -> Option<&Clause> {
        match self {
            Self::Stated { clause, .. } => Some(clause),
            _ => None,
        }
    }

    /// Whether the label says nothing of it.
    pub fn is_silent(&self) -> bool {
        matches!(self, Self::Silent)
    }
}
