//! Ground of one map on another, and what ground may concern which property.

use crate::application::ApplicationRecord;
use geometry::{GeoExtent, LocalPlane, Point, Region};
use property::Property;
use quantity::{Area, AreaUnit, Length, LengthUnit};

/// What the straight edges of one plane bend in degrees, and rounding, with much to spare: an edge of 2 km
/// bends by less than a tenth of a metre.
fn slack() -> Length {
    Length::new(1.0, LengthUnit::Metre)
}

/// Less ground than this is where two drawings touch: half a square foot.
pub(crate) fn touch() -> Area {
    Area::new(0.05, AreaUnit::SquareMetre)
}

/// The region as it lies in another plane; `None` where its outlines cannot be laid there.
pub(crate) fn laid_on(region: &Region, from: &LocalPlane, to: &LocalPlane) -> Option<Region> {
    if from.origin() == to.origin() || region.is_empty() {
        return Some(region.clone());
    }
    let ring =
        |points: &[Point]| -> Vec<Point> { points.iter().map(|point| to.to_plane(from.to_position(*point))).collect() };
    let polygons: Vec<Vec<Vec<Point>>> = region
        .outlines()
        .map(|outline| std::iter::once(outline.exterior()).chain(outline.holes()).map(ring).collect())
        .collect();
    Region::rejoined(&polygons).ok()
}

/// The box that all ground of a record lies in, and the corner of its map: what the record is found by.
/// `None` across the 180th meridian; such a record may lie anywhere.
pub fn extent(record: &ApplicationRecord) -> Option<GeoExtent> {
    let plane = record.plane();
    let zones = record.tasks.iter().flat_map(|task| &task.zones);
    let corners = zones.filter_map(|zone| zone.ground.bounds()).flat_map(|bounds| bounds.corners());
    let positions = corners.map(|corner| plane.to_position(corner)).chain([record.property.origin]);
    GeoExtent::around(positions, slack())
}

/// The box that everything lies in which may concern a property. `None` across the 180th meridian: anything
/// may.
pub fn reach(property: &Property) -> Option<GeoExtent> {
    let corners = property.boundary().bounds()?.corners();
    let margin = slack() + half_of_shorter_side(property);
    GeoExtent::around(corners.map(|corner| property.plane().to_position(corner)), margin)
}

/// Whether a record without drawn ground was made on this property. Its map touches the earth at the corner of
/// its lot: one redrawn a little stays the same lot, and the corner of the lot beside it is a whole side away.
pub(crate) fn is_of(record: &ApplicationRecord, property: &Property) -> bool {
    let corner = property.plane().to_plane(record.property.origin);
    property.plane().distance_from_origin(corner) <= half_of_shorter_side(property)
}

fn half_of_shorter_side(property: &Property) -> Length {
    property.boundary().bounds().map_or(Length::ZERO, |bounds| {
        let (width, height) = (bounds.width(), bounds.height());
        if width < height { width * 0.5 } else { height * 0.5 }
    })
}
