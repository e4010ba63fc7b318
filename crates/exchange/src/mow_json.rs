//! `mow.json`: how grass grows, and when it is mown.

use crate::json_text::pretty;
use crate::lawn_file::LawnFile;
use crate::problems_json::ProblemJson;
use crate::water_json::{ProhibitionJson, local, weekday};
use problem::Problems;
use quantity::{Length, LengthUnit, TemperatureUnit};
use schemars::JsonSchema;
use season::mow_plan::{GrassDay, MayMow, MowPlan};
use season::mowing::mow_at;
use serde::Serialize;

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.mow/1";

/// The mowing of a lawn. Times are local, by the clock on the wall.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Mowing of a lawn")]
pub struct MowJson {
    /// `tussock.mow/1`.
    pub format: &'static str,
    /// What the lawn is called.
    pub lawn: String,
    /// The first planned day, ISO 8601.
    pub plan_from: String,
    /// The kind of grass.
    pub grass: String,
    /// The height to which it is cut, metres.
    pub height_of_cut_m: f64,
    /// The height above which one mowing would take more than a third, metres.
    pub mow_at_m: f64,
    /// How high it stands at the beginning of the first day, metres.
    pub standing_m: f64,
    /// What it grows in a day at its best temperature, metres.
    pub best_growth_m: f64,
    /// Whether nobody has measured that.
    pub is_growth_assumed: bool,
    /// Days of the week on which it may be mown, in English, lower case.
    pub weekdays: Vec<String>,
    /// The mowings, in order.
    pub mowings: Vec<MowingJson>,
    /// The days in order; those before `plan_from` only tell how it grew.
    pub days: Vec<GrassDayJson>,
    /// When nobody mows.
    pub prohibitions: Vec<ProhibitionJson>,
    /// What was noticed on the way.
    pub problems: Vec<ProblemJson>,
}

/// One mowing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MowingJson {
    /// The day, ISO 8601.
    pub date: String,
    /// Not before.
    pub from: String,
    /// Until.
    pub until: String,
    /// How high the grass stands before it, metres.
    pub standing_m: f64,
    /// To which height it is cut, metres.
    pub cut_to_m: f64,
    /// Whether another cut has to follow some days later.
    pub is_step: bool,
    /// Rain of the day, metres, where it is known: wet grass is not mown.
    pub rain_m: Option<f64>,
}

/// A day of the grass.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GrassDayJson {
    /// ISO 8601.
    pub date: String,
    /// Mean of the extremes of temperature, degrees Celsius.
    pub mean_temperature_cel: f64,
    /// Growth over the best, from 0 to 1.
    pub growth_potential: f64,
    /// What it grows, metres.
    pub growth_m: f64,
    /// How high it stands in the evening, metres.
    pub standing_m: f64,
    /// Whether that is more than one mowing may bring back.
    pub is_too_high: bool,
    /// Whether it may be mown: `past`, `permitted`, `not-this-weekday`, `prohibited`.
    pub permission: String,
    /// The prohibition that forbids it, by its place in `prohibitions`, from 0.
    pub prohibited_by: Option<usize>,
}

fn metres(length: Length) -> f64 {
    length.to(LengthUnit::Metre)
}

impl MowJson {
    /// The document.
    pub fn new(lawn: &LawnFile, plan: &MowPlan, problems: &Problems) -> Self {
        let request = &plan.request;
        let rain = |date| plan.days.iter().find(|day| day.weather.date == date).and_then(|day| day.weather.rain);
        Self {
            format: FORMAT,
            lawn: lawn.name.clone(),
            plan_from: request.plan_from.to_string(),
            grass: request.grass.word().to_owned(),
            height_of_cut_m: metres(request.height_of_cut),
            mow_at_m: metres(mow_at(request.height_of_cut)),
            standing_m: metres(request.standing),
            best_growth_m: metres(request.best_growth),
            is_growth_assumed: lawn.is_growth_assumed,
            weekdays: request.weekdays.iter().copied().map(weekday).collect(),
            mowings: plan
                .mowings()
                .map(|(date, mowing)| MowingJson {
                    date: date.to_string(),
                    from: local(mowing.within.from),
                    until: local(mowing.within.until),
                    standing_m: metres(mowing.standing),
                    cut_to_m: metres(mowing.cut_to),
                    is_step: mowing.is_step,
                    rain_m: rain(date).map(metres),
                })
                .collect(),
            days: plan.days.iter().map(GrassDayJson::from).collect(),
            prohibitions: request.no_mowing.iter().map(ProhibitionJson::from).collect(),
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl From<&GrassDay> for GrassDayJson {
    fn from(day: &GrassDay) -> Self {
        let (permission, prohibited_by) = match day.may_mow {
            MayMow::Past => ("past", None),
            MayMow::Within(_) => ("permitted", None),
            MayMow::NotThisWeekday => ("not-this-weekday", None),
            MayMow::Prohibited(by) => ("prohibited", Some(by)),
        };
        Self {
            date: day.weather.date.to_string(),
            mean_temperature_cel: day.weather.mean.to(TemperatureUnit::Celsius),
            growth_potential: day.potential,
            growth_m: metres(day.growth),
            standing_m: metres(day.standing),
            is_too_high: day.is_too_high,
            permission: permission.to_owned(),
            prohibited_by,
        }
    }
}

/// The document as text.
pub fn write_mowing(lawn: &LawnFile, plan: &MowPlan, problems: &Problems) -> String {
    pretty(&MowJson::new(lawn, plan, problems))
}
