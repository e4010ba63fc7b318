//! A map as it is drawn, measured: every corner and edge, what is wrong where, and the safe repairs. An
//! answer for whoever is still drawing: a map with problems is measured as far as it goes.

use crate::geojson_map::{Map, read_map};
use crate::map_repair::repaired_map;
use crate::problems_json::ProblemJson;
use crate::size_json::{AreaJson, LengthJson};
use crate::zones_geojson::{GroundGeometryJson, geometry};
use problem::{Problem, Problems};
use property::{Change, Drawing, DrawnFeature, FeatureDistance, Kind, Property, RawFeature, Run};
use quantity::{Length, LengthUnit};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.drawing/1";

/// A map as it is drawn, measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DrawingJson {
    /// `tussock.drawing/1`.
    pub format: &'static str,
    /// What the map is called; null when it does not say.
    pub name: Option<String>,
    /// Whether the map can be used as it is: nothing in `problems` is an error.
    pub usable: bool,
    /// The plane of the offsets; null when no position can be read.
    pub plane: Option<PlaneJson>,
    /// The features, in the order of the map.
    pub features: Vec<DrawnFeatureJson>,
    /// What the property measures; null while the map has errors.
    pub totals: Option<PropertyTotalsJson>,
    /// Distances between features, the shortest first; empty unless they are asked for, or while the map has
    /// errors.
    pub distances: Vec<FeatureDistanceJson>,
    /// Everything wrong with the map, and what should be looked at.
    pub problems: Vec<MapProblemJson>,
    /// A mended copy of the map; null when nothing could be mended in one way only, or it was not asked for.
    pub repair: Option<RepairJson>,
}

/// A plane that touches the Earth at its origin; offsets are metres east and north of it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlaneJson {
    /// The origin, degrees east of Greenwich.
    pub longitude_deg: f64,
    /// The origin, degrees north of the equator.
    pub latitude_deg: f64,
    /// Whether the origin is the lot's south-west corner: the corner of the upright rectangle round the
    /// boundary. Without a boundary it is the first position of the map.
    pub from_corner: bool,
}

/// A feature as it is drawn.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DrawnFeatureJson {
    /// Its number in the file, from 1; problems name it.
    pub number: usize,
    /// The word by which visits name it.
    pub id: String,
    /// Its kind as the map writes it; null when it says none.
    pub kind: Option<String>,
    /// Whether the kind is one that is known.
    pub kind_is_known: bool,
    /// What people call it.
    pub name: Option<String>,
    /// Its area; null for points and lines, and for an outline that encloses no ground for certain.
    pub area: Option<AreaJson>,
    /// The way round its outlines and holes; null for points and lines.
    pub perimeter: Option<LengthJson>,
    /// The length of its lines; null for points and areas.
    pub length: Option<LengthJson>,
    /// Its runs of corners.
    pub runs: Vec<RunJson>,
}

/// A run of corners in walking order.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RunJson {
    /// `outline`, `hole`, `line` or `point`.
    pub kind: &'static str,
    /// Which polygon, line or point of a feature of several, from 1.
    pub part: usize,
    /// The corners; the closing position of a ring is left out.
    pub corners: Vec<CornerJson>,
}

/// A corner.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CornerJson {
    /// Degrees east of Greenwich, as drawn.
    pub longitude_deg: f64,
    /// Degrees north of the equator, as drawn.
    pub latitude_deg: f64,
    /// Metres east of the plane's origin.
    pub east_m: f64,
    /// Metres north of the plane's origin.
    pub north_m: f64,
    /// The edge to the next corner, of a ring also from the last to the first; null where none follows.
    pub edge: Option<LengthJson>,
}

/// What a property measures.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PropertyTotalsJson {
    /// The lot.
    pub area: AreaJson,
    /// Round the lot.
    pub perimeter: LengthJson,
    /// The lawn: as drawn, or else what is left of the lot.
    pub lawn: AreaJson,
    /// Whether the lawn is drawn on the map.
    pub lawn_is_drawn: bool,
    /// The ground of the lawn as a GeoJSON geometry; null when there is none.
    pub lawn_ground: Option<GroundGeometryJson>,
    /// Features kind by kind.
    pub kinds: Vec<KindTotalJson>,
}

/// All features of one kind, inside the boundary.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KindTotalJson {
    /// The kind.
    pub kind: &'static str,
    /// How many there are.
    pub count: usize,
    /// Their area together, each square foot once.
    pub area: AreaJson,
    /// Their perimeters together.
    pub perimeter: LengthJson,
    /// Their lengths together, for lines.
    pub length: LengthJson,
}

/// How far two features are from each other.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FeatureDistanceJson {
    /// One feature, by its id.
    pub from: String,
    /// The other.
    pub to: String,
    /// The distance.
    pub distance: LengthJson,
    /// Whether they touch: nearer than the millimetre that a map can tell.
    pub touching: bool,
    /// The direction from the one to the other, degrees clockwise from true north.
    pub bearing_deg: f64,
}

/// A problem of a map.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MapProblemJson {
    /// The problem.
    #[serde(flatten)]
    pub problem: ProblemJson,
    /// The number of the feature that it concerns; null when it concerns the map as a whole.
    pub feature: Option<usize>,
}

/// A mended copy of a map.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RepairJson {
    /// The mended map, whole, as GeoJSON text.
    pub map: String,
    /// Every change made to it.
    pub changes: Vec<ChangeJson>,
}

/// A change of a repair.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ChangeJson {
    /// The feature, by its id.
    pub feature: String,
    /// What was done, in words.
    pub what: String,
}

/// What is asked beside the measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DrawingWishes {
    /// A mended copy.
    pub repair: bool,
    /// The distance of every pair of features.
    pub distances: bool,
}

/// Measures a map as it is drawn. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// The text is no GeoJSON. A map without any feature is one.
pub fn measured_drawing(file: &str, text: &str, wishes: DrawingWishes) -> Result<DrawingJson, Problems> {
    let map = match read_map(text) {
        Ok(map) => map,
        Err(problem) if problem.code == "map::no-features" => return Ok(nothing_drawn(&problem.in_file(file))),
        Err(problem) => return Err(problem.in_file(file).into()),
    };
    let name = map.called();
    let drawing = Drawing::of(&map.features);
    let numbers: Vec<usize> = map.numbers().collect();
    let places: Vec<(usize, (usize, usize))> = map.places().collect();
    let features = map
        .features
        .iter()
        .zip(&drawing.features)
        .enumerate()
        .map(|(index, (raw, drawn))| drawn_feature(numbers[index], index, raw, drawn))
        .collect();
    let (property, problems) = held_together(map, name.as_deref().unwrap_or("property"));
    let repair = if wishes.repair { repair_of(file, text)? } else { None };
    let distances = property.as_ref().filter(|_| wishes.distances).map(distances).unwrap_or_default();
    let problem = |problem: Problem| {
        let at = problem.place.line.zip(problem.place.column);
        let feature = places.iter().find(|(_, place)| Some(*place) == at).map(|(number, _)| *number);
        MapProblemJson { problem: ProblemJson::from(&problem.in_file(file)), feature }
    };
    Ok(DrawingJson {
        format: FORMAT,
        name,
        usable: property.is_some(),
        plane: drawing.plane.map(|plane| PlaneJson {
            longitude_deg: plane.origin().longitude(),
            latitude_deg: plane.origin().latitude(),
            from_corner: drawing.from_corner,
        }),
        features,
        totals: property.as_ref().map(PropertyTotalsJson::from),
        distances,
        problems: problems.into_iter().map(problem).collect(),
        repair,
    })
}

fn nothing_drawn(problem: &Problem) -> DrawingJson {
    DrawingJson {
        format: FORMAT,
        name: None,
        usable: false,
        plane: None,
        features: Vec::new(),
        totals: None,
        distances: Vec::new(),
        problems: vec![MapProblemJson { problem: ProblemJson::from(problem), feature: None }],
        repair: None,
    }
}

fn held_together(map: Map, name: &str) -> (Option<Property>, Problems) {
    match map.into_property(name) {
        Ok((property, warnings)) => (Some(property), warnings),
        Err(problems) => (None, problems),
    }
}

fn repair_of(file: &str, text: &str) -> Result<Option<RepairJson>, Problems> {
    let (map, changes) = repaired_map(file, text)?;
    let change = |Change { feature, what }: Change| ChangeJson { feature, what };
    Ok((!changes.is_empty()).then(|| RepairJson { map, changes: changes.into_iter().map(change).collect() }))
}

fn drawn_feature(number: usize, index: usize, raw: &RawFeature, drawn: &DrawnFeature) -> DrawnFeatureJson {
    let sum = |is_ring: bool| {
        let mut runs = drawn.runs.iter().filter(|run| run.corners.len() > 1 && run.is_ring() == is_ring).peekable();
        runs.peek().is_some().then(|| runs.map(Run::length).sum::<Length>().into())
    };
    DrawnFeatureJson {
        number,
        id: raw.id_or_number(index),
        kind: raw.kind.clone(),
        kind_is_known: raw.kind.as_deref().is_some_and(|word| Kind::parse_word(word).is_ok()),
        name: raw.name.clone(),
        area: drawn.area.map(AreaJson::from),
        perimeter: sum(true),
        length: sum(false),
        runs: drawn.runs.iter().map(RunJson::from).collect(),
    }
}

impl From<&Run> for RunJson {
    fn from(run: &Run) -> Self {
        let mut edges = run.edges().into_iter();
        let corners = run.corners.iter().map(|(raw, point)| {
            let (east_m, north_m) = point.metres();
            let edge = edges.next().map(LengthJson::from);
            CornerJson { longitude_deg: raw.longitude, latitude_deg: raw.latitude, east_m, north_m, edge }
        });
        Self { kind: run.kind.word(), part: run.part + 1, corners: corners.collect() }
    }
}

impl From<&Property> for PropertyTotalsJson {
    fn from(property: &Property) -> Self {
        let kind = |total: &property::KindTotal| KindTotalJson {
            kind: total.kind.word(),
            count: total.count,
            area: total.area.into(),
            perimeter: total.perimeter.into(),
            length: total.length.into(),
        };
        Self {
            area: property.boundary().area().into(),
            perimeter: property.boundary().perimeter().into(),
            lawn: property.lawn().area().into(),
            lawn_is_drawn: property.lawn_is_drawn(),
            lawn_ground: geometry(property.lawn(), property.plane()),
            kinds: property.totals().iter().map(kind).collect(),
        }
    }
}

/// A map in nine decimals of a degree is good to a tenth of a millimetre.
fn touching() -> Length {
    Length::new(1.0, LengthUnit::Millimetre)
}

fn distances(property: &Property) -> Vec<FeatureDistanceJson> {
    let mut all = property.distances();
    all.sort_by(|a, b| a.distance.to(LengthUnit::Metre).total_cmp(&b.distance.to(LengthUnit::Metre)));
    let one = |distance: FeatureDistance| FeatureDistanceJson {
        from: distance.from,
        to: distance.to,
        touching: distance.distance < touching(),
        distance: distance.distance.into(),
        bearing_deg: distance.bearing.degrees(),
    };
    all.into_iter().map(one).collect()
}
