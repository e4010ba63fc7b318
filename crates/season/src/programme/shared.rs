//! A bound over all grounds together, and programmes that come near it.
//!
//! Grounds share the way to the property, the budget and the stock. Each of these gets a price: the way of a week is
//! split among the grounds, money and stock cost more than they do. At such prices every ground stands by itself and is
//! solved exactly; the sum of the best is a bound for every lawful programme (Lagrangian relaxation; Geoffrion 1974).
//! Prices go by subgradient steps. Where a gap is left, weeks are decided one by one: with a visit, or without.

use super::ground_search::{GroundBest, GroundSearch};
use super::model::{Bind, Model};
use super::selection::{Index, Selection};

/// What grounds pay for what they share.
#[derive(Debug, Clone)]
struct Prices {
    /// By ground and week, its share of the way; the shares of one week add up to one.
    way: Vec<Vec<f64>>,
    /// What one unit of money costs beyond itself.
    money: f64,
    /// By shared row, for the whole of it.
    rows: Vec<f64>,
}

/// What is decided of a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Decided {
    Open,
    Visited,
    Closed,
}

/// A part of the search: weeks decided, and what is known of it.
struct Part {
    weeks: Vec<Decided>,
    prices: Prices,
    bound: f64,
    /// By week, how much grounds disagree on it.
    doubt: Vec<f64>,
}

/// What was found.
pub(crate) struct Found<'m> {
    pub(crate) selection: Selection<'m>,
    pub(crate) bound: f64,
}

/// Labels that are kept in one week at the most, for a bound and for a programme.
const LABELS: usize = 4_000;
const LABELS_TO_SETTLE: usize = 150;

/// Steps of prices for the whole, and for a part.
const STEPS: u32 = 24;
const STEPS_OF_PART: u32 = 8;

struct Search<'a, 'm> {
    model: &'m Model,
    index: &'a Index,
    grounds: Vec<GroundSearch<'m>>,
    shared: Vec<usize>,
    /// By ground, choices found so far.
    known: Vec<Vec<Vec<usize>>>,
    held: Selection<'m>,
    /// The gap, as a share of the gain, that is good enough.
    gap: f64,
}

/// A bound and a programme; `None` where the model has more rules than this search can hold, or a shared rule that is no
/// upper limit.
pub(crate) fn bounded<'m>(
    model: &'m Model,
    index: &Index,
    begin: Selection<'m>,
    parts: u64,
    gap: f64,
) -> Option<Found<'m>> {
    if model.is_single.contains(&false) {
        return None;
    }
    let grounds: Vec<GroundSearch<'m>> =
        (0..model.of_ground.len()).map(|ground| GroundSearch::new(model, ground)).collect::<Option<_>>()?;
    let ground_of = |at: &(usize, f64)| model.candidates[at.0].planned.ground;
    let is_shared = |row: &usize| {
        let terms = &model.rows[*row].terms;
        terms.first().is_some_and(|first| terms.iter().any(|term| ground_of(term) != ground_of(first)))
    };
    let shared: Vec<usize> = (0..model.rows.len()).filter(is_shared).collect();
    if shared.iter().any(|row| model.rows[*row].bind == Bind::AtLeast || model.rows[*row].only_if.is_some()) {
        return None;
    }
    if model.rows.iter().any(|row| row.bind == Bind::AtLeast && row.terms.is_empty() && row.limit > 0.0) {
        return None;
    }
    let count = grounds.len();
    let mut search = Search { model, index, known: vec![vec![Vec::new()]; count], grounds, shared, held: begin, gap };
    search.learn();
    let prices = search.first_prices();
    let whole =
        Part { weeks: vec![Decided::Open; model.weeks], prices, bound: f64::INFINITY, doubt: vec![0.0; model.weeks] };
    let mut open = vec![search.priced(whole, STEPS)];
    let mut bound = open[0].bound;
    for _ in 0..parts {
        // The part that may hold the most is looked into.
        let Some(at) = (0..open.len()).max_by(|a, b| open[*a].bound.total_cmp(&open[*b].bound)) else { break };
        bound = open[at].bound;
        if bound <= search.held.gain() + (gap * search.held.gain().abs()).max(1e-3) {
            break;
        }
        let part = open.swap_remove(at);
        let undecided = (0..model.weeks).filter(|week| part.weeks[*week] == Decided::Open && part.doubt[*week] > 0.0);
        let Some(week) = undecided.max_by(|a, b| part.doubt[*a].total_cmp(&part.doubt[*b]).then(b.cmp(a))) else {
            // Nothing of it is in doubt between grounds: what is left open lies inside of them.
            open.push(part);
            break;
        };
        for decided in [Decided::Visited, Decided::Closed] {
            let mut weeks = part.weeks.clone();
            weeks[week] = decided;
            let child = Part { weeks, prices: part.prices.clone(), bound: part.bound, doubt: vec![0.0; model.weeks] };
            open.push(search.priced(child, STEPS_OF_PART));
        }
        bound = open.iter().map(|part| part.bound).fold(f64::NEG_INFINITY, f64::max);
    }
    let bound = bound.max(search.held.gain());
    Some(Found { selection: search.held, bound })
}

impl Search<'_, '_> {
    /// What the programme held does on each ground is known.
    fn learn(&mut self) {
        let list = self.held.list();
        for (ground, known) in self.known.iter_mut().enumerate() {
            let here: Vec<usize> =
                list.iter().copied().filter(|at| self.model.candidates[*at].planned.ground == ground).collect();
            if !known.contains(&here) {
                known.push(here);
            }
        }
    }

    /// The way is split by what grounds could gain.
    fn first_prices(&self) -> Prices {
        let most: Vec<f64> = (0..self.grounds.len())
            .map(|ground| {
                let cells = self
                    .model
                    .cells
                    .iter()
                    .filter(|cell| self.model.candidates[cell.covers[0].0].planned.ground == ground);
                cells.map(|cell| cell.damage * (cell.covers[0].1 - cell.base)).sum::<f64>().max(1e-9)
            })
            .collect();
        let all: f64 = most.iter().sum();
        Prices {
            way: most.iter().map(|most| vec![most / all; self.model.weeks]).collect(),
            money: 0.0,
            rows: vec![0.0; self.shared.len()],
        }
    }

    /// What each candidate costs at prices.
    fn costs(&self, prices: &Prices, weeks: &[Decided]) -> Vec<f64> {
        let one = 1.0 + prices.money;
        let mut costs: Vec<f64> = self
            .model
            .candidates
            .iter()
            .map(|candidate| {
                let week = candidate.planned.week.index();
                match weeks[week] {
                    Decided::Closed => f64::INFINITY,
                    Decided::Visited => candidate.cost * one,
                    Decided::Open => {
                        (candidate.cost + self.model.travel * prices.way[candidate.planned.ground][week]) * one
                    }
                }
            })
            .collect();
        for (row, price) in self.shared.iter().zip(&prices.rows) {
            let row = &self.model.rows[*row];
            for (at, part) in &row.terms {
                costs[*at] += price * part / row.limit.max(1e-9);
            }
        }
        costs
    }

    /// The best of each ground at prices, two at a time.
    fn solved(&self, costs: &[f64]) -> Vec<(f64, Vec<usize>)> {
        let one = |ground: usize| -> (f64, Vec<usize>) {
            let search = &self.grounds[ground];
            let best = self.known[ground]
                .iter()
                .filter(|known| search.is_sound(known))
                .map(|known| (search.value(costs, known), known))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            let least = best.map_or(f64::NEG_INFINITY, |best| best.0);
            let GroundBest { chosen, bound } = search.best(costs, least, LABELS);
            let chosen = chosen.or_else(|| best.map(|best| best.1.clone())).unwrap_or_default();
            (bound, chosen)
        };
        let count = self.grounds.len();
        let mut all: Vec<Option<(f64, Vec<usize>)>> = vec![None; count];
        // Grounds next to each other in the list are often alike: each thread takes every other one.
        std::thread::scope(|scope| {
            let threads: Vec<_> = (0..2)
                .map(|thread| {
                    let one = &one;
                    scope.spawn(move || {
                        (thread..count).step_by(2).map(|ground| (ground, one(ground))).collect::<Vec<_>>()
                    })
                })
                .collect();
            for thread in threads {
                for (ground, found) in thread.join().unwrap_or_default() {
                    all[ground] = Some(found);
                }
            }
        });
        all.into_iter().map(|found| found.unwrap_or((f64::INFINITY, Vec::new()))).collect()
    }

    /// Lowers the bound of a part by steps of its prices, and settles programmes on the way.
    fn priced(&mut self, mut part: Part, steps: u32) -> Part {
        let mut prices = part.prices.clone();
        let mut length = 1.0;
        let mut since = 0;
        let visited = part.weeks.iter().filter(|decided| **decided == Decided::Visited).count() as f64;
        for step in 0..steps {
            let costs = self.costs(&prices, &part.weeks);
            let solved = self.solved(&costs);
            let mut bound: f64 = solved.iter().map(|(bound, _)| bound).sum();
            bound -= visited * self.model.travel * (1.0 + prices.money);
            bound += prices.rows.iter().sum::<f64>();
            if let Some((_, most)) = self.model.budget {
                bound += prices.money * most;
            }
            if bound < part.bound - 1e-6 {
                part.bound = bound;
                part.prices = prices.clone();
                since = 0;
            } else {
                since += 1;
                if since >= 3 {
                    length *= 0.6;
                    since = 0;
                }
            }
            for (known, (_, chosen)) in self.known.iter_mut().zip(&solved) {
                if !known.contains(chosen) {
                    known.push(chosen.clone());
                }
            }
            let chosen: Vec<Vec<usize>> = solved.into_iter().map(|(_, chosen)| chosen).collect();
            if step % 3 == 0 {
                self.settle(chosen.clone(), prices.money);
            }
            let over = part.bound - self.held.gain();
            if over <= (self.gap * self.held.gain().abs()).max(1e-3) || part.bound == f64::NEG_INFINITY {
                break;
            }
            self.step(&mut part, &mut prices, &chosen, length * over, visited);
        }
        part
    }

    /// One step of prices against what is used too much.
    fn step(&self, part: &mut Part, prices: &mut Prices, chosen: &[Vec<usize>], length: f64, visited: f64) {
        let (model, count) = (self.model, chosen.len());
        let mut visits = vec![vec![0.0; model.weeks]; count];
        let mut spent = visited * model.travel;
        let mut used = vec![0.0; model.rows.len()];
        for (ground, chosen) in chosen.iter().enumerate() {
            for at in chosen {
                let week = model.candidates[*at].planned.week.index();
                visits[ground][week] = 1.0;
                spent += model.candidates[*at].cost;
                if part.weeks[week] == Decided::Open {
                    spent += model.travel * prices.way[ground][week];
                }
                for (row, by) in &model.rows_of[*at] {
                    used[*row] += by;
                }
            }
        }
        let money = model.budget.map_or(0.0, |(_, most)| spent - most);
        let rows: Vec<f64> =
            self.shared.iter().map(|row| used[*row] / model.rows[*row].limit.max(1e-9) - 1.0).collect();
        let mut norm = 0.0;
        let mut along = vec![vec![0.0; model.weeks]; count];
        for week in (0..model.weeks).filter(|week| part.weeks[*week] == Decided::Open) {
            let mean = visits.iter().map(|of| of[week]).sum::<f64>() / count as f64;
            part.doubt[week] = part.doubt[week] * 0.8 + mean * (1.0 - mean);
            for ground in 0..count {
                along[ground][week] = visits[ground][week] - mean;
                norm += (along[ground][week] * model.travel).powi(2);
            }
        }
        if money > 0.0 || prices.money > 0.0 {
            norm += money * money;
        }
        norm += rows.iter().map(|by| by * by).sum::<f64>();
        if norm <= 1e-12 {
            return;
        }
        let length = length / norm;
        for week in 0..model.weeks {
            for (way, along) in prices.way.iter_mut().zip(&along) {
                way[week] = (way[week] + length * along[week] * model.travel).max(0.0);
            }
            let all: f64 = prices.way.iter().map(|way| way[week]).sum();
            for way in &mut prices.way {
                way[week] = if all > 0.0 { way[week] / all } else { 1.0 / count as f64 };
            }
        }
        prices.money = (prices.money + length * money).max(0.0);
        for (price, by) in prices.rows.iter_mut().zip(rows) {
            *price = (*price + length * by).max(0.0);
        }
    }

    /// From a choice for each ground to a programme: one ground after the other is solved anew, where a week in which
    /// another is treated costs no way.
    fn settle(&mut self, mut chosen: Vec<Vec<usize>>, money: f64) {
        let model = self.model;
        for _ in 0..4 {
            let mut is_changed = false;
            for ground in 0..chosen.len() {
                let mut is_visited = vec![false; model.weeks];
                for (_, of) in chosen.iter().enumerate().filter(|(other, _)| *other != ground) {
                    for at in of {
                        is_visited[model.candidates[*at].planned.week.index()] = true;
                    }
                }
                let costs: Vec<f64> = model
                    .candidates
                    .iter()
                    .map(|candidate| {
                        let way = if is_visited[candidate.planned.week.index()] { 0.0 } else { model.travel };
                        (candidate.cost + way) * (1.0 + money)
                    })
                    .collect();
                // The way of a week is paid once: each week has one application on a ground at the most.
                let search = &self.grounds[ground];
                let least = if search.is_sound(&chosen[ground]) {
                    search.value(&costs, &chosen[ground])
                } else {
                    f64::NEG_INFINITY
                };
                if let Some(better) = search.best(&costs, least, LABELS_TO_SETTLE).chosen {
                    chosen[ground] = better;
                    is_changed = true;
                }
            }
            if !is_changed {
                break;
            }
        }
        let mut selection = Selection::empty(model);
        let mut all: Vec<usize> = chosen.into_iter().flatten().collect();
        all.sort_unstable();
        for at in all {
            if selection.allows(self.index, at) {
                selection.add(self.index, at);
            }
        }
        let is_sound = (0..model.of_ground.len()).all(|ground| selection.runs_are_sound(ground));
        if is_sound && selection.beats(&self.held) {
            self.held = selection;
            self.learn();
        }
    }
}
