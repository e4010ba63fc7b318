//! The stages of a pest over the days that were read, and the days ahead.

use crate::development::{Development, StageShares};
use crate::model::{HeatBy, accumulation_of, development_of};
use crate::outlook::{WindowOutlook, window_ahead};
use crate::sightings::{Correction, Prior, Sighting};
use crate::window::{Susceptible, Window, window};
use jiff::civil::Date;
use pest::DegreeDayModel;
use problem::{Problem, Problems, Severity};
use quantity::DegreeDays;
use weather::degree_days::{Accumulation, Evidence, HeatRecord, Method, Outlook, ReachedRange};
use weather::{DailySeries, HourlySeries};

/// The weather to count by.
#[derive(Debug, Clone, Copy)]
pub enum Readings<'a> {
    /// Days with their extremes.
    Days(&'a DailySeries),
    /// Hours, and the days that they make, of which past years are taken.
    Hours(&'a HourlySeries, &'a DailySeries),
}

impl Readings<'_> {
    const fn days(&self) -> &DailySeries {
        match self {
            Self::Days(days) | Self::Hours(_, days) => days,
        }
    }
}

/// What was found on a day: a stage by the name of the model or a general word, and how many.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StageSighting {
    /// The day.
    pub date: Date,
    /// Stages, and how many individuals of each; those not named were not found.
    pub counts: Vec<(String, u32)>,
}

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct StageQuestion<'a> {
    /// How the stages follow each other.
    pub model: &'a DegreeDayModel,
    /// The weather.
    pub readings: Readings<'a>,
    /// The station's past years; without, the earlier years of the readings themselves.
    pub past: Option<&'a DailySeries>,
    /// The day from which heat is counted, in place of the model's own.
    pub biofix: Option<Date>,
    /// The year; without, that of the biofix, or of the last day read.
    pub year: Option<i16>,
    /// The last day; without, the last one read, at the most a year from the start.
    pub through: Option<Date>,
    /// How heat is counted, in place of the method of the model.
    pub by: Option<HeatBy>,
    /// The stages that a treatment reaches, by their names or general words.
    pub susceptible: &'a [String],
    /// Own sightings.
    pub sightings: &'a [StageSighting],
    /// What was known before them.
    pub prior: Prior,
}

/// A day of a course.
#[derive(Debug, Clone, PartialEq)]
pub struct StageDay {
    /// The day.
    pub date: Date,
    /// Its own heat.
    pub heat: DegreeDays,
    /// The heat from the start through its end.
    pub total: DegreeDays,
    /// Whether its temperatures were read.
    pub evidence: Evidence,
    /// Share in each stage.
    pub shares: StageShares,
}

/// A step between stages.
#[derive(Debug, Clone, PartialEq)]
pub struct StepDay {
    /// The stage that it leads to.
    pub to: String,
    /// The heat counted here at which half have taken it: that of the model over the factor of own sightings.
    pub heat: DegreeDays,
    /// When; `None` where it lies ahead and there are no past years to tell by.
    pub reached: Option<ReachedRange>,
}

/// The stages over the days.
#[derive(Debug, Clone, PartialEq)]
pub struct StageCourse {
    /// The stages in order.
    pub stages: Vec<String>,
    /// How heat was counted.
    pub by: HeatBy,
    /// Between which temperatures and from when.
    pub how: Accumulation,
    /// The days, from the start through the last one.
    pub days: Vec<StageDay>,
    /// The steps.
    pub steps: Vec<StepDay>,
    /// Whether the spread of some step is an assumption.
    pub is_spread_assumed: bool,
    /// The stages that a treatment reaches; `None` where nothing tells them.
    pub susceptible: Option<Susceptible>,
    /// The window of these in the days that were read; `None` also where they are all stages.
    pub window: Option<Window>,
    /// The same over the past years.
    pub window_ahead: Option<WindowOutlook>,
    /// What own sightings told; `None` without any.
    pub correction: Option<Correction>,
    /// The past years that were used.
    pub past_years: Vec<i16>,
}

impl StageCourse {
    /// The last day.
    pub fn last(&self) -> Option<&StageDay> {
        self.days.last()
    }
}

/// The stages over the days that were read, and when the steps and the window come.
///
/// With the course come warnings: gaps that were filled, past years that are left out or too few for dates ahead, a method
/// that cannot be used on these readings, every stage being susceptible.
///
/// # Errors
/// All of these that are found: those of [`accumulation_of`], [`development_of`] and [`Accumulation::over`];
/// `stages::unknown-stage` for each word that names no stage; `stages::several-stages` for a sighting by a word that names
/// several; `stages::sighting-outside` for one on a day that is not counted; those of [`Correction::new`].
pub fn stage_course(question: &StageQuestion<'_>) -> Result<(StageCourse, Problems), Problems> {
    let StageQuestion { model, readings, .. } = *question;
    let mut problems = Problems::new();
    let by = method_of(question, &mut problems);
    let developed = kept(development_of(model), &mut problems);
    let how = kept(accumulation_of(model, by, question.biofix), &mut problems);
    let susceptible = susceptible_of(model, question.susceptible, &mut problems);
    let counts = counts_of(model, question.sightings, &mut problems);
    let year = question
        .year
        .or(question.biofix.map(Date::year))
        .or_else(|| readings.days().span().map(|(_, last)| last.year()));
    let record = how.zip(year).and_then(|(how, year)| record_of(question, &how, by, year, &mut problems));
    let (Some((development, is_spread_assumed)), Some(how), Some(record)) = (developed, how, record) else {
        return Err(problems);
    };
    let sightings = placed(&record, counts, &mut problems);
    if problems.has_errors() {
        return Err(problems);
    }
    let correction = (!sightings.is_empty()).then(|| Correction::new(&development, &sightings, question.prior));
    let correction = correction.and_then(|found| kept(found, &mut problems));
    let susceptible = susceptible.and_then(|stages| kept(Susceptible::new(&development, &stages), &mut problems));
    if problems.has_errors() {
        return Err(problems);
    }
    let all = susceptible.as_ref().filter(|own| own.stages().len() == development.stages());
    if all.is_some() {
        problems.push(
            Problem::warning("stages::all-susceptible", "every stage is one that the treatment reaches")
                .expected("some of the stages: the window is when these are the most")
                .mend("name those that matter with --stage to have the window told"),
        );
    }
    let windowed = susceptible.as_ref().filter(|_| all.is_none());
    let shares = |heat: DegreeDays| shares_of(&development, correction.as_ref(), heat);
    let past = question.past.unwrap_or(readings.days());
    let outlook = outlook_of(&how, &record, past, &mut problems);
    let factor = correction.as_ref().map_or(1.0, Correction::factor);
    let steps = model.steps.iter().map(|step| {
        let heat = step.what.middle / factor;
        let reached = record.reached(heat).map(ReachedRange::On);
        let ahead = || outlook.as_ref().map(|outlook| outlook.reaches(heat));
        StepDay { to: step.what.to.clone(), heat, reached: reached.or_else(ahead) }
    });
    let days = || record.days().iter().map(|day| (day.date, day.total));
    let course = StageCourse {
        stages: model.stages().map(str::to_owned).collect(),
        by,
        how,
        steps: steps.collect(),
        days: record
            .days()
            .iter()
            .map(|day| StageDay {
                date: day.date,
                heat: day.heat,
                total: day.total,
                evidence: day.evidence,
                shares: shares(day.total),
            })
            .collect(),
        is_spread_assumed,
        window: windowed.and_then(|stages| window(days(), shares, stages)),
        window_ahead: windowed.zip(outlook.as_ref()).map(|(stages, outlook)| window_ahead(outlook, shares, stages)),
        susceptible,
        correction,
        past_years: outlook.iter().flat_map(|outlook| outlook.years.iter().map(|year| year.year)).collect(),
    };
    problems.unless_errors(course)
}

/// A value, or nothing after writing down what is wrong.
fn kept<T>(found: Result<T, Problems>, problems: &mut Problems) -> Option<T> {
    found.map_err(|errors| problems.extend(errors)).ok()
}

fn shares_of(development: &Development, correction: Option<&Correction>, heat: DegreeDays) -> StageShares {
    match correction {
        Some(correction) => correction.shares(development, heat),
        None => development.at(heat),
    }
}

/// The method asked for, else that of the model, else by hours where there are any and by a single sine where not.
fn method_of(question: &StageQuestion<'_>, problems: &mut Problems) -> HeatBy {
    let has_hours = matches!(question.readings, Readings::Hours(..));
    let of_readings = if has_hours { HeatBy::Hours } else { HeatBy::Days(Method::SingleSine) };
    let wanted = question.by.or_else(|| question.model.method.map(HeatBy::from)).unwrap_or(of_readings);
    if wanted == HeatBy::Hours && !has_hours {
        problems.push(
            Problem::warning("stages::method", "heat cannot be counted by hours: the readings are of days")
                .expected("hourly readings")
                .mend("nothing, if a single sine from the extremes of each day will do: it is taken in its stead"),
        );
        return of_readings;
    }
    wanted
}

fn record_of(
    question: &StageQuestion<'_>,
    how: &Accumulation,
    by: HeatBy,
    year: i16,
    problems: &mut Problems,
) -> Option<HeatRecord> {
    let counted = match (by, question.readings) {
        (HeatBy::Hours, Readings::Hours(hours, _)) => how.over_hours(hours, year),
        (_, readings) => how.over(readings.days(), year, question.through),
    };
    let (record, warnings) = kept(counted, problems)?;
    problems.extend(warnings);
    match question.through.filter(|_| by == HeatBy::Hours) {
        None => Some(record),
        Some(last) => {
            let until = record.until(last);
            if until.days().is_empty() || until.days().last().is_some_and(|day| day.date != last) {
                problems.push(
                    Problem::error("weather::start-not-read", format!("the hours do not reach through `{last}`"))
                        .expected("whole days of hours from the start through the day that is asked for")
                        .mend("add the hours, or ask for an earlier day"),
                );
                return None;
            }
            Some(until)
        }
    }
}

fn susceptible_of(model: &DegreeDayModel, words: &[String], problems: &mut Problems) -> Option<Vec<usize>> {
    let mut stages = Vec::new();
    for word in words {
        let meant = model.stages_meant(word);
        if meant.is_empty() {
            problems.push(unknown(model, word));
        }
        stages.extend(meant);
    }
    stages.sort_unstable();
    stages.dedup();
    (!stages.is_empty()).then_some(stages)
}

fn unknown(model: &DegreeDayModel, word: &str) -> Problem {
    let all: Vec<&str> = model.stages().collect();
    Problem::error("stages::unknown-stage", format!("`{word}` is no stage of the model"))
        .expected(format!("one of {}", all.join(", ")))
}

/// The sightings with a count for each stage; a word that names none, or several, is written down.
fn counts_of(model: &DegreeDayModel, sightings: &[StageSighting], problems: &mut Problems) -> Vec<(Date, Vec<u32>)> {
    let of = |sighting: &StageSighting| {
        let mut counts = vec![0_u32; model.stages().count()];
        for (word, count) in &sighting.counts {
            match model.stages_meant(word)[..] {
                [stage] => counts[stage] = counts[stage].saturating_add(*count),
                [] => problems.push(unknown(model, word)),
                [..] => {
                    let meant: Vec<&str> =
                        model.stages_meant(word).iter().filter_map(|stage| model.stages().nth(*stage)).collect();
                    problems.push(
                        Problem::error("stages::several-stages", format!("`{word}` names several stages"))
                            .expected(format!("one of {}", meant.join(", ")))
                            .mend("tell them apart, or leave the sighting out"),
                    );
                }
            }
        }
        (sighting.date, counts)
    };
    sightings.iter().map(of).collect()
}

fn placed(record: &HeatRecord, counts: Vec<(Date, Vec<u32>)>, problems: &mut Problems) -> Vec<Sighting> {
    let mut sightings = Vec::with_capacity(counts.len());
    for (date, counts) in counts {
        if let Some(heat) = record.through(date) {
            sightings.push(Sighting { heat, counts });
            continue;
        }
        let span = record.days().first().zip(record.days().last());
        let days = span.map_or_else(String::new, |(first, last)| format!(", `{}` to `{}`", first.date, last.date));
        problems.push(
            Problem::error("stages::sighting-outside", format!("a sighting is of `{date}`"))
                .expected(format!("a day on which heat is counted{days}"))
                .mend("correct the day, add the weather through it, or leave the sighting out"),
        );
    }
    sightings
}

/// The outlook over past years; too few of them are no fault of what was asked, and are told.
fn outlook_of(how: &Accumulation, record: &HeatRecord, past: &DailySeries, problems: &mut Problems) -> Option<Outlook> {
    match Outlook::new(how, record.clone(), past) {
        Ok((outlook, warnings)) => {
            problems.extend(warnings);
            Some(outlook)
        }
        Err(found) => {
            problems.extend(found.into_iter().map(|problem| Problem { severity: Severity::Warning, ..problem }));
            None
        }
    }
}

#[cfg(test)]
mod tests;
