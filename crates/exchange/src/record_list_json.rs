//! The records that the books keep, each with its standing, as data.

use crate::books_json::ThingJson;
use crate::standing_json::{DemandingRuleJson, KeptJson, LateNoticeJson, StandingWordJson};
use jiff::civil::{Date, DateTime};
use jurisdiction::{CONFIRM_LOCAL_LAW, Jurisdiction, Kept, Known, Lacking};
use record::{ApplicationRecord, LateNotice, Standing};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.records/1";

/// Records in a list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Records and what they lack")]
pub struct RecordListJson {
    /// `tussock.records/1`.
    pub format: &'static str,
    /// The records, by day.
    pub records: Vec<ListedRecordJson>,
    /// What must stand beside every standing.
    pub confirm: &'static str,
}

impl RecordListJson {
    /// The records of a list.
    pub const fn new(records: Vec<ListedRecordJson>) -> Self {
        Self { format: FORMAT, records, confirm: CONFIRM_LOCAL_LAW }
    }
}

/// One record in a list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ListedRecordJson {
    /// What it is listed by.
    #[serde(flatten)]
    pub thing: ThingJson,
    /// Where it lies, by the code of ISO 3166, such as `US-OH`; null when nothing says where.
    pub place: Option<String>,
    /// How many sentences of labels it passed.
    pub breaches: usize,
    /// How much of it could not be held against a label.
    pub not_judged: usize,
    /// Whether it is complete by the rules known of the place; null when the place is not known.
    pub standing: Option<StandingWordJson>,
    /// What it lacks, in the order of a record.
    pub lacking: Vec<ListedLackJson>,
    /// Notices that came after the time that a rule allows for them. The record is none the less complete.
    pub late: Vec<LateNoticeJson>,
    /// The first moment by which something that is lacking must be recorded, on the clock of the place, ISO 8601.
    pub due_local: Option<String>,
    /// Whether that moment has passed when the day begins on which it was asked.
    pub overdue: bool,
    /// The last day on which it must be kept, and the rule that says so; null where no rule is known.
    pub kept_until: Option<KeptJson>,
}

/// Something that a listed record lacks.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ListedLackJson {
    /// One of these fields is enough.
    pub any_of: Vec<String>,
    /// In words.
    pub words: String,
    /// The rules that demand it.
    pub demanded_by: Vec<DemandingRuleJson>,
    /// By when, on the clock of the place, ISO 8601; null when no rule known sets a time.
    pub by_local: Option<String>,
    /// Whether that moment has passed.
    pub overdue: bool,
}

impl ListedRecordJson {
    /// A record whose place is not known, and so nothing of its standing.
    pub fn nowhere(thing: ThingJson, record: &ApplicationRecord) -> Self {
        Self {
            thing,
            place: None,
            breaches: record.sentences_passed(),
            not_judged: record.not_judged.len(),
            standing: None,
            lacking: Vec::new(),
            late: Vec::new(),
            due_local: None,
            overdue: false,
            kept_until: None,
        }
    }

    /// A record with its standing by the rules of a place, on a day, and the notices that came too late.
    pub fn new(
        thing: ThingJson,
        record: &ApplicationRecord,
        place: &Jurisdiction,
        (standing, late): (&Standing<'_>, &[LateNotice<'_>]),
        kept: &Known<Kept<'_>>,
        today: Date,
    ) -> Self {
        Self {
            thing,
            place: Some(place.to_string()),
            breaches: record.sentences_passed(),
            not_judged: record.not_judged.len(),
            standing: Some(standing.into()),
            lacking: standing.lacking().iter().map(|lacking| ListedLackJson::new(lacking, today)).collect(),
            late: late.iter().map(LateNoticeJson::from).collect(),
            due_local: standing.due().map(local),
            overdue: standing.overdue_since(today).is_some(),
            kept_until: KeptJson::of(kept),
        }
    }
}

impl ListedLackJson {
    fn new(lacking: &Lacking<'_>, today: Date) -> Self {
        let phrases: Vec<&str> = lacking.any_of.iter().map(|field| field.phrase()).collect();
        Self {
            any_of: lacking.any_of.iter().map(|field| field.word().to_owned()).collect(),
            words: phrases.join(" or "),
            demanded_by: lacking.demanded_by.iter().map(DemandingRuleJson::from).collect(),
            by_local: lacking.by.map(|(moment, _)| local(moment)),
            overdue: lacking.is_overdue(today),
        }
    }
}

/// A record without times does not tell how far the clock of its place is from universal time.
fn local(moment: DateTime) -> String {
    moment.strftime("%Y-%m-%dT%H:%M:%S").to_string()
}
