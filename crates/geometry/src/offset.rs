//! True Euclidean offsets. A setback is never understated, a band never overstated.
//!
//! # Method
//! Round each ring goes one raw curve: every edge is moved out by the distance; at a corner that
//! turns outward an arc joins the two moved edges; at a corner that turns inward the curve passes
//! through the corner itself. As a chain, that curve is the ring plus one rectangle per edge plus
//! one sector per outward corner, all anticlockwise, so the points it winds round at least once are
//! exactly the union of the shape, the rectangles and the sectors.
//!
//! An arc of angle t becomes ceil(t / (90 degrees / fineness)) equal steps of angle s. For a band
//! the chords are inscribed (corners on the arc); for a setback they are circumscribed (corners at
//! the middle of each step at distance / cos(s / 2), so that every chord touches the arc).
//!
//! The overlay engine rounds coordinates to a grid of at most 2^-29.5 of the extent of what it is
//! given. Setbacks are grown and bands narrowed by 2^-28 of their own extent, for the overlay that
//! draws them, and by 0.4 micrometres, for one more overlay with a lot up to 200 m across; on a larger
//! lot that overlay may move an edge by up to 2^-29 of its extent (10 micrometres on 5 km).

use crate::region::{Region, ring_area};
use crate::{Point, Shape, overlay};
use quantity::{Length, LengthUnit};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// In how many chords a quarter of a circle is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ArcFineness(u16);

impl ArcFineness {
    /// So many chords a quarter; at least 2, at most 1,024, the nearest of which stands in for
    /// anything beyond.
    pub fn per_quarter(chords: u16) -> Self {
        Self(chords.clamp(2, 1024))
    }

    /// Chords a quarter.
    pub fn chords(self) -> u16 {
        self.0
    }
}

/// 40 a quarter: a setback then reaches at most 0.0193 % too far, 1.5 mm at 25 ft.
impl Default for ArcFineness {
    fn default() -> Self {
        Self(40)
    }
}

/// The engine's rounding where the offset is drawn, as a part of the extent.
const GRID_ALLOWANCE: f64 = 1.0 / (1_u32 << 28) as f64;
/// The engine's rounding in an overlay after it, in metres.
const OVERLAY_ALLOWANCE: f64 = 4e-7;

/// Everything within `distance` of the shape, the shape included. Never understated: each point
/// within the distance is inside. A distance of nought or less gives the shape's own ground.
pub fn setback(shape: &Shape, distance: Length, arcs: ArcFineness) -> Region {
    let reach = distance.to(LengthUnit::Metre);
    let Some(bounds) = shape.bounds() else { return Region::empty() };
    if reach <= 0.0 {
        return shape.region().cloned().unwrap_or_default();
    }
    let reach = reach + GRID_ALLOWANCE * (bounds.extent() + 2.0 * reach) + OVERLAY_ALLOWANCE;
    Region::from_polygons(overlay::wound_round(&curves(shape, reach, arcs, Chords::Circumscribed)))
}

/// What lies within `width` of the region and not in it. Never overstated: no point of the band is
/// farther than the width. A width of nought or less gives nothing.
pub fn band(region: &Region, width: Length, arcs: ArcFineness) -> Region {
    grown_inside(region, width, arcs).difference(region)
}

/// The region grown by no more than `width`: a band together with what it surrounds.
pub fn grown_inside(region: &Region, width: Length, arcs: ArcFineness) -> Region {
    let reach = width.to(LengthUnit::Metre);
    let Some(bounds) = region.bounds() else { return Region::empty() };
    let reach = reach - GRID_ALLOWANCE * (bounds.extent() + 2.0 * reach) - OVERLAY_ALLOWANCE;
    if reach <= 0.0 {
        return region.clone();
    }
    let mut raw = Vec::new();
    region_curves(region, reach, arcs, Chords::Inscribed, &mut raw);
    Region::from_polygons(overlay::wound_round(&raw))
}

#[derive(Clone, Copy, PartialEq)]
enum Chords {
    Inscribed,
    Circumscribed,
}

fn curves(shape: &Shape, reach: f64, arcs: ArcFineness, chords: Chords) -> Vec<Vec<Point>> {
    let mut raw = Vec::new();
    match shape {
        Shape::Point(point) => raw.push(circle(*point, reach, arcs, chords)),
        Shape::Line(line) => {
            // There and back again: a ring without ground, whose ends are corners of half a turn.
            let points = line.points();
            let back = points[1..points.len() - 1].iter().rev();
            let ring: Vec<Point> = points.iter().chain(back).copied().collect();
            raw.push(raw_curve(&ring, reach, arcs, chords));
        }
        Shape::Region(region) => region_curves(region, reach, arcs, chords, &mut raw),
    }
    raw
}

fn region_curves(region: &Region, reach: f64, arcs: ArcFineness, chords: Chords, raw: &mut Vec<Vec<Point>>) {
    for ring in region.polygons().iter().flatten() {
        // A ring that the engine has shrunk to nothing has no side to move out.
        if ring.len() >= 3 && ring_area(ring) != 0.0 {
            raw.push(raw_curve(ring, reach, arcs, chords));
        }
    }
}

fn circle(centre: Point, reach: f64, arcs: ArcFineness, chords: Chords) -> Vec<Point> {
    let mut curve = Vec::new();
    arc(centre, reach, 0.0, TAU, arcs, chords, &mut curve);
    curve
}

fn raw_curve(ring: &[Point], reach: f64, arcs: ArcFineness, chords: Chords) -> Vec<Point> {
    let count = ring.len();
    let mut curve = Vec::with_capacity(count * 3);
    for index in 0..count {
        let before = ring[(index + count - 1) % count];
        let corner = ring[index];
        let after = ring[(index + 1) % count];
        let (ix, iy) = unit(before, corner);
        let (ox, oy) = unit(corner, after);
        let cross = ix * oy - iy * ox;
        let dot = ix * ox + iy * oy;
        // The ground lies to the left of an edge, so outward is to its right: (dy, -dx).
        let arriving = Point { x: corner.x + iy * reach, y: corner.y - ix * reach };
        let leaving = Point { x: corner.x + oy * reach, y: corner.y - ox * reach };
        curve.push(arriving);
        if cross > 0.0 || (cross == 0.0 && dot < 0.0) {
            let turn = cross.atan2(dot);
            let turn = if turn <= 0.0 { turn + TAU } else { turn };
            arc(corner, reach, (-ix).atan2(iy), turn.min(PI), arcs, chords, &mut curve);
        } else if cross < 0.0 {
            curve.push(corner);
        }
        curve.push(leaving);
    }
    curve.dedup();
    curve
}

/// The corners strictly between the two ends of an arc that starts in direction `start`.
fn arc(centre: Point, reach: f64, start: f64, turn: f64, arcs: ArcFineness, chords: Chords, curve: &mut Vec<Point>) {
    let wanted = turn / (FRAC_PI_2 / f64::from(arcs.chords()));
    // A right angle must not take one chord more because of the last digit.
    let steps = (wanted - 1e-9).ceil().max(1.0);
    let step = turn / steps;
    let mut place = |angle: f64, radius: f64| {
        let (sin, cos) = angle.sin_cos();
        curve.push(Point { x: centre.x + radius * cos, y: centre.y + radius * sin });
    };
    match chords {
        Chords::Inscribed => {
            for index in 1..steps as u32 {
                place(start + step * f64::from(index), reach);
            }
        }
        Chords::Circumscribed => {
            for index in 0..steps as u32 {
                place(start + step * (f64::from(index) + 0.5), reach / (step / 2.0).cos());
            }
        }
    }
}

fn unit(from: Point, to: Point) -> (f64, f64) {
    let length = from.gap(to);
    ((to.x - from.x) / length, (to.y - from.y) / length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Line;
    use quantity::AreaUnit;

    fn at(x: f64, y: f64) -> Point {
        Point::from_metres(x, y)
    }

    fn square_metres(region: &Region) -> f64 {
        region.area().to(AreaUnit::SquareMetre)
    }

    fn metres(length: f64) -> Length {
        Length::new(length, LengthUnit::Metre)
    }

    #[test]
    fn a_band_round_a_rectangle_is_perimeter_times_width_and_a_circle() {
        // 2 (50 + 30) 3 + 9 pi, less what 40 inscribed chords a quarter leave out of the circle.
        let house = Region::rectangle(at(0.0, 0.0), at(50.0, 30.0)).unwrap();
        let band = square_metres(&band(&house, metres(3.0), ArcFineness::default()));
        let chords = 9.0 * 80.0 * (PI / 80.0).sin();
        assert!((band - (480.0 + chords)).abs() < 1e-3 * 0.2, "{band}");
        assert!(band < 480.0 + 9.0 * PI);
    }

    #[test]
    fn setbacks_of_points_and_lines_hold_the_true_ones() {
        let arcs = ArcFineness::default();
        let disc = square_metres(&setback(&at(3.0, 4.0).into(), metres(2.0), arcs));
        assert!(disc > 4.0 * PI && disc < 4.0 * PI * 1.0002, "{disc}");
        let line: Shape = Line::new([at(0.0, 0.0), at(10.0, 0.0)]).unwrap().into();
        let pill = square_metres(&setback(&line, metres(2.0), arcs));
        assert!(pill > 40.0 + 4.0 * PI && pill < 40.0 + 4.0 * PI * 1.0002, "{pill}");
        // There and back over the same ground counts once.
        let again: Shape = Line::new([at(0.0, 0.0), at(10.0, 0.0), at(0.0, 0.0)]).unwrap().into();
        assert!((square_metres(&setback(&again, metres(2.0), arcs)) - pill).abs() < 1e-6);
    }

    #[test]
    fn a_courtyard_narrower_than_the_distance_fills_up() {
        let block = Region::rectangle(at(0.0, 0.0), at(10.0, 10.0)).unwrap();
        let house = block.difference(&Region::rectangle(at(4.0, 4.0), at(6.0, 6.0)).unwrap());
        let grown = setback(&house.clone().into(), metres(1.5), ArcFineness::default());
        assert_eq!(grown.outlines().next().unwrap().holes().len(), 0);
        let inner = square_metres(&band(&house, metres(0.5), ArcFineness::default()))
            - square_metres(&band(&block, metres(0.5), ArcFineness::default()));
        assert!((inner - 3.0).abs() < 1e-4, "a strip of 0.5 along four sides of 2: {inner}");
    }

    #[test]
    fn nothing_grows_by_nothing() {
        let house = Region::rectangle(at(0.0, 0.0), at(5.0, 5.0)).unwrap();
        let arcs = ArcFineness::default();
        assert_eq!(setback(&house.clone().into(), Length::ZERO, arcs), house);
        assert!(band(&house, -metres(1.0), arcs).is_empty());
        assert!(setback(&at(0.0, 0.0).into(), Length::ZERO, arcs).is_empty());
        assert!(setback(&Region::empty().into(), metres(1.0), arcs).is_empty());
    }

    #[test]
    fn the_default_fineness_overstates_a_setback_by_less_than_a_fiftieth_of_a_percent() {
        let half_step = FRAC_PI_2 / f64::from(ArcFineness::default().chords()) / 2.0;
        assert!(1.0 / half_step.cos() - 1.0 < 2e-4);
        assert_eq!(ArcFineness::per_quarter(0).chords(), 2);
    }
}
