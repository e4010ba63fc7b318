//! What was applied, as those who live there are told of it, as data.

use crate::record_json::AmountJson;
use crate::visit_json::{ApplicatorJson, SentenceJson, instant};
use business::{AppliedProduct, Business, Demands, TreatedPlace, Treatment, When, lacking};
use jiff::tz::Offset;
use jurisdiction::{CONFIRM_LOCAL_LAW, NoticeItem};
use quantity::{AreaUnit, DurationUnit, LengthUnit};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.applied/1";

/// What was applied on one visit, and what follows from its labels.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "What was applied")]
pub struct AppliedJson {
    /// `tussock.applied/1`.
    pub format: &'static str,
    /// What the visit is called.
    pub visit: String,
    /// Name of the property.
    pub property: String,
    /// The start, RFC 3339; null for work that is not done yet.
    pub start: Option<String>,
    /// The end; likewise.
    pub end: Option<String>,
    /// What was treated, in the order of the work.
    pub places: Vec<TreatedPlaceJson>,
    /// What was put down in all.
    pub products: Vec<AppliedProductJson>,
    /// Who applied it.
    pub by: Vec<ApplicatorJson>,
    /// Why, in words.
    pub why: Vec<String>,
    /// What was done against a label and concerns those who live there, and what they must do; sentences.
    pub misapplied: Vec<String>,
    /// The first moment at which people and pets may come back by the times of the labels; null when no label
    /// states a time. The conditions hold beside it.
    pub keep_off_until: Option<String>,
    /// So long after the end at least, minutes.
    pub keep_off_at_least_min: Option<f64>,
    /// And not before all of this is so.
    pub keep_off_conditions: Vec<String>,
    /// The sentences behind both.
    pub keep_off_sentences: Vec<SentenceJson>,
    /// The first moment at which water may be given; null when no label forbids it.
    pub no_water_until: Option<String>,
    /// Depths of water that must be given, metres.
    pub water_in_m: Vec<f64>,
    /// The sentences on water.
    pub water_sentences: Vec<SentenceJson>,
    /// The sentences on clippings, grazing, harvest and seeding.
    pub afterwards_sentences: Vec<SentenceJson>,
    /// What rules known ask the client to be given and nobody stated.
    pub lacking: Vec<String>,
    /// What must stand beside all of it.
    pub confirm: &'static str,
}

/// A place that was treated.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TreatedPlaceJson {
    /// Where, in words.
    pub places: Vec<String>,
    /// How, by the word of label files.
    pub method: String,
    /// The names of the products.
    pub products: Vec<String>,
    /// Against which pests.
    pub pests: Vec<String>,
    /// Treated ground, square metres.
    pub ground_m2: f64,
    /// Treated wall, square metres.
    pub wall_m2: f64,
}

/// A product and how much of it was put down.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AppliedProductJson {
    /// Its name.
    pub name: String,
    /// Its registration number as printed.
    pub registration_number: Option<String>,
    /// The names of its active ingredients.
    pub active_ingredients: Vec<String>,
    /// How much in all; null when it is not known.
    pub amount: Option<AmountJson>,
}

impl From<&TreatedPlace> for TreatedPlaceJson {
    fn from(place: &TreatedPlace) -> Self {
        Self {
            places: place.places.clone(),
            method: place.method.word().to_owned(),
            products: place.products.clone(),
            pests: place.pests.clone(),
            ground_m2: place.ground.to(AreaUnit::SquareMetre),
            wall_m2: place.wall.to(AreaUnit::SquareMetre),
        }
    }
}

impl From<&AppliedProduct> for AppliedProductJson {
    fn from(product: &AppliedProduct) -> Self {
        Self {
            name: product.name.clone(),
            registration_number: product.registration_number.clone(),
            active_ingredients: product.active_ingredients.clone(),
            amount: product.amount.map(AmountJson::from),
        }
    }
}

impl AppliedJson {
    /// A treatment that was done, its times on the clock of `offset`.
    pub fn new(treatment: &Treatment, business: &Business, demands: &Demands<'_>, offset: Offset) -> Self {
        let advice = &treatment.advice;
        let (start, end) = match &treatment.when {
            When::Done { start, end } => (Some(instant(*start, offset)), Some(instant(*end, offset))),
            When::Planned { .. } => (None, None),
        };
        let notices = demands.client.as_ref().demanded().into_iter().flatten();
        let items = notices.flat_map(|notice| &notice.notice.contains);
        Self {
            format: FORMAT,
            visit: treatment.visit.clone(),
            property: treatment.property.clone(),
            start,
            end,
            places: treatment.places.iter().map(TreatedPlaceJson::from).collect(),
            products: treatment.products.iter().map(AppliedProductJson::from).collect(),
            by: treatment.by.iter().map(ApplicatorJson::from).collect(),
            why: treatment.why.clone(),
            misapplied: treatment.misapplied.clone(),
            keep_off_until: treatment.keep_off_until().map(|until| instant(until, offset)),
            keep_off_at_least_min: advice.keep_off_at_least.map(|time| time.to(DurationUnit::Minute)),
            keep_off_conditions: advice.keep_off_conditions.clone(),
            keep_off_sentences: advice.keep_off_sentences.iter().map(SentenceJson::from).collect(),
            no_water_until: treatment.no_water_until().map(|until| instant(until, offset)),
            water_in_m: advice.water_in.iter().map(|depth| depth.to(LengthUnit::Metre)).collect(),
            water_sentences: advice.water_sentences.iter().map(SentenceJson::from).collect(),
            afterwards_sentences: advice.afterwards.iter().map(SentenceJson::from).collect(),
            lacking: lacking(items, business, treatment).into_iter().map(NoticeItem::phrase).collect(),
            confirm: CONFIRM_LOCAL_LAW,
        }
    }
}

/// The document as text, ended by a new line.
pub fn write_applied(treatment: &Treatment, business: &Business, demands: &Demands<'_>, offset: Offset) -> String {
    crate::json_text::pretty(&AppliedJson::new(treatment, business, demands, offset))
}
