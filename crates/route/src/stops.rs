//! In which order beds are visited whose plants are sprayed from beside them.

use crate::ground::Ground;
use crate::order;
use crate::raster::rings_of;
use crate::refill::{self, Draught};
use crate::table::Table;
use crate::vector::Vector;
use crate::walk_grid::{FAR, WalkGrid, Wet, way};
use crate::{Effort, RouteRequest};
use geometry::{Point, Region};
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit, Volume, VolumeUnit};

/// Beds to visit.
#[derive(Debug, Clone, PartialEq)]
pub struct StopRequest {
    /// The beds.
    pub beds: Vec<Stop>,
    /// Ground that may be walked.
    pub walkable: Region,
    /// What one tank holds.
    pub tank: Volume,
    /// Where the tank is filled.
    pub tap: Point,
    /// Where the walk begins; at the tap without.
    pub start: Option<Point>,
    /// How long to look for a good order.
    pub effort: Effort,
}

/// A bed to visit.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// The bed.
    pub bed: Region,
    /// How much is sprayed on it.
    pub volume: Volume,
}

/// One visit, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    /// Which bed of the request, from 0.
    pub bed: usize,
    /// The way to it; by the tap where the tank is filled before.
    pub way: Vec<Point>,
    /// How often the tank is filled before or during the visit.
    pub fillings: u32,
}

/// Places beside a bed at which its visit may begin and end.
const PLACES: usize = 8;
/// How far from the bed one stands, in metres.
const BESIDE: f64 = 0.4;

/// The order in which beds are visited, with the least walking that was found; up to eight beds the least there is. A bed
/// is walked round, so that a visit ends where it began.
///
/// # Errors
/// `route::stop-volume` for a tank or a bed without volume, `route::stop-walkable` when there is no ground to walk,
/// `route::stop-away` for each bed that no ground to walk lies beside, or that cannot be walked to.
pub fn plan_stops(request: &StopRequest) -> Result<Vec<Visit>, Problems> {
    let mut problems = Problems::new();
    let litres = |volume: Volume| volume.to(VolumeUnit::Litre);
    for (index, stop) in request.beds.iter().enumerate() {
        if !stop.volume.is_positive() {
            problems.push(
                Problem::error("route::stop-volume", format!("bed {} gets `{:.3} L`", index + 1, litres(stop.volume)))
                    .expected("more than nothing")
                    .mend("leave out beds that are not sprayed")
                    .at(format!("beds[{index}]")),
            );
        }
    }
    if !request.tank.is_positive() {
        problems.push(
            Problem::error("route::stop-volume", format!("a tank of `{:.3} L`", litres(request.tank)))
                .expected("more than nothing")
                .mend("give what the tank holds")
                .at("tank"),
        );
    }
    if request.walkable.is_empty() {
        problems.push(
            Problem::error("route::stop-walkable", "no ground to walk")
                .expected("the ground between the beds")
                .mend("draw lawn or paving between the beds")
                .at("walkable"),
        );
    }
    if problems.has_errors() || request.beds.is_empty() {
        return if problems.has_errors() { Err(problems) } else { Ok(Vec::new()) };
    }
    // Ground to walk is all that matters here; a swath of a metre gives its raster a fitting cell.
    let swath = Length::new(1.0, LengthUnit::Metre);
    let ground = Ground::of(&RouteRequest::new(request.walkable.clone(), swath, swath * 1e6, request.tap));
    let grid = WalkGrid::of(&ground, std::iter::empty());
    let start = Vector::of(request.start.unwrap_or(request.tap));
    let tap = Vector::of(request.tap);
    let places: Vec<Vec<Vector>> = request.beds.iter().map(|stop| places_beside(&ground, &stop.bed)).collect();
    let between = Between::of(&grid, &places, start, tap);
    for (index, beside) in places.iter().enumerate() {
        if beside.is_empty() || !between.is_reached(index) {
            problems.push(
                Problem::error("route::stop-away", format!("bed {} cannot be walked to", index + 1))
                    .expected("ground to walk beside the bed, joined to the start")
                    .mend("draw the path that leads to it")
                    .at(format!("beds[{index}]")),
            );
        }
    }
    if problems.has_errors() {
        return Err(problems);
    }
    let volumes: Vec<f64> = request.beds.iter().map(|stop| litres(stop.volume)).collect();
    let tank = litres(request.tank);
    // A bed that takes more than a tank is filled for while it is sprayed: it comes with what is left over.
    let rests: Vec<f64> = volumes.iter().map(|volume| volume - tank * (volume / tank - 1e-9).floor()).collect();
    let table = Table::of_stops(&between.beds(), rests.clone(), tank);
    let walk: Vec<usize> =
        order::best(&table, request.effort.steps()).into_iter().map(|turn| usize::from(turn.pass)).collect();
    let draughts: Vec<Draught> = walk
        .iter()
        .enumerate()
        .map(|(index, bed)| {
            let before = index.checked_sub(1).map_or(between.start(), |before| walk[before]);
            let detour = between.bed_gap(before, between.tap()) + between.bed_gap(between.tap(), *bed)
                - between.bed_gap(before, *bed);
            Draught { length: rests[*bed], detour }
        })
        .collect();
    let fillings = refill::fillings(&draughts, tank);
    let chosen = between.chosen(&walk, &fillings);
    let dry = Wet::dry(&ground);
    let go = |from: Vector, to: Vector| way(&grid, &ground, &dry, from, to).unwrap_or_else(|| vec![from, to]);
    let mut here = start;
    let mut visits = Vec::new();
    for (index, bed) in walk.iter().enumerate() {
        let there = places[*bed][chosen[index]];
        let fills = fillings.contains(&index);
        let mut line = if fills { go(here, tap) } else { go(here, there) };
        if fills {
            line.extend(go(tap, there).into_iter().skip(1));
        }
        let within = (volumes[*bed] / tank - 1e-9).floor() as u32;
        let way = line.into_iter().map(Vector::point).collect();
        visits.push(Visit { bed: *bed, way, fillings: within + u32::from(fills) });
        here = there;
    }
    Ok(visits)
}

/// Places round a bed on which one can stand.
fn places_beside(ground: &Ground, bed: &Region) -> Vec<Vector> {
    let mut places = Vec::new();
    for rings in rings_of(bed) {
        let ring = &rings[0];
        for (index, from) in ring.iter().enumerate() {
            let to = ring[(index + 1) % ring.len()];
            let outward = (to - *from).unit().left() * -BESIDE;
            let steps = (from.gap(to) / 0.5).ceil().max(1.0) as usize;
            for step in 0..steps {
                let place = from.toward(to, (step as f64 + 0.5) / steps as f64) + outward;
                if ground.may_walk(place) {
                    places.push(place);
                }
            }
        }
    }
    let every = places.len().div_ceil(PLACES).max(1);
    places.into_iter().step_by(every).collect()
}

/// Walking distances between all places, by bed; the start and the tap stand last, as beds of one place.
struct Between {
    groups: Vec<(usize, usize)>,
    count: usize,
    gaps: Vec<f64>,
}

impl Between {
    fn of(grid: &WalkGrid, places: &[Vec<Vector>], start: Vector, tap: Vector) -> Self {
        let mut groups = Vec::new();
        let mut all: Vec<Vector> = Vec::new();
        for beside in places {
            groups.push((all.len(), all.len() + beside.len()));
            all.extend(beside);
        }
        for place in [start, tap] {
            groups.push((all.len(), all.len() + 1));
            all.push(place);
        }
        let cells: Vec<Option<usize>> = all.iter().map(|place| grid.nearest(*place).map(|near| near.0)).collect();
        let mut gaps = vec![f64::INFINITY; all.len() * all.len()];
        for (from, cell) in cells.iter().enumerate() {
            let Some(cell) = cell else { continue };
            let distances = grid.distances(*cell, None, usize::MAX, |_| false);
            for (to, goal) in cells.iter().enumerate() {
                if let Some(goal) = goal
                    && distances.steps[*goal] != FAR
                {
                    gaps[from * all.len() + to] = grid.metres(distances.steps[*goal]).max(all[from].gap(all[to]));
                }
            }
        }
        Self { groups, count: all.len(), gaps }
    }

    fn start(&self) -> usize {
        self.groups.len() - 2
    }

    fn tap(&self) -> usize {
        self.groups.len() - 1
    }

    fn gap(&self, from: usize, to: usize) -> f64 {
        self.gaps[from * self.count + to]
    }

    /// The least distance between places of two beds.
    fn bed_gap(&self, from: usize, to: usize) -> f64 {
        let mut least = f64::INFINITY;
        for here in self.groups[from].0..self.groups[from].1 {
            for there in self.groups[to].0..self.groups[to].1 {
                least = least.min(self.gap(here, there));
            }
        }
        least
    }

    fn is_reached(&self, bed: usize) -> bool {
        self.bed_gap(self.start(), bed).is_finite() && self.bed_gap(self.tap(), bed).is_finite()
    }

    fn beds(&self) -> Vec<Vec<f64>> {
        let all = 0..self.groups.len();
        all.clone().map(|from| all.clone().map(|to| self.bed_gap(from, to)).collect()).collect()
    }

    /// For beds in order, which of its places each visit takes: the shortest way through all.
    fn chosen(&self, walk: &[usize], fillings: &[usize]) -> Vec<usize> {
        let mut costs: Vec<f64> = vec![0.0];
        let mut group = self.groups[self.start()];
        let mut before: Vec<Vec<usize>> = Vec::new();
        for (index, bed) in walk.iter().enumerate() {
            let next = self.groups[*bed];
            let tap = self.groups[self.tap()].0;
            let (mut sums, mut from) = (Vec::new(), Vec::new());
            for there in next.0..next.1 {
                let offers = costs.iter().enumerate().map(|(place, cost)| {
                    let here = group.0 + place;
                    let gap = if fillings.contains(&index) {
                        self.gap(here, tap) + self.gap(tap, there)
                    } else {
                        self.gap(here, there)
                    };
                    (cost + gap, place)
                });
                let best = offers.fold((f64::INFINITY, 0), |best, offer| if offer.0 < best.0 { offer } else { best });
                sums.push(best.0);
                from.push(best.1);
            }
            before.push(from);
            (costs, group) = (sums, next);
        }
        let mut place = (0..costs.len()).fold(0, |best, place| if costs[place] < costs[best] { place } else { best });
        let mut chosen = vec![0; walk.len()];
        for index in (0..walk.len()).rev() {
            chosen[index] = place;
            place = before[index][place];
        }
        chosen
    }
}
