//! Lines through the middle of parts that are narrower than a swath.
//!
//! # Method
//! The narrow parts are what an opening of the zone with a disc of nearly half a swath takes away. Thinning leaves a
//! skeleton of them one cell wide (Zhang and Suen 1984, Comm. ACM 27: 236-239, from memory), which is walked from end to end
//! and smoothed.

use crate::flush::{self, reach};
use crate::ground::{Ground, Kind};
use crate::raster::squared_distances;
use crate::rings::{cut_at_corners, run_on};
use crate::swath::mitred_normals;
use crate::vector::{Vector, line_length, simplified};
use geometry::Region;

/// A line through a narrow part, and how far the edges are from it.
pub(crate) struct NarrowLine {
    pub(crate) line: Vec<Vector>,
    pub(crate) radius: f64,
}

pub(crate) fn lines(ground: &Ground, zone: &Region) -> Vec<NarrowLine> {
    let edges = flush::edges(zone);
    let (frame, swath) = (&ground.frame, ground.swath);
    let zone: Vec<bool> = ground.kind.iter().map(|kind| *kind == Kind::Zone).collect();
    let depth = squared_distances(frame, &zone);
    let core = (0.49 * swath / frame.cell) as f32;
    let shallow: Vec<bool> = depth.iter().map(|squared| *squared < core * core).collect();
    let to_core = squared_distances(frame, &shallow);
    let mut thin: Vec<bool> =
        (0..frame.len()).map(|cell| zone[cell] && to_core[cell] > (core + 0.7) * (core + 0.7)).collect();
    // Holes between the narrow parts and the rest are closed by the rest itself, so that thinning keeps the joints.
    thin_out(&mut thin, frame.columns);
    let mut lines = Vec::new();
    for mut line in walked(&thin, frame.columns) {
        let mut radii: Vec<f64> =
            line.iter().map(|cell| f64::from(depth[*cell]).sqrt() * frame.cell - 0.5 * frame.cell).collect();
        radii.sort_by(f64::total_cmp);
        let radius = radii[radii.len() * 85 / 100];
        let places: Vec<Vector> = line.drain(..).map(|cell| frame.centre(cell)).collect();
        let window = ((0.7 * radius / frame.cell) as usize).max(1);
        let smooth = smoothed(&places, window);
        if line_length(&smooth) < (1.2 * radius).max(0.5 * swath) {
            continue;
        }
        for piece in between_corners(&smooth, radius, frame.cell) {
            let (mut piece, radius) = centred(&edges, &piece, radius, swath);
            run_on(&mut piece, swath + radius);
            lines.push(NarrowLine { line: piece, radius });
        }
    }
    lines
}

/// A line moved to the middle between the edges to its left and right, and half their distance: cells of a raster are too
/// coarse for a strip that is a few cells wide.
fn centred(edges: &[flush::Edge], line: &[Vector], radius: f64, swath: f64) -> (Vec<Vector>, f64) {
    let off = |place: Vector, normal: Vector| {
        let (left, right) = (reach(edges, place, normal), reach(edges, place, normal * -1.0));
        (left + right < swath).then_some((f64::midpoint(left, -right), f64::midpoint(left, right)))
    };
    let mut found = Vec::new();
    for pair in line.windows(2) {
        let normal = (pair[1] - pair[0]).unit().left();
        let places = (0..9).map(|step| pair[0].toward(pair[1], (f64::from(step) + 0.5) / 9.0));
        let offs = places.filter_map(|place| off(place, normal).map(|(by, half)| (by, half, place + normal * by)));
        found.extend(offs);
    }
    if found.is_empty() {
        return (line.to_vec(), radius);
    }
    let ranked = |read: fn(&(f64, f64, Vector)) -> f64, share: f64| {
        let mut values: Vec<f64> = found.iter().map(read).collect();
        values.sort_by(f64::total_cmp);
        values[((values.len() - 1) as f64 * share) as usize]
    };
    let usual = ranked(|found| found.0, 0.5);
    if let (2, Some(first), Some(last)) = (line.len(), found.first(), found.last())
        && first.2.gap(last.2) > 0.3 * line[0].gap(line[1])
    {
        // A straight strip: the line through its middle near both ends.
        let along = (last.2 - first.2).unit();
        let onto = |place: Vector| first.2 + along * (place - first.2).dot(along);
        return (vec![onto(line[0]), onto(line[1])], ranked(|found| found.1, 0.85));
    }
    let normals = mitred_normals(line);
    let moved = line.iter().zip(&normals).map(|(place, normal)| {
        let by = off(*place, normal.unit()).map_or(usual, |found| found.0);
        *place + *normal * by
    });
    (moved.collect(), ranked(|found| found.1, 0.85))
}

/// The parts of a line between its sharp corners, without what smoothing has rounded there.
fn between_corners(line: &[Vector], radius: f64, cell: f64) -> Vec<Vec<Vector>> {
    let coarse = simplified(line, (0.3 * radius).max(0.6 * cell));
    let corners: Vec<Vector> = cut_at_corners(&coarse).iter().skip(1).map(|piece| piece[0]).collect();
    let mut pieces = vec![Vec::new()];
    let mut corners = corners.into_iter().peekable();
    for place in line {
        if corners.peek() == Some(place) {
            corners.next();
            pieces.push(Vec::new());
        }
        if let Some(piece) = pieces.last_mut() {
            piece.push(*place);
        }
    }
    let last = pieces.len() - 1;
    for (index, piece) in pieces.iter_mut().enumerate() {
        let (first, end) = (piece[0], piece[piece.len() - 1]);
        let is_clear =
            |place: &Vector| (index == 0 || place.gap(first) > radius) && (index == last || place.gap(end) > radius);
        piece.retain(is_clear);
    }
    pieces.retain(|piece| piece.len() > 1 && line_length(piece) > 0.5 * radius);
    pieces.into_iter().map(|piece| simplified(&piece, (0.12 * radius).max(0.6 * cell))).collect()
}

fn smoothed(places: &[Vector], window: usize) -> Vec<Vector> {
    let last = places.len() - 1;
    (0..places.len())
        .map(|index| {
            let reach = window.min(index).min(last - index);
            let part = &places[index - reach..=index + reach];
            part.iter().fold(Vector::new(0.0, 0.0), |sum, place| sum + *place) * (1.0 / part.len() as f64)
        })
        .collect()
}

/// The eight cells round a cell, clockwise from the one above.
fn around(cell: usize, columns: usize) -> [usize; 8] {
    [
        cell + columns,
        cell + columns + 1,
        cell + 1,
        cell - columns + 1,
        cell - columns,
        cell - columns - 1,
        cell - 1,
        cell + columns - 1,
    ]
}

/// Thins a mask to lines one cell wide. The mask must not touch the border of its frame.
fn thin_out(mask: &mut [bool], columns: usize) {
    let mut left: Vec<usize> = (0..mask.len()).filter(|cell| mask[*cell]).collect();
    loop {
        let before = left.len();
        for phase in 0..2 {
            let gone: Vec<usize> = left
                .iter()
                .copied()
                .filter(|cell| {
                    let near = around(*cell, columns).map(|cell| mask[cell]);
                    let count = near.iter().filter(|set| **set).count();
                    let rises = (0..8).filter(|index| !near[*index] && near[(index + 1) % 8]).count();
                    let (first, second) = if phase == 0 {
                        (near[0] && near[2] && near[4], near[2] && near[4] && near[6])
                    } else {
                        (near[0] && near[2] && near[6], near[0] && near[4] && near[6])
                    };
                    (2..=6).contains(&count) && rises == 1 && !first && !second
                })
                .collect();
            for cell in &gone {
                mask[*cell] = false;
            }
            left.retain(|cell| mask[*cell]);
        }
        if left.len() == before {
            return;
        }
    }
}

/// The skeleton as lines of cells between its ends and forks; rings become one line.
fn walked(mask: &[bool], columns: usize) -> Vec<Vec<usize>> {
    let near = |cell: usize| around(cell, columns).into_iter().filter(|other| mask[*other]).collect::<Vec<_>>();
    let cells: Vec<usize> = (0..mask.len()).filter(|cell| mask[*cell]).collect();
    let is_node = |cell: usize| near(cell).len() != 2;
    let mut seen = std::collections::BTreeSet::new();
    let mut lines = Vec::new();
    for start in cells.iter().copied().filter(|cell| is_node(*cell)).chain(cells.iter().copied()) {
        for first in near(start) {
            if seen.contains(&(start, first)) || (!is_node(start) && seen.contains(&(start, start))) {
                continue;
            }
            let mut line = vec![start, first];
            seen.insert((start, first));
            seen.insert((first, start));
            let (mut before, mut here) = (start, first);
            while !is_node(here) && here != start {
                let Some(next) = near(here).into_iter().find(|next| *next != before) else { break };
                seen.insert((here, next));
                seen.insert((next, here));
                seen.insert((here, here));
                line.push(next);
                (before, here) = (here, next);
            }
            seen.insert((start, start));
            lines.push(line);
            if !is_node(start) {
                break;
            }
        }
    }
    joined(lines)
}

/// Joins lines that meet two by two at a fork and run straight on, longest first, and drops what is a cell or two long.
fn joined(mut lines: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    lines.sort_by(|one, other| other.len().cmp(&one.len()).then(one.cmp(other)));
    let mut out: Vec<Vec<usize>> = Vec::new();
    while !lines.is_empty() {
        let mut line = lines.remove(0);
        loop {
            let end = line[line.len() - 1];
            let next = lines.iter().position(|other| other[0] == end || other[other.len() - 1] == end);
            let start = line[0];
            match next {
                Some(index) if end != start => {
                    let mut other = lines.remove(index);
                    if other[0] != end {
                        other.reverse();
                    }
                    line.extend(other.into_iter().skip(1));
                }
                _ => match lines.iter().position(|other| other[0] == start || other[other.len() - 1] == start) {
                    Some(index) if end != start => {
                        let mut other = lines.remove(index);
                        if other[other.len() - 1] != start {
                            other.reverse();
                        }
                        other.extend(line.into_iter().skip(1));
                        line = other;
                    }
                    _ => break,
                },
            }
        }
        if line.len() > 3 {
            out.push(line);
        }
    }
    out
}
