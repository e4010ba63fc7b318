//! How well treatments worked, as data.

use crate::kept::Day;
use crate::problems_json::ProblemJson;
use problem::{Problem, Problems};
use schemars::JsonSchema;
use scouting::{
    AFTER_WITHIN_DAYS, Control, ControlAgainst, CountNext, CountedDay, Counts, EfficacyFinding, EfficacyFormula,
    EfficacyTrial, FollowUp, Followed, IntervalBasis, PoorCause, Resistance, ResistanceSign, TreatmentDay,
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
    /// Each treatment of which the counts tell nothing.
    pub untold: Vec<UntoldJson>,
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
    /// The same, by its name in the books.
    pub property_thing: Option<String>,
    /// The pest.
    pub pest: String,
    /// The day of the treatment.
    pub treated: Day,
    /// The day of the count.
    pub counted: Day,
    /// The survey of that count, by its name in the books.
    pub survey: Option<String>,
    /// The day of the count before; absent without one in time.
    pub counted_before: Option<Day>,
    /// Its survey.
    pub survey_before: Option<String>,
    /// The group of the mode of action.
    pub group: Option<String>,
    /// The products that were put down.
    pub products: Vec<String>,
    /// The record of the treatment, by its name in the books.
    pub record: Option<String>,
    /// Stations and pests of each of the four counts.
    pub stations: TrialJson,
    /// By which formula: `abbott`, `henderson-tilton`, `schneider-orelli` or `sun-shepard`.
    pub formula: &'static str,
    /// Why by that one, in words.
    pub because: &'static str,
    /// Control as a share; below 0 where there are more pests than on the check.
    pub control: f64,
    /// Its 95 % interval.
    pub interval: [f64; 2],
    /// What is to be known of that interval, wider than need be or holding less often than stated, which is among the problems as
    /// well; absent where it holds as often as stated.
    pub interval_doubt: Option<ProblemJson>,
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
    /// What to count next time so that the answer is surer, what weighs most first.
    pub count_next: Vec<String>,
}

/// What was counted on treated ground and check.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct TrialJson {
    /// On the treated ground before.
    pub treated_before: Option<CountedJson>,
    /// On the treated ground after.
    pub treated_after: Option<CountedJson>,
    /// On the check before.
    pub check_before: Option<CountedJson>,
    /// On the check after.
    pub check_after: Option<CountedJson>,
}

/// Stations, and the living pests found there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct CountedJson {
    /// Stations.
    pub stations: usize,
    /// Living pests at all of them together.
    pub pests: u64,
    /// The mean of a station.
    pub mean: f64,
}

/// A treatment of which the counts tell nothing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UntoldJson {
    /// The property.
    pub property: String,
    /// The same, by its name in the books.
    pub property_thing: Option<String>,
    /// The pest.
    pub pest: String,
    /// The day of the treatment.
    pub treated: Day,
    /// The day of the count after; absent where nobody counted in time.
    pub counted: Option<Day>,
    /// The group of the mode of action.
    pub group: Option<String>,
    /// The products that were put down.
    pub products: Vec<String>,
    /// The record of the treatment, by its name in the books.
    pub record: Option<String>,
    /// Why nothing can be told.
    pub why: Vec<String>,
    /// What to count next time, what weighs most first.
    pub count_next: Vec<String>,
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
    /// Control at the first day of treatment, by the line through all of them.
    pub first: Option<f64>,
    /// Control at the last day of treatment, by the same line.
    pub last: Option<f64>,
    /// Its 95 % interval.
    pub last_interval: Option<[f64; 2]>,
    /// What is to be known of both intervals, which is among the problems as well; absent where they hold as often as stated.
    pub interval_doubt: Option<ProblemJson>,
}

/// A treatment, with what is known of it besides its day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TreatmentTold {
    /// The treatment.
    pub treatment: TreatmentDay,
    /// What the property is called.
    pub property: String,
    /// The property by its name in the books.
    pub property_thing: Option<String>,
    /// The products that were put down.
    pub products: Vec<String>,
    /// The record by its name in the books.
    pub record: Option<String>,
}

/// Counts of a day, with the survey that they stand in.
#[derive(Debug, Clone, PartialEq)]
pub struct CountTold {
    /// The counts.
    pub counted: CountedDay,
    /// The survey by its name in the books.
    pub survey: Option<String>,
}

/// What a document is made from.
#[derive(Debug, Clone, Copy)]
pub struct EfficacyTold<'a> {
    /// The treatments.
    pub treatments: &'a [TreatmentTold],
    /// The counts.
    pub counted: &'a [CountTold],
    /// What the counts tell of the treatments.
    pub told: &'a [FollowUp],
    /// What the treatments say of resistance, each with its pest.
    pub resistance: &'a [(String, Resistance)],
    /// The control that is expected.
    pub expected: Control,
    /// What should be looked at.
    pub problems: &'a Problems,
}

/// The document as text, ended by a new line.
pub fn write_efficacy(told: &EfficacyTold<'_>) -> String {
    crate::json_text::pretty(&EfficacyJson::from(told))
}

impl From<&EfficacyTold<'_>> for EfficacyJson {
    fn from(all: &EfficacyTold<'_>) -> Self {
        let mut treatments: Vec<TreatmentJson> =
            all.told.iter().flat_map(|one| one.counts.iter().filter_map(|count| all.treatment(one, count))).collect();
        treatments.sort_by(|one, other| {
            (&one.pest, one.counted, &one.property).cmp(&(&other.pest, other.counted, &other.property))
        });
        let mut untold: Vec<UntoldJson> = all.told.iter().filter_map(|one| all.untold(one)).collect();
        untold.sort_by(|one, other| {
            (&one.pest, one.treated, &one.property).cmp(&(&other.pest, other.treated, &other.property))
        });
        Self {
            format: FORMAT,
            expected: all.expected.share(),
            treatments,
            untold,
            resistance: all.resistance.iter().map(resistance_json).collect(),
            problems: all.problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl EfficacyTold<'_> {
    fn treatment(&self, one: &FollowUp, count: &Followed) -> Option<TreatmentJson> {
        let estimate = count.control.as_ref().ok()?;
        let TreatmentTold { treatment, property, property_thing, products, record } = &self.treatments[one.treatment];
        let against = estimate.against(self.expected);
        let to_check = match against {
            ControlAgainst::Reached => Vec::new(),
            ControlAgainst::PerhapsBelow | ControlAgainst::Below => PoorCause::IN_ORDER.map(PoorCause::words).to_vec(),
        };
        let (after, before) = (&self.counted[count.after], count.before.map(|before| &self.counted[before]));
        let doubt = estimate.doubt.map(|doubt| {
            let counted = format!("{}, {property}, counted {}", treatment.pest, after.counted.day);
            ProblemJson::from(&doubt.problem().at(counted))
        });
        Some(TreatmentJson {
            property: property.clone(),
            property_thing: property_thing.clone(),
            pest: treatment.pest.clone(),
            treated: Day::new(treatment.day),
            counted: Day::new(after.counted.day),
            survey: after.survey.clone(),
            counted_before: before.map(|before| Day::new(before.counted.day)),
            survey_before: before.and_then(|before| before.survey.clone()),
            group: treatment.group.clone(),
            products: products.clone(),
            record: record.clone(),
            stations: TrialJson::from(&count.trial),
            formula: match estimate.formula {
                EfficacyFormula::Abbott => "abbott",
                EfficacyFormula::HendersonTilton => "henderson-tilton",
                EfficacyFormula::SchneiderOrelli => "schneider-orelli",
                EfficacyFormula::SunShepard => "sun-shepard",
            },
            because: estimate.formula.because(),
            control: estimate.control.share(),
            interval: [estimate.interval.0.share(), estimate.interval.1.share()],
            interval_doubt: doubt,
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
            count_next: words(&count.count_next(self.expected)),
        })
    }

    fn untold(&self, one: &FollowUp) -> Option<UntoldJson> {
        if one.counts.iter().any(|count| count.control.is_ok()) {
            return None;
        }
        let TreatmentTold { treatment, property, property_thing, products, record } = &self.treatments[one.treatment];
        let last = one.counts.last();
        let why = match last {
            Some(count) => {
                count.control.as_ref().err().into_iter().flatten().map(|problem| problem.found.clone()).collect()
            }
            None => vec![format!("nobody counted within {AFTER_WITHIN_DAYS} days after the treatment")],
        };
        Some(UntoldJson {
            property: property.clone(),
            property_thing: property_thing.clone(),
            pest: treatment.pest.clone(),
            treated: Day::new(treatment.day),
            counted: last.map(|count| Day::new(self.counted[count.after].counted.day)),
            group: treatment.group.clone(),
            products: products.clone(),
            record: record.clone(),
            why,
            count_next: words(&one.count_next(self.expected)),
        })
    }
}

fn words(next: &[CountNext]) -> Vec<String> {
    next.iter().map(|one| one.words()).collect()
}

impl From<&EfficacyTrial> for TrialJson {
    fn from(trial: &EfficacyTrial) -> Self {
        let counted = |counts: &Option<Counts>| {
            let counts = counts.as_ref()?;
            Some(CountedJson { stations: counts.stations(), pests: counts.total(), mean: counts.mean() })
        };
        Self {
            treated_before: counted(&trial.treated.before),
            treated_after: counted(&trial.treated.after),
            check_before: counted(&trial.check.before),
            check_after: counted(&trial.check.after),
        }
    }
}

/// What is to be known of the intervals of a line over many treatments, with the pest and group that it is of.
pub fn resistance_doubt((pest, one): &(String, Resistance)) -> Option<Problem> {
    one.interval_doubt().map(|doubt| doubt.at(format!("{pest}, group {}", one.group)))
}

fn resistance_json(told: &(String, Resistance)) -> ResistanceJson {
    let (pest, one) = told;
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
        first: trend.map(|trend| trend.first.share()),
        last: trend.map(|trend| trend.last.share()),
        last_interval: trend.map(|trend| [trend.last_interval.0.share(), trend.last_interval.1.share()]),
        interval_doubt: resistance_doubt(told).map(|doubt| ProblemJson::from(&doubt)),
    }
}
