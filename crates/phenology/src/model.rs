//! A published model of degree-days, made ready to count by.

use crate::boundary::{Boundary, Spread};
use crate::development::Development;
use jiff::civil::Date;
use pest::{Cited, DegreeDayModel, HeatMethod, HeatStart, LifeStage, StepSpread, UpperCutoff};
use problem::{Problem, Problems};
use weather::degree_days::{Accumulation, Cutoff, HeatRange, Method, Start};

/// Where no spread is published a step's standard deviation is taken to be this share of its degree-days. An assumption,
/// no source; answers say that it was taken.
pub const ASSUMED_SPREAD: f64 = 0.1;

/// How the heat of a day is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeatBy {
    /// From the highest and the lowest temperature.
    Days(Method),
    /// Each hour at its own temperature.
    Hours,
}

impl From<HeatMethod> for HeatBy {
    fn from(method: HeatMethod) -> Self {
        match method {
            HeatMethod::Average => Self::Days(Method::Average),
            HeatMethod::AverageOfClipped => Self::Days(Method::AverageOfClipped),
            HeatMethod::SingleSine => Self::Days(Method::SingleSine),
            HeatMethod::DoubleSine => Self::Days(Method::DoubleSine),
            HeatMethod::SingleTriangle => Self::Days(Method::SingleTriangle),
            HeatMethod::DoubleTriangle => Self::Days(Method::DoubleTriangle),
            HeatMethod::Hourly => Self::Hours,
        }
    }
}

impl HeatBy {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Days(Method::Average) => "mean of the day's extremes",
            Self::Days(Method::AverageOfClipped) => "mean of the day's extremes, each held to the thresholds",
            Self::Days(Method::SingleSine) => "single sine",
            Self::Days(Method::DoubleSine) => "double sine",
            Self::Days(Method::SingleTriangle) => "single triangle",
            Self::Days(Method::DoubleTriangle) => "double triangle",
            Self::Hours => "hours, each at its own temperature",
        }
    }
}

/// The stages of a model as a development; with it whether its spread is [`ASSUMED_SPREAD`] in any step.
///
/// # Errors
/// As [`Development::by_boundaries`] and [`Development::by_dennis_1986`].
pub fn development_of(model: &DegreeDayModel) -> Result<(Development, bool), Problems> {
    if let Some(variance) = &model.variance_per_degree_day {
        let middles = model.steps.iter().map(|step| step.what.middle).collect();
        return Development::by_dennis_1986(middles, variance.what).map(|development| (development, false));
    }
    let mut problems = Problems::new();
    let mut steps = Vec::with_capacity(model.steps.len());
    for step in &model.steps {
        let spread = match &step.what.spread {
            Some(StepSpread::LogisticScale(scale)) => Spread::Logistic(scale.what),
            Some(StepSpread::StandardDeviation(deviation)) => Spread::Normal(deviation.what),
            None => Spread::Normal(step.what.middle * ASSUMED_SPREAD),
        };
        match Boundary::new(step.what.middle, spread) {
            Ok(boundary) => steps.push(boundary),
            Err(found) => problems.extend(found),
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    let is_assumed = model.steps.iter().any(|step| step.what.spread.is_none());
    Development::by_boundaries(steps).map(|development| (development, is_assumed))
}

/// How the heat of a model is counted by a method; `biofix` is the day of the start where the model counts from something
/// seen, or in place of its own day. Counted by hours, the method is that of past years, of which there may be days only.
///
/// # Errors
/// `stages::no-biofix` where the model counts from something seen and no day is given; those of
/// [`HeatRange::between`] and [`Start::calendar`].
pub fn accumulation_of(model: &DegreeDayModel, by: HeatBy, biofix: Option<Date>) -> Result<Accumulation, Problems> {
    let mut problems = Problems::new();
    let range = match model.upper {
        None => Ok(HeatRange::above(model.base)),
        Some((upper, cutoff)) => HeatRange::between(model.base, upper, cutoff_of(cutoff)),
    };
    let range = range.map_err(|found| problems.extend(found)).ok();
    let start = match (biofix, &model.start) {
        (Some(day), _) => Some(Start::Biofix(day)),
        (None, HeatStart::Day { month, day }) => {
            Start::calendar(*month, *day).map_err(|found| problems.extend(found)).ok()
        }
        (None, HeatStart::Biofix(seen)) => {
            problems.push(
                Problem::error("stages::no-biofix", format!("heat is counted from a day that is not told: {seen}"))
                    .expected("the day on which it was seen, such as `2026-04-18`")
                    .mend("give the day with --biofix; look for it where it was not seen yet"),
            );
            None
        }
    };
    let method = match by {
        HeatBy::Days(method) => method,
        HeatBy::Hours => Method::SingleSine,
    };
    match (range, start) {
        (Some(range), Some(start)) => Ok(Accumulation { range, method, start }),
        _ => Err(problems),
    }
}

const fn cutoff_of(cutoff: UpperCutoff) -> Cutoff {
    match cutoff {
        UpperCutoff::Horizontal => Cutoff::Horizontal,
        UpperCutoff::Intermediate => Cutoff::Intermediate,
        UpperCutoff::Vertical => Cutoff::Vertical,
    }
}

/// The words of those stages of a profile that treatment commonly reaches and the model has: its own, else the profile's.
pub fn commonly_reached<'a>(model: &'a DegreeDayModel, stages: &'a [Cited<LifeStage>]) -> Vec<&'a str> {
    if !model.susceptible.is_empty() {
        return model.susceptible.iter().map(String::as_str).collect();
    }
    let reached = stages.iter().map(|stage| &stage.what).filter(|stage| stage.is_susceptible);
    reached.map(|stage| stage.name.as_str()).filter(|name| !model.stages_meant(name).is_empty()).collect()
}

/// What to say where nothing tells the stages of a pest by heat.
pub fn no_development(name: &str) -> Problem {
    Problem::error("stages::no-development", format!("the profile of the {name} has no stages by heat"))
        .expected(
            "a table `[development]` with base, start and the degree-days of each step, each with its source: in a \
             profile, or in a file of its own",
        )
        .mend(
            "write it from a publication for your place, as docs/stages.md shows, and name the file with --development; \
             until then go by the months of the profile and by what is found on the spot",
        )
}
