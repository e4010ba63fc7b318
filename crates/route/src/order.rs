//! In which order and direction the passes are walked.
//!
//! # Method
//! A walk costs its metres with the sprayer off and, for each metre on ground that an earlier pass has wetted, more. What is
//! wet depends on what is done, so each way knows over whose ground it goes. Up to a few passes the best walk is found
//! exactly, by dynamic programming over sets of done passes (Held and Karp 1962, from memory). Above that a beam of partial
//! walks gives a first order, which is changed in steps that accept a little loss at first (Kirkpatrick and others 1983,
//! from memory): a stretch is moved, turned round, or both, most often to where a pass ends near by.

use crate::draws::Draws;
use crate::table::{NO_WAY, Table};
use crate::walk_grid::WET_PRICE;

/// A pass and whether it is walked against its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Turn {
    pub(crate) pass: u16,
    pub(crate) reversed: bool,
}

impl Turn {
    fn entry(self) -> usize {
        2 * usize::from(self.pass) + usize::from(self.reversed)
    }

    fn exit(self) -> usize {
        2 * usize::from(self.pass) + usize::from(!self.reversed)
    }

    fn turned(self) -> Self {
        Self { reversed: !self.reversed, ..self }
    }
}

/// Passes up to which every order is looked at.
pub(crate) const EXACT: usize = 8;
const BEAM: usize = 12;
/// What it costs to spray a pass before its downwind neighbour, in metres.
const WIND_PRICE: f64 = 6.0;
/// The seed of the draws; any would do.
const SEED: u64 = 20;

pub(crate) fn entry(turn: Turn) -> usize {
    turn.entry()
}

pub(crate) fn exit(turn: Turn) -> usize {
    turn.exit()
}

/// The best walk found with so many steps of work.
pub(crate) fn best(table: &Table, steps: u32) -> Vec<Turn> {
    if table.passes <= EXACT {
        return exact(table);
    }
    improved(table, beam(table), steps)
}

/// What the next pass costs: the way to it and what is wet on it.
fn step(table: &Table, from: usize, turn: Turn, is_done: impl Fn(u16) -> bool) -> f64 {
    let to = turn.entry();
    let mut wet = 0.0;
    for crossing in table.crossings(from, to).iter().chain(table.own(usize::from(turn.pass))) {
        if is_done(crossing.pass) {
            wet += f64::from(crossing.metres);
        }
    }
    let against = table.waits_for[usize::from(turn.pass)].iter().filter(|pass| !is_done(**pass)).count();
    table.length(from, to) + WET_PRICE * wet + WIND_PRICE * against as f64
}

/// What going to the tap and on to the next pass costs more than going straight to it. The metres count half: they are
/// no dead walk, but somebody walks them.
fn trip(table: &Table, from: usize, turn: Turn, is_done: impl Fn(u16) -> bool) -> f64 {
    let (to, tap) = (turn.entry(), table.tap());
    let wet = |from: usize, to: usize| {
        let wet = table.crossings(from, to).iter().filter(|crossing| is_done(crossing.pass));
        wet.map(|crossing| f64::from(crossing.metres)).sum::<f64>()
    };
    let there = 0.5 * (table.length(from, tap) + table.length(tap, to)) + WET_PRICE * (wet(from, tap) + wet(tap, to));
    (there - 0.5 * table.length(from, to) - WET_PRICE * wet(from, to)).max(0.0)
}

/// What a whole walk costs.
#[cfg(test)]
pub(crate) fn cost(table: &Table, turns: &[Turn]) -> f64 {
    let mut search = Search::of(table, turns.to_vec());
    search.settle();
    search.total()
}

fn exact(table: &Table) -> Vec<Turn> {
    let count = table.passes;
    if count == 0 {
        return Vec::new();
    }
    let turns: Vec<Turn> =
        (0..2 * count).map(|port| Turn { pass: (port / 2) as u16, reversed: port % 2 == 1 }).collect();
    // The best cost of having done a set and ended with a turn, and the turn before.
    let mut best = vec![f64::MAX; (1 << count) * 2 * count];
    let mut before = vec![usize::MAX; best.len()];
    for (index, turn) in turns.iter().enumerate() {
        best[(1 << turn.pass) * 2 * count + index] = step(table, table.start(), *turn, |_| false);
    }
    for set in 1_usize..1 << count {
        for last in 0..2 * count {
            let here = best[set * 2 * count + last];
            if here == f64::MAX {
                continue;
            }
            for (index, turn) in turns.iter().enumerate() {
                if set >> turn.pass & 1 == 1 {
                    continue;
                }
                let cost = here + step(table, turns[last].exit(), *turn, |pass| set >> pass & 1 == 1);
                let there = (set | 1 << turn.pass) * 2 * count + index;
                if cost < best[there] {
                    best[there] = cost;
                    before[there] = last;
                }
            }
        }
    }
    let mut set = (1 << count) - 1;
    let mut last = (0..2 * count)
        .min_by(|one, other| best[set * 2 * count + one].total_cmp(&best[set * 2 * count + other]))
        .unwrap_or(0);
    let mut walk = Vec::with_capacity(count);
    loop {
        walk.push(turns[last]);
        let next = before[set * 2 * count + last];
        set &= !(1 << turns[last].pass);
        if next == usize::MAX {
            break;
        }
        last = next;
    }
    walk.reverse();
    walk
}

#[derive(Clone)]
struct Partial {
    cost: f64,
    done: Vec<bool>,
    walk: Vec<Turn>,
}

fn beam(table: &Table) -> Vec<Turn> {
    let count = table.passes;
    let mut front = vec![Partial { cost: 0.0, done: vec![false; count], walk: Vec::new() }];
    for _ in 0..count {
        let mut next: Vec<(f64, usize, Turn)> = Vec::new();
        for (index, partial) in front.iter().enumerate() {
            let from = partial.walk.last().map_or(table.start(), |turn| turn.exit());
            let offers = |port: u16| Turn { pass: port / 2, reversed: port % 2 == 1 };
            let open = |turn: &Turn| !partial.done[usize::from(turn.pass)];
            let mut turns: Vec<Turn> = table.near[from].iter().copied().map(offers).filter(open).collect();
            if turns.is_empty() {
                let all = (0..2 * count as u16).map(offers).filter(open);
                turns.extend(all.min_by(|one, other| {
                    table.length(from, one.entry()).total_cmp(&table.length(from, other.entry()))
                }));
            }
            for turn in turns {
                let cost = step(table, from, turn, |pass| partial.done[usize::from(pass)]);
                next.push((partial.cost + cost, index, turn));
            }
        }
        next.sort_by(|one, other| one.0.total_cmp(&other.0));
        next.truncate(BEAM);
        front = next
            .into_iter()
            .map(|(cost, index, turn)| {
                let mut partial = front[index].clone();
                partial.cost = cost;
                partial.done[usize::from(turn.pass)] = true;
                partial.walk.push(turn);
                partial
            })
            .collect();
    }
    front.into_iter().next().map(|partial| partial.walk).unwrap_or_default()
}

/// A walk under change, with the sums up to each pass.
struct Search<'a> {
    table: &'a Table,
    walk: Vec<Turn>,
    place: Vec<u32>,
    sums: Vec<f64>,
    /// Metres sprayed since the tank was filled, after each pass.
    used: Vec<f64>,
}

impl<'a> Search<'a> {
    fn of(table: &'a Table, walk: Vec<Turn>) -> Self {
        let (place, sums, used) = (vec![0; walk.len()], vec![0.0; walk.len() + 1], vec![0.0; walk.len() + 1]);
        Self { table, walk, place, sums, used }
    }

    fn settle(&mut self) {
        self.renumber(0, self.walk.len());
        self.sum_from(0, f64::MAX);
    }

    fn total(&self) -> f64 {
        self.sums[self.walk.len()]
    }

    fn renumber(&mut self, from: usize, to: usize) {
        for index in from..to {
            self.place[usize::from(self.walk[index].pass)] = index as u32;
        }
    }

    /// Sums again from a place on; stops as soon as the bound is passed, since sums never fall.
    fn sum_from(&mut self, from: usize, bound: f64) -> bool {
        let mut sum = self.sums[from];
        for index in from..self.walk.len() {
            let turn = self.walk[index];
            let before = if index == 0 { self.table.start() } else { self.walk[index - 1].exit() };
            let place = &self.place;
            let is_done = |pass: u16| place[usize::from(pass)] < index as u32;
            sum += step(self.table, before, turn, is_done);
            let sprayed = self.table.sprayed[usize::from(turn.pass)];
            self.used[index + 1] = self.used[index] + sprayed;
            if self.used[index + 1] > self.table.tank {
                sum += trip(self.table, before, turn, is_done);
                self.used[index + 1] = sprayed;
            }
            self.sums[index + 1] = sum;
            if sum > bound {
                return false;
            }
        }
        true
    }
}

/// One way to change a walk.
#[derive(Clone, Copy)]
enum Change {
    /// The stretch is turned round.
    Turn { from: usize, to: usize },
    /// The stretch is taken out and put in so that it begins at a place of what is left.
    Move { from: usize, to: usize, into: usize, turned: bool },
}

fn improved(table: &Table, first: Vec<Turn>, steps: u32) -> Vec<Turn> {
    let mut draws = Draws::of_seed(SEED);
    let mut search = Search::of(table, first);
    search.settle();
    let (mut total, mut best, mut best_walk) = (search.total(), search.total(), search.walk.clone());
    let count = search.walk.len();
    let mean_gap = (total / count as f64).clamp(0.2, 5.0);
    let (hot, cold) = (0.8 * mean_gap, 0.02 * mean_gap);
    let mut kept = search.walk.clone();
    let mut kept_sums = search.sums.clone();
    let mut kept_used = search.used.clone();
    for step in 0..steps {
        let heat = hot * (cold / hot).powf(f64::from(step) / f64::from(steps));
        let change = drawn(table, &search, &mut draws);
        let (low, high) = changed(&mut search.walk, change);
        if low >= high {
            continue;
        }
        search.renumber(low, high);
        let bound = total - heat * draws.share().max(1e-12).ln();
        // Sums before the stretch hold: what is done there has not changed.
        if search.sum_from(low, bound) {
            total = search.total();
            kept[low..high].copy_from_slice(&search.walk[low..high]);
            kept_sums[low..].copy_from_slice(&search.sums[low..]);
            kept_used[low..].copy_from_slice(&search.used[low..]);
            if total < best - 1e-9 {
                best = total;
                best_walk.clone_from(&search.walk);
            }
        } else {
            search.walk[low..high].copy_from_slice(&kept[low..high]);
            search.sums[low..].copy_from_slice(&kept_sums[low..]);
            search.used[low..].copy_from_slice(&kept_used[low..]);
            search.renumber(low, high);
        }
    }
    best_walk
}

fn drawn(table: &Table, search: &Search, draws: &mut Draws) -> Change {
    let count = search.walk.len();
    let stretch = |draws: &mut Draws, from: usize| {
        // Mostly short, now and then long.
        let longest = if draws.below(4) == 0 { count } else { 6 };
        (from + 1 + draws.below(longest)).min(count)
    };
    let place = draws.below(count + 1);
    let from_port = if place == 0 { table.start() } else { search.walk[place - 1].exit() };
    if draws.below(5) > 0 {
        // Something near is brought behind the pass before `place`.
        let near = &table.near[from_port];
        let port = near[draws.below(near.len())];
        let at = search.place[usize::from(port / 2)] as usize;
        let enters = search.walk[at].entry() == usize::from(port);
        if enters {
            let to = if at < place { (at + 1 + draws.below(6)).min(place) } else { stretch(draws, at) };
            let into = if at < place { place - (to - at) } else { place };
            return Change::Move { from: at, to, into, turned: false };
        }
        if at >= place && draws.below(2) == 0 {
            return Change::Turn { from: place, to: at + 1 };
        }
        // The stretch that ends with it, walked the other way.
        let longest = if draws.below(4) == 0 { count } else { 6 };
        let from = at.saturating_sub(draws.below(longest));
        let from = if at >= place { from.max(place) } else { from };
        let into = if at < place { place - (at + 1 - from) } else { place };
        return Change::Move { from, to: at + 1, into, turned: true };
    }
    let from = draws.below(count);
    let to = stretch(draws, from);
    if draws.below(2) == 0 {
        return Change::Turn { from, to };
    }
    let into = draws.below(count - (to - from) + 1);
    Change::Move { from, to, into, turned: draws.below(2) == 0 }
}

/// Makes a change; gives the part of the walk that is no longer what it was.
fn changed(walk: &mut [Turn], change: Change) -> (usize, usize) {
    let turn_round = |part: &mut [Turn]| {
        part.reverse();
        for turn in part {
            *turn = turn.turned();
        }
    };
    match change {
        Change::Turn { from, to } => {
            turn_round(&mut walk[from..to]);
            (from, to)
        }
        Change::Move { from, to, into, turned } => {
            if turned {
                turn_round(&mut walk[from..to]);
            } else if into == from {
                return (from, from);
            }
            let length = to - from;
            if into < from {
                walk[into..to].rotate_right(length);
                (into, to)
            } else {
                walk[from..into + length].rotate_left(length);
                (from, into + length)
            }
        }
    }
}

/// Neighbouring passes of which the upwind one comes first.
pub(crate) fn against_wind(table: &Table, walk: &[Turn]) -> usize {
    let mut done = vec![false; table.passes];
    let mut against = 0;
    for turn in walk {
        against += table.waits_for[usize::from(turn.pass)].iter().filter(|pass| !done[usize::from(**pass)]).count();
        done[usize::from(turn.pass)] = true;
    }
    against
}

/// Passes that cannot be reached from the start.
pub(crate) fn cut_off(table: &Table) -> Vec<usize> {
    (0..table.passes).filter(|pass| table.length(table.start(), 2 * pass) >= f64::from(NO_WAY)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draws::Draws;

    /// The best cost of all orders and directions, by trying them all.
    fn by_trying_all(table: &Table) -> f64 {
        fn go_on(table: &Table, from: usize, done: &mut Vec<bool>, cost: f64, best: &mut f64) {
            if done.iter().all(|done| *done) {
                *best = best.min(cost);
                return;
            }
            for pass in 0..table.passes {
                if done[pass] {
                    continue;
                }
                for reversed in [false, true] {
                    let turn = Turn { pass: pass as u16, reversed };
                    let next = cost + step(table, from, turn, |pass| done[usize::from(pass)]);
                    if next < *best {
                        done[pass] = true;
                        go_on(table, turn.exit(), done, next, best);
                        done[pass] = false;
                    }
                }
            }
        }
        let mut best = f64::MAX;
        go_on(table, table.start(), &mut vec![false; table.passes], 0.0, &mut best);
        best
    }

    /// Passes scattered at random, with random ground between them.
    fn scattered(passes: usize, seed: u64) -> Table {
        let mut draws = Draws::of_seed(seed);
        let places: Vec<(f64, f64)> =
            (0..2 * passes + 2).map(|_| (30.0 * draws.share(), 30.0 * draws.share())).collect();
        let lengths = |from: usize, to: usize| (places[from].0 - places[to].0).hypot(places[from].1 - places[to].1);
        Table::scattered(passes, lengths, || {
            (draws.below(3) > 0).then(|| (draws.below(passes) as u16, 3.0 * draws.share()))
        })
    }

    #[test]
    fn up_to_eight_passes_no_order_is_better() {
        for (passes, seed) in [(1, 1), (2, 2), (3, 3), (5, 4), (6, 5), (7, 6), (8, 7)] {
            let table = scattered(passes, seed);
            let found = exact(&table);
            let mut seen: Vec<u16> = found.iter().map(|turn| turn.pass).collect();
            seen.sort_unstable();
            assert!(seen.iter().copied().eq(0..passes as u16), "{found:?}");
            let (is, least) = (cost(&table, &found), by_trying_all(&table));
            assert!((is - least).abs() < 1e-6, "{passes} passes: {is} where {least} can be had");
        }
    }

    #[test]
    fn the_search_comes_within_a_hundredth_of_the_best() {
        for seed in 10..14 {
            let table = scattered(8, seed);
            let found = cost(&table, &improved(&table, beam(&table), 20_000));
            let least = cost(&table, &exact(&table));
            assert!(found <= 1.01 * least, "{found} where {least} can be had");
        }
    }

    #[test]
    fn every_change_keeps_every_pass() {
        let table = scattered(13, 9);
        let mut walk = beam(&table);
        let mut draws = Draws::of_seed(4);
        for _ in 0..2_000 {
            let mut search = Search::of(&table, walk.clone());
            search.settle();
            let change = drawn(&table, &search, &mut draws);
            let before = walk.clone();
            let (low, high) = changed(&mut walk, change);
            assert_eq!((&walk[..low], &walk[high..]), (&before[..low], &before[high..]));
            let mut seen: Vec<u16> = walk.iter().map(|turn| turn.pass).collect();
            seen.sort_unstable();
            assert!(seen.into_iter().eq(0..13));
        }
    }
}
