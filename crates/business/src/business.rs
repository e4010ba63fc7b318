//! The business that does the work.

use crate::Tariff;
use jurisdiction::{BusinessDays, Jurisdiction};

/// A business: who it is, whom to call, what it charges, where it works.
#[derive(Debug, Clone, PartialEq)]
pub struct Business {
    /// Its name.
    pub name: String,
    /// Its address, one line an entry.
    pub address: Vec<String>,
    /// Its telephone number.
    pub telephone: String,
    /// Its email address, when it has one.
    pub email: Option<String>,
    /// Number of its licence or registration.
    pub licence_number: Option<String>,
    /// Whom to call with a question about a treatment.
    pub contact: Option<String>,
    /// The poison centre to call, where it names one.
    pub poison_centre: Option<String>,
    /// Where it works; the rules of this place are asked.
    pub place: Jurisdiction,
    /// Days that are no business days there.
    pub holidays: BusinessDays,
    /// What it pays and charges.
    pub tariff: Tariff,
    /// Whether all of it is invented, for practice only.
    pub invented: bool,
}

/// The poison centres of the United States answer at this number in every state.
///
/// # Source
/// United States Environmental Protection Agency, page “In case of pesticide emergency”.
const US_POISON_CENTRES: &str = "1-800-222-1222";

impl Business {
    /// The number of the poison centre: as the business states it, in the United States the national one;
    /// elsewhere `None` when the business states none.
    pub fn poison_centre(&self) -> Option<&str> {
        let national = (self.place.country_code() == "US").then_some(US_POISON_CENTRES);
        self.poison_centre.as_deref().or(national)
    }

    /// Whom to call, with the number.
    pub fn who_to_call(&self) -> String {
        match &self.contact {
            Some(contact) => format!("{contact}, {}, {}", self.name, self.telephone),
            None => format!("{}, {}", self.name, self.telephone),
        }
    }
}
