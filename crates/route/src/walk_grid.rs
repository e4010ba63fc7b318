//! Walking between passes: a grid of free cells, shortest ways over it, and pulling them straight.

use crate::ground::Ground;
use crate::raster::{Frame, NOWHERE};
use crate::vector::Vector;

/// A metre on wet ground counts as so many more.
pub(crate) const WET_PRICE: f64 = 2.0;
/// Ground counts as wet from so far inside it, in metres.
pub(crate) const WET_DEPTH: f64 = 0.12;

/// So far beside the ground a foot may be set where a pass can be reached in no other way, in metres.
const BESIDE: f64 = 0.09;

/// Costs of one step of the grid, square and across: 7/5 is within 1 % of the square root of 2.
const STRAIGHT: u32 = 5;
const ACROSS: u32 = 7;
const WET_TIMES: u32 = 1 + WET_PRICE as u32;
/// More buckets than the dearest step costs.
const BUCKETS: usize = 64;

/// Cells for walking, coarser than those for spraying.
#[derive(Debug, Clone)]
pub(crate) struct WalkGrid {
    pub(crate) frame: Frame,
    free: Vec<bool>,
    /// Where one stands in each cell: its middle, or a place of a line where the middle cannot be walked.
    spots: Vec<Vector>,
    /// For each cell which of its eight neighbours can be gone to straight, a bit each.
    links: Vec<u8>,
}

/// Distances from one place over the grid.
pub(crate) struct Distances {
    pub(crate) steps: Vec<u32>,
    /// Whether all that can be reached was.
    pub(crate) is_complete: bool,
}

pub(crate) const FAR: u32 = u32::MAX;

impl WalkGrid {
    /// The grid of a ground; lines that are walked anyway are free.
    pub(crate) fn of<'a>(ground: &Ground, lines: impl IntoIterator<Item = &'a [Vector]>) -> Self {
        let wanted = (ground.area().sqrt() / 75.0).clamp(0.25, 0.5);
        let times = (wanted / ground.frame.cell).round().max(1.0);
        let fine = &ground.frame;
        let cell = fine.cell * times;
        let frame = Frame {
            low: fine.low,
            cell,
            columns: (fine.columns as f64 / times).ceil() as usize + 1,
            rows: (fine.rows as f64 / times).ceil() as usize + 1,
        };
        let mut spots: Vec<Vector> = (0..frame.len()).map(|cell| frame.centre(cell)).collect();
        let mut free: Vec<bool> = spots.iter().map(|spot| ground.may_walk(*spot)).collect();
        for line in lines {
            for pair in line.windows(2) {
                let steps = (pair[0].gap(pair[1]) / cell * 2.0).ceil().max(1.0);
                for step in 0..=steps as usize {
                    let place = pair[0].toward(pair[1], step as f64 / steps);
                    let at = frame.at(place);
                    if at != NOWHERE && !free[at as usize] {
                        free[at as usize] = true;
                        spots[at as usize] = place;
                    }
                }
            }
        }
        // The border stays closed, so that no step leaves the frame.
        for (cell, free) in free.iter_mut().enumerate() {
            let (column, row) = (cell % frame.columns, cell / frame.columns);
            if column == 0 || row == 0 || column + 1 == frame.columns || row + 1 == frame.rows {
                *free = false;
            }
        }
        let mut grid = Self { frame, free, spots, links: Vec::new() };
        let link = |cell: usize, is_linked: &dyn Fn(usize) -> bool| {
            let around = grid.around(cell).into_iter().enumerate();
            let open = around.filter(|(_, (near, _))| grid.free[*near] && is_linked(*near));
            open.fold(0_u8, |bits, (index, _)| bits | 1 << index)
        };
        let mut links: Vec<u8> = (0..grid.free.len())
            .map(|cell| {
                let is_linked = |near: usize| is_clear(ground, grid.spots[cell], grid.spots[near]);
                if grid.free[cell] { link(cell, &is_linked) } else { 0 }
            })
            .collect();
        // Cells in the tip of a spike may see none of their neighbours, and yet a pass lies there: then a foot may be set
        // just beside the ground, and only where not even that leads out, the way that
        // is shortest beside it.
        for cell in 0..links.len() {
            if !grid.free[cell] || links[cell].count_ones() >= 2 {
                continue;
            }
            links[cell] |= link(cell, &|near| is_nearly_clear(ground, grid.spots[cell], grid.spots[near]));
            if links[cell] == 0 {
                let around = grid.around(cell).into_iter().enumerate().filter(|(_, (near, _))| grid.free[*near]);
                let off = |near: usize| steps_off(ground, grid.spots[cell], grid.spots[near]);
                if let Some((index, _)) = around.min_by_key(|(_, (near, _))| off(*near)) {
                    links[cell] = 1 << index;
                }
            }
            for (index, (near, _)) in grid.around(cell).into_iter().enumerate() {
                if links[cell] >> index & 1 == 1 {
                    // The opposite of a step stands beside it.
                    links[near] |= 1 << (index ^ 1);
                }
            }
        }
        grid.links = links;
        grid
    }

    /// The free cell nearest to a place, and how far its centre is.
    pub(crate) fn nearest(&self, place: Vector) -> Option<(usize, f64)> {
        let at = self.frame.at(place);
        if at != NOWHERE && self.free[at as usize] {
            return Some((at as usize, self.spots[at as usize].gap(place)));
        }
        let free = (0..self.free.len()).filter(|cell| self.free[*cell]);
        free.map(|cell| (cell, self.spots[cell].gap(place))).min_by(|one, other| one.1.total_cmp(&other.1))
    }

    /// The cell by which a place is left and reached: the nearest free one that can be gone to straight, not that across
    /// a thin trunk; the nearest of all where none can.
    fn entry(&self, ground: &Ground, place: Vector) -> Option<usize> {
        let at = self.frame.at(place);
        let columns = i64::try_from(self.frame.columns).ok()?;
        let near = (-2..=2).flat_map(|row| (-2..=2).map(move |column| i64::from(at) + row * columns + column));
        let clear = near
            .filter(|_| at != NOWHERE)
            .filter_map(|cell| usize::try_from(cell).ok())
            .filter(|cell| self.free.get(*cell) == Some(&true) && is_clear(ground, place, self.spots[*cell]));
        let nearest = clear.min_by(|one, other| self.spots[*one].gap(place).total_cmp(&self.spots[*other].gap(place)));
        nearest.or_else(|| self.nearest(place).map(|near| near.0))
    }

    /// Where one stands in a cell.
    pub(crate) fn spot(&self, cell: usize) -> Vector {
        self.spots[cell]
    }

    /// The eight cells round a cell and what a step to each costs; each beside its opposite.
    fn around(&self, cell: usize) -> [(usize, u32); 8] {
        let columns = self.frame.columns;
        [
            (cell + 1, STRAIGHT),
            (cell - 1, STRAIGHT),
            (cell + columns, STRAIGHT),
            (cell - columns, STRAIGHT),
            (cell + columns + 1, ACROSS),
            (cell - columns - 1, ACROSS),
            (cell + columns - 1, ACROSS),
            (cell - columns + 1, ACROSS),
        ]
    }

    /// Costs from a cell to all others, or until `goal` is settled or `most` cells are.
    ///
    /// # Source
    /// Dial 1969, Comm. ACM 12: 632-633, buckets in a circle (from memory).
    pub(crate) fn distances(
        &self,
        from: usize,
        goal: Option<usize>,
        most: usize,
        wet: impl Fn(usize) -> bool,
    ) -> Distances {
        let mut steps = vec![FAR; self.free.len()];
        let mut settled = vec![false; self.free.len()];
        let mut buckets: Vec<Vec<u32>> = vec![Vec::new(); BUCKETS];
        steps[from] = 0;
        buckets[0].push(from as u32);
        let (mut waiting, mut level, mut done) = (1_usize, 0_usize, 0_usize);
        while waiting > 0 && done < most {
            let Some(cell) = buckets[level % BUCKETS].pop() else {
                level += 1;
                continue;
            };
            waiting -= 1;
            let cell = cell as usize;
            if settled[cell] || steps[cell] as usize != level {
                continue;
            }
            settled[cell] = true;
            done += 1;
            if goal == Some(cell) {
                break;
            }
            for (index, (near, cost)) in self.around(cell).into_iter().enumerate() {
                if self.links[cell] >> index & 1 == 0 || settled[near] {
                    continue;
                }
                let there = steps[cell] + if wet(near) { cost * WET_TIMES } else { cost };
                if there < steps[near] {
                    steps[near] = there;
                    buckets[there as usize % BUCKETS].push(near as u32);
                    waiting += 1;
                }
            }
        }
        for (step, settled) in steps.iter_mut().zip(settled) {
            if !settled {
                *step = FAR;
            }
        }
        Distances { steps, is_complete: waiting == 0 }
    }

    /// The way back from a cell to where the distances start, both included.
    pub(crate) fn way_back(&self, distances: &Distances, from: usize) -> Vec<usize> {
        let mut way = vec![from];
        let mut here = from;
        while distances.steps[here] > 0 {
            let around = self.around(here).into_iter().enumerate();
            // Ties go to the first of the neighbours.
            let next = around
                .filter(|(index, _)| self.links[here] >> index & 1 == 1)
                .min_by_key(|(_, (near, cost))| distances.steps[*near].saturating_add(*cost));
            match next {
                Some((_, (near, _))) if distances.steps[near] < distances.steps[here] => {
                    way.push(near);
                    here = near;
                }
                _ => break,
            }
        }
        way
    }

    /// A cost of the grid in metres.
    pub(crate) fn metres(&self, steps: u32) -> f64 {
        f64::from(steps) / f64::from(STRAIGHT) * self.frame.cell
    }
}

/// Whether one can walk straight from one place to another. Either may stand right on an edge.
pub(crate) fn is_clear(ground: &Ground, from: Vector, to: Vector) -> bool {
    let gap = from.gap(to);
    let steps = (gap / (0.7 * ground.frame.cell)).ceil().max(1.0);
    let brink = 0.6 * ground.frame.cell;
    (0..=steps as usize).all(|step| {
        let share = step as f64 / steps;
        let is_end = share * gap < brink || (1.0 - share) * gap < brink;
        is_end || ground.may_walk(from.toward(to, share))
    })
}

/// Places along a straight line, less than a cell apart.
fn along(ground: &Ground, from: Vector, to: Vector) -> impl Iterator<Item = Vector> {
    let steps = (from.gap(to) / (0.7 * ground.frame.cell)).ceil().max(1.0);
    (0..=steps as usize).map(move |step| from.toward(to, step as f64 / steps))
}

/// Whether one can walk straight from one place to another with no foot farther than that beside the ground.
fn is_nearly_clear(ground: &Ground, from: Vector, to: Vector) -> bool {
    let around: Vec<Vector> = std::iter::once(Vector::new(0.0, 0.0))
        .chain((0..8).map(|eighth| {
            let (sin, cos) = (f64::from(eighth) * std::f64::consts::FRAC_PI_4).sin_cos();
            Vector::new(BESIDE * cos, BESIDE * sin)
        }))
        .collect();
    along(ground, from, to).all(|place| around.iter().any(|off| ground.may_walk(place + *off)))
}

/// How many places of a straight line cannot be walked.
fn steps_off(ground: &Ground, from: Vector, to: Vector) -> usize {
    along(ground, from, to).filter(|place| !ground.may_walk(*place)).count()
}

/// Ground that was sprayed on the way so far.
#[derive(Debug, Clone)]
pub(crate) struct Wet {
    cells: Vec<bool>,
}

impl Wet {
    pub(crate) fn dry(ground: &Ground) -> Self {
        Self { cells: vec![false; ground.frame.len()] }
    }

    pub(crate) fn spray(&mut self, cells: &[u32]) {
        for cell in cells {
            self.cells[*cell as usize] = true;
        }
    }

    /// Whether a step there lands on wet ground, and not just at its edge.
    pub(crate) fn at(&self, ground: &Ground, place: Vector) -> bool {
        let wet = |x: f64, y: f64| {
            let cell = ground.frame.at(place + Vector::new(x, y));
            cell != NOWHERE && self.cells[cell as usize]
        };
        let d = WET_DEPTH;
        wet(0.0, 0.0) && wet(d, 0.0) && wet(-d, 0.0) && wet(0.0, d) && wet(0.0, -d)
    }

    /// How much of a straight line is wet, in metres.
    pub(crate) fn along(&self, ground: &Ground, from: Vector, to: Vector) -> f64 {
        let gap = from.gap(to);
        let steps = (gap / 0.15).ceil().max(1.0) as usize;
        let wet =
            (0..steps).filter(|step| self.at(ground, from.toward(to, (*step as f64 + 0.5) / steps as f64))).count();
        gap * wet as f64 / steps as f64
    }
}

/// The way from one place to another that costs least when a metre on wet ground counts as five; `None` where there
/// is none.
pub(crate) fn way(grid: &WalkGrid, ground: &Ground, wet: &Wet, from: Vector, to: Vector) -> Option<Vec<Vector>> {
    let straight = is_clear(ground, from, to);
    let straight_wet = wet.along(ground, from, to);
    if straight && straight_wet < 1e-9 {
        return Some(vec![from, to]);
    }
    let (start, goal) = (grid.entry(ground, from)?, grid.entry(ground, to)?);
    let is_wet = |cell: usize| wet.at(ground, grid.spot(cell));
    let distances = grid.distances(goal, Some(start), usize::MAX, is_wet);
    if distances.steps[start] == FAR {
        return straight.then(|| vec![from, to]);
    }
    let mut line = vec![from];
    line.extend(grid.way_back(&distances, start).into_iter().map(|cell| grid.spot(cell)));
    line.push(to);
    let line = pulled(ground, wet, &line);
    let cost: f64 = line.windows(2).map(|pair| step_cost(ground, wet, pair[0], pair[1])).sum();
    if straight && from.gap(to) + WET_PRICE * straight_wet <= cost { Some(vec![from, to]) } else { Some(line) }
}

fn step_cost(ground: &Ground, wet: &Wet, from: Vector, to: Vector) -> f64 {
    from.gap(to) + WET_PRICE * wet.along(ground, from, to)
}

/// Leaves out places that can be passed by in a straight line for no more.
fn pulled(ground: &Ground, wet: &Wet, line: &[Vector]) -> Vec<Vector> {
    let mut sums = vec![0.0];
    for pair in line.windows(2) {
        sums.push(sums[sums.len() - 1] + step_cost(ground, wet, pair[0], pair[1]));
    }
    let last = line.len() - 1;
    let mut out = vec![line[0]];
    let mut here = 0;
    while here < last {
        // The farthest place that can be gone to straight; looked for by halving, then onward step by step.
        let fits = |to: usize| {
            is_clear(ground, line[here], line[to])
                && step_cost(ground, wet, line[here], line[to]) <= sums[to] - sums[here] + 0.02
        };
        let mut next = here + 1;
        for to in (here + 2..=last).rev() {
            if fits(to) {
                next = to;
                break;
            }
        }
        out.push(line[next]);
        here = next;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RouteRequest;
    use geometry::{Point, Region};
    use quantity::{Length, LengthUnit};

    #[test]
    fn nobody_steps_through_a_trunk_that_a_pass_ends_in() {
        let metres = |length: f64| Length::new(length, LengthUnit::Metre);
        let square = |low: f64, high: f64| {
            Region::rectangle(Point::from_metres(low, low), Point::from_metres(high, high)).unwrap()
        };
        let mut in_the_trunk = 0;
        for step in 0..30 {
            // A trunk that lies in every way among the cells, and a line that ends a little within it.
            let low = 2.7 + 0.01 * f64::from(step);
            let zone = square(0.0, 6.0).difference(&square(low, low + 0.6));
            let request = RouteRequest::new(zone, metres(1.1), metres(100.0), Point::from_metres(0.0, 0.0));
            let ground = Ground::of(&request);
            let line = [Vector::new(1.0, low + 0.3), Vector::new(low + 0.06, low + 0.3)];
            let grid = WalkGrid::of(&ground, [line.as_slice()]);
            for cell in (0..grid.free.len()).filter(|cell| grid.free[*cell]) {
                let here = grid.spots[cell];
                in_the_trunk += usize::from(!ground.may_walk(here));
                for (index, (near, _)) in grid.around(cell).into_iter().enumerate() {
                    if grid.links[cell] >> index & 1 == 1 {
                        let there = grid.spots[near];
                        let is_near = is_clear(&ground, here, there) || is_nearly_clear(&ground, here, there);
                        assert!(is_near, "{here:?} to {there:?}");
                    }
                }
            }
        }
        assert!(in_the_trunk > 0);
    }
}
