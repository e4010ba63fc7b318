//! Lines along the edges of the zone.

use crate::ground::{Ground, Kind};
use crate::raster::{NOWHERE, rings_of};
use crate::vector::{Vector, line_length, simplified};
use geometry::{ArcFineness, Region, offset};
use quantity::{Length, LengthUnit};

/// Corners sharper than this, in degrees, end a line: nobody walks round them with the wand held out.
const SHARP_TURN: f64 = 38.0;
/// Longest line along an edge, in metres: longer ones leave the order too little choice.
const LONGEST: f64 = 25.0;
/// Lines are drawn to within so many metres.
const TOLERANCE: f64 = 0.015;

/// The ground that lies farther inside than a distance, in metres.
pub(crate) fn inset(ground: &Region, distance: f64) -> Region {
    let Some(bounds) = ground.bounds() else { return Region::empty() };
    if distance <= 0.0 {
        return ground.clone();
    }
    let reach = Length::new(distance + 1.0, LengthUnit::Metre);
    let Ok(sheet) =
        Region::rectangle(bounds.south_west().moved(-reach, -reach), bounds.north_east().moved(reach, reach))
    else {
        return Region::empty();
    };
    let outside = sheet.difference(ground).into();
    let grown = offset::setback(&outside, Length::new(distance, LengthUnit::Metre), ArcFineness::per_quarter(6));
    ground.difference(&grown)
}

/// The ground without the holes that are narrower than a width, in metres.
pub(crate) fn without_small_holes(ground: &Region, width: f64) -> Region {
    let polygons: Vec<Vec<Vec<geometry::Point>>> = ground
        .outlines()
        .map(|outline| {
            let holes = outline.holes().filter(|hole| short_side(hole) >= width);
            std::iter::once(outline.exterior()).chain(holes).map(<[geometry::Point]>::to_vec).collect()
        })
        .collect();
    Region::rejoined(&polygons).unwrap_or_else(|_| ground.clone())
}

/// The shorter side of the smallest rectangle round a ring: one side of it lies along an edge of the hull.
fn short_side(ring: &[geometry::Point]) -> f64 {
    let places: Vec<Vector> = ring.iter().copied().map(Vector::of).collect();
    let mut least = f64::MAX;
    for (index, from) in places.iter().enumerate() {
        let along = places[(index + 1) % places.len()] - *from;
        if along.length() < 1e-6 {
            continue;
        }
        let normal = along.unit().left();
        let offs = places.iter().map(|place| (*place - *from).dot(normal));
        let (low, high) = offs.fold((f64::MAX, f64::MIN), |(low, high), off| (low.min(off), high.max(off)));
        least = least.min(high - low);
    }
    least
}

/// The edges of an inset as lines, cut at sharp turns and where they become too long; ends run on straight.
pub(crate) fn chains(ground: &Ground, inset: &Region, longest: f64) -> Vec<Vec<Vector>> {
    let mut chains = Vec::new();
    for ring in rings_of(inset).into_iter().flatten() {
        if ring.len() < 3 {
            continue;
        }
        for mut chain in pieces(ring, longest.min(LONGEST)) {
            if along_soft_edge(ground, &chain) {
                continue;
            }
            run_on(&mut chain, 1.2 * ground.swath);
            chains.push(chain);
        }
    }
    chains
}

fn pieces(mut ring: Vec<Vector>, longest: f64) -> Vec<Vec<Vector>> {
    // Begun at the sharpest corner, so that the first cut is one that is wanted.
    let count = ring.len();
    let turn = |ring: &[Vector], index: usize| {
        let (before, here, after) = (ring[(index + count - 1) % count], ring[index], ring[(index + 1) % count]);
        let (arriving, leaving) = ((here - before).unit(), (after - here).unit());
        arriving.cross(leaving).atan2(arriving.dot(leaving)).abs()
    };
    let sharpest = (0..count).max_by(|one, other| turn(&ring, *one).total_cmp(&turn(&ring, *other))).unwrap_or(0);
    ring.rotate_left(sharpest);
    ring.push(ring[0]);
    let ring = simplified(&ring, TOLERANCE);
    cut_at_corners(&ring).into_iter().flat_map(|piece| shortened(&piece, longest)).collect()
}

/// A line in parts between its sharp corners.
pub(crate) fn cut_at_corners(line: &[Vector]) -> Vec<Vec<Vector>> {
    let mut pieces = Vec::new();
    let mut piece = vec![line[0]];
    for index in 1..line.len() {
        piece.push(line[index]);
        let is_last = index + 1 == line.len();
        let is_sharp = !is_last && {
            let (arriving, leaving) = ((line[index] - line[index - 1]).unit(), (line[index + 1] - line[index]).unit());
            arriving.dot(leaving) < SHARP_TURN.to_radians().cos()
        };
        if is_last || is_sharp {
            pieces.push(piece);
            piece = vec![line[index]];
        }
    }
    pieces
}

/// The line in equal parts that are no longer than allowed.
pub(crate) fn shortened(line: &[Vector], longest: f64) -> Vec<Vec<Vector>> {
    let total = line_length(line);
    let parts = (total / longest).ceil().max(1.0) as usize;
    let mut lines = vec![vec![line[0]]];
    let mut walked = 0.0;
    for pair in line.windows(2) {
        let gap = pair[0].gap(pair[1]);
        while lines.len() < parts && walked + gap > total * lines.len() as f64 / parts as f64 {
            let cut = pair[0].toward(pair[1], (total * lines.len() as f64 / parts as f64 - walked) / gap);
            if let Some(line) = lines.last_mut() {
                line.push(cut);
            }
            lines.push(vec![cut]);
        }
        walked += gap;
        if let Some(line) = lines.last_mut() {
            line.push(pair[1]);
        }
    }
    for line in &mut lines {
        line.dedup_by(|one, other| one.gap(*other) < 1e-6);
    }
    lines.retain(|line| line.len() > 1);
    lines
}

/// Lets both ends run on straight.
pub(crate) fn run_on(line: &mut [Vector], by: f64) {
    let last = line.len() - 1;
    let (start, end) = ((line[0] - line[1]).unit(), (line[last] - line[last - 1]).unit());
    line[0] = line[0] + start * by;
    line[last] = line[last] + end * by;
}

/// Whether most of the ground just beyond the edge that a chain follows takes no harm from spray.
fn along_soft_edge(ground: &Ground, chain: &[Vector]) -> bool {
    let (mut soft, mut all) = (0_usize, 0_usize);
    for pair in chain.windows(2) {
        let normal = (pair[1] - pair[0]).unit().left();
        let steps = (pair[0].gap(pair[1]) / 0.25).ceil().max(1.0) as usize;
        for step in 0..steps {
            let place = pair[0].toward(pair[1], (step as f64 + 0.5) / steps as f64);
            // An inset's outer ring winds against the clock and its holes with it: the edge is to the right.
            let cell = ground.frame.at(place - normal * (0.5 * ground.swath + 2.0 * ground.frame.cell));
            all += 1;
            soft += usize::from(cell != NOWHERE && ground.kind[cell as usize] == Kind::Harmless);
        }
    }
    2 * soft > all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RouteRequest;
    use geometry::Point;

    fn rectangle(x: f64, y: f64, to_x: f64, to_y: f64) -> Region {
        Region::rectangle(Point::from_metres(x, y), Point::from_metres(to_x, to_y)).unwrap()
    }

    fn metres(length: f64) -> Length {
        Length::new(length, LengthUnit::Metre)
    }

    #[test]
    fn no_line_follows_a_soft_edge() {
        let zone = rectangle(0.0, 0.0, 12.0, 8.0);
        let mut request = RouteRequest::new(zone.clone(), metres(1.0), metres(300.0), Point::from_metres(0.0, 0.0));
        let followed = |request: &RouteRequest| {
            let inner = inset(&zone, 0.5);
            chains(&Ground::of(request), &inner, 100.0).len()
        };
        assert_eq!(followed(&request), 4);
        // Gravel to the north.
        request.harmless = rectangle(-2.0, 8.0, 14.0, 10.0);
        assert_eq!(followed(&request), 3);
    }

    #[test]
    fn an_inset_keeps_sharp_corners_sharp_and_small_holes_go() {
        let zone = rectangle(0.0, 0.0, 12.0, 8.0).difference(&rectangle(5.0, 3.0, 6.0, 5.0));
        let inner = inset(&zone, 1.0);
        // 10 by 6, less the hole's 1 by 2 grown by 1 with rounded corners.
        let area = inner.area().to(quantity::AreaUnit::SquareMetre);
        assert!((area - (60.0 - (2.0 + 6.0 + std::f64::consts::PI))).abs() < 0.05, "{area}");
        assert_eq!(without_small_holes(&zone, 1.1).perimeter(), metres(40.0));
        assert_eq!(without_small_holes(&zone, 0.9).perimeter(), metres(46.0));
    }
}
