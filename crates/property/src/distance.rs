//! Distances between features.

use crate::{Feature, Property};
use geometry::Point;
use quantity::{Bearing, Length};

/// How far two features are from each other, and where they come nearest.
#[derive(Debug, Clone, PartialEq)]
pub struct FeatureDistance {
    /// One feature.
    pub from: String,
    /// The other.
    pub to: String,
    /// Nought when they touch.
    pub distance: Length,
    /// The nearest point of the one.
    pub here: Point,
    /// The nearest point of the other.
    pub there: Point,
    /// The direction from the one to the other; north when they touch.
    pub bearing: Bearing,
}

impl Property {
    /// The distance of every pair of features, each pair once, in the order of the map.
    pub fn distances(&self) -> Vec<FeatureDistance> {
        let features = self.features();
        features
            .iter()
            .enumerate()
            .flat_map(|(index, from)| features[index + 1..].iter().filter_map(|to| distance(from, to)))
            .collect()
    }

    /// The distance between two features; `None` when an identifier is not on the map.
    pub fn distance(&self, from: &str, to: &str) -> Option<FeatureDistance> {
        distance(self.feature(from)?, self.feature(to)?)
    }
}

fn distance(from: &Feature, to: &Feature) -> Option<FeatureDistance> {
    let (here, there) = from.shape().nearest_approach(to.shape())?;
    Some(FeatureDistance {
        from: from.id().to_owned(),
        to: to.id().to_owned(),
        distance: here.distance_to(there),
        here,
        there,
        bearing: here.bearing_to(there),
    })
}
