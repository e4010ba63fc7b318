//! What a record has of a thing.

use jurisdiction::Presence;

/// What a record has of a thing: the thing, that there is none, or nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fact<T> {
    /// It is recorded.
    Recorded(T),
    /// It is said that there is nothing to record: nobody supervised, nothing was left over.
    DoesNotArise,
    /// Nobody has said anything of it yet.
    #[default]
    Absent,
}

impl<T> Fact<T> {
    /// What is given, or nothing said.
    pub fn given(value: Option<T>) -> Self {
        value.map_or(Self::Absent, Self::Recorded)
    }

    /// What is recorded, when it is.
    pub const fn value(&self) -> Option<&T> {
        match self {
            Self::Recorded(value) => Some(value),
            Self::DoesNotArise | Self::Absent => None,
        }
    }

    /// The same without what is recorded: what rules ask for.
    pub const fn presence(&self) -> Presence {
        match self {
            Self::Recorded(_) => Presence::Recorded,
            Self::DoesNotArise => Presence::DoesNotArise,
            Self::Absent => Presence::Absent,
        }
    }

    /// Whether nobody has said anything of it.
    pub const fn is_absent(&self) -> bool {
        matches!(self, Self::Absent)
    }

    /// The same fact of another thing made from this one.
    pub fn map<U>(self, make: impl FnOnce(T) -> U) -> Fact<U> {
        match self {
            Self::Recorded(value) => Fact::Recorded(make(value)),
            Self::DoesNotArise => Fact::DoesNotArise,
            Self::Absent => Fact::Absent,
        }
    }

    /// The same fact of a borrowed thing.
    pub const fn as_ref(&self) -> Fact<&T> {
        match self {
            Self::Recorded(value) => Fact::Recorded(value),
            Self::DoesNotArise => Fact::DoesNotArise,
            Self::Absent => Fact::Absent,
        }
    }
}

/// What several things together have of one field: missing when it is missing for any of them, and not
/// arising only when it arises for none.
pub(crate) fn of_all(all: impl IntoIterator<Item = Presence>) -> Presence {
    let mut found = None;
    for presence in all {
        found = match (found, presence) {
            (_, Presence::Absent) => return Presence::Absent,
            (None, presence) => Some(presence),
            (Some(held), presence) if held == presence => Some(held),
            _ => Some(Presence::Recorded),
        };
    }
    found.unwrap_or(Presence::Absent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_missing_makes_the_whole_missing() {
        use Presence::{Absent, DoesNotArise, Recorded};
        assert_eq!(of_all([Recorded, Absent, DoesNotArise]), Absent);
        assert_eq!(of_all([DoesNotArise, Recorded]), Recorded);
        assert_eq!(of_all([DoesNotArise, DoesNotArise]), DoesNotArise);
        assert_eq!(of_all([]), Absent);
    }
}
