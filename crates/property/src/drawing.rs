//! What can be measured of a map as it is drawn, sound or not: corners, edges, and the area of each shape
//! that encloses one.

use crate::locate::position;
use crate::outline::{position_problems, shapes};
use crate::property::locator;
use crate::{RawFeature, RawPosition, RawShape};
use geometry::{LocalPlane, Point, Region, Shape};
use problem::Problems;
use quantity::{Area, Length};

/// A map as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The plane in which it lies; `None` when no position of the map can be read.
    pub plane: Option<LocalPlane>,
    /// Whether the plane's origin is the lot's south-west corner, rather than the first position of the map.
    pub from_corner: bool,
    /// Its features, in the order of the map.
    pub features: Vec<DrawnFeature>,
}

/// A feature as it is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnFeature {
    /// Its runs of corners: outlines with their holes, lines, points.
    pub runs: Vec<Run>,
    /// The ground that it covers; `None` when it is no area, or when its outlines enclose none for certain.
    pub area: Option<Area>,
}

/// What a run of corners is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RunKind {
    /// The outline of an area.
    Outline,
    /// A hole in the outline before it.
    Hole,
    /// A line.
    Line,
    /// One point.
    Point,
}

impl RunKind {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Outline => "outline",
            Self::Hole => "hole",
            Self::Line => "line",
            Self::Point => "point",
        }
    }
}

/// Corners in walking order. A position that is none has no corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// What it is.
    pub kind: RunKind,
    /// Which polygon, line or point of a feature of several, from 0.
    pub part: usize,
    /// The corners with the position that each is drawn at; the closing position of a ring is left out.
    pub corners: Vec<(RawPosition, Point)>,
}

impl Run {
    /// The length of each edge, from each corner to the next; of a ring also the one that closes it.
    pub fn edges(&self) -> Vec<Length> {
        let next = self.corners.iter().skip(1);
        let closing = self.corners.first().filter(|_| self.is_ring() && self.corners.len() > 1);
        self.corners.iter().zip(next.chain(closing)).map(|((_, from), (_, to))| from.distance_to(*to)).collect()
    }

    /// The way along it; of a ring, all the way round.
    pub fn length(&self) -> Length {
        self.edges().into_iter().sum()
    }

    /// Whether it closes.
    pub fn is_ring(&self) -> bool {
        matches!(self.kind, RunKind::Outline | RunKind::Hole)
    }
}

impl Drawing {
    /// Measures the features of a map, whatever is wrong with them.
    pub fn of(features: &[RawFeature]) -> Self {
        let readable: Vec<bool> =
            features.iter().map(|raw| position_problems("", &raw.shape, &mut Problems::new())).collect();
        let Some(locator) = locator(features, &readable) else {
            let features = features.iter().map(|_| DrawnFeature { runs: Vec::new(), area: None }).collect();
            return Self { plane: None, from_corner: false, features };
        };
        let drawn = features.iter().zip(readable).map(|(raw, readable)| {
            let mut faults = Problems::new();
            let shapes = if readable { shapes("", &raw.shape, &locator, &mut faults) } else { Vec::new() };
            let regions: Vec<&Region> = shapes.iter().filter_map(Shape::region).collect();
            let area =
                (!regions.is_empty() && !faults.has_errors()).then(|| regions.iter().map(|region| region.area()).sum());
            DrawnFeature { runs: runs(&raw.shape, &locator.plane), area }
        });
        let features = drawn.collect();
        Self { plane: Some(locator.plane), from_corner: locator.from_corner, features }
    }
}

fn runs(shape: &RawShape, plane: &LocalPlane) -> Vec<Run> {
    let run = |kind, part, positions: &[RawPosition]| run(kind, part, positions, plane);
    let rings = |part, rings: &[Vec<RawPosition>]| -> Vec<Run> {
        let kind = |index| if index == 0 { RunKind::Outline } else { RunKind::Hole };
        rings.iter().enumerate().map(|(index, ring)| run(kind(index), part, ring)).collect()
    };
    match shape {
        RawShape::Point(position) => vec![run(RunKind::Point, 0, &[*position])],
        RawShape::Points(positions) => {
            positions.iter().enumerate().map(|(part, position)| run(RunKind::Point, part, &[*position])).collect()
        }
        RawShape::Line(line) => vec![run(RunKind::Line, 0, line)],
        RawShape::Lines(lines) => lines.iter().enumerate().map(|(part, line)| run(RunKind::Line, part, line)).collect(),
        RawShape::Polygon(polygon) => rings(0, polygon),
        RawShape::Polygons(polygons) => {
            polygons.iter().enumerate().flat_map(|(part, polygon)| rings(part, polygon)).collect()
        }
    }
}

fn run(kind: RunKind, part: usize, positions: &[RawPosition], plane: &LocalPlane) -> Run {
    let mut run = Run { kind, part, corners: Vec::with_capacity(positions.len()) };
    let stated = match positions {
        [first, between @ .., last] if run.is_ring() && !between.is_empty() && first == last => {
            &positions[..positions.len() - 1]
        }
        all => all,
    };
    let corner = |raw: &RawPosition| position(*raw).map(|known| (*raw, plane.to_plane(known)));
    run.corners.extend(stated.iter().filter_map(corner));
    run
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::{AreaUnit, LengthUnit};

    /// A lot about 86.5 m by 111 m at 38.84 degrees north.
    fn square(kind: &str, west: f64, south: f64, side: f64) -> RawFeature {
        let at = |east: f64, north: f64| RawPosition::new(west + east * side, south + north * side);
        let ring = vec![at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0), at(0.0, 0.0)];
        RawFeature { kind: Some(kind.to_owned()), ..RawFeature::new(RawShape::Polygon(vec![ring])) }
    }

    #[test]
    fn corners_are_offsets_from_the_lots_south_west_corner_and_edges_join_them() {
        let lot = square("boundary", -97.62, 38.84, 0.001);
        let drawing = Drawing::of(std::slice::from_ref(&lot));
        assert!(drawing.from_corner);
        let run = &drawing.features[0].runs[0];
        assert_eq!((run.kind, run.corners.len(), run.edges().len()), (RunKind::Outline, 4, 4));
        let (east, north) = run.corners[0].1.metres();
        assert!(east.abs() < 1e-3 && north.abs() < 1e-3, "{east} {north}");
        let (east, north) = run.corners[2].1.metres();
        // Longer in the south than in the north by a millimetre or so: meridians meet.
        assert!((86.0..87.5).contains(&east) && (110.5..111.5).contains(&north), "{east} {north}");
        let round: f64 = run.edges().iter().map(|edge| edge.to(LengthUnit::Metre)).sum();
        assert!((run.length().to(LengthUnit::Metre) - round).abs() < 1e-9);
        let area = drawing.features[0].area.expect("an area").to(AreaUnit::SquareMetre);
        assert!((area / (east * north) - 1.0).abs() < 1e-3, "{area}");
        // The property of the same map measures the same.
        let (property, _) = crate::Property::new("lot", &[lot]).expect("a property");
        assert_eq!(property.boundary().area().to(AreaUnit::SquareMetre), area);
    }

    #[test]
    fn what_is_wrong_is_measured_as_far_as_it_goes() {
        let lot = square("boundary", -97.62, 38.84, 0.001);
        let mut crossing = square("paved", -97.6198, 38.8402, 0.0001);
        if let RawShape::Polygon(rings) = &mut crossing.shape {
            rings[0].swap(1, 2);
        }
        let mut lost = square("paved", -97.62, 38.84, 0.0001);
        if let RawShape::Polygon(rings) = &mut lost.shape {
            rings[0][1] = RawPosition::new(-97.62, 238.84);
        }
        let drawing = Drawing::of(&[lot, crossing, lost]);
        let [_, crossing, lost] = drawing.features.as_slice() else { panic!("three features") };
        assert_eq!((crossing.area, crossing.runs[0].edges().len()), (None, 4));
        assert_eq!((lost.area, lost.runs[0].corners.len()), (None, 3));
        let empty = Drawing::of(&[RawFeature::new(RawShape::Points(Vec::new()))]);
        assert!(empty.plane.is_none() && empty.features.len() == 1);
    }
}
