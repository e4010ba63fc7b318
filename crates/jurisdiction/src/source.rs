//! Where a rule was found, and how far it was read.

use jiff::civil::Date;

/// How far a source was read. Whatever is less than [`Extent::Read`] must be looked up before anyone
/// relies on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Extent {
    /// The whole text of the section.
    Read,
    /// A part of the text of the section.
    Excerpt,
    /// What somebody else says that it says.
    Secondary,
    /// An older text, which is known to have been amended or rescinded since.
    Superseded,
    /// Nothing: it is remembered.
    FromMemory,
}

impl Extent {
    /// Every one, the firmest first.
    pub const ALL: &'static [Self] = &[Self::Read, Self::Excerpt, Self::Secondary, Self::Superseded, Self::FromMemory];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Excerpt => "excerpt",
            Self::Secondary => "secondary",
            Self::Superseded => "superseded",
            Self::FromMemory => "from-memory",
        }
    }

    /// In a sentence, after the source.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Read => "the section was read",
            Self::Excerpt => "an excerpt was read",
            Self::Secondary => "as others report it",
            Self::Superseded => "an older text was read",
            Self::FromMemory => "from memory, not looked up",
        }
    }
}

/// Where a rule was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// The law, code or page, such as `Ohio Administrative Code`.
    pub publication: String,
    /// The section, such as `901:5-11-09(A)(1)(c)`.
    pub section: String,
    /// How far it was read.
    pub extent: Extent,
    /// The day for which the text was said to be current, when it said so.
    pub as_of: Option<Date>,
    /// What its reader should know: who reported it, what was left out, what is doubtful.
    pub note: Option<String>,
}
