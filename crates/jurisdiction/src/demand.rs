//! What a rule demands.

use crate::{CompleteBy, Posting, RecordField, Retention};
use quantity::Length;
use std::collections::BTreeSet;
use std::num::NonZeroU16;

/// What a rule demands.
#[derive(Debug, Clone, PartialEq)]
pub enum Demand {
    /// A record of the application.
    Record(RecordKeeping),
    /// That something is kept for a time.
    Retention(Retention),
    /// A sign.
    Posting(Posting),
    /// Notice before the application.
    AdvanceNotice(AdvanceNotice),
    /// What the client is given.
    CustomerNotice(CustomerNotice),
    /// Something that the program cannot hold and only tells.
    Duty,
}

impl Demand {
    /// The word used in files.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Record(_) => "record",
            Self::Retention(_) => "retention",
            Self::Posting(_) => "posting",
            Self::AdvanceNotice(_) => "advance_notice",
            Self::CustomerNotice(_) => "customer_notice",
            Self::Duty => "duty",
        }
    }
}

/// What a record must say, and by when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordKeeping {
    /// What must be recorded. Of each entry one field is enough: `area or total amount`. No entry is empty.
    fields: Vec<BTreeSet<RecordField>>,
    /// By when the record must be complete; `None` when the rule, as far as it was read, does not say.
    pub complete_by: Option<CompleteBy>,
}

impl RecordKeeping {
    /// `None` when nothing is demanded, or one of the entries is empty.
    pub fn new(fields: Vec<BTreeSet<RecordField>>, complete_by: Option<CompleteBy>) -> Option<Self> {
        let sound = !fields.is_empty() && fields.iter().all(|any_of| !any_of.is_empty());
        sound.then_some(Self { fields, complete_by })
    }

    /// What must be recorded; of each entry one field is enough.
    pub fn fields(&self) -> &[BTreeSet<RecordField>] {
        &self.fields
    }
}

/// How long before the application a notice must be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NoticePeriod {
    /// So many hours.
    Hours(NonZeroU16),
    /// So many business days; see [`crate::BusinessDays`] for how they are counted.
    BusinessDays(NonZeroU16),
}

/// Who must be told before the application.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Recipient {
    /// Occupants of abutting residences who asked for it.
    AbuttingOnRequest,
    /// Occupants, or who is in charge, of every abutting property.
    Abutting,
    /// Persons on a list kept by an authority.
    Registered,
    /// The client.
    Client,
}

impl Recipient {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::AbuttingOnRequest, Self::Abutting, Self::Registered, Self::Client];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::AbuttingOnRequest => "abutting-on-request",
            Self::Abutting => "abutting",
            Self::Registered => "registered",
            Self::Client => "client",
        }
    }

    /// In a sentence: `tell …`.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::AbuttingOnRequest => "abutting neighbours who asked for it",
            Self::Abutting => "every abutting neighbour",
            Self::Registered => "persons on the authority's list",
            Self::Client => "the client",
        }
    }
}

/// Notice that must be given before the application.
#[derive(Debug, Clone, PartialEq)]
pub struct AdvanceNotice {
    /// To whom.
    pub to: Recipient,
    /// Only where they lie within this distance of the treated place, when the rule says so.
    pub within: Option<Length>,
    /// How long before.
    pub before: NoticePeriod,
    /// What it must contain, as far as the rule was read.
    pub contains: Vec<NoticeItem>,
}

/// When the client must have the notice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CustomerNoticeTime {
    /// Before the application.
    Before,
    /// Before the application or when it is made.
    BeforeOrAt,
    /// When it is made.
    At,
    /// When it is done, before leaving.
    OnCompletion,
}

impl CustomerNoticeTime {
    /// Every one.
    pub const ALL: &'static [Self] = &[Self::Before, Self::BeforeOrAt, Self::At, Self::OnCompletion];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::BeforeOrAt => "before-or-at",
            Self::At => "at",
            Self::OnCompletion => "on-completion",
        }
    }

    /// In a sentence: `give the client, …`.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Before => "before the application",
            Self::BeforeOrAt => "before or at the time of the application",
            Self::At => "at the time of the application",
            Self::OnCompletion => "when the application is done",
        }
    }
}

/// What must be given to the client.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CustomerNotice {
    /// When.
    pub when: CustomerNoticeTime,
    /// What it must contain, as far as the rule was read.
    pub contains: Vec<NoticeItem>,
}

/// Something that a notice must contain.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NoticeItem {
    /// Brand or common name of each product.
    Product,
    /// Names of the active ingredients.
    ActiveIngredients,
    /// Registration number of each product.
    RegistrationNumber,
    /// Kind of pesticide: insecticide, fungicide, herbicide; or kind of service.
    Kind,
    /// Special instructions and precautions of the label that concern the client.
    LabelInstructions,
    /// Name of the business.
    BusinessName,
    /// Telephone number of the business.
    BusinessTelephone,
    /// Address of the business.
    BusinessAddress,
    /// Name or signature of the applicator.
    Applicator,
    /// Number of the applicator's licence or certificate, or of the business's registration.
    LicenceNumber,
    /// Date of the application.
    Date,
    /// Time of the application.
    Time,
    /// Where it is applied.
    Location,
    /// When the sign may be taken away.
    SignRemoval,
    /// Whom to ask for more.
    Contact,
    /// These very words.
    Words(String),
}

impl NoticeItem {
    /// Every one but the words of a rule.
    pub const ALL: &'static [Self] = &[
        Self::Product,
        Self::ActiveIngredients,
        Self::RegistrationNumber,
        Self::Kind,
        Self::LabelInstructions,
        Self::BusinessName,
        Self::BusinessTelephone,
        Self::BusinessAddress,
        Self::Applicator,
        Self::LicenceNumber,
        Self::Date,
        Self::Time,
        Self::Location,
        Self::SignRemoval,
        Self::Contact,
    ];

    /// The word used in files; words of a rule have none.
    pub const fn word(&self) -> Option<&'static str> {
        Some(match self {
            Self::Product => "product",
            Self::ActiveIngredients => "active-ingredients",
            Self::RegistrationNumber => "registration-number",
            Self::Kind => "kind",
            Self::LabelInstructions => "label-instructions",
            Self::BusinessName => "business-name",
            Self::BusinessTelephone => "business-telephone",
            Self::BusinessAddress => "business-address",
            Self::Applicator => "applicator",
            Self::LicenceNumber => "licence-number",
            Self::Date => "date",
            Self::Time => "time",
            Self::Location => "location",
            Self::SignRemoval => "sign-removal",
            Self::Contact => "contact",
            Self::Words(_) => return None,
        })
    }

    /// In a sentence: `it must contain …`.
    pub fn phrase(&self) -> String {
        let phrase = match self {
            Self::Product => "the name of each product",
            Self::ActiveIngredients => "the active ingredients",
            Self::RegistrationNumber => "the registration number of each product",
            Self::Kind => "the kind of pesticide or service",
            Self::LabelInstructions => "the label's instructions and precautions that concern the client",
            Self::BusinessName => "the name of the business",
            Self::BusinessTelephone => "its telephone number",
            Self::BusinessAddress => "its address",
            Self::Applicator => "the applicator's name or signature",
            Self::LicenceNumber => "the licence or registration number",
            Self::Date => "the date",
            Self::Time => "the time",
            Self::Location => "the place",
            Self::SignRemoval => "when the sign may be taken away",
            Self::Contact => "whom to ask for more",
            Self::Words(words) => return format!("the words “{words}”"),
        };
        phrase.to_owned()
    }
}
