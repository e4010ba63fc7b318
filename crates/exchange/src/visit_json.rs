//! `visit.json`: one visit, planned, as data for other programs.
//!
//! Numbers are unrounded. A field whose name ends in a unit holds that SI unit (`area_m2`,
//! `spray_l`); figures in units of the trade stand as a number with the UCUM code of its unit.
//! Times are RFC 3339 with the offset of the place, dates ISO 8601. The order of the fields is
//! fixed, and the same visit gives the same bytes.
//!
//! # Source
//! The Unified Code for Units of Measure, version 2.1; RFC 3339; ISO 8601-1:2019.

mod advice;
mod figure;
mod ground;
mod hour;
mod side_by_side;
mod task;
mod verdict;

pub use advice::{
    ApplicatorJson, CallJson, CautionJson, CautionSubjectJson, DirectionJson, FindingJson, PpeJson, ProductTotalJson,
    SentenceJson, WaterInJson,
};
pub use figure::{FigureJson, MeasureJson, OriginJson};
pub use ground::{PropertyJson, SetbackJson, ZoneJson};
pub use hour::{HourJson, HourReasonJson, StartWindowJson};
pub use side_by_side::{ActiveIngredientMassJson, SideBySideJson, WayJson, WayProductJson};
pub use task::{ActiveIngredientJson, BatchJson, MixStepJson, RemainingJson, TaskJson, TaskProductJson};
pub use verdict::{InputJson, StatusJson, StrengthJson, VerdictJson, WorkingJson};

pub(crate) use ground::task_and_reason;
pub(crate) use hour::instant;
pub(crate) use task::AmountParts;

use quantity::{DurationUnit, VolumeUnit};
use schemars::JsonSchema;
use serde::Serialize;
use treatment::Visit;

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.visit/1";

/// One visit, planned.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "A planned visit")]
pub struct VisitJson {
    /// `tussock.visit/1`.
    pub format: &'static str,
    /// What the visit is called.
    pub name: String,
    /// The property.
    pub property: PropertyJson,
    /// The date planned, ISO 8601.
    pub date: String,
    /// The worst verdict of the visit and its tasks. `allowed` means: within the stated limits.
    pub verdict: StatusJson,
    /// What was found that justifies the visit first of all: the first of `findings`.
    pub finding: Option<FindingJson>,
    /// All that was found; each task names the one on which it rests.
    pub findings: Vec<FindingJson>,
    /// Who applies.
    pub applicator: Option<ApplicatorJson>,
    /// The partition of the property: disjoint, complete.
    pub zones: Vec<ZoneJson>,
    /// Setbacks that explain the zones.
    pub setbacks: Vec<SetbackJson>,
    /// The tasks in the order in which they are carried out.
    pub tasks: Vec<TaskJson>,
    /// The hours of the forecast, judged.
    pub hours: Vec<HourJson>,
    /// The whole job's time, minutes.
    pub duration_min: f64,
    /// Start times from which the whole job ends inside the lawful hours.
    pub start_window: Option<StartWindowJson>,
    /// Every run of such start times on the date, in order.
    pub start_windows: Vec<StartWindowJson>,
    /// Number of tanks filled in the whole job.
    pub tanks: u32,
    /// Spray in the whole job, litres.
    pub spray_l: f64,
    /// Product in the whole job, by label.
    pub products: Vec<ProductTotalJson>,
    /// Protective equipment for the whole job.
    pub ppe: Vec<PpeJson>,
    /// When people and pets may come back, for a finish at the latest lawful minute.
    pub keep_off_until: Option<String>,
    /// So long after the finish at least, minutes, when a label states a time.
    pub keep_off_at_least_min: Option<f64>,
    /// And not before all of this is so as well.
    pub keep_off_conditions: Vec<String>,
    /// The sentences behind both.
    pub keep_off_sentences: Vec<SentenceJson>,
    /// First time at which irrigation is permitted, for a finish at the latest lawful minute.
    pub first_irrigation: Option<String>,
    /// No irrigation for so long after the finish, minutes, when a label says so.
    pub irrigation_prohibited_for_min: Option<f64>,
    /// Water that must be given.
    pub water_in: Vec<WaterInJson>,
    /// The sentences on water.
    pub irrigation_sentences: Vec<SentenceJson>,
    /// Text and conditions to post.
    pub posting: Vec<SentenceJson>,
    /// Sentences of the labels that no figure proves: a person on the spot keeps them.
    pub directions: Vec<DirectionJson>,
    /// Precautions, first aid, storage and spill advice.
    pub cautions: Vec<CautionJson>,
    /// Verdicts on the visit as a whole; the tasks carry their own.
    pub verdicts: Vec<VerdictJson>,
    /// How the figures of the visit as a whole were reached.
    pub working: Vec<WorkingJson>,
    /// Named figures of the ground.
    pub measures: Vec<MeasureJson>,
    /// Broadcast and spot treatment of the same lawn, for each task whose finding was counted at places.
    pub side_by_side: Vec<SideBySideJson>,
}

impl From<&Visit> for VisitJson {
    fn from(visit: &Visit) -> Self {
        let offset = visit.offset;
        let hours: Vec<HourJson> = visit.hours.iter().map(|hour| HourJson::new(hour, offset)).collect();
        let start_window = visit.start_window.as_ref().map(|window| StartWindowJson::new(window, offset));
        let tasks = visit.tasks.iter().map(|task| TaskJson::new(task, &hours, start_window.as_ref())).collect();
        Self {
            format: FORMAT,
            name: visit.name.clone(),
            property: PropertyJson::from(&visit.property),
            date: visit.date.to_string(),
            verdict: visit.verdict().into(),
            finding: visit.finding().map(FindingJson::from),
            findings: visit.findings.iter().map(FindingJson::from).collect(),
            applicator: visit.applicator.as_ref().map(ApplicatorJson::from),
            zones: visit.zones.iter().map(ZoneJson::from).collect(),
            setbacks: visit.setbacks.iter().map(SetbackJson::from).collect(),
            tasks,
            hours,
            duration_min: visit.duration.to(DurationUnit::Minute),
            start_window,
            start_windows: visit.start_windows.iter().map(|window| StartWindowJson::new(window, offset)).collect(),
            tanks: visit.tanks,
            spray_l: visit.spray.to(VolumeUnit::Litre),
            products: visit.products.iter().map(ProductTotalJson::from).collect(),
            ppe: visit.ppe.iter().map(PpeJson::from).collect(),
            keep_off_until: visit.keep_off.not_before.map(|time| instant(time, offset)),
            keep_off_at_least_min: visit.keep_off.at_least.map(|time| time.to(DurationUnit::Minute)),
            keep_off_conditions: visit.keep_off.conditions.clone(),
            keep_off_sentences: visit.keep_off.sentences.iter().map(SentenceJson::from).collect(),
            first_irrigation: visit.irrigation.first_permitted.map(|time| instant(time, offset)),
            irrigation_prohibited_for_min: visit.irrigation.prohibited_for.map(|time| time.to(DurationUnit::Minute)),
            water_in: advice::water_in(&visit.irrigation, offset),
            irrigation_sentences: visit.irrigation.sentences.iter().map(SentenceJson::from).collect(),
            posting: visit.posting.iter().map(SentenceJson::from).collect(),
            directions: visit.directions.iter().map(DirectionJson::from).collect(),
            cautions: visit.cautions.iter().map(CautionJson::from).collect(),
            verdicts: visit.verdicts.iter().map(VerdictJson::from).collect(),
            working: visit.working.iter().map(WorkingJson::from).collect(),
            measures: visit.measures.iter().map(MeasureJson::from).collect(),
            side_by_side: visit.side_by_side.iter().map(SideBySideJson::from).collect(),
        }
    }
}

/// `visit.json` as text, ended by a new line.
pub fn write_visit(visit: &Visit) -> String {
    crate::json_text::pretty(&VisitJson::from(visit))
}

/// The JSON Schema of `visit.json` as text, as it stands in `schema/visit.schema.json`.
pub fn visit_schema() -> String {
    crate::answer_schema::of::<VisitJson>()
}
