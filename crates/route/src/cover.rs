//! The passes that cover a zone, not yet in order.
//!
//! # Method
//! Plans differ in how many lines follow the edges, round which holes, and in the heading of the rows. Each is weighed once
//! at a middling price of overlap; the best are then driven to the highest price at which enough is still covered.

use crate::RouteRequest;
use crate::flush::{self, Edge};
use crate::ground::Ground;
use crate::narrow;
use crate::nozzle::{self, Prices, Run};
use crate::patch;
use crate::raster::{Frame, rings_of};
use crate::rings::{chains, inset, run_on, without_small_holes};
use crate::route::PassKind;
use crate::rows;
use crate::swath;
use crate::track::Track;
use crate::vector::{Vector, line_length};
use geometry::Region;
use quantity::{AreaUnit, LengthUnit};

/// Prices of overlap and of off-target that are tried, dearest first.
const LADDER: [(f64, f64); 15] = [
    (1.0, 4.5),
    (0.8, 4.0),
    (0.65, 3.6),
    (0.52, 3.2),
    (0.42, 2.8),
    (0.33, 2.5),
    (0.25, 2.2),
    (0.18, 2.0),
    (0.12, 1.8),
    (0.08, 1.6),
    (0.05, 1.4),
    (0.025, 1.2),
    (0.0, 1.0),
    (0.0, 0.6),
    (0.0, 0.3),
];
/// The price of a pass's length.
const LENGTH: f64 = 0.12;
/// The price of spray beyond the zone at which plans are compared.
const OFF: f64 = 2.2;
/// The price at which plans are compared.
const WEIGHING_PRICE: f64 = 0.3;
/// What the planner's raster may differ from another's.
const RASTER_ALLOWANCE: f64 = 0.0007;
/// How many plans are driven to the end.
const FINALISTS: usize = 2;
const CRAMPED_FINALISTS: usize = 4;
/// A lot of fewer squared swaths is cramped.
const ROOMY_SWATHS: f64 = 400.0;
const MISSING: f64 = 4.0;
/// The narrowest swath that a nozzle held low sprays, as a part of the full one.
const LEAST_WIDTH: f64 = 0.25;

/// Lines that passes may follow.
struct Plan {
    tracks: Vec<Track>,
}

/// The passes that cover the zone of a request.
pub(crate) fn passes(request: &RouteRequest, ground: &mut Ground) -> Vec<Run> {
    let swath = ground.swath;
    let longest = request.tank.to(LengthUnit::Metre) / 3.0;
    let wind = request.wind_from.map(|from| (90.0 - from.degrees()).to_radians());
    let mut weighed: Vec<(f64, Plan, Settled)> = Vec::new();
    let narrow = narrow::lines(ground, &request.zone);
    for least_hole in [0.0, 0.9, 1.8] {
        let holed = without_small_holes(&request.zone, least_hole * swath);
        if least_hole > 0.0 && weighed.iter().any(|_| holed.perimeter() == request.zone.perimeter()) {
            continue;
        }
        for rings in 0..3 {
            if rings == 0 && least_hole > 0.0 {
                continue;
            }
            if rings == 2 && least_hole > 0.9 {
                continue;
            }
            let mut lines = Vec::new();
            for ring in 0..rings {
                let inner = inset(&holed, (f64::from(ring) + 0.5) * swath);
                lines.extend(chains(ground, &inner, longest));
            }
            let interior = if rings == 0 { request.zone.clone() } else { inset(&holed, f64::from(rings) * swath) };
            for headings in ways(&interior, swath, wind) {
                let plan = plan(ground, &lines, &narrow, &headings, longest);
                let mut settled = Settled::none(ground, &plan);
                settled.sweep(ground, &plan, prices((WEIGHING_PRICE, OFF)), 1);
                let worth = cost(ground, &settled.all());
                weighed.push((worth, plan, settled));
            }
        }
    }
    weighed.sort_by(|one, other| one.0.total_cmp(&other.0));
    weighed.truncate(2 * FINALISTS);
    for (worth, plan, settled) in &mut weighed {
        settled.lay(ground);
        settled.sweep(ground, plan, prices((WEIGHING_PRICE, OFF)), 1);
        *worth = cost(ground, &settled.all());
    }
    weighed.sort_by(|one, other| one.0.total_cmp(&other.0));
    // On a cramped lot plans differ most, and cost least to drive to the end.
    let is_cramped = ground.area() < ROOMY_SWATHS * swath * swath;
    weighed.truncate(if is_cramped { CRAMPED_FINALISTS } else { FINALISTS });
    let edges = flush::edges(&request.zone);
    let asked = request.coverage.share();
    let wanted = |allowance: f64| (asked + allowance).min(0.9999);
    let mut best: Option<(f64, Vec<Run>, usize)> = None;
    for (index, (_, plan, settled)) in weighed.iter().enumerate() {
        let (cost, runs) = driven(ground, plan, settled, &edges, wanted(RASTER_ALLOWANCE));
        if best.as_ref().is_none_or(|best| cost < best.0) {
            best = Some((cost, runs, index));
        }
    }
    let Some((_, mut runs, index)) = best else { return Vec::new() };
    // Edges that run along rows of cells can deceive a raster: another one tells, and what it misses is asked for.
    let finer = Finer::of(request, ground);
    let mut allowance = RASTER_ALLOWANCE;
    for _ in 0..3 {
        let missing = asked - finer.covered(&runs);
        if missing <= 0.0 {
            break;
        }
        allowance += missing + 0.0003;
        runs = driven(ground, &weighed[index].1, &weighed[index].2, &edges, wanted(allowance)).1;
    }
    ground.clear();
    for run in &runs {
        ground.lay(run);
    }
    runs
}

/// A finer raster that lies otherwise, to check what the first says.
struct Finer {
    frame: Frame,
    zone: Vec<bool>,
}

impl Finer {
    fn of(request: &RouteRequest, ground: &Ground) -> Self {
        let polygons: Vec<Vec<Vec<Vector>>> = rings_of(&request.zone)
            .into_iter()
            .map(|rings| rings.into_iter().map(|ring| ring.into_iter().map(Self::turned).collect()).collect())
            .collect();
        let places = polygons.iter().flatten().flatten().copied();
        let frame = Frame::around(places, 0.31, 0.57 * ground.frame.cell);
        let mut zone = vec![false; frame.len()];
        for polygon in &polygons {
            let rings: Vec<&[Vector]> = polygon.iter().map(Vec::as_slice).collect();
            frame.fill(&rings, |cell| zone[cell] = true);
        }
        Self { frame, zone }
    }

    /// Turned by an angle that edges of lots do not have to each other.
    fn turned(place: Vector) -> Vector {
        let (sin, cos) = 0.47_f64.sin_cos();
        Vector::new(place.x * cos - place.y * sin, place.x * sin + place.y * cos)
    }

    fn covered(&self, runs: &[Run]) -> f64 {
        let mut left = self.zone.clone();
        for run in runs {
            for quad in swath::quads(&run.line, run.width / 2.0, run.start_slope, run.end_slope) {
                self.frame.fill(&[&quad.map(Self::turned)], |cell| left[cell] = false);
            }
        }
        let count = |cells: &[bool]| cells.iter().filter(|cell| **cell).count() as f64;
        1.0 - count(&left) / count(&self.zone).max(1.0)
    }
}

fn prices((overlap, off): (f64, f64)) -> Prices {
    Prices { overlap, off, run: 0.22 * (0.35 + overlap).min(1.0), length: if overlap > 0.0 { LENGTH } else { 0.0 } }
}

/// Rows over the interior, each piece of it with its own heading: the best ones.
fn ways(interior: &Region, swath: f64, wind: Option<f64>) -> Vec<Vec<rows::Rows>> {
    let mut best: Vec<rows::Rows> = Vec::new();
    let mut second: Vec<rows::Rows> = Vec::new();
    let mut differ = false;
    for piece in interior.outlines() {
        if piece.area().to(AreaUnit::SquareMetre) < 0.02 * swath * swath {
            continue;
        }
        let piece = piece.to_region();
        let mut costs: Vec<(f64, f64)> = rows::headings(&piece, wind)
            .into_iter()
            .map(|heading| (rows::rows(&piece, heading, swath, 6, MISSING).cost, heading))
            .collect();
        costs.sort_by(|one, other| one.0.total_cmp(&other.0));
        let fine = |heading: f64| rows::rows(&piece, heading, swath, 12, MISSING);
        best.push(fine(costs[0].1));
        match costs.get(1) {
            Some(other) if other.0 < 1.05 * costs[0].0 => {
                differ = true;
                second.push(fine(other.1));
            }
            _ => second.push(best[best.len() - 1].clone()),
        }
    }
    if differ { vec![best, second] } else { vec![best] }
}

fn plan(
    ground: &Ground,
    rings: &[Vec<Vector>],
    narrow: &[narrow::NarrowLine],
    rows: &[rows::Rows],
    longest: f64,
) -> Plan {
    let mut tracks = Vec::new();
    let whole = ground.swath;
    for line in rings {
        tracks.extend(Track::new(ground, PassKind::Ring, line.clone(), whole));
    }
    for narrow in narrow {
        let width = (2.0 * narrow.radius).clamp(LEAST_WIDTH * ground.swath, ground.swath);
        tracks.extend(Track::new(ground, PassKind::Narrow, narrow.line.clone(), width));
    }
    for (from, to) in rows.iter().flat_map(|rows| &rows.lines) {
        let parts = (from.gap(*to) / longest).ceil().max(1.0) as usize;
        for part in 0..parts {
            let share = |part: usize| part as f64 / parts as f64;
            let mut line = vec![from.toward(*to, share(part)), from.toward(*to, share(part + 1))];
            if part > 0 || part + 1 < parts {
                run_on(&mut line, 0.1);
            }
            tracks.extend(Track::new(ground, PassKind::Row, line, whole));
        }
    }
    Plan { tracks }
}

/// The runs of each track of a plan.
#[derive(Clone)]
struct Settled(Vec<Vec<Run>>);

impl Settled {
    /// Nothing sprayed yet, on cleared ground.
    fn none(ground: &mut Ground, plan: &Plan) -> Self {
        ground.clear();
        Self(plan.tracks.iter().map(|_| Vec::new()).collect())
    }

    /// Takes the ground back to where these runs are laid, and nothing else.
    fn lay(&self, ground: &mut Ground) {
        ground.clear();
        for run in self.0.iter().flatten() {
            ground.lay(run);
        }
    }

    /// Settles every track in turn with all others in place, so many times over.
    fn sweep(&mut self, ground: &mut Ground, plan: &Plan, prices: Prices, rounds: usize) {
        for _ in 0..rounds {
            for (track, runs) in plan.tracks.iter().zip(&mut self.0) {
                for run in runs.iter() {
                    ground.lift(run);
                }
                *runs = nozzle::runs(ground, track, prices);
                for run in runs.iter() {
                    ground.lay(run);
                }
            }
        }
    }

    fn all(&self) -> Vec<Run> {
        self.0.iter().flatten().cloned().collect()
    }
}

/// The passes of a plan at prices at which enough is covered. The dearest overlap that does it alone may be worse than a
/// dearer one with a few patches: the cheapest walk is taken.
fn driven(ground: &mut Ground, plan: &Plan, weighed: &Settled, edges: &[Edge], wanted: f64) -> (f64, Vec<Run>) {
    let (mut low, mut high) = (0, LADDER.len());
    let mut tried: Vec<(usize, Settled)> = Vec::new();
    while low < high {
        let middle = usize::midpoint(low, high);
        let mut settled = weighed.clone();
        settled.lay(ground);
        settled.sweep(ground, plan, prices(LADDER[middle]), 2);
        tried.push((middle, settled));
        if ground.covered() >= wanted {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    let mut best: Option<(f64, Vec<Run>)> = None;
    // What is cheaper by far than the threshold is left out: it would be all patches.
    for (_, settled) in tried.iter().filter(|tried| tried.0 + 4 >= low) {
        let mut runs = settled.all();
        ground.clear();
        for run in &mut runs {
            flush::end_at_edges(ground, edges, run);
            ground.lay(run);
        }
        patch::mend(ground, &mut runs, wanted);
        let cost = cost(ground, &runs) + 1e3 * (wanted - ground.covered()).max(0.0) * ground.area() / ground.swath;
        if best.as_ref().is_none_or(|best| cost < best.0) {
            best = Some((cost, runs));
        }
    }
    best.unwrap_or_default()
}

/// What a person pays for the passes, in metres of walk.
fn cost(ground: &Ground, runs: &[Run]) -> f64 {
    let swath = ground.swath;
    let length: f64 = runs.iter().map(|run| line_length(&run.line)).sum();
    let (twice, off) = ground.waste();
    let missed = 1.0 - ground.covered();
    let per_swath = ground.area() / swath;
    3.0 * length + runs.len() as f64 * (0.9 * swath + 0.7) + (24.0 * off + 3.0 * twice + 6.0 * missed) * per_swath
}
