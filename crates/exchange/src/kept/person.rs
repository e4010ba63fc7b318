//! Who applies, supervises or scouts, and what they may do.

use super::{Checked, Day, Index, JurisdictionText, check_order, fields, words};
use jiff::civil::Date;
use jurisdiction::Jurisdiction;
use problem::Problems;

fields! {
    /// A person of the business.
    pub struct Person {
        /// Name.
        pub name: String,
        /// Telephone number at which a supervisor is reached.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub telephone: Option<String>,
        /// Certificates and licences to apply.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub certificates: Vec<Certificate>,
        /// Training received.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub training: Vec<Training>,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

fields! {
    /// A certificate or licence to apply.
    pub struct Certificate {
        /// Its number as printed.
        pub number: String,
        /// Where it holds.
        pub jurisdiction: JurisdictionText,
        /// For which kinds of work.
        pub categories: Vec<Category>,
        /// The first day, when it is printed.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub valid_from: Option<Day>,
        /// The last day.
        pub valid_until: Day,
    }
}

impl Certificate {
    /// Whether it holds for a kind of work at a place on a day.
    pub fn holds(&self, category: Category, place: &Jurisdiction, date: Date) -> bool {
        self.categories.contains(&category)
            && self.jurisdiction.place().covers(place)
            && self.valid_from.is_none_or(|first| first.date() <= date)
            && date <= self.valid_until.date()
    }
}

words! {
    /// A category of certified commercial applicators.
    ///
    /// # Source
    /// 40 CFR 171.103(d): the federal categories that meet lawns, gardens and the surroundings of
    /// houses. A state may divide them otherwise: its own name stands in the certificate.
    pub enum Category {
        /// Ornamental plants and turf.
        OrnamentalAndTurf = "ornamental-and-turf",
        /// Industrial, institutional and structural.
        Structural = "structural",
        /// Public health: mosquitoes, ticks.
        PublicHealth = "public-health",
        /// Rights of way.
        RightOfWay = "right-of-way",
        /// Water.
        Aquatic = "aquatic",
        /// Crops and livestock.
        Agricultural = "agricultural",
    }
}

fields! {
    /// Training received.
    pub struct Training {
        /// Which.
        pub kind: TrainingKind,
        /// The day.
        pub date: Day,
        /// Who gave it.
        pub by: String,
        /// The titles of what was used.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub materials: Option<String>,
    }
}

words! {
    /// A kind of training.
    ///
    /// # Source
    /// 40 CFR 171.201(d) for noncertified applicators of restricted use pesticides; 40 CFR 170.501 for
    /// handlers.
    pub enum TrainingKind {
        /// Of noncertified applicators who apply restricted use pesticides under supervision.
        NoncertifiedApplicator = "noncertified-applicator",
        /// Of handlers under the worker protection standard.
        Handler = "handler",
        /// Any other.
        Other = "other",
    }
}

impl Person {
    pub(super) fn found_by(&self) -> Index {
        Index { title: self.name.clone(), ..Index::default() }
    }
}

impl Checked for Person {
    fn check(&self, problems: &mut Problems) {
        for (index, certificate) in self.certificates.iter().enumerate() {
            let pointer = format!("/certificates/{index}/valid_until");
            check_order(&pointer, certificate.valid_from.as_ref(), Some(&certificate.valid_until), problems);
            if certificate.categories.is_empty() {
                problems.push(
                    problem::Problem::error("kept::no-category", "the certificate holds for no kind of work")
                        .expected("one category or more, such as `ornamental-and-turf`")
                        .at(format!("/certificates/{index}/categories")),
                );
            }
        }
    }
}
