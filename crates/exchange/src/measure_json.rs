//! A measured property as data: areas, perimeters, lengths, distances.

use crate::problems_json::ProblemJson;
use problem::Problems;
use property::{FeatureDistance, Property};
use quantity::{Area, AreaUnit, Length, LengthUnit};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document on a mapped property.
pub const FORMAT: &str = "tussock.measure/1";

/// The format of the document on a figure measured on paper.
pub const PAPER_FORMAT: &str = "tussock.measure-figure/1";

/// A mapped property, measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MeasureDocumentJson {
    /// `tussock.measure/1`.
    pub format: &'static str,
    /// The property's name.
    pub name: String,
    /// Its area, square metres.
    pub area_m2: f64,
    /// The length of its boundary, metres.
    pub perimeter_m: f64,
    /// The lawn: as drawn, or else what is left of the property.
    pub lawn_m2: f64,
    /// Whether the lawn is drawn on the map.
    pub lawn_is_drawn: bool,
    /// Features kind by kind.
    pub kinds: Vec<KindJson>,
    /// The features, in the order of the map.
    pub features: Vec<FeatureJson>,
    /// Every pair of features, each once.
    pub distances: Vec<DistanceJson>,
    /// What was seen on the map and may be right.
    pub problems: Vec<ProblemJson>,
}

/// All features of one kind.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KindJson {
    /// The kind.
    pub kind: String,
    /// How many there are.
    pub count: usize,
    /// Their area together, square metres.
    pub area_m2: f64,
    /// Their perimeters together, metres.
    pub perimeter_m: f64,
    /// Their lengths together, metres, for lines.
    pub length_m: f64,
}

/// One feature.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FeatureJson {
    /// Its identifier.
    pub id: String,
    /// Its kind.
    pub kind: String,
    /// Its area, square metres; nothing for points and lines.
    pub area_m2: f64,
    /// Its perimeter, metres; nothing for points and lines.
    pub perimeter_m: f64,
    /// Its length, metres, for lines.
    pub length_m: f64,
}

/// How far two features are from each other.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DistanceJson {
    /// One feature.
    pub from: String,
    /// The other.
    pub to: String,
    /// The distance, metres.
    pub distance_m: f64,
    /// The direction from the one to the other, degrees clockwise from true north.
    pub bearing_deg: f64,
}

impl MeasureDocumentJson {
    /// A property, with the warnings of its map.
    pub fn new(property: &Property, problems: &Problems) -> Self {
        Self {
            format: FORMAT,
            name: property.name().to_owned(),
            area_m2: square_metres(property.boundary().area()),
            perimeter_m: metres(property.boundary().perimeter()),
            lawn_m2: square_metres(property.lawn().area()),
            lawn_is_drawn: property.lawn_is_drawn(),
            kinds: property
                .totals()
                .iter()
                .map(|total| KindJson {
                    kind: total.kind.word().to_owned(),
                    count: total.count,
                    area_m2: square_metres(total.area),
                    perimeter_m: metres(total.perimeter),
                    length_m: metres(total.length),
                })
                .collect(),
            features: property
                .features()
                .iter()
                .map(|feature| FeatureJson {
                    id: feature.id().to_owned(),
                    kind: feature.kind().kind().word().to_owned(),
                    area_m2: square_metres(feature.area()),
                    perimeter_m: metres(feature.perimeter()),
                    length_m: metres(feature.length()),
                })
                .collect(),
            distances: property.distances().iter().map(DistanceJson::from).collect(),
            problems: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

impl From<&FeatureDistance> for DistanceJson {
    fn from(distance: &FeatureDistance) -> Self {
        Self {
            from: distance.from.clone(),
            to: distance.to.clone(),
            distance_m: metres(distance.distance),
            bearing_deg: distance.bearing.degrees(),
        }
    }
}

/// A figure measured on paper.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PaperJson {
    /// `tussock.measure-figure/1`.
    pub format: &'static str,
    /// The figures, each with its area.
    pub figures: Vec<PaperFigureJson>,
    /// All of them together, square metres.
    pub area_m2: f64,
}

/// One figure.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PaperFigureJson {
    /// What it is, such as `rectangle`.
    pub figure: String,
    /// How it was reckoned.
    pub formula: String,
    /// Its area, square metres.
    pub area_m2: f64,
}

/// The document on a mapped property as text, ended by a new line.
pub fn write_measures(property: &Property, problems: &Problems) -> String {
    crate::json_text::pretty(&MeasureDocumentJson::new(property, problems))
}

/// The document on figures measured on paper as text: of each its name, formula and area.
pub fn write_paper_measures(figures: &[(String, String, Area)]) -> String {
    crate::json_text::pretty(&PaperJson {
        format: PAPER_FORMAT,
        figures: figures
            .iter()
            .map(|(figure, formula, area)| PaperFigureJson {
                figure: figure.clone(),
                formula: formula.clone(),
                area_m2: square_metres(*area),
            })
            .collect(),
        area_m2: square_metres(figures.iter().map(|(_, _, area)| *area).sum()),
    })
}

fn square_metres(area: Area) -> f64 {
    area.to(AreaUnit::SquareMetre)
}

fn metres(length: Length) -> f64 {
    length.to(LengthUnit::Metre)
}
