//! The ground under one pass: quadrilaterals between mitred normals, with flat or skewed ends.

use crate::vector::Vector;

/// At each place of a line, the step from it to the left edge of a swath of half width 1.
pub(crate) fn mitred_normals(line: &[Vector]) -> Vec<Vector> {
    let last = line.len() - 1;
    (0..line.len())
        .map(|index| {
            let arriving = (line[index] - line[index.saturating_sub(1)]).unit();
            let leaving = (line[(index + 1).min(last)] - line[index]).unit();
            if index == 0 {
                return leaving.left();
            }
            if index == last {
                return arriving.left();
            }
            let (before, after) = (arriving.left(), leaving.left());
            let sum = before + after;
            // A turn of more than 120 degrees would send the mitre to nowhere; lines are cut at much less.
            sum * (1.0 / (1.0 + before.dot(after)).max(0.5))
        })
        .collect()
}

/// The quadrilaterals of a pass, each from its left edge round.
pub(crate) fn quads(line: &[Vector], half: f64, start_slope: f64, end_slope: f64) -> Vec<[Vector; 4]> {
    let normals = mitred_normals(line);
    let last = line.len() - 1;
    let edge = |index: usize, side: f64| {
        let mut place = line[index] + normals[index] * (side * half);
        if index == 0 {
            place = place + (line[1] - line[0]).unit() * (start_slope * side * half);
        } else if index == last {
            place = place + (line[last] - line[last - 1]).unit() * (end_slope * side * half);
        }
        place
    };
    (0..last).map(|index| [edge(index, 1.0), edge(index + 1, 1.0), edge(index + 1, -1.0), edge(index, -1.0)]).collect()
}
