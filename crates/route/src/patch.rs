//! Short passes over what the others left, where too little is covered, and taking away those that bring nothing.

use crate::ground::{Ground, Kind};
use crate::nozzle::Run;
use crate::route::PassKind;
use crate::vector::Vector;

/// Drops passes that no ground needs, then lays patches until enough is covered.
pub(crate) fn mend(ground: &mut Ground, runs: &mut Vec<Run>, wanted: f64) {
    drop_needless(ground, runs, wanted);
    let mut tried = vec![false; ground.frame.len()];
    while ground.covered() < wanted {
        let Some(hole) = largest_hole(ground, &tried) else { return };
        // A bent hole takes several patches, each over the part round its middle.
        let parts = [f64::INFINITY, 0.5, 0.2].map(|reach| part_of(ground, &hole, reach * ground.swath));
        match parts.iter().find_map(|part| patch_over(ground, part)) {
            Some(patch) => {
                ground.lay(&patch);
                runs.push(patch);
            }
            None => parts[2].iter().for_each(|cell| tried[*cell] = true),
        }
        tried[hole[hole.len() / 2]] = true;
    }
}

/// Drops passes whose own ground is worth less than the walk to them, as long as enough stays covered.
fn drop_needless(ground: &mut Ground, runs: &mut Vec<Run>, wanted: f64) {
    let own = |ground: &Ground, run: &Run| {
        run.cells
            .iter()
            .filter(|cell| ground.kind[**cell as usize] == Kind::Zone && ground.count[**cell as usize] == 1)
            .count()
    };
    let least = (0.12 * ground.swath * ground.swath / (ground.frame.cell * ground.frame.cell)) as usize;
    let mut order: Vec<usize> = (0..runs.len()).collect();
    order.sort_by_key(|index| own(ground, &runs[*index]));
    let mut dropped = vec![false; runs.len()];
    for index in order {
        let owned = own(ground, &runs[index]);
        if owned >= least {
            continue;
        }
        ground.lift(&runs[index]);
        if owned > 0 && ground.covered() < wanted {
            ground.lay(&runs[index]);
        } else {
            dropped[index] = true;
        }
    }
    let mut keep = dropped.iter().map(|dropped| !dropped);
    runs.retain(|_| keep.next().unwrap_or(true));
}

/// The cells of the largest piece of ground that nothing covers and that was not tried.
fn largest_hole(ground: &Ground, tried: &[bool]) -> Option<Vec<usize>> {
    let columns = ground.frame.columns;
    let mut seen = tried.to_vec();
    let mut largest: Vec<usize> = Vec::new();
    let bare = |cell: usize| ground.kind[cell] == Kind::Zone && ground.count[cell] == 0;
    for start in 0..seen.len() {
        if seen[start] || !bare(start) {
            continue;
        }
        let mut piece = vec![start];
        seen[start] = true;
        let mut next = 0;
        while next < piece.len() {
            let cell = piece[next];
            next += 1;
            for near in [cell + 1, cell - 1, cell + columns, cell - columns] {
                if !seen[near] && bare(near) {
                    seen[near] = true;
                    piece.push(near);
                }
            }
        }
        if piece.len() > largest.len() {
            largest = piece;
        }
    }
    (!largest.is_empty()).then_some(largest)
}

/// The part of a hole within a reach of its middle cell.
fn part_of(ground: &Ground, hole: &[usize], reach: f64) -> Vec<usize> {
    let middle = ground.frame.centre(hole[hole.len() / 2]);
    hole.iter().copied().filter(|cell| ground.frame.centre(*cell).gap(middle) <= reach).collect()
}

/// A straight pass over a hole along its longer axis, as wide as it needs to be.
fn patch_over(ground: &Ground, hole: &[usize]) -> Option<Run> {
    let cell = ground.frame.cell;
    let places: Vec<Vector> = hole.iter().map(|cell| ground.frame.centre(*cell)).collect();
    let mean = places.iter().fold(Vector::new(0.0, 0.0), |sum, place| sum + *place) * (1.0 / places.len() as f64);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for place in &places {
        let off = *place - mean;
        xx += off.x * off.x;
        xy += off.x * off.y;
        yy += off.y * off.y;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let along = Vector::new(angle.cos(), angle.sin());
    let span = |axis: Vector| {
        let offs = places.iter().map(|place| (*place - mean).dot(axis));
        offs.fold((f64::MAX, f64::MIN), |(low, high), off| (low.min(off), high.max(off)))
    };
    let ((start, end), (right, left)) = (span(along), span(along.left()));
    let least = 3.0 / 8.0 * ground.swath;
    let width = (left - right + cell).clamp(least, ground.swath);
    let short = (0.5 * least - (end - start) / 2.0).max(cell);
    // A patch is wider than a thin hole: it lies to the side where it does least harm.
    let slack = (width - (left - right + cell)).max(0.0) / 2.0;
    let patches = [0.0, -slack, slack].into_iter().filter_map(|aside| {
        let middle = mean + along.left() * (f64::midpoint(left, right) + aside);
        let patch = patch_along(ground, [middle + along * (start - short), middle + along * (end + short)], width)?;
        Some((harm(ground, &patch), patch))
    });
    let best = patches.reduce(|best, offer| if offer.0 < best.0 { offer } else { best });
    best.map(|(_, patch)| patch)
}

/// Spray beyond the zone and on covered ground, less what a patch brings, in cells.
fn harm(ground: &Ground, patch: &Run) -> f64 {
    let harms = patch.cells.iter().map(|cell| match (ground.kind[*cell as usize], ground.count[*cell as usize]) {
        (Kind::Zone, 0) => -3.0,
        (Kind::Zone, _) => 0.5,
        (Kind::Harmless, _) => 0.0,
        (Kind::Walkable | Kind::Blocked, _) => 2.0,
    });
    harms.sum()
}

/// The patch between two ends, drawn in until one can stand at both; `None` where one cannot walk between them.
fn patch_along(ground: &Ground, mut ends: [Vector; 2], width: f64) -> Option<Run> {
    let cell = ground.frame.cell;
    for index in [0, 1] {
        let mut tries = 0;
        while !ground.may_walk(ends[index]) && tries < 20 {
            ends[index] = ends[index].toward(ends[1 - index], 0.1);
            tries += 1;
        }
    }
    let steps = (ends[0].gap(ends[1]) / cell).ceil().max(1.0);
    let walkable = (0..=steps as usize).all(|step| ground.may_walk(ends[0].toward(ends[1], step as f64 / steps)));
    (walkable && ends[0].gap(ends[1]) > cell)
        .then(|| Run::new(ground, PassKind::Patch, ends.to_vec(), width, (0.0, 0.0)))
}
