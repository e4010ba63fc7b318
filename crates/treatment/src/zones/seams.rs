//! Seams: ground between outlines that are meant to touch. Each joins a neighbour, so that it is handed out with ground
//! that somebody can tell and treat, and no square foot is left out.

use super::Part;
use geometry::{Bounds, Point, Region, Shape};
use quantity::{Length, LengthUnit};

/// So finely is looked along a seam for what it borders, in metres.
const STEP_M: f64 = 0.1;
/// So many looks at most on one edge: a lot may be kilometres long.
const MOST_STEPS: f64 = 200.0;

/// Gives each seam of the rest of a lot to the part that it borders longest, the first of several.
///
/// Returns what is ground of its own; a seam that borders no part stays with it.
pub(super) fn joined(rest: &Region, parts: &mut [Part]) -> Region {
    let (mut own, seams) = rest.parted_by_width(property::seam_width());
    for seam in seams.outlines().map(|outline| outline.to_region()) {
        let (looks, near) = (looks(&seam), grown(&seam));
        let mut longest: Option<(f64, usize, usize)> = None;
        for (part_index, part) in parts.iter().enumerate() {
            for (piece_index, piece) in part.pieces.iter().enumerate() {
                if !piece.region.bounds().zip(near).is_some_and(|(piece, near)| piece.touches(&near)) {
                    continue;
                }
                let bordered: f64 =
                    looks.iter().filter(|(at, _)| borders(&piece.region, *at)).map(|(_, length)| length).sum();
                if bordered > longest.map_or(0.0, |(most, _, _)| most) {
                    longest = Some((bordered, part_index, piece_index));
                }
            }
        }
        match longest {
            Some((_, part, piece)) => {
                let piece = &mut parts[part].pieces[piece];
                piece.region = piece.region.union(&seam);
            }
            None => own = own.union(&seam),
        }
    }
    own
}

/// The rectangle round a seam, with what an overlay may round.
fn grown(seam: &Region) -> Option<Bounds> {
    let bounds = seam.bounds()?;
    let by = Length::new(1e-3, LengthUnit::Metre);
    Bounds::around([bounds.south_west().moved(-by, -by), bounds.north_east().moved(by, by)])
}

/// Points along the outline, each with the length that it stands for.
fn looks(seam: &Region) -> Vec<(Point, f64)> {
    let mut looks = Vec::new();
    for ring in seam.outlines().flat_map(|outline| std::iter::once(outline.exterior().to_vec())) {
        for (index, from) in ring.iter().enumerate() {
            let to = ring[(index + 1) % ring.len()];
            let ((x, y), (to_x, to_y)) = (from.metres(), to.metres());
            let length = from.distance_to(to).to(LengthUnit::Metre);
            let steps = (length / STEP_M).ceil().clamp(1.0, MOST_STEPS);
            let mut step = 0.5;
            while step < steps {
                let share = step / steps;
                looks.push((Point::from_metres(x + (to_x - x) * share, y + (to_y - y) * share), length / steps));
                step += 1.0;
            }
        }
    }
    looks
}

/// Whether a region lies at a point, to within what an overlay may round.
fn borders(region: &Region, at: Point) -> bool {
    let near = Length::new(1e-5, LengthUnit::Metre);
    region.nearest_approach(&Shape::Point(at)).is_some_and(|(here, there)| here.distance_to(there) < near)
}
