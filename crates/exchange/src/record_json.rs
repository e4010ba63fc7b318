//! One application record as JSON: written and read without loss.
//!
//! Numbers carry fifteen significant digits, in the unit that their field's name ends in; ground stands as
//! GeoJSON in longitude and latitude with eleven decimals of a degree, a thousandth of a millimetre. So a
//! record that was read is written with the same bytes again. What rules may ask for stands as
//! `{ "recorded": … }`, `"does-not-arise"` or `"absent"`.
//!
//! # Source
//! The Unified Code for Units of Measure, version 2.1; RFC 3339; RFC 7946, sections 3.1.6 and 3.1.7.

mod amount;
mod content;
mod fact;
mod ground;
mod moment;
mod people;
mod product;
mod rate;
mod reading;
mod task;
mod weather;

pub use amount::AmountJson;
pub use content::{ContentJson, IngredientJson};
pub use fact::FactJson;
pub use ground::GroundJson;
pub use people::{
    BecameJson, BreachJson, DifferenceJson, LeftoverJson, NoticeGivenJson, PlannedVisitJson, ReEntryJson,
    TargetCountsJson,
};
pub use product::ProductRecordJson;
pub use rate::{BasisJson, RateJson, SubstanceJson};
pub use task::{CalibrationUsedJson, FillJson, TankJson, TaskRecordJson, TreatedZoneJson};
pub use weather::ObservedJson;

pub(crate) use fact::fact as text_fact;
pub(crate) use moment::{moment_fact, parse as parse_moment};

use fact::{fact, fact_of};
use geometry::{GeoPosition, LocalPlane};
use problem::{Problem, Problems};
use reading::Reading;
use record::{ApplicationRecord, PlannedVisit, PropertyReference, Provenance};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The format of the document; it changes when a field changes its meaning or goes away.
pub const FORMAT: &str = "tussock.record/1";

/// The record of an application.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "An application record")]
pub struct RecordJson {
    /// `tussock.record/1`.
    pub format: String,
    /// What it is called: the name of its visit.
    pub name: String,
    /// For whom it was applied.
    pub client: FactJson<String>,
    /// The client's address.
    pub client_address: FactJson<String>,
    /// The place of the application in words.
    pub location: FactJson<String>,
    /// What the property is called.
    pub property: String,
    /// Longitude and latitude, degrees, of the point round which the map's plane was laid.
    pub origin: [f64; 2],
    /// The day of the application, ISO 8601.
    pub date: String,
    /// When it began, RFC 3339.
    pub started: FactJson<String>,
    /// When it ended, RFC 3339.
    pub ended: FactJson<String>,
    /// What was done, in the order done.
    pub tasks: Vec<TaskRecordJson>,
    /// The weather seen at the start.
    pub weather_at_start: ObservedJson,
    /// The weather seen at the end.
    pub weather_at_end: ObservedJson,
    /// Who applied it.
    pub applicator: FactJson<String>,
    /// The number of the certificate of who applied or answers for it.
    pub certification_number: FactJson<String>,
    /// The certified applicator who supervised.
    pub supervisor: FactJson<String>,
    /// The noncertified applicator who applied under supervision.
    pub noncertified_applicator: FactJson<String>,
    /// Notices given and signs put up.
    pub notices: FactJson<Vec<NoticeGivenJson>>,
    /// When people and pets may come back.
    pub re_entry: FactJson<ReEntryJson>,
    /// Counts of the target pest.
    pub target_counts: FactJson<TargetCountsJson>,
    /// Spills, exposure, drift, and what was done about it.
    pub unexpected: FactJson<String>,
    /// What was disposed of, and how.
    pub disposal: FactJson<String>,
    /// Mix or product that was made ready and not put down on the tasks' ground.
    pub leftover: FactJson<Vec<LeftoverJson>>,
    /// What of it was against a label, as far as that was shown.
    pub breaches: Vec<BreachJson>,
    /// What could not be held against a label, and why; nothing where there is no such thing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_judged: Vec<String>,
    /// The planned visit; null for what was done without a plan.
    pub visit: Option<PlannedVisitJson>,
    /// What differed from it.
    pub differences: Vec<DifferenceJson>,
}

impl From<&ApplicationRecord> for RecordJson {
    fn from(record: &ApplicationRecord) -> Self {
        let plane = record.plane();
        let origin = record.property.origin;
        Self {
            format: FORMAT.to_owned(),
            name: record.name.clone(),
            client: fact(&record.client),
            client_address: fact(&record.client_address),
            location: fact(&record.location),
            property: record.property.name.clone(),
            // Unrounded: the plane of all ground hangs on it.
            origin: [origin.longitude(), origin.latitude()],
            date: record.date.to_string(),
            started: moment_fact(&record.started),
            ended: moment_fact(&record.ended),
            tasks: record.tasks.iter().map(|task| TaskRecordJson::new(task, &plane)).collect(),
            weather_at_start: (&record.weather_at_start).into(),
            weather_at_end: (&record.weather_at_end).into(),
            applicator: fact(&record.applicator),
            certification_number: fact(&record.certification_number),
            supervisor: fact(&record.supervisor),
            noncertified_applicator: fact(&record.noncertified_applicator),
            notices: fact_of(&record.notices, |notices| notices.iter().map(NoticeGivenJson::from).collect()),
            re_entry: fact_of(&record.re_entry, ReEntryJson::from),
            target_counts: fact_of(&record.target_counts, TargetCountsJson::from),
            unexpected: fact(&record.unexpected),
            disposal: fact(&record.disposal),
            leftover: fact_of(&record.leftover, |left| left.iter().map(LeftoverJson::from).collect()),
            breaches: record.breaches.iter().map(BreachJson::from).collect(),
            not_judged: record.not_judged.clone(),
            visit: record.provenance.visit.as_ref().map(PlannedVisitJson::from),
            differences: record.provenance.differences.iter().map(DifferenceJson::from).collect(),
        }
    }
}

/// The record as text for a person to read and change, ended by a new line.
pub fn write_record(record: &ApplicationRecord) -> String {
    crate::json_text::pretty(&RecordJson::from(record))
}

/// The record as text without blanks, as the books keep it: its outlines are long lists of coordinates, and a third as
/// long so. Ended by a new line.
pub fn write_record_to_keep(record: &ApplicationRecord) -> String {
    crate::json_text::compact(&RecordJson::from(record))
}

/// Reads a record. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// `json::syntax` or `json::shape` where the text is no such document, `format::other` and
/// `format::version` where it says that it is another; otherwise everything that its values cannot be, each
/// with its field and line.
pub fn parse_record(file: &str, text: &str) -> Result<ApplicationRecord, Problems> {
    let json: RecordJson = reading::document(file, text, FORMAT)?;
    let mut reading = Reading::default();
    let record = read(json, &mut reading);
    match record {
        Some(record) if reading.is_sound() => Ok(record),
        _ => Err(reading.into_problems(file, text)),
    }
}

/// The JSON Schema of a record as text, as it stands in `schema/record.schema.json`.
pub fn record_schema() -> String {
    crate::answer_schema::of::<RecordJson>()
}

fn read(json: RecordJson, reading: &mut Reading) -> Option<ApplicationRecord> {
    let origin = match GeoPosition::from_degrees(json.origin[0], json.origin[1]) {
        Ok(origin) => origin,
        Err(fault) => {
            reading.report(
                Problem::error("record::origin", fault.to_string())
                    .expected("longitude, then latitude, in degrees")
                    .at("origin"),
            );
            return None;
        }
    };
    let plane = LocalPlane::around(origin);
    let tasks: Vec<Option<record::TaskRecord>> =
        json.tasks.into_iter().enumerate().map(|(index, task)| task.read(&plane, index, reading)).collect();
    let date = reading.date("date", &json.date);
    let started = json.started.read(|text| reading.moment("started", &text));
    let ended = json.ended.read(|text| reading.moment("ended", &text));
    let weather_at_start = json.weather_at_start.read("weather_at_start", reading);
    let weather_at_end = json.weather_at_end.read("weather_at_end", reading);
    let notices = json.notices.read(|notices| {
        let read = |(index, notice): (usize, NoticeGivenJson)| {
            notice.read(&format!("notices.recorded[{}]", index + 1), reading)
        };
        notices.into_iter().enumerate().map(read).collect()
    });
    let re_entry = json.re_entry.read(|re_entry| re_entry.read("re_entry.recorded", reading));
    let target_counts = json.target_counts.read(|counts| counts.read("target_counts.recorded", reading));
    let leftover = json.leftover.read(|leftover| {
        let read =
            |(index, left): (usize, LeftoverJson)| left.read(&format!("leftover.recorded[{}]", index + 1), reading);
        leftover.into_iter().enumerate().map(read).collect()
    });
    let visit = match json.visit {
        None => Some(None),
        Some(visit) => reading
            .date("visit.date", &visit.date)
            .map(|date| Some(PlannedVisit { name: visit.name, date, reference: visit.reference })),
    };
    Some(ApplicationRecord {
        name: json.name,
        client: json.client.plain(),
        client_address: json.client_address.plain(),
        location: json.location.plain(),
        property: PropertyReference { name: json.property, origin },
        date: date?,
        started: started?,
        ended: ended?,
        tasks: tasks.into_iter().collect::<Option<Vec<_>>>()?,
        weather_at_start: weather_at_start?,
        weather_at_end: weather_at_end?,
        applicator: json.applicator.plain(),
        certification_number: json.certification_number.plain(),
        supervisor: json.supervisor.plain(),
        noncertified_applicator: json.noncertified_applicator.plain(),
        notices: notices?,
        re_entry: re_entry?,
        target_counts: target_counts?,
        unexpected: json.unexpected.plain(),
        disposal: json.disposal.plain(),
        leftover: leftover?,
        breaches: json.breaches.into_iter().map(BreachJson::into_breach).collect(),
        not_judged: json.not_judged,
        provenance: Provenance {
            visit: visit?,
            differences: json.differences.into_iter().map(DifferenceJson::into_difference).collect(),
        },
    })
}
