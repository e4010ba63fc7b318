//! Where spray must not be carried: directions from the treated ground to sensitive features.

use geometry::Region;
use property::{Feature, Kind, Property};
use quantity::{Bearing, Length, LengthUnit};

/// A direction in which a sensitive feature lies.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SensitiveSector {
    /// Feature id.
    pub feature: String,
    /// The feature in words, with its article: `the hives`.
    pub name: String,
    /// Direction from the treated ground at its nearest approach.
    pub bearing: Bearing,
    /// Distance there.
    pub distance: Length,
}

impl SensitiveSector {
    /// The distance in words.
    pub(crate) fn distance_words(&self) -> String {
        format!("{} ft", quantity::significant(self.distance.to(LengthUnit::Foot), 2))
    }
}

/// The sectors of all features that wind may reach from the treated ground, by feature order.
///
/// The direction is taken where treated ground and feature come nearest to each other, since the
/// drift that arrives falls off with distance. Food plants and plants in bloom are guarded by
/// setbacks, not by the wind's direction; a feature that is itself inside the treated ground has no
/// direction and is left to the setbacks too.
pub(crate) fn sectors(property: &Property, treated: &Region, reach: Length) -> Vec<SensitiveSector> {
    if treated.is_empty() {
        return Vec::new();
    }
    let guarded = property.features().iter().filter(|feature| carries_drift(feature.kind().kind()));
    guarded
        .filter_map(|feature| {
            let (from, to) = treated.nearest_approach(feature.shape())?;
            let distance = from.distance_to(to);
            let near_enough = distance.is_positive() && distance <= reach;
            near_enough.then(|| SensitiveSector {
                feature: feature.id().to_owned(),
                name: in_words(feature),
                bearing: from.bearing_to(to),
                distance,
            })
        })
        .collect()
}

/// The kinds that the wind must not blow toward.
fn carries_drift(kind: Kind) -> bool {
    matches!(kind, Kind::Hive | Kind::Water | Kind::PlayArea | Kind::PetArea)
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
