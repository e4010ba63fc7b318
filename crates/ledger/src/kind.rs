//! What a thing is.

use std::fmt;

/// What a thing is. A thing never changes its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The business itself: name, rates, who to call.
    Business,
    /// Who the work is done for.
    Client,
    /// Who works: certificates and training.
    Person,
    /// Mapped ground.
    Property,
    /// A product's label with the container in hand.
    Label,
    /// A sprayer or spreader with its calibrations.
    Equipment,
    /// A received amount of one product.
    Lot,
    /// What a count of the store corrected.
    StockAdjustment,
    /// Counts of pests with their places.
    Survey,
    /// A planned visit.
    Visit,
    /// An application record.
    Record,
    /// A photo or paper.
    File,
}

impl Kind {
    /// Every kind, in the order of the job.
    pub const ALL: [Self; 12] = [
        Self::Business,
        Self::Client,
        Self::Person,
        Self::Property,
        Self::Label,
        Self::Equipment,
        Self::Lot,
        Self::StockAdjustment,
        Self::Survey,
        Self::Visit,
        Self::Record,
        Self::File,
    ];

    /// The word that stands for it in the database and in exports.
    pub fn word(self) -> &'static str {
        match self {
            Self::Business => "business",
            Self::Client => "client",
            Self::Person => "person",
            Self::Property => "property",
            Self::Label => "label",
            Self::Equipment => "equipment",
            Self::Lot => "lot",
            Self::StockAdjustment => "stock-adjustment",
            Self::Survey => "survey",
            Self::Visit => "visit",
            Self::Record => "record",
            Self::File => "file",
        }
    }

    /// The kind of a word, if it is one.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_comes_back_from_its_word() {
        for kind in Kind::ALL {
            assert_eq!(Kind::of_word(kind.word()), Some(kind));
        }
        assert_eq!(Kind::of_word("clients"), None);
    }
}
