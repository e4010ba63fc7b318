//! What people must do: protective equipment, keeping off, watering, posting, cautions.

use super::figure::FigureJson;
use super::hour::instant;
use super::task::AmountParts;
use super::verdict::StrengthJson;
use jiff::tz::Offset;
use label::PpeTask;
use quantity::LengthUnit;
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{
    Applicator, Call, Caution, CautionSubject, Direction, Finding, IrrigationAdvice, Ppe, ProductTotal, Sentence,
};

/// A sentence with the place where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SentenceJson {
    /// Verbatim.
    pub text: String,
    /// Page.
    pub page: Option<u32>,
    /// Label id; null for a general caution.
    pub label: Option<String>,
}

impl From<&Sentence> for SentenceJson {
    fn from(sentence: &Sentence) -> Self {
        Self { text: sentence.text.clone(), page: sentence.page, label: sentence.label.clone() }
    }
}

/// A piece of protective equipment.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PpeJson {
    /// In the label's words.
    pub item: String,
    /// For which kinds of work.
    pub tasks: Vec<String>,
    /// The sentence that asks for it.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
}

impl From<&Ppe> for PpeJson {
    fn from(ppe: &Ppe) -> Self {
        Self {
            item: ppe.item.clone(),
            tasks: ppe.tasks.iter().copied().map(PpeTask::word).map(str::to_owned).collect(),
            clause: ppe.clause.clone(),
            page: ppe.page,
        }
    }
}

/// Product used in the whole job.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ProductTotalJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// Millilitres, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_ml: Option<f64>,
    /// Grams, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_g: Option<f64>,
    /// Millilitres as measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_ml: Option<f64>,
    /// Grams as measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_g: Option<f64>,
}

impl From<&ProductTotal> for ProductTotalJson {
    fn from(total: &ProductTotal) -> Self {
        let product = AmountParts::from(total.amount);
        let measured = AmountParts::from(total.measured);
        Self {
            label: total.label.clone(),
            product: total.product.clone(),
            product_ml: product.millilitres,
            product_g: product.grams,
            measured_ml: measured.millilitres,
            measured_g: measured.grams,
        }
    }
}

/// Water to be given after the application.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WaterInJson {
    /// Depth of water, metres.
    pub depth_m: f64,
    /// By when, RFC 3339; null when no hour of application is known.
    pub by: Option<String>,
}

pub(super) fn water_in(advice: &IrrigationAdvice, offset: Offset) -> Vec<WaterInJson> {
    advice
        .water_in
        .iter()
        .map(|(depth, by)| WaterInJson { depth_m: depth.to(LengthUnit::Metre), by: by.map(|by| instant(by, offset)) })
        .collect()
}

/// A sentence of a label that only a person can keep.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DirectionJson {
    /// Its subject, by the key of a label file.
    pub subject: String,
    /// How far it binds.
    pub strength: StrengthJson,
    /// Verbatim.
    pub text: String,
    /// Page.
    pub page: Option<u32>,
    /// Label id.
    pub label: Option<String>,
}

impl From<&Direction> for DirectionJson {
    fn from(direction: &Direction) -> Self {
        Self {
            subject: direction.subject.to_owned(),
            strength: direction.strength.into(),
            text: direction.sentence.text.clone(),
            page: direction.sentence.page,
            label: direction.sentence.label.clone(),
        }
    }
}

/// What a caution is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CautionSubjectJson {
    /// The law and the label.
    Law,
    /// People and pets.
    People,
    /// Bees and other pollinators.
    Bees,
    /// Water and what lives in it.
    Water,
    /// Food plants.
    Food,
    /// First aid.
    FirstAid,
    /// Spills, storage, containers.
    Spill,
}

/// A caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CautionJson {
    /// About what.
    pub subject: CautionSubjectJson,
    /// What to do.
    pub text: String,
    /// Page of the label.
    pub page: Option<u32>,
    /// Label id; null for a general caution.
    pub label: Option<String>,
}

impl From<&Caution> for CautionJson {
    fn from(caution: &Caution) -> Self {
        Self {
            subject: match caution.subject {
                CautionSubject::Law => CautionSubjectJson::Law,
                CautionSubject::People => CautionSubjectJson::People,
                CautionSubject::Bees => CautionSubjectJson::Bees,
                CautionSubject::Water => CautionSubjectJson::Water,
                CautionSubject::Food => CautionSubjectJson::Food,
                CautionSubject::FirstAid => CautionSubjectJson::FirstAid,
                CautionSubject::Spill => CautionSubjectJson::Spill,
            },
            text: caution.sentence.text.clone(),
            page: caution.sentence.page,
            label: caution.sentence.label.clone(),
        }
    }
}

/// What was found that justifies the visit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FindingJson {
    /// Its name, by which tasks say that they rest on it.
    pub id: String,
    /// The pest, by common name.
    pub pest: String,
    /// The profile of the pest, by id.
    pub profile: Option<String>,
    /// Its life stage.
    pub stage: Option<String>,
    /// How it was identified, in words.
    pub basis: String,
    /// Who identified it.
    pub identified_by: Option<String>,
    /// Mean density.
    pub density: Option<FigureJson>,
    /// Its standard error.
    pub density_standard_error: Option<FigureJson>,
    /// Number of counts.
    pub counts: usize,
    /// The survey that the counts come from, as the request names it.
    pub survey: Option<String>,
    /// The day of that survey, ISO 8601.
    pub counted_on: Option<String>,
    /// The threshold held against it.
    pub threshold: Option<FigureJson>,
    /// For where the threshold holds, and where it was published.
    pub threshold_source: Option<String>,
    /// What the counts call for.
    pub call: CallJson,
    /// About how many more counts would settle it; null once it is settled.
    pub more_counts: Option<u32>,
    /// Whether the treatment is meant to be preventive.
    pub preventive: bool,
}

/// What counts call for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CallJson {
    /// To treat: the threshold is reached.
    Treat,
    /// To broadcast: there are more mounds than the level above which the whole lawn is treated.
    Broadcast,
    /// To treat mounds one by one, and nothing beside them.
    MoundsAlone,
    /// Not to treat.
    DoNotTreat,
    /// To count on.
    CountOn,
    /// Nothing was counted, or no threshold is told.
    NotShown,
}

impl From<&Finding> for FindingJson {
    fn from(finding: &Finding) -> Self {
        let (call, more_counts) = match finding.call {
            Call::Treat => (CallJson::Treat, None),
            Call::Broadcast => (CallJson::Broadcast, None),
            Call::MoundsAlone => (CallJson::MoundsAlone, None),
            Call::DoNotTreat => (CallJson::DoNotTreat, None),
            Call::CountOn(more) => (CallJson::CountOn, Some(more)),
            Call::NotShown => (CallJson::NotShown, None),
        };
        Self {
            id: finding.id.clone(),
            pest: finding.pest.clone(),
            profile: finding.profile.clone(),
            stage: finding.stage.clone(),
            basis: finding.basis.clone(),
            identified_by: finding.identified_by.clone(),
            density: finding.density.as_ref().map(|(mean, _)| mean.into()),
            density_standard_error: finding.density.as_ref().and_then(|(_, error)| error.as_ref()).map(Into::into),
            counts: finding.counts,
            survey: finding.survey.as_ref().map(|(name, _)| name.clone()),
            counted_on: finding.survey.as_ref().map(|(_, date)| date.to_string()),
            threshold: finding.threshold.as_ref().map(|(figure, _)| figure.into()),
            threshold_source: finding.threshold.as_ref().map(|(_, source)| source.clone()),
            call,
            more_counts,
            preventive: finding.preventive,
        }
    }
}

/// Who applies.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ApplicatorJson {
    /// Name.
    pub name: String,
    /// Certification number as printed.
    pub certification: Option<String>,
    /// Whether the person is certified for the category of this work.
    pub certified: bool,
}

impl From<&Applicator> for ApplicatorJson {
    fn from(applicator: &Applicator) -> Self {
        Self {
            name: applicator.name.clone(),
            certification: applicator.certification.clone(),
            certified: applicator.certified,
        }
    }
}
