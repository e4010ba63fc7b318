//! Rows side by side over the interior: one heading and the places of the rows across it.
//!
//! # Method
//! In a frame turned to the heading, the ground that needs spray is sampled in cells of a fraction of the swath. A strip
//! ends at t and begins a swath below; the best cost of all ground below t is the least over the places p where the strip
//! before ended. A column is sprayed where what it still needs is worth more than the pass, and missed otherwise. Spacing
//! is thereby uneven where that is cheaper: the one overlap that a height leaves falls where rows are short.

use crate::raster::rings_of;
use crate::vector::Vector;
use geometry::Region;

/// Rows of one heading.
#[derive(Debug, Clone)]
pub(crate) struct Rows {
    pub(crate) lines: Vec<(Vector, Vector)>,
    pub(crate) cost: f64,
}

/// Headings worth trying for a piece of ground: its longest edges' and a fan, as angles from east in radians.
pub(crate) fn headings(ground: &Region, wind: Option<f64>) -> Vec<f64> {
    use std::f64::consts::PI;
    let mut lengths = [0.0_f64; 90];
    let mut sums = [0.0_f64; 90];
    for ring in rings_of(ground).into_iter().flatten() {
        for (index, from) in ring.iter().enumerate() {
            let along = ring[(index + 1) % ring.len()] - *from;
            let angle = along.y.atan2(along.x).rem_euclid(PI);
            let bin = ((angle / PI * 90.0) as usize).min(89);
            lengths[bin] += along.length();
            sums[bin] += along.length() * angle;
        }
    }
    let mut bins: Vec<usize> = (0..90).filter(|bin| lengths[*bin] > 0.0).collect();
    bins.sort_by(|one, other| lengths[*other].total_cmp(&lengths[*one]).then(one.cmp(other)));
    let mut found: Vec<f64> = Vec::new();
    let apart = |found: &[f64], angle: f64, least: f64| {
        found.iter().all(|known| {
            let gap = (known - angle).abs();
            gap.min(PI - gap) > least.to_radians()
        })
    };
    for bin in bins.into_iter().take(10) {
        let angle = sums[bin] / lengths[bin];
        if found.len() < 6 && apart(&found, angle, 1.5) {
            found.push(angle);
        }
        let across = (angle + PI / 2.0).rem_euclid(PI);
        if found.len() < 6 && apart(&found, across, 1.5) {
            found.push(across);
        }
    }
    for step in 0..12 {
        let angle = f64::from(step) * PI / 12.0;
        if apart(&found, angle, 5.0) {
            found.push(angle);
        }
    }
    if let Some(wind) = wind {
        // Rows lie across the wind, or turn from it by 20 degrees at most.
        let square = wind + PI / 2.0;
        found.retain(|angle| {
            let gap = (angle - square).rem_euclid(PI);
            gap.min(PI - gap) <= 20.0_f64.to_radians() + 1e-9
        });
        if apart(&found, square.rem_euclid(PI), 3.0) {
            found.push(square.rem_euclid(PI));
        }
    }
    found
}

/// What one row costs before it sprays a metre: the turn.
const TURN_M: f64 = 1.0;

/// The best rows of a heading. `fine` is in how many cells a swath is sampled, `missing` the price of missed ground.
pub(crate) fn rows(ground: &Region, heading: f64, swath: f64, fine: usize, missing: f64) -> Rows {
    let (sin, cos) = heading.sin_cos();
    let into = |place: Vector| Vector::new(place.x * cos + place.y * sin, place.y * cos - place.x * sin);
    let back = |place: Vector| Vector::new(place.x * cos - place.y * sin, place.x * sin + place.y * cos);
    let cell = swath / fine as f64;
    let polygons: Vec<Vec<Vec<Vector>>> = rings_of(ground)
        .into_iter()
        .map(|rings| rings.into_iter().map(|ring| ring.into_iter().map(into).collect()).collect())
        .collect();
    let places = polygons.iter().flatten().flatten().copied();
    let frame = crate::raster::Frame::around(places, cell, cell);
    // Column by column sums from below: sums[row * columns + column] counts needy cells under the row.
    let columns = frame.columns;
    let mut sums = vec![0_u16; (frame.rows + 1) * columns];
    for rings in &polygons {
        let rings: Vec<&[Vector]> = rings.iter().map(Vec::as_slice).collect();
        frame.fill(&rings, |cell| sums[cell + columns] = 1);
    }
    for index in columns..sums.len() {
        sums[index] += sums[index - columns];
    }
    let height = frame.rows;
    let level = |row: usize| row.min(height) * columns;
    let top = height + fine;
    let (least, most) = ((0.45 * fine as f64).ceil() as usize, (1.2 * fine as f64) as usize);
    let run_cost = (0.8 * swath + TURN_M) / cell;
    let mut best = vec![f64::MAX; top + 1];
    let mut from = vec![0_usize; top + 1];
    best[0] = 0.0;
    for to in 1..=top {
        // Nothing needs spray up to here.
        if sums[level(to)..level(to) + columns].iter().all(|sum| *sum == 0) {
            best[to] = 0.0;
            from[to] = to;
            continue;
        }
        for done in to.saturating_sub(most)..=to.saturating_sub(least.min(to)) {
            if best[done] == f64::MAX {
                continue;
            }
            let cost = best[done] + strip_cost(&sums, columns, height, (done, to), fine, missing, run_cost);
            if cost < best[to] {
                best[to] = cost;
                from[to] = done;
            }
        }
    }
    let all_done = |row: usize| (0..columns).all(|column| sums[level(row) + column] == sums[level(height) + column]);
    let first_done = (0..=top).find(|row| all_done(*row)).unwrap_or(top);
    let end = (first_done..=top).min_by(|one, other| best[*one].total_cmp(&best[*other])).unwrap_or(top);
    let mut lines = Vec::new();
    let mut to = end;
    while to > 0 && from[to] != to {
        let done = from[to];
        let y = frame.low.y + to as f64 * cell - swath / 2.0;
        let low = done.max(to.saturating_sub(fine));
        let needs = |column: usize| sums[level(to) + column] > sums[level(low) + column];
        let longest_gap = (3.0 * swath / cell) as usize;
        let mut column = 0;
        while column < columns {
            if !needs(column) {
                column += 1;
                continue;
            }
            let first = column;
            let mut last = column;
            while column < columns && column - last <= longest_gap {
                if needs(column) {
                    last = column;
                }
                column += 1;
            }
            let x = |column: usize| frame.low.x + column as f64 * cell;
            let run_on = 1.5 * swath;
            lines.push((back(Vector::new(x(first) - run_on, y)), back(Vector::new(x(last + 1) + run_on, y))));
        }
        to = done;
    }
    lines.reverse();
    Rows { lines, cost: best[end] * cell * swath }
}

fn strip_cost(
    sums: &[u16],
    columns: usize,
    height: usize,
    (done, to): (usize, usize),
    fine: usize,
    missing: f64,
    run_cost: f64,
) -> f64 {
    let begin = to.saturating_sub(fine).max(done);
    let (top, bottom, below) = (to.min(height) * columns, begin.min(height) * columns, done.min(height) * columns);
    let whole = 1.0 / fine as f64;
    let (mut cost, mut missed, mut runs) = (0.0, 0_u32, 0_u32);
    let mut is_on = false;
    for column in 0..columns {
        let needy = sums[top + column] - sums[bottom + column];
        missed += u32::from(sums[bottom + column] - sums[below + column]);
        let share = f64::from(needy) * whole * missing;
        if share >= 1.0 {
            cost += 1.0;
            runs += u32::from(!is_on);
            is_on = true;
        } else {
            cost += share;
            is_on = is_on && needy > 0;
        }
    }
    cost + missing * f64::from(missed) * whole + f64::from(runs) * run_cost
}
