//! Whether a record is complete by the rules of its place, and how long it is kept.

use crate::application::{ApplicationRecord, Observed};
use crate::fact::{Fact, of_all};
use crate::task::{ProductRecord, TaskRecord};
use jiff::civil::{Date, DateTime};
use jurisdiction::{
    Circumstances, Ground, Jurisdiction, Kept, Known, Lacking, Paper, Presence, RecordField, RuleId, RuleSet, Work,
    record_demands, retention,
};
use label::{Site, UseClass};
use std::collections::{BTreeMap, BTreeSet};

/// Whether a record is complete.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing<'r> {
    /// No rule on records is known here. There may be one.
    NoRuleKnown,
    /// It says everything that the rules known here demand.
    Complete,
    /// It is kept as a draft: it lacks this, each with the rules that demand it and by when.
    Draft(Vec<Lacking<'r>>),
}

impl<'r> Standing<'r> {
    /// What is lacking; nothing where it is complete or no rule is known.
    pub fn lacking(&self) -> &[Lacking<'r>] {
        match self {
            Self::Draft(lacking) => lacking,
            Self::NoRuleKnown | Self::Complete => &[],
        }
    }

    /// The first moment by which something that is lacking must be recorded, on the clock of the place.
    pub fn due(&self) -> Option<DateTime> {
        self.lacking().iter().filter_map(|lacking| lacking.by.map(|(moment, _)| moment)).min()
    }

    /// The first of the moments that have passed when `today` begins, with something still lacking; `None` where
    /// nothing is overdue.
    pub fn overdue_since(&self, today: Date) -> Option<DateTime> {
        self.due().filter(|_| self.lacking().iter().any(|lacking| lacking.is_overdue(today)))
    }
}

/// What rules ask of the application behind a record. Where the record does not say whether a product is of
/// restricted use, it is taken to be.
pub fn circumstances(
    record: &ApplicationRecord,
    place: &Jurisdiction,
    work: Work,
    conditions: &BTreeMap<RuleId, bool>,
) -> Circumstances {
    let products = record.tasks.iter().flat_map(|task| &task.products);
    let restricted_use = products
        .map(|product| &product.use_class)
        .any(|class| !matches!(class, Fact::Recorded(UseClass::Unclassified) | Fact::DoesNotArise));
    Circumstances {
        place: place.clone(),
        date: record.date,
        restricted_use,
        work,
        ground: grounds(record),
        conditions: conditions.clone(),
    }
}

/// What is treated, as rules tell it apart; empty, so that every rule counts, where a site is not recorded.
fn grounds(record: &ApplicationRecord) -> BTreeSet<Ground> {
    let mut grounds = BTreeSet::new();
    for task in &record.tasks {
        let Fact::Recorded(sites) = &task.sites else { return BTreeSet::new() };
        grounds.extend(sites.iter().filter_map(|site| match site {
            Site::Turf => Some(Ground::Turf),
            Site::Ornamental | Site::Tree => Some(Ground::Ornamental),
            Site::StructurePerimeter | Site::EntryPoint => Some(Ground::Perimeter),
            Site::FoodCrop | Site::BareSoil | Site::Impervious => None,
        }));
    }
    grounds
}

/// Whether a record is complete by the rules that bind its application; what it lacks, by when, and by which
/// rule with its source.
pub fn standing<'r>(record: &ApplicationRecord, rules: &'r RuleSet, circumstances: &Circumstances) -> Standing<'r> {
    let Some(demands) = record_demands(rules, circumstances).demanded() else { return Standing::NoRuleKnown };
    let lacking = demands.lacking(|field| presence(record, field), ended(record));
    if lacking.is_empty() { Standing::Complete } else { Standing::Draft(lacking) }
}

/// The end of the application, or the earliest that it may have been: deadlines count from it.
fn ended(record: &ApplicationRecord) -> DateTime {
    let known = record.ended.value().or(record.started.value()).map(|moment| moment.local);
    known.unwrap_or_else(|| record.date.to_datetime(jiff::civil::Time::midnight()))
}

/// What a record has of a field: missing when any task or product lacks it.
pub fn presence(record: &ApplicationRecord, field: RecordField) -> Presence {
    let text = |text: &str| if text.trim().is_empty() { Presence::Absent } else { Presence::Recorded };
    let tasks = |of: fn(&TaskRecord) -> Presence| of_all(record.tasks.iter().map(of));
    let products =
        |of: fn(&ProductRecord) -> Presence| of_all(record.tasks.iter().flat_map(|task| &task.products).map(of));
    match field {
        RecordField::Client => record.client.presence(),
        RecordField::ClientAddress => record.client_address.presence(),
        // A mapped property is a place; an address says it to people.
        RecordField::Location => match record.location.presence() {
            Presence::Absent => record.client_address.presence(),
            presence => presence,
        },
        RecordField::Date => Presence::Recorded,
        RecordField::StartTime => record.started.presence(),
        RecordField::EndTime => record.ended.presence(),
        RecordField::Product => of_all(record.tasks.iter().flat_map(|task| &task.products).map(|one| text(&one.name))),
        RecordField::RegistrationNumber => products(|product| product.registration_number.presence()),
        RecordField::Lot => products(|product| product.lots.presence()),
        RecordField::LabelVersion => products(|product| product.label_version.presence()),
        RecordField::ActiveIngredients => products(|product| product.active_ingredients.presence()),
        RecordField::TotalAmount => products(|_| Presence::Recorded),
        RecordField::Rate => products(|product| product.rate.presence()),
        // Of dry products the material put out is the product itself.
        RecordField::CarrierTotal => tasks(|task| match task.carrier.presence() {
            Presence::DoesNotArise => Presence::Recorded,
            presence => presence,
        }),
        RecordField::Area => {
            tasks(|task| {
                if task.area().is_positive() {
                    Presence::Recorded
                } else {
                    match task.places {
                        // A number of places stands for an area; that none are counted does not.
                        Fact::Recorded(_) => Presence::Recorded,
                        Fact::DoesNotArise | Fact::Absent => Presence::Absent,
                    }
                }
            })
        }
        RecordField::Site => tasks(|task| task.sites.presence()),
        RecordField::Pest => tasks(|task| task.pest.presence()),
        RecordField::Method => tasks(|_| Presence::Recorded),
        RecordField::Equipment => tasks(|task| task.equipment.presence()),
        RecordField::WindDirection => observed(record, |weather| weather.wind_from.presence()),
        RecordField::WindSpeed => observed(record, |weather| weather.wind.presence()),
        RecordField::Temperature => observed(record, |weather| weather.temperature.presence()),
        RecordField::Applicator => record.applicator.presence(),
        RecordField::CertificationNumber => record.certification_number.presence(),
        RecordField::Supervisor => record.supervisor.presence(),
        RecordField::NoncertifiedApplicator => record.noncertified_applicator.presence(),
        RecordField::NoticesGiven => record.notices.presence(),
        RecordField::ReEntry => record.re_entry.presence(),
        RecordField::TargetCounts => record.target_counts.presence(),
        RecordField::UnexpectedOccurrence => record.unexpected.presence(),
        RecordField::Disposal => record.disposal.presence(),
    }
}

/// Weather is recorded when it was seen at the start or at the end.
fn observed(record: &ApplicationRecord, of: impl Fn(&Observed) -> Presence) -> Presence {
    match of(&record.weather_at_start) {
        Presence::Absent => of(&record.weather_at_end),
        presence => presence,
    }
}

/// The last day on which the record must be kept, and the rule that says so.
pub fn kept_until<'r>(rules: &'r RuleSet, circumstances: &Circumstances) -> Known<Kept<'r>> {
    retention(rules, circumstances, Paper::Record)
}

/// Whether a record may be thrown away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Discarding<'r> {
    /// Not yet: it must be kept, by this rule.
    Forbidden(Kept<'r>),
    /// No rule known here keeps it any longer.
    Allowed(Kept<'r>),
    /// No rule on keeping is known here; there may be one, so nothing is thrown away on that ground.
    NoRuleKnown,
}

/// Whether a record may be thrown away on a day.
pub fn discarding<'r>(rules: &'r RuleSet, circumstances: &Circumstances, today: Date) -> Discarding<'r> {
    match kept_until(rules, circumstances) {
        Known::NoRuleKnown => Discarding::NoRuleKnown,
        Known::Demanded(kept) if today <= kept.until => Discarding::Forbidden(kept),
        Known::Demanded(kept) => Discarding::Allowed(kept),
    }
}
