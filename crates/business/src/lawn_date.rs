//! What those who live there do to their lawn, and when.

use jiff::civil::DateTime;
use quantity::Length;

/// Work on the lawn with the stretch of time in which it is done.
#[derive(Debug, Clone, PartialEq)]
pub struct LawnDate {
    /// When it begins, or not before.
    pub from: DateTime,
    /// When it ends, or until when.
    pub until: DateTime,
    /// What is done.
    pub work: LawnWork,
}

/// Work on a lawn.
#[derive(Debug, Clone, PartialEq)]
pub enum LawnWork {
    /// It is watered.
    Water {
        /// Depth that reaches the roots.
        depth: Length,
        /// The sprinkler zones, each with the number of its runs and the minutes of one of them.
        zones: Vec<(String, u32, u32)>,
    },
    /// It is mown to a height.
    Mow {
        /// The height of the cut.
        to: Length,
    },
}
