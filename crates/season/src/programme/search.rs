//! A good programme to begin with: greedy choice, then taking out and putting back. It proves nothing; the integer
//! programme does.

use super::model::Model;
use super::selection::{Index, Selection};

/// Rounds of taking out and putting back at the most.
const ROUNDS: usize = 12;

/// The best that is found from a beginning. Always the same for the same model and beginning.
pub(crate) fn improved<'m>(model: &'m Model, index: &Index, begin: Selection<'m>) -> Selection<'m> {
    let mut best = begin;
    fill(model, index, &mut best, None);
    for _ in 0..ROUNDS {
        let mut is_better = false;
        for taken in best.list() {
            is_better |= without(model, index, &mut best, &[taken], Some(taken));
        }
        for (from, to) in week_moves(model) {
            is_better |= move_week(model, index, &mut best, from, to);
        }
        for width in [2, 4, 7] {
            for first in 0..model.weeks {
                for ground in 0..model.of_ground.len() {
                    let taken = inside(model, &best, Some(ground), first, width);
                    is_better |= taken.len() > 1 && without(model, index, &mut best, &taken, None);
                }
                let taken = inside(model, &best, None, first, width);
                is_better |= taken.len() > 1 && without(model, index, &mut best, &taken, None);
            }
        }
        if !is_better {
            break;
        }
    }
    best
}

fn inside(model: &Model, selection: &Selection<'_>, ground: Option<usize>, first: usize, width: usize) -> Vec<usize> {
    let is_inside = |at: &usize| {
        let planned = model.candidates[*at].planned;
        ground.is_none_or(|ground| ground == planned.ground) && (first..first + width).contains(&planned.week.index())
    };
    selection.list().into_iter().filter(is_inside).collect()
}

/// Adds what gains most, again and again; never `avoid`.
fn fill(model: &Model, index: &Index, selection: &mut Selection<'_>, avoid: Option<usize>) {
    loop {
        let mut best: Option<(usize, f64, usize)> = None;
        for candidate in (0..model.candidates.len()).filter(|at| !selection.has(*at) && Some(*at) != avoid) {
            let (meets, gain) = selection.worth(candidate);
            let is_wanted = meets > 0 || gain > 1e-6;
            let is_best = best.is_none_or(|(most, held, _)| meets > most || (meets == most && gain > held + 1e-9));
            if is_wanted && is_best && selection.allows(index, candidate) {
                best = Some((meets, gain, candidate));
            }
        }
        match best {
            Some((_, _, candidate)) => selection.add(index, candidate),
            None => return,
        }
    }
}

/// Takes some out and fills up again; whether that was better.
fn without(model: &Model, index: &Index, best: &mut Selection<'_>, taken: &[usize], avoid: Option<usize>) -> bool {
    if taken.iter().any(|at| !best.has(*at)) {
        return false;
    }
    let mut tried = best.clone();
    for at in taken {
        tried.remove(index, *at);
    }
    if !(0..model.of_ground.len()).all(|ground| tried.runs_are_sound(ground)) {
        return false;
    }
    fill(model, index, &mut tried, avoid);
    let is_better = tried.beats(best);
    if is_better {
        *best = tried;
    }
    is_better
}

fn week_moves(model: &Model) -> Vec<(usize, usize)> {
    let weeks = model.weeks;
    (0..weeks)
        .flat_map(|from| (1..=4).flat_map(move |by| [from.checked_sub(by), Some(from + by)]).map(move |to| (from, to)))
        .filter_map(|(from, to)| to.filter(|to| *to < weeks).map(|to| (from, to)))
        .collect()
}

/// Moves a whole visit to another week.
fn move_week(model: &Model, index: &Index, best: &mut Selection<'_>, from: usize, to: usize) -> bool {
    let moved = inside(model, best, None, from, 1);
    if moved.is_empty() {
        return false;
    }
    let mut tried = best.clone();
    for at in &moved {
        tried.remove(index, *at);
    }
    for at in moved {
        let planned = model.candidates[at].planned;
        let twin = model.of_ground[planned.ground].iter().find(|other| {
            let other = model.candidates[**other].planned;
            other.week.index() == to && other.product_use == planned.product_use
        });
        if let Some(twin) = twin
            && tried.allows(index, *twin)
        {
            tried.add(index, *twin);
        }
    }
    if !(0..model.of_ground.len()).all(|ground| tried.runs_are_sound(ground)) {
        return false;
    }
    fill(model, index, &mut tried, None);
    let is_better = tried.beats(best);
    if is_better {
        *best = tried;
    }
    is_better
}

/// A choice that meets as many demands as greed does, and nothing else.
pub(crate) fn meeting<'m>(model: &'m Model, index: &Index) -> Selection<'m> {
    let mut selection = Selection::empty(model);
    loop {
        let mut best: Option<(usize, usize)> = None;
        for candidate in (0..model.candidates.len()).filter(|at| !selection.has(*at)) {
            let (meets, _) = selection.worth(candidate);
            if meets > best.map_or(0, |(most, _)| most) && selection.allows(index, candidate) {
                best = Some((meets, candidate));
            }
        }
        match best {
            Some((_, candidate)) => selection.add(index, candidate),
            None => return selection,
        }
    }
}
