//! The distances that tasks keep, and the ground within them.

use super::Claim;
use crate::sensitive::in_words;
use crate::verdict::Origin;
use geometry::offset::{ArcFineness, setback};
use geometry::{Line, Region, Shape};
use label::BufferedFeature;
use property::{Feature, Kind, Property};
use quantity::{Length, LengthUnit};

/// A distance that a task keeps, from whom and why.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct KeptDistance {
    /// From what.
    pub feature: BufferedFeature,
    /// How far.
    pub distance: Length,
    /// Who asks for it.
    pub origin: Origin,
}

/// One setback that some task keeps.
pub(super) struct Kept {
    pub feature: BufferedFeature,
    pub distance: Length,
    pub words: String,
    pub region: Region,
}

/// Whether a feature is of the kind that a distance is kept from, on the date of its last look.
fn is_guarded(feature: &Feature, guarded: BufferedFeature) -> bool {
    match (guarded, feature.kind().kind()) {
        (BufferedFeature::BloomingPlants, _) => feature.kind().is_in_bloom(),
        (BufferedFeature::Water, Kind::Water)
        | (BufferedFeature::Drain, Kind::Drain)
        | (BufferedFeature::Well, Kind::Well)
        | (BufferedFeature::Hive, Kind::Hive)
        | (BufferedFeature::FoodPlants, Kind::Edible)
        | (BufferedFeature::PlayArea, Kind::PlayArea | Kind::PetArea) => true,
        _ => false,
    }
}

/// A distance as a person writes it: 25, 6.5.
pub(crate) fn feet_words(distance: Length) -> String {
    let feet = (distance.to(LengthUnit::Foot) * 100.0).round() / 100.0;
    feet.to_string()
}

/// A kind of guarded feature in plain words.
pub(crate) fn guarded_words(feature: BufferedFeature) -> &'static str {
    match feature {
        BufferedFeature::Water => "water",
        BufferedFeature::Drain => "a drain",
        BufferedFeature::Well => "a well",
        BufferedFeature::Hive => "hives",
        BufferedFeature::FoodPlants => "food plants",
        BufferedFeature::BloomingPlants => "plants in bloom",
        BufferedFeature::PropertyLine => "the property line",
        BufferedFeature::PlayArea => "a play area",
    }
}

/// Each distance that some task keeps, once, with the ground within it that can touch the property.
pub(super) fn kept_distances(property: &Property, claims: &[Claim<'_>], arcs: ArcFineness) -> Vec<Kept> {
    let mut all: Vec<Kept> = Vec::new();
    for want in claims.iter().flat_map(|claim| &claim.kept) {
        if all.iter().any(|kept| wants(want, kept)) {
            continue;
        }
        let mut words = Vec::new();
        let mut regions = Vec::new();
        if want.feature == BufferedFeature::PropertyLine {
            for outline in property.boundary().outlines() {
                let ring = outline.exterior();
                if let Ok(line) = Line::new(ring.iter().chain(ring.first()).copied()) {
                    regions.push(setback(&Shape::Line(line), want.distance, arcs));
                }
            }
            words.push("the property line".to_owned());
        }
        for feature in property.features().iter().filter(|feature| is_guarded(feature, want.feature)) {
            let region = setback(feature.shape(), want.distance, arcs);
            let reaches = match (region.bounds(), property.boundary().bounds()) {
                (Some(within), Some(lot)) => within.touches(&lot),
                _ => false,
            };
            if reaches {
                regions.push(region);
                words.push(in_words(feature));
            }
        }
        if !regions.is_empty() {
            let region = Region::union_all(&regions);
            all.push(Kept { feature: want.feature, distance: want.distance, words: words.join(", "), region });
        }
    }
    all
}

pub(super) fn wants(want: &KeptDistance, kept: &Kept) -> bool {
    want.feature == kept.feature && want.distance == kept.distance
}
