//! `stages.json`: the stages of a pest by heat, day by day.

use crate::json_text::pretty;
use crate::pest_json::PestSourceJson;
use crate::problems_json::ProblemJson;
use jiff::civil::Date;
use pest::{DegreeDayModel, HeatStart, Source, StepSpread};
use phenology::{ASSUMED_SPREAD, DateRange, StageCourse, StageDay, StepDay, Window, WindowOutlook};
use problem::Problems;
use quantity::{DegreeDayUnit, DegreeDays, TemperatureUnit};
use schemars::JsonSchema;
use serde::Serialize;
use weather::degree_days::{Evidence, ReachedRange};

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.stages/1";

/// The stages of a pest over the days that were read, and the dates ahead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Stages by heat")]
pub struct StagesJson {
    /// `tussock.stages/1`.
    pub format: &'static str,
    /// Of which pest.
    pub pest: String,
    /// The published figures that it goes by.
    pub development: DevelopmentJson,
    /// Publications.
    pub sources: Vec<PestSourceJson>,
    /// How heat was counted here, in words.
    pub counted_by: &'static str,
    /// The day from which heat is counted, ISO 8601.
    pub from: String,
    /// The last day that was read.
    pub through: String,
    /// The heat so far, Celsius degree-days.
    pub total_cel_d: f64,
    /// The same on the scale of the figures, in words.
    pub total: String,
    /// The stages in order.
    pub stages: Vec<String>,
    /// The steps between them.
    pub steps: Vec<StepJson>,
    /// The stages that a treatment reaches; none where nothing tells them.
    pub susceptible: Vec<String>,
    /// The days on which these are the most; `null` where nothing tells the stages, or there is no day.
    pub window: Option<StageWindowJson>,
    /// The same over the past years; `null` also where there are too few.
    pub window_ahead: Option<WindowAheadJson>,
    /// What own sightings told; `null` without any.
    pub correction: Option<CorrectionJson>,
    /// The past years by which dates ahead are told.
    pub past_years: Vec<i16>,
    /// The days in order.
    pub days: Vec<StageDayJson>,
    /// What was noticed on the way.
    pub problems: Vec<ProblemJson>,
}

/// Published figures of degree-days.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DevelopmentJson {
    /// The temperature above which they develop, degrees Celsius.
    pub base_cel: f64,
    /// The temperature above which they develop no faster.
    pub upper_cel: Option<f64>,
    /// What heat above it does: `horizontal`, `intermediate` or `vertical`.
    pub cutoff: Option<&'static str>,
    /// How heat was counted where the figures were found; `null` where that is not told.
    pub method: Option<&'static str>,
    /// Month and day of the start, such as `03-01`; `null` where it is a biofix.
    pub start: Option<String>,
    /// What is seen on the day of the start.
    pub biofix: Option<String>,
    /// Where they hold.
    pub place: String,
    /// What else.
    pub note: Option<String>,
    /// The id of the source of base, threshold and start.
    pub source: String,
    /// The variance that each degree-day adds to every step alike, Celsius degree-days.
    pub variance_per_degree_day_cel_d: Option<f64>,
    /// Where the spread of a step is not published: the share of its degree-days that is taken for its standard deviation,
    /// an assumption without source.
    pub assumed_spread: Option<f64>,
}

/// A step from one stage to the next.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StepJson {
    /// The stage that it leads to.
    pub to: String,
    /// The heat at which half have taken it, as published, Celsius degree-days.
    pub middle_cel_d: f64,
    /// The scale of a logistic spread.
    pub logistic_scale_cel_d: Option<f64>,
    /// The standard deviation of a normal spread.
    pub standard_deviation_cel_d: Option<f64>,
    /// What else.
    pub note: Option<String>,
    /// The id of the source of the middle.
    pub source: String,
    /// The id of the source of the spread.
    pub spread_source: Option<String>,
    /// The heat counted here at which it is taken, after own sightings.
    pub taken_at_cel_d: f64,
    /// The day on which it was reached; `null` where it lies ahead.
    pub reached: Option<String>,
    /// When it comes; `null` where it is past, or there are too few past years.
    pub ahead: Option<StepAheadJson>,
}

/// When a step comes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StepAheadJson {
    /// The dates.
    pub dates: DateRangeJson,
    /// In how many past years it came before the year ended.
    pub reached_years: usize,
    /// Of how many.
    pub years: usize,
}

/// Dates over past years; `null` where fewer years have one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DateRangeJson {
    /// One year in ten was so early or earlier.
    pub early: Option<String>,
    /// Half of the years were.
    pub middle: Option<String>,
    /// Nine years in ten were.
    pub late: Option<String>,
}

/// The days on which the stages that a treatment reaches are the most.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StageWindowJson {
    /// Its first day; `null` when they never are the most.
    pub first: Option<String>,
    /// Its last day.
    pub last: Option<String>,
    /// The day of their largest share.
    pub best: String,
    /// That share, 0 to 1.
    pub best_share: f64,
    /// Whether the days that were read end before the window does.
    pub is_open: bool,
}

/// The window over past years.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WindowAheadJson {
    /// Its first day.
    pub first: DateRangeJson,
    /// Its best day.
    pub best: DateRangeJson,
    /// Its last day.
    pub last: DateRangeJson,
    /// In how many past years it opened before the year ended.
    pub opened_years: usize,
    /// Of how many.
    pub years: usize,
}

/// What own sightings told.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CorrectionJson {
    /// By what heat counts more here than published: above 1 they are ahead.
    pub factor: f64,
    /// Between this and the next the true one lies with a chance of nine in ten.
    pub low: f64,
    /// The other end.
    pub high: f64,
}

/// A day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StageDayJson {
    /// ISO 8601.
    pub date: String,
    /// Its own heat, Celsius degree-days.
    pub heat_cel_d: f64,
    /// The heat from the start through its end.
    pub total_cel_d: f64,
    /// Whether its temperatures were put between those of its neighbours.
    pub is_filled: bool,
    /// Share in each stage, 0 to 1, in their order; the sum is 1.
    pub shares: Vec<f64>,
}

fn celsius(heat: DegreeDays) -> f64 {
    heat.to(DegreeDayUnit::Celsius)
}

/// The sources that a model names.
fn named(model: &DegreeDayModel, sources: &[Source]) -> Vec<PestSourceJson> {
    let named: Vec<&str> = model.sources().into_iter().flat_map(|(_, ids)| ids).collect();
    let json = |source: &Source| PestSourceJson { id: source.id.clone(), cite: source.cite.clone(), seen: source.seen };
    sources.iter().filter(|source| named.contains(&source.id.as_str())).map(json).collect()
}

impl StagesJson {
    /// The document.
    pub fn new(
        pest: &str,
        (model, sources): (&DegreeDayModel, &[Source]),
        course: &StageCourse,
        problems: &Problems,
    ) -> Self {
        let name = |stage: &usize| course.stages.get(*stage).cloned();
        let total = course.last().map_or(DegreeDays::ZERO, |day| day.total);
        let day = |day: Option<&StageDay>| day.map_or_else(String::new, |day| day.date.to_string());
        Self {
            format: FORMAT,
            pest: pest.to_owned(),
            development: DevelopmentJson::new(model, course.is_spread_assumed),
            sources: named(model, sources),
            counted_by: course.by.words(),
            from: day(course.days.first()),
            through: day(course.last()),
            total_cel_d: celsius(total),
            total: total.show_digits(model.scale.degree_days(), 4),
            stages: course.stages.clone(),
            steps: model.steps.iter().zip(&course.steps).map(|(told, own)| StepJson::new(told, own)).collect(),
            susceptible: course.susceptible.iter().flat_map(|own| own.stages().iter().filter_map(name)).collect(),
            window: course.window.as_ref().map(StageWindowJson::from),
            window_ahead: course.window_ahead.as_ref().map(WindowAheadJson::from),
            correction: course.correction.as_ref().map(|found| {
                let (low, high) = found.interval();
                CorrectionJson { factor: found.factor(), low, high }
            }),
            past_years: course.past_years.clone(),
            days: course.days.iter().map(StageDayJson::from).collect(),
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }

    /// The document as text, ended by a new line.
    pub fn text(&self) -> String {
        pretty(self)
    }
}

impl DevelopmentJson {
    /// The figures; `is_assumed` says that a spread had to be assumed.
    pub fn new(model: &DegreeDayModel, is_assumed: bool) -> Self {
        let (start, biofix) = match &model.start {
            HeatStart::Day { month, day } => (Some(format!("{month:02}-{day:02}")), None),
            HeatStart::Biofix(seen) => (None, Some(seen.clone())),
        };
        Self {
            base_cel: model.base.to(TemperatureUnit::Celsius),
            upper_cel: model.upper.map(|(upper, _)| upper.to(TemperatureUnit::Celsius)),
            cutoff: model.upper.map(|(_, cutoff)| cutoff.word()),
            method: model.method.map(pest::HeatMethod::word),
            start,
            biofix,
            place: model.place.clone(),
            note: model.note.clone(),
            source: model.source.clone(),
            variance_per_degree_day_cel_d: model.variance_per_degree_day.as_ref().map(|own| celsius(own.what)),
            assumed_spread: is_assumed.then_some(ASSUMED_SPREAD),
        }
    }
}

impl StepJson {
    fn new(told: &pest::Cited<pest::StageStep>, own: &StepDay) -> Self {
        let (logistic, normal) = match &told.what.spread {
            Some(StepSpread::LogisticScale(scale)) => (Some(celsius(scale.what)), None),
            Some(StepSpread::StandardDeviation(deviation)) => (None, Some(celsius(deviation.what))),
            None => (None, None),
        };
        let (reached, ahead) = match own.reached {
            Some(ReachedRange::On(date)) => (Some(date.to_string()), None),
            Some(ReachedRange::Ahead { early, middle, late, reached, years }) => {
                let dates = DateRangeJson::new(early, middle, late);
                (None, Some(StepAheadJson { dates, reached_years: reached, years }))
            }
            None => (None, None),
        };
        Self {
            to: told.what.to.clone(),
            middle_cel_d: celsius(told.what.middle),
            logistic_scale_cel_d: logistic,
            standard_deviation_cel_d: normal,
            note: told.what.note.clone(),
            source: told.source.clone(),
            spread_source: told.what.spread.as_ref().map(|spread| spread.width().source.clone()),
            taken_at_cel_d: celsius(own.heat),
            reached,
            ahead,
        }
    }
}

impl DateRangeJson {
    fn new(early: Option<Date>, middle: Option<Date>, late: Option<Date>) -> Self {
        let text = |date: Option<Date>| date.map(|date| date.to_string());
        Self { early: text(early), middle: text(middle), late: text(late) }
    }
}

impl From<DateRange> for DateRangeJson {
    fn from(range: DateRange) -> Self {
        Self::new(range.early, range.middle, range.late)
    }
}

impl From<&Window> for StageWindowJson {
    fn from(window: &Window) -> Self {
        Self {
            first: window.days.map(|(first, _)| first.to_string()),
            last: window.days.map(|(_, last)| last.to_string()),
            best: window.best.to_string(),
            best_share: window.best_share,
            is_open: window.is_open,
        }
    }
}

impl From<&WindowOutlook> for WindowAheadJson {
    fn from(outlook: &WindowOutlook) -> Self {
        Self {
            first: outlook.first.into(),
            best: outlook.best.into(),
            last: outlook.last.into(),
            opened_years: outlook.opens,
            years: outlook.years,
        }
    }
}

impl From<&StageDay> for StageDayJson {
    fn from(day: &StageDay) -> Self {
        Self {
            date: day.date.to_string(),
            heat_cel_d: celsius(day.heat),
            total_cel_d: celsius(day.total),
            is_filled: day.evidence == Evidence::Filled,
            shares: day.shares.shares().to_vec(),
        }
    }
}
