//! Features as a map gives them, unchecked: a reader of any format fills these in.

use jiff::civil::Date;
use quantity::Length;

/// A position as written: degrees, nothing checked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RawPosition {
    /// Degrees east of Greenwich.
    pub longitude: f64,
    /// Degrees north of the equator.
    pub latitude: f64,
}

impl RawPosition {
    /// Degrees east and north, in the order of RFC 7946.
    pub const fn new(longitude: f64, latitude: f64) -> Self {
        Self { longitude, latitude }
    }
}

/// A shape as written. Rings state their closing position.
#[derive(Debug, Clone, PartialEq)]
pub enum RawShape {
    /// One position.
    Point(RawPosition),
    /// Several positions, each a feature of its own.
    Points(Vec<RawPosition>),
    /// One line.
    Line(Vec<RawPosition>),
    /// Several lines, each a feature of its own.
    Lines(Vec<Vec<RawPosition>>),
    /// One polygon: the outer ring, then its holes.
    Polygon(Vec<Vec<RawPosition>>),
    /// Several polygons of one feature.
    Polygons(Vec<Vec<Vec<RawPosition>>>),
}

impl RawShape {
    /// Every position in order.
    pub fn positions(&self) -> Vec<RawPosition> {
        match self {
            Self::Point(position) => vec![*position],
            Self::Points(positions) | Self::Line(positions) => positions.clone(),
            Self::Lines(rings) | Self::Polygon(rings) => rings.concat(),
            Self::Polygons(polygons) => polygons.iter().flatten().flatten().copied().collect(),
        }
    }
}

/// An opening of a wall as written.
#[derive(Debug, Clone, PartialEq)]
pub struct RawOpening {
    /// What it is.
    pub what: String,
    /// From side to side.
    pub width: Length,
    /// From its lower to its upper edge.
    pub height: Length,
    /// From the ground to its lower edge, when stated.
    pub sill: Option<Length>,
}

/// A feature as written: what is absent stays absent.
#[derive(Debug, Clone, PartialEq)]
pub struct RawFeature {
    /// The identifier; a map without one leaves it out, and the feature is numbered.
    pub id: Option<String>,
    /// The word for its kind.
    pub kind: Option<String>,
    /// Where it is.
    pub shape: RawShape,
    /// The name that people use.
    pub name: Option<String>,
    /// What somebody wrote beside it.
    pub note: Option<String>,
    /// Whether plants were seen in bloom.
    pub in_bloom: Option<bool>,
    /// The day on which bloom, or its absence, was seen.
    pub bloom_seen_on: Option<Date>,
    /// From the ground to the eaves.
    pub wall_height: Option<Length>,
    /// How far the eaves stand out.
    pub eaves: Option<Length>,
    /// Doors, windows, vents.
    pub openings: Vec<RawOpening>,
    /// Whether water is dry for part of the year.
    pub intermittent: Option<bool>,
}

impl RawFeature {
    /// A feature of which only the shape is known so far.
    pub const fn new(shape: RawShape) -> Self {
        Self {
            id: None,
            kind: None,
            shape,
            name: None,
            note: None,
            in_bloom: None,
            bloom_seen_on: None,
            wall_height: None,
            eaves: None,
            openings: Vec::new(),
            intermittent: None,
        }
    }

    /// The identifier, or the number in the map (from 1) that stands in for it.
    pub fn id_or_number(&self, index: usize) -> String {
        self.id.clone().unwrap_or_else(|| format!("feature-{}", index + 1))
    }
}
