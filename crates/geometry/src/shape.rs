//! Lines, and the shape that is a point, a line or a region.

use crate::{Bounds, Point, Region, ShapeFault, validity};
use quantity::{Bearing, Length, LengthUnit};

/// A line of one or more straight stretches.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    points: Vec<Point>,
}

impl Line {
    /// A line through the points in order; a point repeated at once is dropped.
    ///
    /// # Errors
    /// Fewer than two different points.
    pub fn new(points: impl IntoIterator<Item = Point>) -> Result<Self, ShapeFault> {
        let mut points: Vec<Point> = points.into_iter().collect();
        points.dedup();
        if points.len() < 2 {
            return Err(ShapeFault::TooFewPoints { distinct: points.len(), needed: 2 });
        }
        Ok(Self { points })
    }

    /// The points in order.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The length along it.
    pub fn length(&self) -> Length {
        Length::new(self.points.windows(2).map(|pair| pair[0].gap(pair[1])).sum(), LengthUnit::Metre)
    }

    /// The rectangle round it.
    pub fn bounds(&self) -> Bounds {
        let first = Bounds { low: self.points[0], high: self.points[0] };
        Bounds::around(self.points.iter().copied()).unwrap_or(first)
    }

    /// Moved so far east and north.
    #[must_use]
    pub fn moved(&self, east: Length, north: Length) -> Self {
        Self { points: self.points.iter().map(|point| point.moved(east, north)).collect() }
    }

    /// Turned clockwise about a point.
    #[must_use]
    pub fn rotated(&self, about: Point, by: Bearing) -> Self {
        Self { points: self.points.iter().map(|point| point.rotated(about, by)).collect() }
    }

    /// Where it crosses itself.
    pub fn crossings(&self) -> Vec<Point> {
        validity::line_crossings(&self.points)
    }
}

/// A point, a line or a region.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A place without extent.
    Point(Point),
    /// A line without width.
    Line(Line),
    /// A piece of ground.
    Region(Region),
}

impl Shape {
    /// The rectangle round it; `None` for an empty region.
    pub fn bounds(&self) -> Option<Bounds> {
        match self {
            Self::Point(point) => Some(Bounds { low: *point, high: *point }),
            Self::Line(line) => Some(line.bounds()),
            Self::Region(region) => region.bounds(),
        }
    }

    /// Moved so far east and north.
    #[must_use]
    pub fn moved(&self, east: Length, north: Length) -> Self {
        match self {
            Self::Point(point) => Self::Point(point.moved(east, north)),
            Self::Line(line) => Self::Line(line.moved(east, north)),
            Self::Region(region) => Self::Region(region.moved(east, north)),
        }
    }

    /// Turned clockwise about a point.
    #[must_use]
    pub fn rotated(&self, about: Point, by: Bearing) -> Self {
        match self {
            Self::Point(point) => Self::Point(point.rotated(about, by)),
            Self::Line(line) => Self::Line(line.rotated(about, by)),
            Self::Region(region) => Self::Region(region.rotated(about, by)),
        }
    }

    /// The region, when it is one.
    pub fn region(&self) -> Option<&Region> {
        if let Self::Region(region) = self { Some(region) } else { None }
    }

    /// The shortest distance between the two; `None` when one is empty, nought when they touch.
    pub fn distance_to(&self, other: &Self) -> Option<Length> {
        self.nearest_approach(other).map(|(here, there)| here.distance_to(there))
    }

    /// The nearest two points, one of this shape and one of the other; `None` when one is empty.
    /// Of several pairs equally near, the one whose own point is lowest, then leftmost.
    pub fn nearest_approach(&self, other: &Self) -> Option<(Point, Point)> {
        crate::nearest::between(self, other)
    }
}

impl From<Point> for Shape {
    fn from(point: Point) -> Self {
        Self::Point(point)
    }
}
impl From<Line> for Shape {
    fn from(line: Line) -> Self {
        Self::Line(line)
    }
}
impl From<Region> for Shape {
    fn from(region: Region) -> Self {
        Self::Region(region)
    }
}
