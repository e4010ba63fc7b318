//! What a record has of a thing.

use record::Fact;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a record has of a thing: `{ "recorded": … }`, `"does-not-arise"` or `"absent"`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "FactJson_of_{T}")]
pub enum FactJson<T> {
    /// It is recorded.
    Recorded(T),
    /// It is said that there is nothing to record.
    DoesNotArise,
    /// Nobody has said anything of it yet.
    Absent,
}

/// A fact whose value is written as it is.
pub(crate) fn fact<T: Clone>(fact: &Fact<T>) -> FactJson<T> {
    fact_of(fact, T::clone)
}

/// A fact whose value is written as `write` makes it.
pub(super) fn fact_of<'f, T, J>(fact: &'f Fact<T>, write: impl FnOnce(&'f T) -> J) -> FactJson<J> {
    match fact {
        Fact::Recorded(value) => FactJson::Recorded(write(value)),
        Fact::DoesNotArise => FactJson::DoesNotArise,
        Fact::Absent => FactJson::Absent,
    }
}

impl<T> FactJson<T> {
    /// The fact, its value as it stands.
    pub(super) fn plain(self) -> Fact<T> {
        match self {
            Self::Recorded(value) => Fact::Recorded(value),
            Self::DoesNotArise => Fact::DoesNotArise,
            Self::Absent => Fact::Absent,
        }
    }

    /// The fact, its value read; `None` when it cannot be read.
    pub(super) fn read<V>(self, read: impl FnOnce(T) -> Option<V>) -> Option<Fact<V>> {
        match self {
            Self::Recorded(value) => read(value).map(Fact::Recorded),
            Self::DoesNotArise => Some(Fact::DoesNotArise),
            Self::Absent => Some(Fact::Absent),
        }
    }
}
