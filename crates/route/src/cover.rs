//! The passes that cover a zone, not yet in order.
//!
//! # Method
//! Plans differ in how many lines follow the edges, round which holes, and in the heading of the rows. Each is weighed once
//! at a middling price of overlap; the best are then driven to the highest price at which enough is still covered.

use crate::RouteRequest;
use crate::ground::Ground;
use crate::narrow;
use crate::nozzle::{self, Prices, Run};
use crate::patch;
use crate::rings::{chains, inset, run_on, without_small_holes};
use crate::route::PassKind;
use crate::rows;
use crate::track::{PARTS, Track};
use crate::vector::line_length;
use geometry::Region;
use quantity::{AreaUnit, LengthUnit};

/// Prices of overlap and of off-target that are tried, dearest first.
const LADDER: [(f64, f64); 14] = [
    (1.0, OFF),
    (0.8, OFF),
    (0.6, OFF),
    (0.45, OFF),
    (0.33, OFF),
    (0.25, OFF),
    (0.18, OFF),
    (0.12, OFF),
    (0.08, OFF),
    (0.05, OFF),
    (0.025, OFF),
    (0.0, OFF),
    (0.0, 0.5),
    (0.0, 0.3),
];
/// The usual price of spray beyond the zone.
const OFF: f64 = 1.3;
/// The price at which plans are compared.
const WEIGHING_PRICE: f64 = 0.3;
/// What the planner's raster may differ from another's.
const RASTER_ALLOWANCE: f64 = 0.0004;
/// How many plans are driven to the end.
const FINALISTS: usize = 2;
const MISSING: f64 = 4.0;

/// Lines that passes may follow.
struct Plan {
    tracks: Vec<Track>,
}

/// The passes that cover the zone of a request.
pub(crate) fn passes(request: &RouteRequest, ground: &mut Ground) -> Vec<Run> {
    let swath = ground.swath;
    let longest = request.tank.to(LengthUnit::Metre) / 3.0;
    let wind = request.wind_from.map(|from| (90.0 - from.degrees()).to_radians());
    let mut weighed: Vec<(f64, Plan)> = Vec::new();
    let narrow = narrow::lines(ground);
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
                let runs = sweep(ground, &plan, prices((WEIGHING_PRICE, OFF)), 2);
                let worth = cost(ground, &runs);
                weighed.push((worth, plan));
            }
        }
    }
    weighed.sort_by(|one, other| one.0.total_cmp(&other.0));
    weighed.truncate(FINALISTS);
    let mut best: Option<(f64, Vec<Run>)> = None;
    for (_, plan) in &weighed {
        let runs = driven(ground, plan, request.coverage.share() + RASTER_ALLOWANCE);
        let cost = cost(ground, &runs);
        if best.as_ref().is_none_or(|best| cost < best.0) {
            best = Some((cost, runs));
        }
    }
    let runs = best.map(|best| best.1).unwrap_or_default();
    ground.clear();
    for run in &runs {
        ground.lay(run);
    }
    runs
}

fn prices((overlap, off): (f64, f64)) -> Prices {
    Prices { overlap, off, run: 0.22 }
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
    rings: &[Vec<crate::vector::Vector>],
    narrow: &[narrow::NarrowLine],
    rows: &[rows::Rows],
    longest: f64,
) -> Plan {
    let mut tracks = Vec::new();
    let whole = (0, PARTS);
    for line in rings {
        tracks.extend(Track::new(ground, PassKind::Ring, line.clone(), whole));
    }
    for narrow in narrow {
        let parts = (2.0 * narrow.radius / ground.swath * PARTS as f64).ceil().clamp(2.0, PARTS as f64) as usize;
        // An even number about the middle.
        let side = parts.div_ceil(2);
        let usual = (PARTS / 2 - side, PARTS / 2 + side);
        tracks.extend(Track::new(ground, PassKind::Narrow, narrow.line.clone(), usual));
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

/// Settles every track in turn, and again with all others in place.
fn sweep(ground: &mut Ground, plan: &Plan, prices: Prices, rounds: usize) -> Vec<Run> {
    ground.clear();
    let mut settled: Vec<Vec<Run>> = plan.tracks.iter().map(|_| Vec::new()).collect();
    for _ in 0..rounds {
        for (index, track) in plan.tracks.iter().enumerate() {
            for run in &settled[index] {
                ground.lift(run);
            }
            settled[index] = nozzle::runs(ground, track, prices);
            for run in &settled[index] {
                ground.lay(run);
            }
        }
    }
    settled.into_iter().flatten().collect()
}

/// The passes of a plan at the dearest overlap at which enough is covered, and patches where no price does.
fn driven(ground: &mut Ground, plan: &Plan, wanted: f64) -> Vec<Run> {
    let (mut low, mut high) = (0, LADDER.len() - 1);
    let mut found: Option<Vec<Run>> = None;
    while low <= high {
        let middle = usize::midpoint(low, high);
        let runs = sweep(ground, plan, prices(LADDER[middle]), 3);
        if ground.covered() >= wanted {
            found = Some(runs);
            if middle == 0 {
                break;
            }
            high = middle - 1;
        } else {
            low = middle + 1;
        }
    }
    let mut runs = found.unwrap_or_else(|| sweep(ground, plan, prices(LADDER[LADDER.len() - 1]), 3));
    ground.clear();
    for run in &runs {
        ground.lay(run);
    }
    patch::mend(ground, &mut runs, wanted);
    runs
}

/// What a person pays for the passes, in metres of walk.
fn cost(ground: &Ground, runs: &[Run]) -> f64 {
    let swath = ground.swath;
    let length: f64 = runs.iter().map(|run| line_length(&run.line)).sum();
    let (twice, off) = ground.waste();
    let missed = 1.0 - ground.covered();
    let per_swath = ground.area() / swath;
    length
        + runs.len() as f64 * (0.9 * swath + 0.7)
        + (6.0 * off + 2.0 * twice + 4.0 * missed) * per_swath
}
