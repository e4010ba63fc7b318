//! From a request to a walk.

use crate::askew::Askew;
use crate::cover;
use crate::ground::Ground;
use crate::nozzle::Run;
use crate::order::{self, Turn};
use crate::refill::{self, Draught};
use crate::table::Table;
use crate::vector::{Vector, line_length};
use crate::walk_grid::{WalkGrid, Wet, way};
use crate::{Leg, Pass, Route, RouteRequest};
use geometry::Point;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};

/// How far tap and gate may lie from ground that is walked, in metres.
const BESIDE_M: f64 = 10.0;

/// The walk that sprays a zone.
///
/// The same request gives the same walk on any machine.
///
/// # Errors
/// Everything of [`RouteRequest::problems`]; `route::tap-away` or `route::start-away` when tap or start lie farther than
/// 10 m from the ground that may be walked; `route::cut-off` when part of the zone cannot be walked to.
pub fn plan(request: &RouteRequest) -> Result<Route, Problems> {
    let mut problems = request.problems();
    if problems.has_errors() {
        return Err(problems);
    }
    let askew = Askew::of(&request.zone);
    let request = &askew.request(request);
    let mut ground = Ground::of(request);
    let (tap, start) = (Vector::of(request.tap), Vector::of(request.start.unwrap_or(request.tap)));
    let runs = cover::passes(request, &mut ground);
    let grid = WalkGrid::of(&ground, runs.iter().map(|run| run.line.as_slice()));
    let places = [("route::tap-away", "tap", Some(tap)), ("route::start-away", "start", request.start.map(|_| start))];
    for (code, name, place) in places {
        let Some(place) = place else { continue };
        let gap = grid.nearest(place).map_or(f64::INFINITY, |near| near.1);
        if gap > BESIDE_M {
            problems.push(
                Problem::error(code, format!("the {name} is `{gap:.1} m` from ground that may be walked"))
                    .expected(format!("at most {BESIDE_M:.0} m"))
                    .mend("draw the paving that leads to it as walkable, or correct its place")
                    .at(name),
            );
        }
    }
    let wind = request.wind_from.map(|from| {
        let (sin, cos) = from.degrees().to_radians().sin_cos();
        Vector::new(-sin, -cos)
    });
    let table = Table::of(&ground, &grid, &runs, start, tap, request.tank.to(LengthUnit::Metre), wind);
    let cut_off = order::cut_off(&table);
    if let Some(first) = cut_off.first() {
        let (x, y) = askew.pass(runs[*first].pass()).line[0].metres();
        problems.push(
            Problem::error("route::cut-off", format!("`{}` passes that cannot be walked to", cut_off.len()))
                .expected("a zone whose parts are joined by ground that may be walked")
                .mend(format!(
                    "draw the gate or path that leads to the part at `{x:.1} m` east, `{y:.1} m` north, or plan it by itself"
                ))
                .at("zone"),
        );
    }
    if problems.has_errors() {
        return Err(problems);
    }
    let walk = order::best(&table, request.effort.steps());
    let against_wind = order::against_wind(&table, &walk);
    let around = Walked { ground: &ground, grid: &grid, table: &table };
    Ok(askew.back(walked(request, &around, &runs, &walk, against_wind)))
}

/// The passes that cover the zone, in no order, and not yet cut where a tank is empty.
///
/// # Errors
/// Everything of [`RouteRequest::problems`].
pub fn passes(request: &RouteRequest) -> Result<Vec<Pass>, Problems> {
    let problems = request.problems();
    if problems.has_errors() {
        return Err(problems);
    }
    let askew = Askew::of(&request.zone);
    let request = &askew.request(request);
    let mut ground = Ground::of(request);
    Ok(cover::passes(request, &mut ground).iter().map(|run| askew.pass(run.pass())).collect())
}

/// A pass in its place in the walk.
struct Stretch {
    run: usize,
    line: Vec<Vector>,
    slopes: (f64, f64),
    fill_before: bool,
}

/// What a walk is walked over.
pub(crate) struct Walked<'a> {
    pub(crate) ground: &'a Ground,
    pub(crate) grid: &'a WalkGrid,
    pub(crate) table: &'a Table,
}

/// Passes in a given order as a route: the ways between them, and the fillings.
pub(crate) fn walked(
    request: &RouteRequest,
    around: &Walked<'_>,
    runs: &[Run],
    walk: &[Turn],
    against_wind: usize,
) -> Route {
    let Walked { ground, grid, table } = *around;
    let tank = request.tank.to(LengthUnit::Metre);
    let sprayed: f64 = runs.iter().map(|run| line_length(&run.line)).sum();
    let least_refills = ((sprayed / tank - 1e-9).ceil() as usize).max(1) - 1;
    let (stretches, cut_passes) = filled(table, runs, walk, tank, least_refills);
    let (tap, start) = (Vector::of(request.tap), Vector::of(request.start.unwrap_or(request.tap)));
    let mut wet = Wet::dry(ground);
    let mut here = start;
    let mut legs = Vec::new();
    let told = |line: Vec<Vector>| line.into_iter().map(Vector::point).collect::<Vec<Point>>();
    let go = |wet: &Wet, from: Vector, to: Vector| way(grid, ground, wet, from, to).unwrap_or_else(|| vec![from, to]);
    for stretch in stretches {
        let there = stretch.line[0];
        if stretch.fill_before {
            legs.push(Leg::Refill { to_tap: told(go(&wet, here, tap)), back: told(go(&wet, tap, there)) });
        } else if here.gap(there) > 1e-6 {
            legs.push(Leg::Walk(told(go(&wet, here, there))));
        }
        here = stretch.line[stretch.line.len() - 1];
        let run = &runs[stretch.run];
        let part = Run::new(ground, run.kind, stretch.line, run.width, stretch.slopes);
        wet.spray(&part.cells);
        legs.push(Leg::Spray(part.pass()));
    }
    Route { legs, least_refills, cut_passes, against_wind }
}

/// The passes in order, each as it is walked, with the fillings; cut where the tank is empty if that saves a filling.
fn filled(table: &Table, runs: &[Run], walk: &[Turn], tank: f64, least: usize) -> (Vec<Stretch>, usize) {
    let mut stretches: Vec<Stretch> = walk.iter().map(|turn| stretch(runs, *turn)).collect();
    let lengths: Vec<f64> = stretches.iter().map(|stretch| line_length(&stretch.line)).collect();
    let detours = detours(table, walk);
    let draughts: Vec<Draught> =
        lengths.iter().zip(&detours).map(|(length, detour)| Draught { length: *length, detour: *detour }).collect();
    let fillings = refill::fillings(&draughts, tank);
    let fits = lengths.iter().all(|length| *length <= tank);
    if fits && fillings.len() <= least {
        for filling in fillings {
            stretches[filling].fill_before = true;
        }
        return (stretches, 0);
    }
    // A hair less than the tank, so that sums of parts stay within it.
    let cuts = refill::first_overflow(&lengths, tank * (1.0 - 1e-9));
    let mut cut_passes = 0;
    for (index, at) in cuts.into_iter().rev() {
        if at < 0.05 {
            stretches[index].fill_before = true;
            continue;
        }
        let (first, second) = split(&stretches[index].line, at);
        let whole = &mut stretches[index];
        let rest = Stretch { run: whole.run, line: second, slopes: (0.0, whole.slopes.1), fill_before: true };
        whole.line = first;
        whole.slopes.1 = 0.0;
        stretches.insert(index + 1, rest);
        cut_passes += 1;
    }
    (stretches, cut_passes)
}

fn stretch(runs: &[Run], turn: Turn) -> Stretch {
    let run = &runs[usize::from(turn.pass)];
    let (mut line, mut slopes) = (run.line.clone(), (run.start_slope, run.end_slope));
    if turn.reversed {
        line.reverse();
        slopes = (slopes.1, slopes.0);
    }
    Stretch { run: usize::from(turn.pass), line, slopes, fill_before: false }
}

fn split(line: &[Vector], at: f64) -> (Vec<Vector>, Vec<Vector>) {
    let (mut first, mut second) = (vec![line[0]], Vec::new());
    let mut walked = 0.0;
    for pair in line.windows(2) {
        let gap = pair[0].gap(pair[1]);
        if second.is_empty() && walked + gap >= at {
            let cut = pair[0].toward(pair[1], (at - walked) / gap);
            first.push(cut);
            second.push(cut);
        }
        if second.is_empty() {
            first.push(pair[1]);
        } else {
            second.push(pair[1]);
        }
        walked += gap;
    }
    (first, second)
}

/// What a trip to the tap before each pass costs more than going on.
fn detours(table: &Table, walk: &[Turn]) -> Vec<f64> {
    let mut done = vec![false; table.passes];
    let mut before = table.start();
    let mut detours = Vec::with_capacity(walk.len());
    for turn in walk {
        let cost = |from: usize, to: usize| {
            let wet: f64 = table
                .crossings(from, to)
                .iter()
                .filter(|crossing| done[usize::from(crossing.pass)])
                .map(|crossing| f64::from(crossing.metres))
                .sum();
            table.length(from, to) + crate::walk_grid::WET_PRICE * wet
        };
        let to = order::entry(*turn);
        detours.push(cost(before, table.tap()) + cost(table.tap(), to) - cost(before, to));
        done[usize::from(turn.pass)] = true;
        before = order::exit(*turn);
    }
    detours
}

impl Run {
    /// The pass as it is told.
    fn pass(&self) -> Pass {
        Pass {
            line: self.line.iter().copied().map(Vector::point).collect(),
            swath: Length::new(self.width, LengthUnit::Metre),
            start_skew: crate::Skew::of_slope(self.start_slope),
            end_skew: crate::Skew::of_slope(self.end_slope),
            kind: self.kind,
        }
    }
}
