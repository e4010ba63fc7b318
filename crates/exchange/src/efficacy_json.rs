//! How well treatments worked, as data.

use crate::kept::Day;
use crate::problems_json::ProblemJson;
use problem::Problems;
use schemars::JsonSchema;
use scouting::{
    Control, ControlAgainst, EfficacyEstimate, EfficacyFinding, EfficacyFormula, IntervalBasis, PoorCause, Resistance,
    ResistanceSign,
};
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.efficacy/1";

/// How well treatments worked.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EfficacyJson {
    /// `tussock.efficacy/1`.
    pub format: &'static str,
    /// The control that is expected, as a share.
    pub expected: f64,
    /// Each count after a treatment, by its day.
    pub treatments: Vec<TreatmentJson>,
    /// What the treatments with one group say of resistance.
    pub resistance: Vec<ResistanceJson>,
    /// What should be looked at.
    pub problems: Vec<ProblemJson>,
}

/// A count after a treatment, with what it says.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TreatmentJson {
    /// The property.
    pub property: String,
    /// The pest.
    pub pest: String,
    /// The day of the treatment.
    pub treated: Day,
    /// The day of the count.
    pub counted: Day,
    /// The group of the mode of action.
    pub group: Option<String>,
    /// By which formula: `abbott`, `henderson-tilton`, `schneider-orelli` or `sun-shepard`.
    pub formula: &'static str,
    /// Control as a share; below 0 where there are more pests than on the check.
    pub control: f64,
    /// Its 95 % interval.
    pub interval: [f64; 2],
    /// How the interval was reached: `delta` or `by-lot`.
    pub interval_by: &'static str,
    /// k of the negative binomial; absent without a mean in the formula.
    pub k: Option<f64>,
    /// How many times the variance of dead shares is that of chance; absent without a dead share.
    pub overdispersion: Option<f64>,
    /// `none-left`, `reduced`, `not-shown` or `increased`.
    pub finding: &'static str,
    /// Against the control expected: `reached`, `perhaps-below` or `below`.
    pub against_expected: &'static str,
    /// What to check, in this order, where it is not reached.
    pub to_check: Vec<&'static str>,
}

/// What the treatments with one group say of resistance.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ResistanceJson {
    /// The pest.
    pub pest: String,
    /// The group of the mode of action.
    pub group: String,
    /// `too-few`, `not-falling`, `falling` or `signal`.
    pub sign: &'static str,
    /// Treatments, days of treatment and properties.
    pub treatments: usize,
    /// Days of treatment.
    pub days: usize,
    /// Properties.
    pub properties: usize,
    /// By how many times survival grows from one day of treatment to the next; absent with too few.
    pub growth: Option<f64>,
    /// Its 95 % interval.
    pub growth_interval: Option<[f64; 2]>,
    /// Control at the last day of treatment, by the line through all of them.
    pub last: Option<f64>,
    /// Its 95 % interval.
    pub last_interval: Option<[f64; 2]>,
}

/// A count after a treatment, as it was reckoned.
#[derive(Debug, Clone, PartialEq)]
pub struct TreatmentTold {
    /// The property.
    pub property: String,
    /// The pest.
    pub pest: String,
    /// The day of the treatment.
    pub treated: Day,
    /// The day of the count.
    pub counted: Day,
    /// The group of the mode of action.
    pub group: Option<String>,
    /// What was reckoned.
    pub estimate: EfficacyEstimate,
}

impl TreatmentTold {
    fn json(&self, expected: Control) -> TreatmentJson {
        let estimate = &self.estimate;
        let against = estimate.against(expected);
        let to_check = match against {
            ControlAgainst::Reached => Vec::new(),
            ControlAgainst::PerhapsBelow | ControlAgainst::Below => PoorCause::IN_ORDER.map(PoorCause::words).to_vec(),
        };
        TreatmentJson {
            property: self.property.clone(),
            pest: self.pest.clone(),
            treated: self.treated,
            counted: self.counted,
            group: self.group.clone(),
            formula: match estimate.formula {
                EfficacyFormula::Abbott => "abbott",
                EfficacyFormula::HendersonTilton => "henderson-tilton",
                EfficacyFormula::SchneiderOrelli => "schneider-orelli",
                EfficacyFormula::SunShepard => "sun-shepard",
            },
            control: estimate.control.share(),
            interval: [estimate.interval.0.share(), estimate.interval.1.share()],
            interval_by: match estimate.basis {
                IntervalBasis::Delta { .. } => "delta",
                IntervalBasis::ByLot { .. } => "by-lot",
            },
            k: estimate.scatter.k.map(scouting::ClumpingK::value),
            overdispersion: estimate.scatter.overdispersion,
            finding: match estimate.finding {
                EfficacyFinding::NoneLeft => "none-left",
                EfficacyFinding::Reduced => "reduced",
                EfficacyFinding::NotShown => "not-shown",
                EfficacyFinding::Increased => "increased",
            },
            against_expected: match against {
                ControlAgainst::Reached => "reached",
                ControlAgainst::PerhapsBelow => "perhaps-below",
                ControlAgainst::Below => "below",
            },
            to_check,
        }
    }
}

fn resistance_json((pest, one): &(String, Resistance)) -> ResistanceJson {
    let trend = one.trend.as_ref();
    ResistanceJson {
        pest: pest.clone(),
        group: one.group.clone(),
        sign: match one.sign {
            ResistanceSign::TooFew => "too-few",
            ResistanceSign::NotFalling => "not-falling",
            ResistanceSign::Falling => "falling",
            ResistanceSign::Signal => "signal",
        },
        treatments: one.treatments,
        days: one.days,
        properties: one.properties,
        growth: trend.map(|trend| trend.growth),
        growth_interval: trend.map(|trend| [trend.growth_interval.0, trend.growth_interval.1]),
        last: trend.map(|trend| trend.last.share()),
        last_interval: trend.map(|trend| [trend.last_interval.0.share(), trend.last_interval.1.share()]),
    }
}

/// The document as text, ended by a new line. Each reading of resistance comes with its pest.
pub fn write_efficacy(
    treatments: &[TreatmentTold],
    resistance: &[(String, Resistance)],
    expected: Control,
    problems: &Problems,
) -> String {
    crate::json_text::pretty(&EfficacyJson {
        format: FORMAT,
        expected: expected.share(),
        treatments: treatments.iter().map(|one| one.json(expected)).collect(),
        resistance: resistance.iter().map(resistance_json).collect(),
        problems: problems.iter().map(ProblemJson::from).collect(),
    })
}
