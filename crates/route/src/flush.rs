//! Ends of passes right at the edge of the zone: samples are coarser than a person can stop.

use crate::ground::Ground;
use crate::nozzle::Run;
use crate::raster::rings_of;
use crate::vector::Vector;
use geometry::Region;

/// Two neighbouring corners.
pub(crate) type Edge = (Vector, Vector);

/// All edges of a zone.
pub(crate) fn edges(zone: &Region) -> Vec<Edge> {
    let mut edges = Vec::new();
    for ring in rings_of(zone).into_iter().flatten() {
        edges.extend((0..ring.len()).map(|index| (ring[index], ring[(index + 1) % ring.len()])));
    }
    edges
}

/// How far a straight line from a place goes until it meets an edge.
pub(crate) fn reach(edges: &[Edge], from: Vector, along: Vector) -> f64 {
    let hits = edges.iter().filter_map(|(start, end)| {
        let edge = *end - *start;
        let across = along.cross(edge);
        let ahead = (*start - from).cross(edge) / across;
        let share = (*start - from).cross(along) / across;
        (across.abs() > 1e-9 && ahead > 0.0 && (0.0..=1.0).contains(&share)).then_some(ahead)
    });
    hits.fold(f64::MAX, f64::min)
}

/// Moves the ends of a run that are within a sample of an edge to the edge.
pub(crate) fn end_at_edges(ground: &Ground, edges: &[Edge], run: &mut Run) {
    let near = 1.5 * ground.frame.cell;
    let last = run.line.len() - 1;
    let mut line = run.line.clone();
    for (end, inner) in [(0, 1), (last, last - 1)] {
        let along = (run.line[end] - run.line[inner]).unit();
        // Looked for from a little inside, so that an end beyond the edge comes back to it.
        let inside = near.min(0.45 * run.line[end].gap(run.line[inner]));
        let from = run.line[end] - along * inside;
        let ahead = reach(edges, from, along);
        if ahead < inside + near {
            line[end] = from + along * ahead;
        }
    }
    if line != run.line {
        *run = Run::new(ground, run.kind, line, run.width, (run.start_slope, run.end_slope));
    }
}
