//! What people call treated ground, and which of it lies under a place.

use crate::application::ApplicationRecord;
use crate::ground::{laid_on, touch};
use crate::task::{TaskRecord, TreatedZone};
use geometry::{LocalPlane, Region};
use property::Property;
use treatment::ZoneKind;

/// What people call a treated piece of ground; a property lends the names of its map.
pub fn place_name(property: Option<&Property>, zone: &TreatedZone) -> String {
    match (property.and_then(|property| property.feature(&zone.id)), zone.kind) {
        (Some(feature), _) => feature.label().to_owned(),
        (None, ZoneKind::Turf) => "lawn".to_owned(),
        (None, ZoneKind::Band) => "band along the building".to_owned(),
        (None, _) => zone.id.replace('-', " "),
    }
}

/// The ground of a task as it lies in another plane, each piece with what people call it.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedGround {
    pieces: Vec<(String, Region)>,
}

impl NamedGround {
    /// The ground of a task of a record, in `plane`, called as the map says.
    pub fn of(record: &ApplicationRecord, task: &TaskRecord, map: Option<&Property>, plane: &LocalPlane) -> Self {
        let own = record.plane();
        let piece = |zone: &TreatedZone| Some((place_name(map, zone), laid_on(&zone.ground, &own, plane)?));
        Self { pieces: task.zones.iter().filter_map(piece).collect() }
    }

    /// What people call the pieces, each name once.
    pub fn names(&self) -> Vec<String> {
        distinct(self.pieces.iter().map(|(name, _)| name))
    }

    /// What people call the pieces that lie under a place, each name once.
    pub fn names_under(&self, place: &Region) -> Vec<String> {
        if let [(only, _)] = self.pieces.as_slice() {
            return vec![only.clone()];
        }
        let is_under = |(_, ground): &&(String, Region)| {
            let near = matches!((place.bounds(), ground.bounds()), (Some(one), Some(other)) if one.touches(&other));
            near && place.intersection(ground).area() > touch().min(place.area() / 2.0)
        };
        distinct(self.pieces.iter().filter(is_under).map(|(name, _)| name))
    }
}

fn distinct<'a>(names: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for name in names {
        if !all.contains(name) {
            all.push(name.clone());
        }
    }
    all
}
