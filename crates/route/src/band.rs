//! Loops round a wall: the band along a house or the edge of a bed.
//!
//! A band of width b takes n = ceil(b / swath) loops, the i-th (from 0) at b (2 i + 1) / 2 n from the wall with a swath of
//! b / n, the inner one first: the walker then stands on the dry outer side.

use crate::askew::Askew;
use crate::ground::Ground;
use crate::nozzle::{self, Prices, Run};
use crate::order::Turn;
use crate::plan::{Walked, walked};
use crate::raster::rings_of;
use crate::rings::{cut_at_corners, run_on, shortened};
use crate::route::PassKind;
use crate::table::Table;
use crate::track::Track;
use crate::vector::Vector;
use crate::walk_grid::WalkGrid;
use crate::{Route, RouteRequest};
use geometry::{ArcFineness, Region, offset};
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};

/// Bands wider than so many swaths are zones, and are planned as such.
const WIDEST_SWATHS: f64 = 4.0;
/// Longest pass along a wall, in metres.
const LONGEST: f64 = 25.0;

/// The walk that sprays the band of a width round `wall`. The request's zone is the ground of the band: where something
/// cuts it off, the sprayer is off.
///
/// # Errors
/// Everything of [`RouteRequest::problems`]; `route::band-width` for a width that is not above 0 or more than four swaths.
pub fn plan_band(request: &RouteRequest, wall: &Region, width: Length) -> Result<Route, Problems> {
    let askew = Askew::of(&request.zone);
    let (request, wall) = (&askew.request(request), &askew.region(wall));
    let mut problems = request.problems();
    let (b, swath) = (width.to(LengthUnit::Metre), request.swath.to(LengthUnit::Metre));
    if b <= 0.0 || b > WIDEST_SWATHS * swath {
        problems.push(
            Problem::error("route::band-width", format!("a band of `{b:.2} m` with a swath of `{swath:.2} m`"))
                .expected("above 0 and at most four swaths")
                .mend("plan a wider band as a zone of its own")
                .at("width"),
        );
    }
    if problems.has_errors() {
        return Err(problems);
    }
    let loops = (b / swath - 1e-9).ceil().max(1.0) as u32;
    let narrow = RouteRequest { swath: width / f64::from(loops), ..request.clone() };
    let mut ground = Ground::of(&narrow);
    let start = Vector::of(request.start.unwrap_or(request.tap));
    let prices = Prices { overlap: 0.2, off: 1.0, run: 0.15, length: 0.0 };
    let mut runs: Vec<Run> = Vec::new();
    for index in 0..loops {
        let distance = width * (f64::from(2 * index + 1) / f64::from(2 * loops));
        let grown = offset::grown_inside(wall, distance, ArcFineness::per_quarter(8));
        for ring in rings_of(&grown).into_iter().flatten() {
            for line in loop_lines(ring, start, request.tank.to(LengthUnit::Metre) / 3.0) {
                let Some(track) = Track::new(&ground, PassKind::Ring, line, ground.swath) else { continue };
                for run in nozzle::runs(&ground, &track, prices) {
                    ground.lay(&run);
                    runs.push(run);
                }
            }
        }
    }
    let grid = WalkGrid::of(&ground, runs.iter().map(|run| run.line.as_slice()));
    let tap = Vector::of(request.tap);
    let table = Table::of(&ground, &grid, &runs, start, tap, request.tank.to(LengthUnit::Metre), None);
    // Loops are walked as they are laid: inner first, on round the wall.
    let walk: Vec<Turn> = (0..runs.len()).map(|pass| Turn { pass: pass as u16, reversed: false }).collect();
    let around = Walked { ground: &ground, grid: &grid, table: &table };
    Ok(askew.back(walked(request, &around, &runs, &walk, 0)))
}

/// A loop as lines, begun in the middle of the long edge nearest to the start; they run on where the wall turns inward.
fn loop_lines(mut ring: Vec<Vector>, start: Vector, longest: f64) -> Vec<Vec<Vector>> {
    let count = ring.len();
    let middle = |index: usize| ring[index].toward(ring[(index + 1) % count], 0.5);
    let length = |index: usize| ring[index].gap(ring[(index + 1) % count]);
    let long = (0..count).map(length).fold(0.0, f64::max).min(1.5);
    let nearest = (0..count)
        .filter(|index| length(*index) >= long - 1e-9)
        .min_by(|one, other| middle(*one).gap(start).total_cmp(&middle(*other).gap(start)))
        .unwrap_or(0);
    let first = middle(nearest);
    ring.rotate_left((nearest + 1) % count);
    ring.insert(0, first);
    ring.push(first);
    let mut lines = Vec::new();
    for piece in cut_at_corners(&ring) {
        for mut line in shortened(&piece, longest.min(LONGEST)) {
            run_on(&mut line, 0.5);
            lines.push(line);
        }
    }
    lines
}
