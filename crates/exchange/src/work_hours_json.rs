//! `hours.json`: the hours of a forecast for each task of a visit.

use crate::json_text::pretty;
use crate::problems_json::ProblemJson;
use crate::visit_json::{HourJson, StartWindowJson, instant};
use problem::Problems;
use quantity::{DurationUnit, TemperatureDifferenceUnit};
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{BestStart, SpotCheck, TaskHours, WorkHour, WorkHours};

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.hours/1";

/// The hours of a forecast, held against each task of a visit by itself.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Hours to work in")]
pub struct WorkHoursJson {
    /// `tussock.hours/1`.
    pub format: &'static str,
    /// What the visit is called.
    pub visit: String,
    /// The date for which it is planned, ISO 8601.
    pub date: String,
    /// The days of the forecast, in order.
    pub days: Vec<DayOfSunJson>,
    /// The tasks, in the order of the visit.
    pub tasks: Vec<TaskHoursJson>,
    /// What was noticed on the way.
    pub problems: Vec<ProblemJson>,
}

/// A day and its sun; `null` where the sun neither rises nor sets.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DayOfSunJson {
    /// ISO 8601.
    pub date: String,
    /// Sunrise, RFC 3339.
    pub sunrise: Option<String>,
    /// Sunset, RFC 3339.
    pub sunset: Option<String>,
}

/// The hours of one task.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TaskHoursJson {
    /// The task.
    pub task: String,
    /// How it is done.
    pub method: String,
    /// The products that it puts down, by name.
    pub products: Vec<String>,
    /// Its time with setting up, minutes.
    pub duration_min: f64,
    /// Every run of starts from which it ends within the limits, in order.
    pub start_windows: Vec<StartWindowJson>,
    /// The best start of all days.
    pub best_start: Option<BestStartJson>,
    /// The best start of each day that has any, in order.
    pub starts: Vec<BestStartJson>,
    /// What to look at and to measure on the spot before starting.
    pub checks: Vec<SpotCheckJson>,
    /// The hours in order of time.
    pub hours: Vec<WorkHourJson>,
}

/// A start, and why it was taken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BestStartJson {
    /// When to start, RFC 3339.
    pub start: String,
    /// When the work ends then, RFC 3339.
    pub finish: String,
    /// From when what was sprayed last is likely dry in the shade, RFC 3339.
    pub dry_from: Option<String>,
    /// What speaks for it.
    pub reasons: Vec<String>,
    /// What asks for care all the same.
    pub cautions: Vec<String>,
}

/// One thing to look at or to measure before starting.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SpotCheckJson {
    /// What to do.
    pub what: String,
    /// What it has to be, where there is a limit.
    pub limit: Option<String>,
    /// The label's sentence behind it.
    pub clause: Option<String>,
    /// Its page.
    pub page: Option<u32>,
}

/// An hour, and what the air does in it; what the forecast does not tell is `null`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WorkHourJson {
    /// The hour, judged.
    #[serde(flatten)]
    pub hour: HourJson,
    /// Whether any part of it lies in the dark.
    pub is_dark: bool,
    /// How far the wet bulb stands below the air, degrees Celsius.
    pub delta_t_cel: Option<f64>,
    /// Stability class of the air, A to G.
    pub stability: Option<String>,
    /// Whether leaves are wet from rain or dew.
    pub leaves_wet: Option<bool>,
    /// How long spray takes to dry in the shade, minutes; `null` also where it does not within a day.
    pub drying_min: Option<f64>,
    /// Whether bees are likely to fly.
    pub bees_fly: Option<bool>,
}

impl WorkHoursJson {
    /// The document.
    pub fn new(hours: &WorkHours, problems: &Problems) -> Self {
        let offset = hours.offset;
        let at = |time: jiff::civil::DateTime| instant(time, offset);
        let start = |start: &BestStart| BestStartJson {
            start: at(start.start),
            finish: at(start.finish),
            dry_from: start.dry_from.map(at),
            reasons: start.reasons.clone(),
            cautions: start.cautions.clone(),
        };
        let hour = |hour: &WorkHour| WorkHourJson {
            hour: HourJson::new(&hour.hour, offset),
            is_dark: hour.air.is_dark,
            delta_t_cel: hour.air.delta_t.map(|delta| delta.to(TemperatureDifferenceUnit::Celsius)),
            stability: hour.air.stability.map(|stability| stability.letter().to_string()),
            leaves_wet: hour.air.is_leaf_wet,
            drying_min: hour.air.drying.map(|time| time.to(DurationUnit::Minute)),
            bees_fly: hour.air.do_bees_fly,
        };
        let task = |task: &TaskHours| TaskHoursJson {
            task: task.task.clone(),
            method: task.method.word().to_owned(),
            products: task.products.clone(),
            duration_min: task.duration.to(DurationUnit::Minute),
            start_windows: task.windows.iter().map(|window| StartWindowJson::new(window, offset)).collect(),
            best_start: task.best().map(start),
            starts: task.starts.iter().map(start).collect(),
            checks: task.checks.iter().map(SpotCheckJson::from).collect(),
            hours: task.hours.iter().map(hour).collect(),
        };
        Self {
            format: FORMAT,
            visit: hours.name.clone(),
            date: hours.date.to_string(),
            days: hours
                .days
                .iter()
                .map(|(date, sun)| DayOfSunJson {
                    date: date.to_string(),
                    sunrise: sun.rise.map(at),
                    sunset: sun.set.map(at),
                })
                .collect(),
            tasks: hours.tasks.iter().map(task).collect(),
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl From<&SpotCheck> for SpotCheckJson {
    fn from(check: &SpotCheck) -> Self {
        Self { what: check.what.clone(), limit: check.limit.clone(), clause: check.clause.clone(), page: check.page }
    }
}

/// The document as text.
pub fn write_work_hours(hours: &WorkHours, problems: &Problems) -> String {
    pretty(&WorkHoursJson::new(hours, problems))
}
