//! The ground: the partition of the property, and the setbacks that explain it.

use property::Property;
use quantity::{AreaUnit, LengthUnit};
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{DrawnSetback, Zone, ZoneUse};

/// The property.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PropertyJson {
    /// Its name.
    pub name: String,
    /// Its area, square metres; the areas of the zones add up to it.
    pub area_m2: f64,
}

impl From<&Property> for PropertyJson {
    fn from(property: &Property) -> Self {
        Self { name: property.name().to_owned(), area_m2: property.boundary().area().to(AreaUnit::SquareMetre) }
    }
}

/// A part of the property, with the task that treats it or the reason why none does.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ZoneJson {
    /// Short name, unique in the visit.
    pub id: String,
    /// What it is, such as `turf`, `band`, `setback`.
    pub kind: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// The task that treats it.
    pub task: Option<String>,
    /// Why it is not treated.
    pub reason: Option<String>,
}

impl From<&Zone> for ZoneJson {
    fn from(zone: &Zone) -> Self {
        let (task, reason) = task_and_reason(&zone.use_of);
        Self {
            id: zone.id.clone(),
            kind: zone.kind.word().to_owned(),
            area_m2: zone.area.to(AreaUnit::SquareMetre),
            task,
            reason,
        }
    }
}

/// A treated zone has a task, an untreated one a reason; never both.
pub(crate) fn task_and_reason(use_of: &ZoneUse) -> (Option<String>, Option<String>) {
    match use_of {
        ZoneUse::Treated(task) => (Some(task.clone()), None),
        ZoneUse::NotTreated(reason) => (None, Some(reason.clone())),
    }
}

/// A setback as drawn on a map; not part of the partition.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SetbackJson {
    /// The feature from which it is kept.
    pub feature: String,
    /// How far, metres.
    pub distance_m: f64,
}

impl From<&DrawnSetback> for SetbackJson {
    fn from(setback: &DrawnSetback) -> Self {
        Self { feature: setback.feature.clone(), distance_m: setback.distance.to(LengthUnit::Metre) }
    }
}
