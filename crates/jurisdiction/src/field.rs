//! What an application record can say.

/// A field of an application record. Rules demand some of them; the record may hold all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordField {
    /// For whom it was applied.
    Client,
    /// The client's address.
    ClientAddress,
    /// Where it was applied.
    Location,
    /// The day of the application.
    Date,
    /// When it began.
    StartTime,
    /// When it ended.
    EndTime,
    /// Brand or product name.
    Product,
    /// Number under which the product is registered.
    RegistrationNumber,
    /// Lot of the container.
    Lot,
    /// Version or date of the label in hand.
    LabelVersion,
    /// The active ingredients with their content.
    ActiveIngredients,
    /// Product used in all.
    TotalAmount,
    /// Rate or dilution at which it was applied.
    Rate,
    /// Spray, granules or other material put out in all.
    CarrierTotal,
    /// Size of the area treated, or number of plants or places.
    Area,
    /// What was treated: turf, ornamentals, a building's perimeter.
    Site,
    /// Target pest.
    Pest,
    /// Method of application.
    Method,
    /// Equipment.
    Equipment,
    /// Where the wind came from.
    WindDirection,
    /// Wind speed.
    WindSpeed,
    /// Air temperature.
    Temperature,
    /// Who applied it.
    Applicator,
    /// Number of the certificate or licence of who applied or answers for it.
    CertificationNumber,
    /// The certified applicator who supervised.
    Supervisor,
    /// The noncertified applicator who applied under supervision.
    NoncertifiedApplicator,
    /// Notices given and signs put up.
    NoticesGiven,
    /// When people and pets may come back.
    ReEntry,
    /// Counts of the target pest.
    TargetCounts,
    /// Spills, exposure, drift, and what was done about it.
    UnexpectedOccurrence,
    /// What was disposed of, and how.
    Disposal,
}

impl RecordField {
    /// Every one, in the order of a record.
    pub const ALL: &'static [Self] = &[
        Self::Client,
        Self::ClientAddress,
        Self::Location,
        Self::Date,
        Self::StartTime,
        Self::EndTime,
        Self::Product,
        Self::RegistrationNumber,
        Self::Lot,
        Self::LabelVersion,
        Self::ActiveIngredients,
        Self::TotalAmount,
        Self::Rate,
        Self::CarrierTotal,
        Self::Area,
        Self::Site,
        Self::Pest,
        Self::Method,
        Self::Equipment,
        Self::WindDirection,
        Self::WindSpeed,
        Self::Temperature,
        Self::Applicator,
        Self::CertificationNumber,
        Self::Supervisor,
        Self::NoncertifiedApplicator,
        Self::NoticesGiven,
        Self::ReEntry,
        Self::TargetCounts,
        Self::UnexpectedOccurrence,
        Self::Disposal,
    ];

    /// The word used in files.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Client => "client",
            Self::ClientAddress => "client-address",
            Self::Location => "location",
            Self::Date => "date",
            Self::StartTime => "start-time",
            Self::EndTime => "end-time",
            Self::Product => "product",
            Self::RegistrationNumber => "registration-number",
            Self::Lot => "lot",
            Self::LabelVersion => "label-version",
            Self::ActiveIngredients => "active-ingredients",
            Self::TotalAmount => "total-amount",
            Self::Rate => "rate",
            Self::CarrierTotal => "carrier-total",
            Self::Area => "area",
            Self::Site => "site",
            Self::Pest => "pest",
            Self::Method => "method",
            Self::Equipment => "equipment",
            Self::WindDirection => "wind-direction",
            Self::WindSpeed => "wind-speed",
            Self::Temperature => "temperature",
            Self::Applicator => "applicator",
            Self::CertificationNumber => "certification-number",
            Self::Supervisor => "supervisor",
            Self::NoncertifiedApplicator => "noncertified-applicator",
            Self::NoticesGiven => "notices-given",
            Self::ReEntry => "re-entry",
            Self::TargetCounts => "target-counts",
            Self::UnexpectedOccurrence => "unexpected-occurrence",
            Self::Disposal => "disposal",
        }
    }

    /// In a sentence: `the record lacks …`.
    pub const fn phrase(self) -> &'static str {
        match self {
            Self::Client => "the client's name",
            Self::ClientAddress => "the client's address",
            Self::Location => "the place of the application",
            Self::Date => "the date",
            Self::StartTime => "the time at which it began",
            Self::EndTime => "the time at which it ended",
            Self::Product => "the product",
            Self::RegistrationNumber => "the registration number",
            Self::Lot => "the lot",
            Self::LabelVersion => "the version of the label",
            Self::ActiveIngredients => "the active ingredients",
            Self::TotalAmount => "the total amount of product",
            Self::Rate => "the rate",
            Self::CarrierTotal => "the total of spray or other material",
            Self::Area => "the size of the area treated",
            Self::Site => "the site treated",
            Self::Pest => "the target pest",
            Self::Method => "the method",
            Self::Equipment => "the equipment",
            Self::WindDirection => "the wind direction",
            Self::WindSpeed => "the wind speed",
            Self::Temperature => "the air temperature",
            Self::Applicator => "the applicator's name",
            Self::CertificationNumber => "the certification number",
            Self::Supervisor => "the supervisor's name",
            Self::NoncertifiedApplicator => "the noncertified applicator's name",
            Self::NoticesGiven => "the notices given",
            Self::ReEntry => "the time of re-entry",
            Self::TargetCounts => "the counts of the target pest",
            Self::UnexpectedOccurrence => "unexpected occurrences",
            Self::Disposal => "what was disposed of, and how",
        }
    }
}
