//! Where spray must not be carried: directions from the treated ground to sensitive features.

use crate::request::Practice;
use geometry::offset::{ArcFineness, setback};
use geometry::{Region, Shape};
use property::{Feature, Kind, Property};
use quantity::{Area, Bearing, Length, LengthUnit};

/// A direction in which a sensitive feature lies.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SensitiveSector {
    /// Feature id.
    pub feature: String,
    /// The feature in words, with its article: `the hives`.
    pub name: String,
    /// Direction from the treated ground at its nearest approach.
    pub bearing: Bearing,
    /// Up to what angle from there wind counts as blowing toward it, in degrees.
    pub within_degrees: f64,
    /// Distance there.
    pub distance: Length,
}

impl SensitiveSector {
    /// The distance in words.
    pub(crate) fn distance_words(&self) -> String {
        let feet = self.distance.to(LengthUnit::Foot);
        let digits = if feet < 10.0 { (feet * 10.0).round() / 10.0 } else { feet.round() };
        format!("{digits} ft")
    }
}

/// The sectors of the features asked for that wind may reach from the treated ground, by feature order.
///
/// The direction is taken where treated ground and feature come nearest to each other, since the
/// drift that arrives falls off with distance.
///
/// A feature that touches the treated ground has no nearest direction. What lies beside it counts:
/// the direction is that from the middle of the treated ground within a foot of it to the middle of the
/// feature, and the whole half of the horizon round it. Where more than half of that foot is treated,
/// or nothing tells a direction, every wind carries toward it.
pub(crate) fn sectors(
    property: &Property,
    treated: &Region,
    practice: &Practice,
    arcs: ArcFineness,
    asked: fn(&Feature) -> bool,
) -> Vec<SensitiveSector> {
    if treated.is_empty() {
        return Vec::new();
    }
    let guarded = property.features().iter().filter(|feature| asked(feature));
    guarded
        .filter_map(|feature| {
            let (from, to) = treated.nearest_approach(feature.shape())?;
            let distance = from.distance_to(to);
            if distance > practice.sensitive_reach {
                return None;
            }
            let (bearing, within_degrees) = if distance > touching() {
                (from.bearing_to(to), practice.sensitive_angle)
            } else {
                let beside = beside(feature.shape(), treated, arcs);
                beside.map_or((Bearing::from_degrees(0.0), 180.0), |bearing| (bearing, 90.0))
            };
            Some(SensitiveSector {
                feature: feature.id().to_owned(),
                name: in_words(feature),
                bearing,
                within_degrees: practice.sensitive_angle.max(within_degrees),
                distance,
            })
        })
        .collect()
}

/// What is this near touches: maps are drawn no finer.
fn touching() -> Length {
    Length::new(1.0, LengthUnit::Centimetre)
}

/// The direction from the treated ground beside a shape to the shape; `None` where it lies all round.
fn beside(shape: &Shape, treated: &Region, arcs: ArcFineness) -> Option<Bearing> {
    let near = setback(shape, Length::new(1.0, LengthUnit::Foot), arcs);
    let touched = near.intersection(treated);
    let own = shape.region().map_or(Area::ZERO, Region::area);
    if touched.area() > (near.area() - own) * 0.5 {
        return None;
    }
    let (from, to) = (touched.centroid()?, near.centroid()?);
    (from.distance_to(to) > touching()).then(|| from.bearing_to(to))
}

/// What the wind must not blow toward in any hour.
pub(crate) fn refuses_wind(feature: &Feature) -> bool {
    matches!(feature.kind().kind(), Kind::Hive | Kind::Water | Kind::PlayArea | Kind::PetArea)
}

/// Food plants and plants in bloom: setbacks guard them, and wind toward them asks for care.
pub(crate) fn asks_care(feature: &Feature) -> bool {
    feature.is(Kind::Edible) || feature.kind().is_in_bloom()
}

/// A feature in words: its own name, or its kind.
pub(crate) fn in_words(feature: &Feature) -> String {
    if let Some(name) = feature.name() {
        return if name.to_lowercase().starts_with("the ") { name.to_owned() } else { format!("the {name}") };
    }
    let plain = match feature.kind().kind() {
        Kind::Hive => "hives",
        Kind::Water => "water",
        Kind::Drain => "drain",
        Kind::Well => "well",
        Kind::Edible => "food plants",
        Kind::PlayArea => "play area",
        Kind::PetArea => "pet area",
        _ => feature.id(),
    };
    format!("the {plain}")
}
