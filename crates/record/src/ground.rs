//! Ground of one plane laid on another: the maps of one property may have other origins over the years.

use geometry::{LocalPlane, Point, Region};

/// The region as it lies in another plane; `None` where its outlines cannot be laid there.
pub(crate) fn laid_on(region: &Region, from: &LocalPlane, to: &LocalPlane) -> Option<Region> {
    if from.origin() == to.origin() || region.is_empty() {
        return Some(region.clone());
    }
    let ring =
        |points: &[Point]| -> Vec<Point> { points.iter().map(|point| to.to_plane(from.to_position(*point))).collect() };
    let polygons: Vec<Vec<Vec<Point>>> = region
        .outlines()
        .map(|outline| std::iter::once(outline.exterior()).chain(outline.holes()).map(ring).collect())
        .collect();
    Region::rejoined(&polygons).ok()
}
