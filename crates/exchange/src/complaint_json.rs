//! Who applied what near a place, as data.

use crate::record_json::{AmountJson, FactJson, ObservedJson, moment_fact, text_fact};
use quantity::LengthUnit;
use record::{Complaint, Downwind, Near, ProductRecord};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.complaint/1";

/// What was found for a complaint.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Applications near a place")]
pub struct ComplaintJson {
    /// `tussock.complaint/1`.
    pub format: &'static str,
    /// Longitude and latitude of the place, degrees.
    pub at: [f64; 2],
    /// How far round it was looked, metres.
    pub within_m: f64,
    /// From when, RFC 3339.
    pub from: String,
    /// Until when.
    pub until: String,
    /// How far to each side of the wind's line counts as downwind, degrees: common practice, no source.
    pub angle_deg: f64,
    /// Task by task, the nearest first.
    pub near: Vec<NearJson>,
}

/// One task that was carried out near the place at that time.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NearJson {
    /// Which of the records, from 0, in the order in which they were given.
    pub record: usize,
    /// By what the books find the record; left out for one that is in no books.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thing: Option<String>,
    /// The record's name.
    pub name: String,
    /// The property.
    pub property: String,
    /// The day.
    pub date: String,
    /// When the work began, RFC 3339.
    pub started: FactJson<String>,
    /// When it ended.
    pub ended: FactJson<String>,
    /// Whether both times are recorded; where they are not, the whole day was taken.
    pub times_known: bool,
    /// Who applied it.
    pub applicator: FactJson<String>,
    /// The task.
    pub task: String,
    /// How.
    pub method: String,
    /// What.
    pub products: Vec<NearProductJson>,
    /// From the place to the nearest treated ground, metres; nothing on it.
    pub distance_m: f64,
    /// From the place toward that ground, degrees clockwise from north; null on it.
    pub toward_deg: Option<f64>,
    /// The weather seen at the start.
    pub weather_at_start: ObservedJson,
    /// The weather seen at the end.
    pub weather_at_end: ObservedJson,
    /// Whether the place lay downwind by the wind seen at the start.
    pub downwind_at_start: DownwindJson,
    /// Whether it lay downwind by the wind seen at the end.
    pub downwind_at_end: DownwindJson,
    /// The same by the wind seen with single tanks, where it had changed.
    pub at_tanks: Vec<AtTankJson>,
}

/// The weather seen with a tank, and whether the place lay downwind by it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AtTankJson {
    /// Which tank of the task, from 1.
    pub tank: usize,
    /// The weather.
    pub weather: ObservedJson,
    /// Whether the place lay downwind.
    pub downwind: DownwindJson,
}

/// What was put down.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NearProductJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// Registration number.
    pub registration_number: FactJson<String>,
    /// Product put down in all.
    pub amount: AmountJson,
}

/// Whether a place lay downwind of treated ground.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "is")]
pub enum DownwindJson {
    /// It was treated itself.
    OnTreatedGround,
    /// It lay in the downwind sector of some treated ground.
    Inside {
        /// The nearest ground upwind of it, metres.
        nearest_m: f64,
    },
    /// It lay outside the sector of all treated ground.
    Outside,
    /// It was calm.
    Calm,
    /// No wind direction is recorded.
    Unknown,
}

impl From<Downwind> for DownwindJson {
    fn from(downwind: Downwind) -> Self {
        match downwind {
            Downwind::OnTreatedGround => Self::OnTreatedGround,
            Downwind::Inside { nearest } => Self::Inside { nearest_m: nearest.to(LengthUnit::Metre) },
            Downwind::Outside => Self::Outside,
            Downwind::Calm => Self::Calm,
            Downwind::Unknown => Self::Unknown,
        }
    }
}

impl From<&ProductRecord> for NearProductJson {
    fn from(product: &ProductRecord) -> Self {
        Self {
            label: product.label.clone(),
            product: product.name.clone(),
            registration_number: text_fact(&product.registration_number),
            amount: product.amount.into(),
        }
    }
}

impl NearJson {
    fn new(near: &Near<'_>, things: &[String]) -> Self {
        let at_tank = |&(tank, downwind): &(usize, Downwind)| {
            let weather = ObservedJson::from(&near.task.tanks.get(tank.checked_sub(1)?)?.weather);
            Some(AtTankJson { tank, weather, downwind: downwind.into() })
        };
        Self {
            record: near.record,
            thing: things.get(near.record).cloned(),
            name: near.of.name.clone(),
            property: near.of.property.name.clone(),
            date: near.of.date.to_string(),
            started: moment_fact(&near.of.started),
            ended: moment_fact(&near.of.ended),
            times_known: near.times_known,
            applicator: text_fact(&near.of.applicator),
            task: near.task.id.clone(),
            method: near.task.method.word().to_owned(),
            products: near.task.products.iter().map(NearProductJson::from).collect(),
            distance_m: near.distance.to(LengthUnit::Metre),
            toward_deg: near.toward.map(quantity::Bearing::degrees),
            weather_at_start: (&near.of.weather_at_start).into(),
            weather_at_end: (&near.of.weather_at_end).into(),
            downwind_at_start: near.at_start.into(),
            downwind_at_end: near.at_end.into(),
            at_tanks: near.at_tanks.iter().filter_map(at_tank).collect(),
        }
    }
}

impl ComplaintJson {
    /// What was asked, and what was found. `things` is by what the books find the records, in the order in which they
    /// were given.
    pub fn new(asked: &Complaint, near: &[Near<'_>], things: &[String]) -> Self {
        Self {
            format: FORMAT,
            at: [asked.at.longitude(), asked.at.latitude()],
            within_m: asked.within.to(LengthUnit::Metre),
            from: asked.from.to_string(),
            until: asked.until.to_string(),
            angle_deg: asked.angle_degrees,
            near: near.iter().map(|near| NearJson::new(near, things)).collect(),
        }
    }
}

/// What was found as text, ended by a new line; `things` as in [`ComplaintJson::new`].
pub fn write_complaint(asked: &Complaint, near: &[Near<'_>], things: &[String]) -> String {
    crate::json_text::pretty(&ComplaintJson::new(asked, near, things))
}
