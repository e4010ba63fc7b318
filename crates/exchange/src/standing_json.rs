//! Whether a record is complete, as data: what it lacks, by when, and by which rule with its source.

use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use jurisdiction::{Binding, CONFIRM_LOCAL_LAW, Kept, Known, Lacking};
use record::{LateNotice, Standing};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.standing/1";

/// Whether a record is complete.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "What a record lacks")]
pub struct StandingJson {
    /// `tussock.standing/1`.
    pub format: &'static str,
    /// Whether it is complete.
    pub standing: StandingWordJson,
    /// What it lacks, in the order of a record.
    pub lacking: Vec<LackingJson>,
    /// Notices that came after the time that a rule allows for them. The record is none the less complete.
    pub late: Vec<LateNoticeJson>,
    /// The first moment by which something that is lacking must be recorded, RFC 3339.
    pub due: Option<String>,
    /// Whether that moment has passed when the day begins on which it was asked.
    pub overdue: bool,
    /// The last day on which the record must be kept, and the rule that says so; null where no rule is known.
    pub kept_until: Option<KeptJson>,
    /// What must stand beside all of it.
    pub confirm: &'static str,
}

/// Whether a record is complete.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum StandingWordJson {
    /// No rule on records is known here. There may be one.
    NoRuleKnown,
    /// It says everything that the rules known here demand.
    Complete,
    /// It is kept as a draft.
    Draft,
}

/// Something that a record lacks.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LackingJson {
    /// One of these fields is enough.
    pub any_of: Vec<String>,
    /// In a sentence: the record lacks this.
    pub words: String,
    /// The rules that demand it.
    pub demanded_by: Vec<DemandingRuleJson>,
    /// By when, RFC 3339; null when no rule known sets a time.
    pub by: Option<String>,
    /// Whether that moment has passed.
    pub overdue: bool,
}

/// A notice or sign that came after the time that a rule allows for it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LateNoticeJson {
    /// To whom, or where the sign stood.
    pub to: String,
    /// How.
    pub how: String,
    /// When, on the clock of the place, ISO 8601.
    pub given_local: String,
    /// The latest moment that the rule allows, on the clock of the place, ISO 8601.
    pub by_local: String,
    /// The rule.
    pub demanded_by: DemandingRuleJson,
    /// All of it in a sentence.
    pub words: String,
}

/// A rule that demands something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DemandingRuleJson {
    /// Its name in the set.
    pub rule: String,
    /// Where it holds, such as `US-OH`.
    pub jurisdiction: String,
    /// What it says, in words of the set.
    pub sentence: String,
    /// The law, code or page.
    pub publication: String,
    /// The section.
    pub section: String,
    /// How far the source was read.
    pub extent: String,
    /// The condition that a person has yet to judge; the rule is taken to hold until then.
    pub to_confirm: Option<String>,
}

/// Until when a record is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KeptJson {
    /// The last day, ISO 8601.
    pub until: String,
    /// The rule that keeps it longest.
    pub by: DemandingRuleJson,
}

impl From<&Binding<'_>> for DemandingRuleJson {
    fn from(binding: &Binding<'_>) -> Self {
        let rule = binding.rule;
        Self {
            rule: rule.id.to_string(),
            jurisdiction: rule.jurisdiction.to_string(),
            sentence: rule.sentence.clone(),
            publication: rule.source.publication.clone(),
            section: rule.source.section.clone(),
            extent: rule.source.extent.word().to_owned(),
            to_confirm: binding.to_confirm.map(str::to_owned),
        }
    }
}

impl From<&Standing<'_>> for StandingWordJson {
    fn from(standing: &Standing<'_>) -> Self {
        match standing {
            Standing::NoRuleKnown => Self::NoRuleKnown,
            Standing::Complete => Self::Complete,
            Standing::Draft(_) => Self::Draft,
        }
    }
}

impl KeptJson {
    /// Until when a record is kept, where a rule is known.
    pub(crate) fn of(kept: &Known<Kept<'_>>) -> Option<Self> {
        kept.as_ref().demanded().map(|kept| Self { until: kept.until.to_string(), by: (&kept.by).into() })
    }
}

impl LackingJson {
    fn new(lacking: &Lacking<'_>, offset: Offset, today: Date) -> Self {
        let phrases: Vec<&str> = lacking.any_of.iter().map(|field| field.phrase()).collect();
        Self {
            any_of: lacking.any_of.iter().map(|field| field.word().to_owned()).collect(),
            words: phrases.join(" or "),
            demanded_by: lacking.demanded_by.iter().map(DemandingRuleJson::from).collect(),
            by: lacking.by.map(|(moment, _)| crate::visit_json::instant(moment, offset)),
            overdue: lacking.is_overdue(today),
        }
    }
}

impl From<&LateNotice<'_>> for LateNoticeJson {
    fn from(late: &LateNotice<'_>) -> Self {
        let local = |moment: DateTime| moment.strftime("%Y-%m-%dT%H:%M:%S").to_string();
        Self {
            to: late.notice.to.clone(),
            how: late.notice.how.clone(),
            given_local: local(late.given),
            by_local: local(late.latest.by),
            demanded_by: (&late.latest.binding).into(),
            words: late.to_string(),
        }
    }
}

impl StandingJson {
    /// The standing of a record on a day, its times on the clock of `offset`, and the notices that came too late.
    pub fn new(
        (standing, late): (&Standing<'_>, &[LateNotice<'_>]),
        kept: &Known<Kept<'_>>,
        offset: Offset,
        today: Date,
    ) -> Self {
        Self {
            format: FORMAT,
            standing: standing.into(),
            lacking: standing.lacking().iter().map(|lacking| LackingJson::new(lacking, offset, today)).collect(),
            late: late.iter().map(LateNoticeJson::from).collect(),
            due: standing.due().map(|moment| crate::visit_json::instant(moment, offset)),
            overdue: standing.overdue_since(today).is_some(),
            kept_until: KeptJson::of(kept),
            confirm: CONFIRM_LOCAL_LAW,
        }
    }
}

/// The standing as text, ended by a new line.
pub fn write_standing(
    standing: (&Standing<'_>, &[LateNotice<'_>]),
    kept: &Known<Kept<'_>>,
    offset: Offset,
    today: Date,
) -> String {
    crate::json_text::pretty(&StandingJson::new(standing, kept, offset, today))
}
