//! What a route is worth, judged apart from the planner: on a raster of its own, by code of its own, from the request and
//! the told route alone.
//!
//! # Definitions
//! - **Strict coverage**: the part of the zone inside the flat-capped swaths of passes.
//! - **Disc coverage**: the part of the zone within half a pass's swath of its line.
//! - **Overlap**: the part of the zone covered twice or more.
//! - **Off-target**: swath beyond the zone where it does harm, over the zone.
//! - **Length**: sprayed length times the full swath, over the zone.
//! - **Dead walk**: walking with the sprayer off over all walking, refill trips apart.
//! - **Wet steps**: steps of 0.7 m that land at least 0.12 m inside ground sprayed by an earlier pass, over all steps.
//! - **Wet runs**: steps in a row of wet ones longer than 1.5 m and than a swath, over all steps.

use crate::{Leg, Pass, Route, RouteRequest};
use geometry::{Point, Region};
use quantity::{AreaUnit, Bearing, LengthUnit};

/// Figures of a route. Shares are of 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RouteFigures {
    /// Strict coverage.
    pub covered: f64,
    /// Coverage by discs.
    pub covered_by_discs: f64,
    /// Zone covered twice or more.
    pub overlap: f64,
    /// Spray beyond the zone, over the zone.
    pub off_target: f64,
    /// Sprayed length times swath, over the zone.
    pub length: f64,
    /// Walking with the sprayer off, refill trips apart.
    pub dead_walk: f64,
    /// Steps on wet ground.
    pub wet_steps: f64,
    /// Steps in long runs on wet ground.
    pub wet_runs: f64,
    /// Steps farther than 0.1 m from ground that may be walked, but for those to and from tap and start beside it.
    pub astray: f64,
    /// Boundary times swath over the zone: how cramped the lot is for the swath.
    pub kappa: f64,
    /// Of the sprayed length, that with a narrowed swath.
    pub narrowed: f64,
    /// Passes.
    pub passes: usize,
    /// Of them, those with the wand turned at one end or both.
    pub skewed: usize,
    /// Refills.
    pub refills: usize,
    /// Refills beyond the fewest that the sprayed length allows.
    pub spare_refills: usize,
    /// Passes stopped on the way because the tank was empty.
    pub cut_passes: usize,
}

const CELL_M: f64 = 0.045;
const STEP_M: f64 = 0.7;
const DEPTH_M: f64 = 0.12;
const ASTRAY_M: f64 = 0.1;

type Place = (f64, f64);

/// Dots in the plane, at which everything is asked.
struct Dots {
    low: Place,
    columns: usize,
    rows: usize,
}

impl Dots {
    fn over(request: &RouteRequest) -> Self {
        let mut bounds = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        for region in [&request.zone, &request.walkable] {
            if let Some(found) = region.bounds() {
                let (low, high) = (found.south_west().metres(), found.north_east().metres());
                bounds = [bounds[0].min(low.0), bounds[1].min(low.1), bounds[2].max(high.0), bounds[3].max(high.1)];
            }
        }
        let margin = 2.0 * request.swath.to(LengthUnit::Metre) + 0.3;
        // Off from any round number, so that dots do not fall on edges.
        let low = (bounds[0] - margin - 0.0137, bounds[1] - margin - 0.0211);
        let count = |low: f64, high: f64| ((high + margin - low) / CELL_M).ceil() as usize;
        Self { low, columns: count(low.0, bounds[2]), rows: count(low.1, bounds[3]) }
    }

    fn place(&self, dot: usize) -> Place {
        let (column, row) = (dot % self.columns, dot / self.columns);
        (self.low.0 + column as f64 * CELL_M, self.low.1 + row as f64 * CELL_M)
    }

    fn nearest(&self, place: Place) -> Option<usize> {
        let (column, row) = (((place.0 - self.low.0) / CELL_M).round(), ((place.1 - self.low.1) / CELL_M).round());
        let is_in = column >= 0.0 && row >= 0.0 && (column as usize) < self.columns && (row as usize) < self.rows;
        is_in.then(|| row as usize * self.columns + column as usize)
    }

    /// Calls for each dot in an upright box.
    fn within(&self, low: Place, high: Place, mut call: impl FnMut(usize, Place)) {
        let first = |from: f64, low: f64| ((low - from) / CELL_M).ceil().max(0.0) as usize;
        let last = |from: f64, high: f64, count: usize| {
            (((high - from) / CELL_M).floor() + 1.0).clamp(0.0, count as f64) as usize
        };
        for row in first(self.low.1, low.1)..last(self.low.1, high.1, self.rows) {
            for column in first(self.low.0, low.0)..last(self.low.0, high.0, self.columns) {
                let dot = row * self.columns + column;
                call(dot, self.place(dot));
            }
        }
    }

    /// Whether each dot is on a piece of ground: by the parity of edges to its west.
    fn on(&self, ground: &Region) -> Vec<bool> {
        let mut parity = vec![false; self.columns * self.rows];
        for outline in ground.outlines() {
            for ring in std::iter::once(outline.exterior()).chain(outline.holes()) {
                for index in 0..ring.len() {
                    let (from, to) = (ring[index].metres(), ring[(index + 1) % ring.len()].metres());
                    let (low, high) = if from.1 < to.1 { (from, to) } else { (to, from) };
                    let first = ((low.1 - self.low.1) / CELL_M).ceil().max(0.0) as usize;
                    for row in first..self.rows {
                        let y = self.low.1 + row as f64 * CELL_M;
                        if y >= high.1 {
                            break;
                        }
                        let x = low.0 + (y - low.1) / (high.1 - low.1) * (high.0 - low.0);
                        let column = ((x - self.low.0) / CELL_M).ceil().max(0.0) as usize;
                        if column < self.columns {
                            parity[row * self.columns + column] ^= true;
                        }
                    }
                }
            }
        }
        for row in parity.chunks_mut(self.columns) {
            let mut inside = false;
            for dot in row {
                inside ^= *dot;
                *dot = inside;
            }
        }
        parity
    }
}

/// The corners of the swath between each two places of a pass.
fn swath_pieces(pass: &Pass) -> Vec<[Place; 4]> {
    let line: Vec<Place> = pass.line.iter().map(|place| place.metres()).collect();
    let half = pass.swath.to(LengthUnit::Metre) / 2.0;
    let last = line.len() - 1;
    let direction = |index: usize| {
        let (from, to) = (line[index], line[index + 1]);
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        ((to.0 - from.0) / length, (to.1 - from.1) / length)
    };
    let edges: Vec<(Place, Place)> = (0..=last)
        .map(|index| {
            let here = line[index];
            let (ahead, step) = if index == 0 {
                (direction(0), pass.start_skew.slope())
            } else if index == last {
                (direction(last - 1), pass.end_skew.slope())
            } else {
                // The edges of both pieces meet on the line that halves the angle between them.
                let (before, after) = (direction(index - 1), direction(index));
                let (sin, cos) = (before.0 * after.1 - before.1 * after.0, before.0 * after.0 + before.1 * after.1);
                let tangent = sin / (1.0 + cos).max(0.5);
                // Seen along the piece before: the left edge ends earlier where the line turns left.
                (before, -tangent)
            };
            let left = (-ahead.1 * half + ahead.0 * step * half, ahead.0 * half + ahead.1 * step * half);
            ((here.0 + left.0, here.1 + left.1), (here.0 - left.0, here.1 - left.1))
        })
        .collect();
    edges.windows(2).map(|pair| [pair[0].0, pair[1].0, pair[1].1, pair[0].1]).collect()
}

fn side(from: Place, to: Place, at: Place) -> f64 {
    (to.0 - from.0) * (at.1 - from.1) - (to.1 - from.1) * (at.0 - from.0)
}

fn in_triangle(corners: [Place; 3], at: Place) -> bool {
    let sides = [side(corners[0], corners[1], at), side(corners[1], corners[2], at), side(corners[2], corners[0], at)];
    sides.iter().all(|side| *side >= 0.0) || sides.iter().all(|side| *side < 0.0)
}

/// Calls for each dot under a pass, once for each of its pieces that the dot is in.
fn under(dots: &Dots, pass: &Pass, mut call: impl FnMut(usize)) {
    for piece in swath_pieces(pass) {
        // Long pieces are cut across, so that the box round each is small.
        let length = (piece[1].0 - piece[0].0).hypot(piece[1].1 - piece[0].1);
        let parts = (length / 1.5).ceil().max(1.0) as usize;
        let between = |from: Place, to: Place, part: usize| {
            let share = part as f64 / parts as f64;
            (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share)
        };
        for part in 0..parts {
            let corners = [
                between(piece[0], piece[1], part),
                between(piece[0], piece[1], part + 1),
                between(piece[3], piece[2], part + 1),
                between(piece[3], piece[2], part),
            ];
            let (mut low, mut high) = (corners[0], corners[0]);
            for corner in corners {
                low = (low.0.min(corner.0), low.1.min(corner.1));
                high = (high.0.max(corner.0), high.1.max(corner.1));
            }
            dots.within(low, high, |dot, at| {
                if in_triangle([corners[0], corners[1], corners[2]], at)
                    || in_triangle([corners[0], corners[2], corners[3]], at)
                {
                    call(dot);
                }
            });
        }
    }
}

fn under_discs(dots: &Dots, pass: &Pass, covered: &mut [bool]) {
    let reach = pass.swath.to(LengthUnit::Metre) / 2.0;
    for pair in pass.line.windows(2) {
        let (from, to) = (pair[0].metres(), pair[1].metres());
        let length = (to.0 - from.0).hypot(to.1 - from.1);
        let parts = (length / 1.5).ceil().max(1.0) as usize;
        for part in 0..parts {
            let at = |part: usize| {
                let share = part as f64 / parts as f64;
                (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share)
            };
            let (a, b) = (at(part), at(part + 1));
            let along = (b.0 - a.0, b.1 - a.1);
            let squared = along.0 * along.0 + along.1 * along.1;
            let low = (a.0.min(b.0) - reach, a.1.min(b.1) - reach);
            let high = (a.0.max(b.0) + reach, a.1.max(b.1) + reach);
            dots.within(low, high, |dot, place| {
                let share = ((place.0 - a.0) * along.0 + (place.1 - a.1) * along.1) / squared.max(1e-12);
                let share = share.clamp(0.0, 1.0);
                let off = (place.0 - a.0 - along.0 * share).hypot(place.1 - a.1 - along.1 * share);
                covered[dot] |= off <= reach;
            });
        }
    }
}

/// How far everything is turned before it is judged, in degrees: edges that run along rows of dots would deceive them, and
/// most lots have edges to the north or east.
const TURN_DEGREES: f64 = 21.3;

/// The request and the route turned about the origin.
fn turned(request: &RouteRequest, route: &Route) -> (RouteRequest, Route) {
    let (about, by) = (Point::from_metres(0.0, 0.0), Bearing::from_degrees(TURN_DEGREES));
    let line = |line: &[Point]| line.iter().map(|place| place.rotated(about, by)).collect::<Vec<_>>();
    let request = RouteRequest {
        zone: request.zone.rotated(about, by),
        walkable: request.walkable.rotated(about, by),
        harmless: request.harmless.rotated(about, by),
        tap: request.tap.rotated(about, by),
        start: request.start.map(|start| start.rotated(about, by)),
        ..request.clone()
    };
    let legs = route.legs.iter().map(|leg| match leg {
        Leg::Spray(pass) => Leg::Spray(Pass { line: line(&pass.line), ..pass.clone() }),
        Leg::Walk(places) => Leg::Walk(line(places)),
        Leg::Refill { to_tap, back } => Leg::Refill { to_tap: line(to_tap), back: line(back) },
    });
    let route = Route { legs: legs.collect(), ..route.clone() };
    (request, route)
}

/// The figures of a route for a request.
pub fn evaluate(request: &RouteRequest, route: &Route) -> RouteFigures {
    let (request, route) = turned(request, route);
    let (request, route) = (&request, &route);
    let dots = Dots::over(request);
    let (zone, harmless) = (dots.on(&request.zone), dots.on(&request.harmless));
    let walkable = dots.on(&request.walkable);
    let swath = request.swath.to(LengthUnit::Metre);
    let mut count = vec![0_u16; zone.len()];
    let mut discs = vec![false; zone.len()];
    let mut walk = Walk::default();
    let mut wet = vec![false; zone.len()];
    let is_stray = |place: Place| {
        !around(place, ASTRAY_M).into_iter().any(|at| dots.nearest(at).is_some_and(|dot| zone[dot] || walkable[dot]))
    };
    let is_wet = |wet: &[bool], place: Place| {
        around(place, DEPTH_M).into_iter().all(|at| dots.nearest(at).is_some_and(|dot| wet[dot]))
    };
    // Tap and gate may stand beside the ground that is walked.
    let ends = [request.tap, request.start.unwrap_or(request.tap)];
    let is_at_end = |place: Place| {
        ends.iter().any(|end| {
            let end_gap = request_gap(*end, place);
            is_stray(end.metres()) && end_gap < 10.0
        })
    };
    for leg in &route.legs {
        for place in walk.steps(leg) {
            walk.note(is_wet(&wet, place), is_stray(place) && !is_at_end(place), swath);
        }
        if let Leg::Spray(pass) = leg {
            under(&dots, pass, |dot| {
                count[dot] += 1;
                wet[dot] = true;
            });
            under_discs(&dots, pass, &mut discs);
        }
    }
    walk.note(false, false, swath);
    let dots_of_zone = zone.iter().filter(|zone| **zone).count().max(1) as f64;
    let share = |is: &dyn Fn(usize) -> bool| (0..zone.len()).filter(|dot| is(*dot)).count() as f64 / dots_of_zone;
    let off: f64 = (0..zone.len()).filter(|dot| !zone[*dot] && !harmless[*dot]).map(|dot| f64::from(count[dot])).sum();
    let (sprayed, dead) = (route.sprayed().to(LengthUnit::Metre), route.dead_walk().to(LengthUnit::Metre));
    let area = request.zone.area().to(AreaUnit::SquareMetre);
    let narrowed: f64 = route
        .passes()
        .filter(|pass| pass.swath.to(LengthUnit::Metre) < swath - 1e-6)
        .map(|pass| pass.length().to(LengthUnit::Metre))
        .sum();
    let steps = walk.count.max(1) as f64;
    let refills = route.refills();
    RouteFigures {
        covered: share(&|dot| zone[dot] && count[dot] > 0),
        covered_by_discs: share(&|dot| zone[dot] && discs[dot]),
        overlap: share(&|dot| zone[dot] && count[dot] > 1),
        off_target: off / dots_of_zone,
        length: sprayed * swath / area,
        dead_walk: dead / (sprayed + dead).max(1e-9),
        wet_steps: walk.wet as f64 / steps,
        wet_runs: walk.wet_in_runs as f64 / steps,
        astray: walk.stray as f64 / steps,
        kappa: request.zone.perimeter().to(LengthUnit::Metre) * swath / area,
        narrowed: narrowed / sprayed.max(1e-9),
        passes: route.passes().count(),
        skewed: route.passes().filter(|pass| pass.start_skew.slope() != 0.0 || pass.end_skew.slope() != 0.0).count(),
        refills,
        spare_refills: refills.saturating_sub(route.least_refills),
        cut_passes: route.cut_passes,
    }
}

/// For each pass, in order, the share of the zone that it alone covers.
pub fn covered_alone(request: &RouteRequest, route: &Route) -> Vec<f64> {
    const NOBODY: u32 = u32::MAX;
    const SEVERAL: u32 = u32::MAX - 1;
    let (request, route) = turned(request, route);
    let (request, route) = (&request, &route);
    let dots = Dots::over(request);
    let zone = dots.on(&request.zone);
    let mut owner = vec![NOBODY; zone.len()];
    for (index, pass) in route.passes().enumerate() {
        let index = index as u32;
        under(&dots, pass, |dot| {
            owner[dot] = if owner[dot] == NOBODY || owner[dot] == index { index } else { SEVERAL };
        });
    }
    let mut alone = vec![0.0; route.passes().count()];
    for (owner, _) in owner.iter().zip(&zone).filter(|(owner, zone)| **zone && **owner < SEVERAL) {
        alone[*owner as usize] += 1.0;
    }
    let all = zone.iter().filter(|zone| **zone).count().max(1) as f64;
    alone.into_iter().map(|dots| dots / all).collect()
}

fn request_gap(end: Point, place: Place) -> f64 {
    let end = end.metres();
    (end.0 - place.0).hypot(end.1 - place.1)
}

/// A place and eight round it.
fn around(place: Place, reach: f64) -> [Place; 9] {
    let mut places = [place; 9];
    for (index, around) in places.iter_mut().skip(1).enumerate() {
        let (sin, cos) = (index as f64 * std::f64::consts::FRAC_PI_4).sin_cos();
        *around = (place.0 + reach * cos, place.1 + reach * sin);
    }
    places
}

/// Steps counted along the whole walk.
#[derive(Default)]
struct Walk {
    /// How far the walk is past its last step.
    past: f64,
    count: usize,
    wet: usize,
    wet_in_runs: usize,
    stray: usize,
    run: usize,
}

impl Walk {
    fn steps(&mut self, leg: &Leg) -> Vec<Place> {
        let places = leg.places();
        let mut steps = Vec::new();
        for pair in places.windows(2) {
            let (from, to) = (pair[0].metres(), pair[1].metres());
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            let mut at = STEP_M - self.past;
            while at <= length {
                let share = at / length;
                steps.push((from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share));
                at += STEP_M;
            }
            self.past = length - (at - STEP_M);
        }
        steps
    }

    fn note(&mut self, is_wet: bool, is_stray: bool, swath: f64) {
        if is_wet {
            self.wet += 1;
            self.run += 1;
        } else {
            if self.run as f64 * STEP_M > swath.max(1.5) {
                self.wet_in_runs += self.run;
            }
            self.run = 0;
        }
        self.count += 1;
        self.stray += usize::from(is_stray);
    }
}
