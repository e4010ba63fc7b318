//! A feature of the map, checked.

use crate::{FeatureKind, Kind};
use geometry::{Region, Shape};
use quantity::{Area, Length};

/// A feature of the map: what it is, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    pub(crate) id: String,
    pub(crate) kind: FeatureKind,
    pub(crate) shape: Shape,
    pub(crate) name: Option<String>,
    pub(crate) note: Option<String>,
}

impl Feature {
    /// The identifier, one of its kind on the map.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// What it is, with its state.
    pub fn kind(&self) -> &FeatureKind {
        &self.kind
    }

    /// Whether it is of a kind.
    pub fn is(&self, kind: Kind) -> bool {
        self.kind.kind() == kind
    }

    /// Where it is, in the plane of the property.
    pub fn shape(&self) -> &Shape {
        &self.shape
    }

    /// Its area on the map; `None` for a point or a line.
    pub fn region(&self) -> Option<&Region> {
        self.shape.region()
    }

    /// The ground it classes: its region when its kind does so.
    pub fn ground(&self) -> Option<&Region> {
        if self.kind.is_ground() { self.region() } else { None }
    }

    /// The name that people use, when given.
    pub fn name(&self) -> Option<&str> {
        self.name.as_deref()
    }

    /// What somebody wrote beside it.
    pub fn note(&self) -> Option<&str> {
        self.note.as_deref()
    }

    /// The name, or else the identifier: what a sheet calls it.
    pub fn label(&self) -> &str {
        self.name().unwrap_or(&self.id)
    }

    /// The ground it covers; nothing for a point or a line.
    pub fn area(&self) -> Area {
        self.region().map_or(Area::ZERO, Region::area)
    }

    /// The way round it, holes included; nothing for a point or a line.
    pub fn perimeter(&self) -> Length {
        self.region().map_or(Length::ZERO, Region::perimeter)
    }

    /// The way along it; nothing for a point or an area.
    pub fn length(&self) -> Length {
        if let Shape::Line(line) = &self.shape { line.length() } else { Length::ZERO }
    }
}
