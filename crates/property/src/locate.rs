//! Saying where on the lot something is.

use geometry::{GeoPosition, LocalPlane, Point, Region};
use problem::Spot;
use quantity::{Area, AreaUnit, LengthUnit};

/// Turns a point of the plane into words.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Locator {
    pub(crate) plane: LocalPlane,
    /// Whether the origin of the plane is the lot's south-west corner.
    pub(crate) from_corner: bool,
}

impl Locator {
    /// Such as `12.3 ft (3.75 m) east and 4.0 ft (1.22 m) north of the lot's south-west corner
    /// (-97.619963, 38.840011)`.
    pub(crate) fn words(&self, point: Point) -> String {
        let position = self.plane.to_position(point);
        if !self.from_corner {
            return format!("({position})");
        }
        let way = |length: quantity::Length, ahead: &str, behind: &str| {
            let metres = length.to(LengthUnit::Metre);
            let word = if metres < 0.0 { behind } else { ahead };
            format!("{:.1} ft ({:.2} m) {word}", length.to(LengthUnit::Foot).abs(), metres.abs())
        };
        format!(
            "{} and {} of the lot's south-west corner ({position})",
            way(point.x(), "east", "west"),
            way(point.y(), "north", "south")
        )
    }
}

impl Locator {
    /// The point as a spot on the Earth.
    pub(crate) fn spot(&self, point: Point) -> Option<Spot> {
        let position = self.plane.to_position(point);
        Spot::from_degrees(position.longitude(), position.latitude())
    }

    /// Some point of a piece of ground as a spot on the Earth.
    pub(crate) fn spot_in(&self, region: &Region) -> Option<Spot> {
        region.interior_point().and_then(|point| self.spot(point))
    }
}

/// Such as `12.3 sq ft (1.14 m²)`.
pub(crate) fn area_words(area: Area) -> String {
    format!("{:.1} sq ft ({:.2} m²)", area.to(AreaUnit::SquareFoot), area.to(AreaUnit::SquareMetre))
}

/// Such as `6 in (15 cm)`.
pub(crate) fn small_length_words(length: quantity::Length) -> String {
    format!("{:.1} in ({:.1} cm)", length.to(LengthUnit::Inch), length.to(LengthUnit::Centimetre))
}

/// The feature as a place.
pub(crate) fn feature_place(id: &str) -> String {
    format!("feature \"{id}\"")
}

/// A checked position of two numbers, if they are one.
pub(crate) fn position(raw: crate::RawPosition) -> Option<GeoPosition> {
    GeoPosition::from_degrees(raw.longitude, raw.latitude).ok()
}
