//! The overlay engine, behind the few questions this crate asks of it.

use crate::Point;
use i_overlay::core::extract::BooleanExtractionBuffer;
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::float::overlay::{FloatOverlay, OverlayOptions};

// The engine's option for shapes split at every pinch (OGC) is not used: on features that share an
// edge to within the precision of a map it loses whole shapes (version 4.5.2), as
// `tests/shared_edges.rs` shows.

/// The rings of one polygon: the outer one anticlockwise, then the holes clockwise; none repeats
/// its first point.
pub(crate) type Rings = Vec<Vec<Point>>;

/// What lies under both.
pub(crate) fn intersection(subject: &[Rings], clip: &[Rings]) -> Vec<Rings> {
    two(subject, clip, OverlayRule::Intersect)
}

/// What lies under the first and not under the second.
pub(crate) fn difference(subject: &[Rings], clip: &[Rings]) -> Vec<Rings> {
    two(subject, clip, OverlayRule::Difference)
}

/// What lies under either.
pub(crate) fn union(subject: &[Rings], clip: &[Rings]) -> Vec<Rings> {
    two(subject, clip, OverlayRule::Union)
}

/// The part under both, and the part of the first that is left: both read from one graph, so that
/// they share every vertex of the cut.
pub(crate) fn cut(subject: &[Rings], clip: &[Rings]) -> (Vec<Rings>, Vec<Rings>) {
    let mut overlay =
        FloatOverlay::with_subj_and_clip_custom(subject, clip, OverlayOptions::default(), Solver::default());
    let Some(graph) = overlay.build_graph_view(FillRule::NonZero) else {
        return (Vec::new(), Vec::new());
    };
    let mut buffer = BooleanExtractionBuffer::default();
    let taken = graph.extract_shapes(OverlayRule::Intersect, &mut buffer);
    let left = graph.extract_shapes(OverlayRule::Difference, &mut buffer);
    (taken, left)
}

/// Every point that the closed curves, taken together, wind round at least once anticlockwise.
pub(crate) fn wound_round(curves: &[Vec<Point>]) -> Vec<Rings> {
    FloatOverlay::with_subj_custom(curves, OverlayOptions::default(), Solver::default())
        .overlay(OverlayRule::Subject, FillRule::Positive)
}

fn two(subject: &[Rings], clip: &[Rings], rule: OverlayRule) -> Vec<Rings> {
    FloatOverlay::with_subj_and_clip_custom(subject, clip, OverlayOptions::default(), Solver::default())
        .overlay(rule, FillRule::NonZero)
}
