//! Ground as GeoJSON, in longitude and latitude.

use super::reading::Reading;
use geometry::{GeoPosition, LocalPlane, Point, Region};
use problem::Problem;
use quantity::{Length, LengthUnit};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Pieces of ground as a GeoJSON geometry: of each its outer ring, anticlockwise, then its holes; rings are
/// closed, positions are longitude and latitude in degrees.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GroundJson {
    /// `MultiPolygon`.
    pub r#type: String,
    /// The polygons.
    pub coordinates: Vec<Vec<Vec<[f64; 2]>>>,
}

/// Ground of one property lies within so much of the origin of its plane: farther off, the plane is no map.
fn farthest() -> Length {
    Length::new(100.0, LengthUnit::Kilometre)
}

impl GroundJson {
    /// A region of a plane. Seams that are nothing on a grid of eleven decimals are left out.
    pub(crate) fn new(region: &Region, plane: &LocalPlane) -> Self {
        let polygon = |outline: geometry::Outline<'_>| -> Option<Vec<Vec<[f64; 2]>>> {
            let outer = write_ring(outline.exterior(), plane)?;
            let mut holes: Vec<_> = outline.holes().filter_map(|hole| write_ring(hole, plane)).collect();
            holes.sort_by(|one, other| in_order(one, other));
            Some(std::iter::once(outer).chain(holes).collect())
        };
        let mut coordinates: Vec<Vec<Vec<[f64; 2]>>> = region.outlines().filter_map(polygon).collect();
        coordinates.sort_by(|one, other| in_order(&one[0], &other[0]));
        Self { r#type: "MultiPolygon".to_owned(), coordinates }
    }

    /// The region; reports positions off the earth or far from the property, and outlines that cross.
    pub(super) fn read(self, plane: &LocalPlane, path: &str, reading: &mut Reading) -> Option<Region> {
        if self.r#type != "MultiPolygon" {
            let found = format!("`{}` is no ground", crate::toml_source::shown(&self.r#type));
            reading.report(
                Problem::error("record::ground", found).expected("a `MultiPolygon`").at(format!("{path}.type")),
            );
            return None;
        }
        let mut polygons = Vec::with_capacity(self.coordinates.len());
        for (index, polygon) in self.coordinates.into_iter().enumerate() {
            let path = format!("{path}.coordinates[{}]", index + 1);
            if polygon.is_empty() {
                reading.report(
                    Problem::error("record::ground", "a polygon has no ring").expected("an outer ring").at(path),
                );
                return None;
            }
            let mut rings = Vec::with_capacity(polygon.len());
            for ring in polygon {
                rings.push(read_ring(&ring, plane, &path, reading)?);
            }
            polygons.push(rings);
        }
        Region::rejoined(&polygons)
            .map_err(|fault| {
                reading.report(
                    Problem::error("record::ground", fault.to_string())
                        .expected("outlines that do not cross, with their holes inside")
                        .at(path),
                );
            })
            .ok()
    }
}

/// A closed ring; `None` when fewer than three different positions are left of it.
fn write_ring(points: &[Point], plane: &LocalPlane) -> Option<Vec<[f64; 2]>> {
    let position = |point: &Point| {
        let position = plane.to_position(*point);
        [eleven_decimals(position.longitude()), eleven_decimals(position.latitude())]
    };
    let mut ring: Vec<[f64; 2]> = points.iter().map(position).collect();
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    let first = *ring.first()?;
    let different = ring
        .iter()
        .filter(|position| **position != first)
        .any(|one| ring.iter().any(|other| *other != first && other != one));
    different.then(|| {
        // The same ground has the same text: a ring begins at its westernmost corner, the southern one of several.
        let begin = (0..ring.len()).min_by(|&one, &other| in_order(&ring[one..=one], &ring[other..=other]));
        ring.rotate_left(begin.unwrap_or(0));
        ring.push(ring[0]);
        ring
    })
}

fn in_order(one: &[[f64; 2]], other: &[[f64; 2]]) -> std::cmp::Ordering {
    let pairs = one.iter().flatten().zip(other.iter().flatten());
    let differs = pairs.map(|(one, other)| one.total_cmp(other)).find(|order| order.is_ne());
    differs.unwrap_or_else(|| one.len().cmp(&other.len()))
}

fn read_ring(ring: &[[f64; 2]], plane: &LocalPlane, path: &str, reading: &mut Reading) -> Option<Vec<Point>> {
    let mut points = Vec::with_capacity(ring.len());
    for [longitude, latitude] in ring {
        let position = GeoPosition::from_degrees(*longitude, *latitude)
            .map_err(|fault| {
                reading.report(
                    Problem::error("record::ground", fault.to_string())
                        .expected("longitude, then latitude, in degrees")
                        .at(path),
                );
            })
            .ok()?;
        let point = plane.to_plane(position);
        if plane.distance_from_origin(point) > farthest() {
            reading.report(
                Problem::error("record::ground", format!("ground at {position} lies far from the property"))
                    .expected(format!("ground within {} of it", farthest().show(LengthUnit::Kilometre)))
                    .at(path),
            );
            return None;
        }
        points.push(point);
    }
    Some(points)
}

/// A thousandth of a millimetre: finer than the plane's own arithmetic needs, coarser than its last digit.
fn eleven_decimals(degrees: f64) -> f64 {
    (degrees * 1e11).round() / 1e11 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rectangle((x, y, width, depth): (f64, f64, f64, f64)) -> Region {
        Region::rectangle(Point::from_metres(x, y), Point::from_metres(x + width, y + depth)).expect("a rectangle")
    }

    fn rectangles() -> impl Strategy<Value = Vec<(f64, f64, f64, f64)>> {
        prop::collection::vec((-60.0..60.0_f64, -60.0..60.0_f64, 0.5..40.0_f64, 0.5..40.0_f64), 1..6)
    }

    proptest! {
        /// Pieces, holes and pinches, anywhere on the earth.
        #[test]
        fn ground_read_is_written_with_the_same_numbers(
            put in rectangles(), taken in rectangles(), longitude in -180.0..180.0_f64, latitude in -80.0..80.0_f64
        ) {
            let plane = LocalPlane::around(GeoPosition::from_degrees(longitude, latitude).expect("on the earth"));
            let put: Vec<Region> = put.into_iter().map(rectangle).collect();
            let taken: Vec<Region> = taken.into_iter().map(rectangle).collect();
            let region = Region::union_all(&put).difference(&Region::union_all(&taken));
            let written = GroundJson::new(&region, &plane);
            let mut reading = Reading::default();
            let read = written.clone().read(&plane, "ground", &mut reading).expect("ground");
            prop_assert!(reading.is_sound());
            prop_assert_eq!(&GroundJson::new(&read, &plane), &written);
            let apart = region.difference(&read).area() + read.difference(&region).area();
            prop_assert!(apart.to(quantity::AreaUnit::SquareMetre) < 1e-2, "{:?}", apart);
            let areas = (read.area().to(quantity::AreaUnit::SquareMetre), region.area().to(quantity::AreaUnit::SquareMetre));
            prop_assert!((areas.0 - areas.1).abs() < 1e-3, "{areas:?}");
        }
    }
}
