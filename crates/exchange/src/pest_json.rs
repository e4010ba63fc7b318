//! Profiles of pests as data.

use crate::stages_json::DevelopmentJson;
use pest::{Cited, Clumping, DegreeDayModel, Observed, Profile, StageStep, Threshold, ThresholdCount};
use quantity::{AreaUnit, DegreeDayUnit};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of a list of profiles.
pub const LIST_FORMAT: &str = "tussock.pests/1";

/// The format of one profile.
pub const FORMAT: &str = "tussock.pest/1";

/// The profiles that are known.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PestsJson {
    /// `tussock.pests/1`.
    pub format: &'static str,
    /// In the order of their groups and names.
    pub pests: Vec<ListedPestJson>,
}

/// A profile in a list.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct ListedPestJson {
    /// Its group.
    pub group: String,
    /// Its common name.
    pub common_name: String,
    /// Its id.
    pub id: String,
    /// Its scientific name.
    pub scientific_name: Option<String>,
    /// `insect`, `tick`, `mite` or `look-alike`.
    pub kind: &'static str,
}

/// A profile.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PestProfileJson {
    /// `tussock.pest/1`.
    pub format: &'static str,
    /// Its id.
    pub id: String,
    /// `insect`, `tick`, `mite` or `look-alike`.
    pub kind: &'static str,
    /// Its common name.
    pub common_name: String,
    /// Its scientific name.
    pub scientific_name: Option<String>,
    /// Its EPPO code.
    pub eppo_code: Option<String>,
    /// The id of the source of that: of one that was not read the code is from memory.
    pub eppo_source: Option<String>,
    /// Its group.
    pub group: String,
    /// In a sentence or two.
    pub summary: String,
    /// Life stages.
    pub stages: Vec<PestStageJson>,
    /// Signs of damage.
    pub signs: Vec<FactJson>,
    /// Ways of counting.
    pub samplings: Vec<SamplingJson>,
    /// From how many on treating may be worth it.
    pub thresholds: Vec<PestThresholdJson>,
    /// How clumped counts of it are.
    pub clumping: Option<ClumpingJson>,
    /// How its stages follow each other by heat, where that is known.
    pub development: Option<PestDevelopmentJson>,
    /// Natural enemies worth keeping.
    pub enemies: Vec<FactJson>,
    /// Cultural measures.
    pub culture: Vec<FactJson>,
    /// What never works, or does harm.
    pub never: Vec<FactJson>,
    /// What is mistaken for it.
    pub look_alikes: Vec<LookAlikeJson>,
    /// Publications.
    pub sources: Vec<PestSourceJson>,
}

/// A fact with its source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FactJson {
    /// The fact.
    pub text: String,
    /// The id of its source.
    pub source: String,
}

/// A life stage.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PestStageJson {
    /// Its name.
    pub name: String,
    /// When it is seen, in words.
    pub seen: String,
    /// The months, 1 to 12.
    pub months: Vec<i8>,
    /// Where that holds.
    pub place: String,
    /// Whether treatment commonly reaches it.
    pub susceptible: bool,
    /// What else.
    pub note: Option<String>,
    /// The id of its source.
    pub source: String,
}

/// A way of counting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SamplingJson {
    /// The method.
    pub method: String,
    /// The ground of one count.
    pub unit_area: Option<String>,
    /// How.
    pub text: String,
    /// The id of its source.
    pub source: String,
}

/// A threshold.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PestThresholdJson {
    /// The figure, or the lower of two.
    pub low: f64,
    /// The same, or the higher of two.
    pub high: f64,
    /// On what.
    pub per: String,
    /// Of what: `animals`, or `mounds`, which are treated one by one up to so many.
    pub of: &'static str,
    /// Of which stage.
    pub stage: Option<String>,
    /// Where it was found to hold.
    pub place: String,
    /// On which plants.
    pub host: String,
    /// What else.
    pub note: Option<String>,
    /// The id of its source.
    pub source: String,
}

/// How clumped counts were found to be.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ClumpingJson {
    /// k of the negative binomial.
    pub k: f64,
    /// The ground of one count, as it was written: k goes with it.
    pub unit_area: String,
    /// The same, square metres.
    pub unit_area_m2: f64,
    /// Where it was found.
    pub place: String,
    /// On which plants or ground: k is another on other ground.
    pub host: String,
    /// What else.
    pub note: Option<String>,
    /// The id of its source.
    pub source: String,
}

impl From<&Cited<Clumping>> for ClumpingJson {
    fn from(one: &Cited<Clumping>) -> Self {
        let Clumping { k, unit_area, unit_words, place, host, note } = &one.what;
        Self {
            k: *k,
            unit_area: unit_words.clone(),
            unit_area_m2: unit_area.to(AreaUnit::SquareMetre),
            place: place.clone(),
            host: host.clone(),
            note: note.clone(),
            source: one.source.clone(),
        }
    }
}

/// How stages follow each other by heat.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PestDevelopmentJson {
    /// Base, threshold, start and the like.
    #[serde(flatten)]
    pub figures: DevelopmentJson,
    /// The stage at the start.
    pub first: String,
    /// The steps in order.
    pub steps: Vec<PestStepJson>,
}

/// A step from one stage to the next.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PestStepJson {
    /// The stage that it leads to.
    pub to: String,
    /// The heat since the start at which half have taken it, Celsius degree-days.
    pub middle_cel_d: f64,
    /// What else.
    pub note: Option<String>,
    /// The id of its source.
    pub source: String,
}

/// What is mistaken for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LookAlikeJson {
    /// The other profile.
    pub profile: String,
    /// How to tell them apart.
    pub how: String,
    /// The id of its source.
    pub source: String,
}

/// A publication.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PestSourceJson {
    /// Its id.
    pub id: String,
    /// Author, title, place, year.
    pub cite: String,
    /// Whether it was read for the profile.
    pub seen: bool,
}

impl PestsJson {
    /// The list.
    pub fn new(profiles: &[Profile]) -> Self {
        let listed = |profile: &Profile| ListedPestJson {
            group: profile.group.clone(),
            common_name: profile.common_name.clone(),
            id: profile.id.clone(),
            scientific_name: profile.scientific_name.clone(),
            kind: profile.kind.word(),
        };
        let mut pests: Vec<ListedPestJson> = profiles.iter().map(listed).collect();
        pests.sort();
        Self { format: LIST_FORMAT, pests }
    }

    /// The document as text, ended by a new line.
    pub fn text(&self) -> String {
        crate::json_text::pretty(self)
    }
}

impl PestProfileJson {
    /// A profile.
    pub fn new(profile: &Profile) -> Self {
        let facts = |facts: &[Cited<String>]| {
            facts.iter().map(|one| FactJson { text: one.what.clone(), source: one.source.clone() }).collect()
        };
        let stages = profile.stages.iter().map(|one| PestStageJson {
            name: one.what.name.clone(),
            seen: one.what.seen.clone(),
            months: one.what.months.numbers().collect(),
            place: one.what.place.clone(),
            susceptible: one.what.is_susceptible,
            note: one.what.note.clone(),
            source: one.source.clone(),
        });
        let samplings = profile.samplings.iter().map(|one| SamplingJson {
            method: one.what.method.clone(),
            unit_area: one.what.unit_words.clone(),
            text: one.what.text.clone(),
            source: one.source.clone(),
        });
        let look_alikes = profile.look_alikes.iter().map(|one| LookAlikeJson {
            profile: one.what.profile.clone(),
            how: one.what.how.clone(),
            source: one.source.clone(),
        });
        let sources = profile.sources.iter().map(|source| PestSourceJson {
            id: source.id.clone(),
            cite: source.cite.clone(),
            seen: source.seen,
        });
        Self {
            format: FORMAT,
            id: profile.id.clone(),
            kind: profile.kind.word(),
            common_name: profile.common_name.clone(),
            scientific_name: profile.scientific_name.clone(),
            eppo_code: profile.eppo_code.as_ref().map(|code| code.what.clone()),
            eppo_source: profile.eppo_code.as_ref().map(|code| code.source.clone()),
            group: profile.group.clone(),
            summary: profile.summary.clone(),
            stages: stages.collect(),
            signs: facts(&profile.signs),
            samplings: samplings.collect(),
            thresholds: profile.thresholds.iter().map(PestThresholdJson::from).collect(),
            clumping: profile.dispersion.as_ref().map(ClumpingJson::from),
            development: profile.development.as_ref().map(PestDevelopmentJson::new),
            enemies: facts(&profile.enemies),
            culture: facts(&profile.culture),
            never: facts(&profile.never),
            look_alikes: look_alikes.collect(),
            sources: sources.collect(),
        }
    }

    /// The document as text, ended by a new line.
    pub fn text(&self) -> String {
        crate::json_text::pretty(self)
    }
}

impl PestDevelopmentJson {
    fn new(model: &DegreeDayModel) -> Self {
        let is_assumed =
            model.variance_per_degree_day.is_none() && model.steps.iter().any(|step| step.what.spread.is_none());
        let step = |step: &Cited<StageStep>| PestStepJson {
            to: step.what.to.clone(),
            middle_cel_d: step.what.middle.to(DegreeDayUnit::Celsius),
            note: step.what.note.clone(),
            source: step.source.clone(),
        };
        Self {
            figures: DevelopmentJson::new(model, is_assumed),
            first: model.first.clone(),
            steps: model.steps.iter().map(step).collect(),
        }
    }
}

impl From<&Cited<Threshold>> for PestThresholdJson {
    fn from(one: &Cited<Threshold>) -> Self {
        let threshold = &one.what;
        let (low, high) = match threshold.count {
            ThresholdCount::One(count) => (count, count),
            ThresholdCount::Between(low, high) => (low, high),
        };
        let per = match &threshold.per {
            Observed::Ground(_, words) | Observed::Each(words) => words.clone(),
        };
        Self {
            low,
            high,
            per,
            of: threshold.of.word(),
            stage: threshold.stage.clone(),
            place: threshold.place.clone(),
            host: threshold.host.clone(),
            note: threshold.note.clone(),
            source: one.source.clone(),
        }
    }
}
