//! Plain metres of the plane, for reckoning within this crate.

use geometry::Point;
use std::ops::{Add, Mul, Sub};

/// A place or a step in the plane, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Vector {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Vector {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub(crate) fn of(point: Point) -> Self {
        let (x, y) = point.metres();
        Self { x, y }
    }

    pub(crate) fn point(self) -> Point {
        Point::from_metres(self.x, self.y)
    }

    pub(crate) fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    pub(crate) fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    pub(crate) fn length(self) -> f64 {
        (self.x * self.x + self.y * self.y).sqrt()
    }

    pub(crate) fn gap(self, other: Self) -> f64 {
        (self - other).length()
    }

    /// Of length 1; east of no length at all.
    pub(crate) fn unit(self) -> Self {
        let length = self.length();
        if length > 0.0 { self * (1.0 / length) } else { Self::new(1.0, 0.0) }
    }

    /// Turned a quarter against the clock.
    pub(crate) fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// Part of the way to another place.
    pub(crate) fn toward(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::new(self.x * by, self.y * by)
    }
}

/// The length of a line through places.
pub(crate) fn line_length(line: &[Vector]) -> f64 {
    line.windows(2).map(|pair| pair[0].gap(pair[1])).sum()
}

/// The line without places that lie within a tolerance of the line through the rest (Douglas and Peucker 1973).
pub(crate) fn simplified(line: &[Vector], tolerance: f64) -> Vec<Vector> {
    if line.len() < 3 {
        return line.to_vec();
    }
    let mut kept = vec![false; line.len()];
    kept[0] = true;
    kept[line.len() - 1] = true;
    let mut open = vec![(0, line.len() - 1)];
    while let Some((from, to)) = open.pop() {
        let (mut far, mut at) = (tolerance, None);
        for index in from + 1..to {
            let off = distance_to_segment(line[index], line[from], line[to]);
            if off > far {
                (far, at) = (off, Some(index));
            }
        }
        if let Some(index) = at {
            kept[index] = true;
            open.push((from, index));
            open.push((index, to));
        }
    }
    line.iter().zip(kept).filter_map(|(place, keep)| keep.then_some(*place)).collect()
}

/// How far a place is from the nearest of a segment.
pub(crate) fn distance_to_segment(place: Vector, from: Vector, to: Vector) -> f64 {
    let along = to - from;
    let squared = along.dot(along);
    let share = if squared > 0.0 { ((place - from).dot(along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    place.gap(from.toward(to, share))
}
