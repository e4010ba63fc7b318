//! What labels still allow on each place of a property, as data.

use crate::label_json::ClauseJson;
use crate::size_json::AreaJson;
use crate::visit_json::FigureJson;
use crate::zones_geojson::{GroundGeometryJson, geometry};
use geometry::LocalPlane;
use jiff::civil::Date;
use label::Label;
use property::Property;
use schemars::JsonSchema;
use serde::Serialize;
use treatment::{CapRoom, NumberRoom, Room};

/// The format of the document.
pub const FORMAT: &str = "tussock.room/1";

/// What labels still allow on each place of a property on a day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RoomsJson {
    /// `tussock.room/1`.
    pub format: &'static str,
    /// The property's name.
    pub property: String,
    /// The day.
    pub date: String,
    /// The day from which on the past is complete; null when nobody says so.
    pub complete_since: Option<String>,
    /// Label by label.
    pub labels: Vec<LabelRoomJson>,
}

/// What one label still allows.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabelRoomJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// Its uses on the places of the property.
    pub places: Vec<PlaceRoomJson>,
}

/// What one use of a label still allows on one place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlaceRoomJson {
    /// The use of the label.
    pub use_row: String,
    /// Its way to apply.
    pub method: &'static str,
    /// The site as which the place is treated.
    pub site: &'static str,
    /// The feature of the map; null for the lawn and for the ground round structures.
    pub feature: Option<String>,
    /// The area of the place, all of it with the same past.
    pub area: AreaJson,
    /// Its ground as a GeoJSON geometry.
    pub ground: Option<GroundGeometryJson>,
    /// Whether the label's lowest rate may be applied on the day by every limit counted here that binds. What
    /// weather, plants in bloom, distances and people say is the plan's.
    pub open: bool,
    /// Whether the past is known as far back as the limits count.
    pub proved: bool,
    /// What was applied there up to the day, the oldest first.
    pub applied: Vec<AppliedJson>,
    /// What each cap over a window leaves.
    pub caps: Vec<CapRoomJson>,
    /// Sentences of caps that cannot be turned into the product's own measure: nothing is proved of them.
    pub unreckoned: Vec<ClauseJson>,
    /// What each limit of the number of applications leaves.
    pub numbers: Vec<NumberRoomJson>,
    /// The last day on which the product lay there.
    pub last: Option<String>,
    /// The first day that the interval between applications allows; null when the label states none, or the
    /// product never lay there.
    pub not_before: Option<String>,
    /// Its sentence.
    pub not_before_clause: Option<ClauseJson>,
    /// The label's highest rate; null for one that is not per area.
    pub highest_rate: Option<FigureJson>,
}

/// An application of the past.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct AppliedJson {
    /// The day.
    pub date: String,
    /// The label's id, or the product's name.
    pub product: String,
}

/// What a cap over a window leaves.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CapRoomJson {
    /// Whether it counts an active ingredient; its figures are product all the same.
    pub of_active_ingredient: bool,
    /// Its window: `calendar-year`, `twelve-months`, `season` or `crop`.
    pub window: &'static str,
    /// First day of the window.
    pub first: String,
    /// Last day of the window.
    pub last: String,
    /// The most.
    pub cap: FigureJson,
    /// Applied in the window.
    pub applied: FigureJson,
    /// What is left; nothing when the cap is passed.
    pub left: FigureJson,
    /// What is left as a share of the cap, 0 to 1.
    pub left_share: f64,
    /// Products applied there of which nobody can tell whether they count.
    pub unknown: Vec<String>,
    /// Its sentence.
    pub clause: ClauseJson,
}

/// What a limit of the number of applications leaves.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NumberRoomJson {
    /// The most.
    pub allowed: u32,
    /// Made in the window.
    pub made: u32,
    /// Its window.
    pub window: &'static str,
    /// First day of the window.
    pub first: String,
    /// Last day of the window.
    pub last: String,
    /// Its sentence.
    pub clause: ClauseJson,
}

impl RoomsJson {
    /// What labels allow on a property on a day.
    pub fn new(property: &Property, date: Date, complete_since: Option<Date>, labels: &[(Label, Vec<Room>)]) -> Self {
        let of_label = |(label, rooms): &(Label, Vec<Room>)| LabelRoomJson {
            label: label.id.clone(),
            product: label.product.name.clone(),
            places: rooms.iter().map(|room| PlaceRoomJson::new(room, property.plane())).collect(),
        };
        Self {
            format: FORMAT,
            property: property.name().to_owned(),
            date: date.to_string(),
            complete_since: complete_since.map(|day| day.to_string()),
            labels: labels.iter().map(of_label).collect(),
        }
    }
}

impl PlaceRoomJson {
    fn new(room: &Room, plane: &LocalPlane) -> Self {
        Self {
            use_row: room.use_row.clone(),
            method: room.method.word(),
            site: room.site.word(),
            feature: room.feature.clone(),
            area: room.ground.area().into(),
            ground: geometry(&room.ground, plane),
            open: room.is_open,
            proved: room.is_proved,
            applied: room
                .applied
                .iter()
                .map(|(date, product)| AppliedJson { date: date.to_string(), product: product.clone() })
                .collect(),
            caps: room.caps.iter().map(CapRoomJson::from).collect(),
            unreckoned: room.unreckoned.iter().cloned().map(ClauseJson::from).collect(),
            numbers: room.numbers.iter().map(NumberRoomJson::from).collect(),
            last: room.last.map(|day| day.to_string()),
            not_before: room.not_before.as_ref().map(|(day, _)| day.to_string()),
            not_before_clause: room.not_before.as_ref().map(|(_, clause)| clause.clone().into()),
            highest_rate: room.highest_rate.as_ref().map(FigureJson::from),
        }
    }
}

impl From<&CapRoom> for CapRoomJson {
    fn from(room: &CapRoom) -> Self {
        Self {
            of_active_ingredient: room.of_active_ingredient,
            window: room.window.word(),
            first: room.days.0.to_string(),
            last: room.days.1.to_string(),
            cap: (&room.cap).into(),
            applied: (&room.applied).into(),
            left: (&room.left).into(),
            left_share: room.left_share,
            unknown: room.unknown.clone(),
            clause: room.clause.clone().into(),
        }
    }
}

impl From<&NumberRoom> for NumberRoomJson {
    fn from(room: &NumberRoom) -> Self {
        Self {
            allowed: room.allowed,
            made: room.made,
            window: room.window.word(),
            first: room.days.0.to_string(),
            last: room.days.1.to_string(),
            clause: room.clause.clone().into(),
        }
    }
}
