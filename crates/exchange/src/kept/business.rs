//! The business that keeps the books.

use super::{Checked, Day, FileText, Index, JurisdictionText, fields, within};
use crate::business_file::parse_business;
use problem::Problems;

fields! {
    /// The business that keeps the books.
    pub struct Business {
        /// Its name.
        pub name: String,
        /// Where it has its seat.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub address: Option<String>,
        /// Where it works.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub jurisdiction: Option<JurisdictionText>,
        /// Number of its licence.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub licence_number: Option<String>,
        /// The last day of its licence.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub licence_until: Option<Day>,
        /// The last day of its liability insurance.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub insured_until: Option<Day>,
        /// Whom to call, and for what.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        pub contacts: Vec<Contact>,
        /// What is paid and charged: the business file (`docs/business-file.md`), whole. Without it the books reckon no money
        /// of visits.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub prices: Option<FileText>,
    }
}

fields! {
    /// Whom to call.
    pub struct Contact {
        /// For what: `questions`, `poisoning`, `spill`.
        pub purpose: String,
        /// Who answers.
        pub name: String,
        /// Telephone number or address of mail.
        pub reach: String,
    }
}

impl From<&business::Business> for Business {
    /// What a business file says of it, without its prices.
    fn from(business: &business::Business) -> Self {
        let name = business.contact.as_ref().unwrap_or(&business.name);
        let contact = |purpose: &str, name: &str, reach: &str| Contact {
            purpose: purpose.into(),
            name: name.into(),
            reach: reach.into(),
        };
        let questions = std::iter::once(&business.telephone).chain(&business.email);
        let poisoning = business.poison_centre.iter().map(|reach| contact("poisoning", "poison centre", reach));
        Self {
            name: business.name.clone(),
            address: (!business.address.is_empty()).then(|| business.address.join("\n")),
            jurisdiction: Some(business.place.clone().into()),
            licence_number: business.licence_number.clone(),
            licence_until: None,
            insured_until: None,
            contacts: questions.map(|reach| contact("questions", name, reach)).chain(poisoning).collect(),
            prices: None,
        }
    }
}

impl Business {
    pub(super) fn found_by(&self) -> Index {
        Index { title: self.name.clone(), ..Index::default() }
    }
}

impl Checked for Business {
    fn check(&self, problems: &mut Problems) {
        let found = self.prices.as_ref().and_then(|prices| parse_business("", &prices.0).err());
        within("/prices", found.unwrap_or_default(), problems);
    }
}
