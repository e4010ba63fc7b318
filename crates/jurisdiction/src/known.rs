//! The answer to a question that only the rules in the set can answer.

/// What the set of rules says, or that it says nothing. Nothing is not permission: a rule that is not
/// in the set may exist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Known<T> {
    /// No rule is known here. There may be one.
    NoRuleKnown,
    /// What the rules known here demand.
    Demanded(T),
}

impl<T> Known<T> {
    /// What is demanded, when a rule is known.
    pub fn demanded(self) -> Option<T> {
        match self {
            Self::NoRuleKnown => None,
            Self::Demanded(value) => Some(value),
        }
    }

    /// A reference to what is demanded.
    pub const fn as_ref(&self) -> Known<&T> {
        match self {
            Self::NoRuleKnown => Known::NoRuleKnown,
            Self::Demanded(value) => Known::Demanded(value),
        }
    }
}

impl<T> Known<Vec<T>> {
    /// An empty list means that no rule is known.
    pub(crate) fn of(list: Vec<T>) -> Self {
        if list.is_empty() { Self::NoRuleKnown } else { Self::Demanded(list) }
    }
}
