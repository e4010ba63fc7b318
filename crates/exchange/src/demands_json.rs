//! What rules demand around a visit, as data: notices, signs, what the client is given, with deadlines.

use crate::visit_json::instant;
use business::{Business, Demands, Neighbour, Treatment, lacking};
use jiff::tz::Offset;
use jurisdiction::{Binding, CONFIRM_LOCAL_LAW, Known, NoticeItem, PutUp, Sign};
use quantity::{Length, LengthUnit};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.demands/1";

/// What rules known demand around a visit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DemandsJson {
    /// `tussock.demands/1`.
    pub format: &'static str,
    /// What the visit is called.
    pub visit: String,
    /// Where the rules hold: country, or country and state, ISO 3166.
    pub place: String,
    /// The start that deadlines are reckoned from, RFC 3339.
    pub start: String,
    /// The end that times of signs are reckoned from.
    pub end: String,
    /// Whether both are known; otherwise they are the two ends of the day.
    pub times_known: bool,
    /// Notices before the application; empty when no rule on them is known, which is not to say that there
    /// is none.
    pub neighbours: Vec<NeighbourNoticeJson>,
    /// Neighbours who asked to be told and whom no rule known means.
    pub by_courtesy: Vec<String>,
    /// What the client is given; empty when no rule is known.
    pub client: Vec<ClientNoticeJson>,
    /// One sign that meets every rule known; null when no rule is known, or when they contradict each other.
    pub sign: Option<SignJson>,
    /// The rules on signs that contradict each other, in words.
    pub sign_contradiction: Option<String>,
    /// The signs, rule by rule.
    pub postings: Vec<RuleJson>,
    /// What only a person can hold.
    pub duties: Vec<RuleJson>,
    /// That no rule of the state is known, or the state is not given.
    pub not_known: Option<String>,
    /// What must stand beside all of it.
    pub confirm: &'static str,
}

/// A rule that binds.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RuleJson {
    /// Its name in the set.
    pub rule: String,
    /// What it demands, in words.
    pub demand: String,
    /// What it says, with its source and how far that was read.
    pub words: String,
    /// A condition that a person has yet to judge.
    pub to_confirm: Option<String>,
}

/// A notice before the application.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NeighbourNoticeJson {
    /// The rule.
    #[serde(flatten)]
    pub rule: RuleJson,
    /// Whom it means.
    pub to: String,
    /// The neighbours meant, as far as the client file tells.
    pub neighbours: Vec<String>,
    /// Only where they lie within this distance, metres.
    pub within_m: Option<f64>,
    /// The latest moment, RFC 3339.
    pub by: String,
    /// What it must contain and nobody stated.
    pub lacking: Vec<String>,
}

/// What the client is given.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ClientNoticeJson {
    /// The rule.
    #[serde(flatten)]
    pub rule: RuleJson,
    /// When, by the word of rule files.
    pub when: String,
    /// The latest moment, RFC 3339.
    pub by: String,
    /// What it must contain and nobody stated.
    pub lacking: Vec<String>,
}

/// A sign.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SignJson {
    /// All of it in words.
    pub words: String,
    /// The lowest height of its bottom edge above the ground, metres.
    pub bottom_at_least_m: Option<f64>,
    /// The highest height of its bottom edge, metres.
    pub bottom_at_most_m: Option<f64>,
    /// Its shorter side at least, metres.
    pub short_side_m: Option<f64>,
    /// Its longer side at least, metres.
    pub long_side_m: Option<f64>,
    /// Its letters at least, metres.
    pub letters_m: Option<f64>,
    /// The words that it must carry.
    pub wording: Vec<String>,
    /// Where it is put up. How many are needed follows from the places on the spot; one at the least.
    pub places: Vec<String>,
    /// When it is put up, by the word of rule files.
    pub put_up: Option<String>,
    /// The first moment at which it may be taken away, RFC 3339.
    pub remove_from: Option<String>,
}

impl From<&Binding<'_>> for RuleJson {
    fn from(binding: &Binding<'_>) -> Self {
        Self {
            rule: binding.rule.id.to_string(),
            demand: binding.rule.demand.to_string(),
            words: binding.words(),
            to_confirm: binding.to_confirm.map(str::to_owned),
        }
    }
}

fn metres(length: Length) -> f64 {
    length.to(LengthUnit::Metre)
}

impl SignJson {
    fn new(sign: &Sign<'_>, offset: Offset) -> Self {
        let all = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        Self {
            words: sign.to_string(),
            bottom_at_least_m: sign.bottom_at_least.map(metres),
            bottom_at_most_m: sign.bottom_at_most.map(metres),
            short_side_m: sign.least_size.map(|size| metres(size.short())),
            long_side_m: sign.least_size.map(|size| metres(size.long())),
            letters_m: sign.least_letters.map(metres),
            wording: all(&sign.wording),
            places: all(&sign.places),
            put_up: sign.put_up.map(PutUp::word).map(str::to_owned),
            remove_from: sign.remove_from.map(|time| instant(time, offset)),
        }
    }
}

impl DemandsJson {
    /// What is demanded around a treatment whose local times have this offset.
    pub fn new(demands: &Demands<'_>, treatment: &Treatment, business: &Business, offset: Offset) -> Self {
        let lacks = |items: &[NoticeItem]| {
            lacking(items, business, treatment).into_iter().map(NoticeItem::phrase).collect::<Vec<_>>()
        };
        let names = |all: &[Neighbour]| all.iter().map(|one| one.name.clone()).collect::<Vec<_>>();
        let neighbours = demands.neighbours.as_ref().demanded().into_iter().flatten();
        let client = demands.client.as_ref().demanded().into_iter().flatten();
        let postings = demands.postings.as_ref().demanded().into_iter().flatten();
        Self {
            format: FORMAT,
            visit: treatment.visit.clone(),
            place: demands.circumstances.place.to_string(),
            start: instant(demands.start, offset),
            end: instant(demands.end, offset),
            times_known: demands.times_known,
            neighbours: neighbours
                .map(|one| NeighbourNoticeJson {
                    rule: RuleJson::from(&one.deadline.binding),
                    to: one.deadline.notice.to.word().to_owned(),
                    neighbours: names(&one.to),
                    within_m: one.deadline.notice.within.map(metres),
                    by: instant(one.deadline.by, offset),
                    lacking: lacks(&one.deadline.notice.contains),
                })
                .collect(),
            by_courtesy: names(&demands.by_courtesy),
            client: client
                .map(|one| ClientNoticeJson {
                    rule: RuleJson::from(&one.binding),
                    when: one.notice.when.word().to_owned(),
                    by: instant(one.by, offset),
                    lacking: lacks(&one.notice.contains),
                })
                .collect(),
            sign: match &demands.sign {
                Ok(Known::Demanded(sign)) => Some(SignJson::new(sign, offset)),
                _ => None,
            },
            sign_contradiction: demands.sign.as_ref().err().map(ToString::to_string),
            postings: postings.map(|(binding, _)| RuleJson::from(binding)).collect(),
            duties: demands.duties.iter().map(RuleJson::from).collect(),
            not_known: demands.not_known.clone(),
            confirm: CONFIRM_LOCAL_LAW,
        }
    }
}

/// The document as text, ended by a new line.
pub fn write_demands(demands: &Demands<'_>, treatment: &Treatment, business: &Business, offset: Offset) -> String {
    crate::json_text::pretty(&DemandsJson::new(demands, treatment, business, offset))
}
