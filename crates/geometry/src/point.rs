//! A point of the plane, and the upright rectangle round many.

use i_overlay::i_float::float::compatible::FloatPointCompatible;
use quantity::{Bearing, Length, LengthUnit};

/// A point of a local plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    /// So far east and so far north of the origin of the plane.
    pub fn new(x: Length, y: Length) -> Self {
        Self { x: x.to(LengthUnit::Metre), y: y.to(LengthUnit::Metre) }
    }

    /// So many metres east and north of the origin: the plane itself is defined in metres.
    ///
    /// # Panics
    /// When a number is NaN or infinite: a reader of outside text must refuse those first.
    pub fn from_metres(x: f64, y: f64) -> Self {
        assert!(x.is_finite() && y.is_finite(), "Point must have finite coordinates");
        Self { x, y }
    }

    /// How far east of the origin.
    pub fn x(self) -> Length {
        Length::new(self.x, LengthUnit::Metre)
    }

    /// How far north of the origin.
    pub fn y(self) -> Length {
        Length::new(self.y, LengthUnit::Metre)
    }

    /// Metres east and north of the origin, the numbers the plane is defined in.
    pub fn metres(self) -> (f64, f64) {
        (self.x, self.y)
    }

    /// The straight distance.
    pub fn distance_to(self, other: Self) -> Length {
        Length::new(self.gap(other), LengthUnit::Metre)
    }

    /// The direction in which the other point lies, from the north of the plane; north when both are one.
    pub fn bearing_to(self, other: Self) -> Bearing {
        Bearing::from_degrees((other.x - self.x).atan2(other.y - self.y).to_degrees())
    }

    /// Moved so far east and north.
    #[must_use]
    pub fn moved(self, east: Length, north: Length) -> Self {
        Self { x: self.x + east.to(LengthUnit::Metre), y: self.y + north.to(LengthUnit::Metre) }
    }

    /// Turned clockwise about another point.
    #[must_use]
    pub fn rotated(self, about: Self, by: Bearing) -> Self {
        let (sin, cos) = (-by.degrees()).to_radians().sin_cos();
        let (dx, dy) = (self.x - about.x, self.y - about.y);
        Self { x: about.x + dx * cos - dy * sin, y: about.y + dx * sin + dy * cos }
    }

    pub(crate) fn gap(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// Lowest first, then leftmost: the order that decides ties.
    pub(crate) fn low_left_order(self, other: Self) -> std::cmp::Ordering {
        self.y.total_cmp(&other.y).then(self.x.total_cmp(&other.x))
    }

    pub(crate) fn coord(self) -> geo::Coord<f64> {
        geo::Coord { x: self.x, y: self.y }
    }
}

/// The engine reads and writes points through this; its numbers are metres.
impl FloatPointCompatible<f64> for Point {
    fn from_xy(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    fn x(&self) -> f64 {
        self.x
    }
    fn y(&self) -> f64 {
        self.y
    }
}

/// The upright rectangle round a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    pub(crate) low: Point,
    pub(crate) high: Point,
}

impl Bounds {
    /// The rectangle round the points; `None` when there are none.
    pub fn around(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let mut bounds = Self { low: first, high: first };
        for point in points {
            bounds.low.x = bounds.low.x.min(point.x);
            bounds.low.y = bounds.low.y.min(point.y);
            bounds.high.x = bounds.high.x.max(point.x);
            bounds.high.y = bounds.high.y.max(point.y);
        }
        Some(bounds)
    }

    /// The south-west corner.
    pub fn south_west(&self) -> Point {
        self.low
    }

    /// The north-east corner.
    pub fn north_east(&self) -> Point {
        self.high
    }

    /// Its four corners, from the one to the south-west against the clock.
    pub fn corners(&self) -> [Point; 4] {
        let (low, high) = (self.low, self.high);
        [low, Point { x: high.x, y: low.y }, high, Point { x: low.x, y: high.y }]
    }

    /// From west to east.
    pub fn width(&self) -> Length {
        Length::new(self.high.x - self.low.x, LengthUnit::Metre)
    }

    /// From south to north.
    pub fn height(&self) -> Length {
        Length::new(self.high.y - self.low.y, LengthUnit::Metre)
    }

    /// The rectangle round both.
    #[must_use]
    pub fn joined(&self, other: &Self) -> Self {
        Self {
            low: Point { x: self.low.x.min(other.low.x), y: self.low.y.min(other.low.y) },
            high: Point { x: self.high.x.max(other.high.x), y: self.high.y.max(other.high.y) },
        }
    }

    /// Whether the two have a point in common, edges included.
    pub fn touches(&self, other: &Self) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }

    /// Whether the two rectangles are farther from each other than a distance. Most that are tell it along one axis.
    pub(crate) fn is_farther(&self, other: &Self, than: f64) -> bool {
        let dx = (other.low.x - self.high.x).max(self.low.x - other.high.x).max(0.0);
        let dy = (other.low.y - self.high.y).max(self.low.y - other.high.y).max(0.0);
        dx > than || dy > than || dx.hypot(dy) > than
    }

    pub(crate) fn extent(&self) -> f64 {
        (self.high.x - self.low.x).max(self.high.y - self.low.y)
    }
}
