//! The best that one ground can do by itself, at given prices for what grounds share.
//!
//! Weeks are gone through in order with labels: what was chosen so far, what it gained, what it still controls, and how
//! much of each limit it used. A label goes when another is at least as good whatever follows, or when even a bound on
//! all that can follow does not lift it above what is known to be reachable.
//!
//! # Source
//! Label setting for shortest paths with resource constraints: Irnich and Desaulniers 2005, "Shortest path problems with
//! resource constraints", in Column Generation. The bound prices what cells and limits give (Lagrange multipliers found by
//! subgradient steps, Held, Wolfe and Crowder 1974, "Validation of subgradient optimization").

use super::model::{Bind, Model};

/// Sums of shares are compared with a hair's breadth.
const HAIR: f64 = 1e-9;

/// One ground of a model, with its weeks, its cells and the rules that concern it alone.
pub(crate) struct GroundSearch<'m> {
    model: &'m Model,
    /// By week, its candidates.
    weeks: Vec<Vec<usize>>,
    /// Cells with the last week in which something can still cover them.
    cells: Vec<(usize, usize)>,
    /// By candidate of the model: cells by local number, with the share.
    covers: Vec<Vec<(usize, f64)>>,
    /// Rows, each with the last week of its terms and whether only holders make it hold.
    rows: Vec<(usize, usize)>,
    /// By row, its bit where only holders make it hold.
    bits: Vec<u128>,
    /// By candidate: rows by local number, with its part, and whether it makes the row hold.
    parts: Vec<Vec<(usize, f64, bool)>>,
    /// By candidate: the sides of exclusions that it stands on.
    sides: Vec<(u128, u128)>,
    /// By week, the sides of which the opposite can still be chosen after it.
    open_sides: Vec<u128>,
    sequences: Vec<usize>,
}

/// What was chosen so far.
#[derive(Clone)]
struct Label {
    value: f64,
    shares: Vec<f64>,
    used: Vec<f64>,
    held: u128,
    sides: u128,
    runs: Vec<u32>,
    /// Its place among all steps taken.
    step: usize,
}

/// The best of a ground.
#[derive(Debug, Clone)]
pub(crate) struct GroundBest {
    /// The choice; `None` where none gains more than was known.
    pub(crate) chosen: Option<Vec<usize>>,
    /// No choice gains more than this, or than what was known.
    pub(crate) bound: f64,
}

/// No candidate.
const NONE: usize = usize::MAX;

impl<'m> GroundSearch<'m> {
    /// `None` for a ground with more exclusions or conditional rows than a word has bits.
    pub(crate) fn new(model: &'m Model, ground: usize) -> Option<Self> {
        let here = &model.of_ground[ground];
        let mut weeks = vec![Vec::new(); model.weeks];
        for at in here {
            weeks[model.candidates[*at].planned.week.index()].push(*at);
        }
        let week_of = |at: usize| model.candidates[at].planned.week.index();
        let mut cell_number = std::collections::BTreeMap::new();
        let mut cells = Vec::new();
        let mut covers = vec![Vec::new(); model.candidates.len()];
        for at in here {
            for (cell, share) in &model.cells_of[*at] {
                let number = *cell_number.entry(*cell).or_insert_with(|| {
                    cells.push((*cell, 0));
                    cells.len() - 1
                });
                cells[number].1 = cells[number].1.max(week_of(*at));
                covers[*at].push((number, *share));
            }
        }
        for list in &mut covers {
            list.sort_by_key(|(cell, _): &(usize, f64)| *cell);
        }
        let mut rows = Vec::new();
        let mut bits: Vec<u128> = Vec::new();
        let mut conditional = 0;
        let mut parts = vec![Vec::new(); model.candidates.len()];
        for (at, row) in model.rows.iter().enumerate() {
            let is_here = |term: &(usize, f64)| model.candidates[term.0].planned.ground == ground;
            if row.terms.is_empty() || !row.terms.iter().all(is_here) {
                continue;
            }
            let most: f64 = row.terms.iter().map(|(_, part)| part).sum();
            if row.bind == Bind::AtMost && most <= row.limit {
                continue;
            }
            let last = row.terms.iter().map(|(term, _)| week_of(*term)).max().unwrap_or(0);
            for (term, part) in &row.terms {
                let holds = row.only_if.as_ref().is_some_and(|holders| holders.contains(term));
                parts[*term].push((rows.len(), *part, holds));
            }
            rows.push((at, last));
            if row.only_if.is_none() {
                bits.push(0);
            } else if conditional < 128 {
                bits.push(1 << conditional);
                conditional += 1;
            } else {
                return None;
            }
        }
        let mut sides = vec![(0, 0); model.candidates.len()];
        let mut bit = 0_u32;
        for exclusion in &model.exclusions {
            let first = exclusion.one.first().or(exclusion.other.first());
            if first.is_none_or(|first| model.candidates[*first].planned.ground != ground) {
                continue;
            }
            if bit > 126 {
                return None;
            }
            for (list, own) in [(&exclusion.one, bit), (&exclusion.other, bit + 1)] {
                for at in list {
                    sides[*at].0 |= 1_u128 << own;
                    sides[*at].1 |= 1_u128 << (2 * bit + 1 - own);
                }
            }
            bit += 2;
        }
        let sequences = (0..model.sequences.len()).filter(|at| model.sequences[*at].ground == ground).collect();
        let mut open_sides = vec![0; model.weeks];
        for week in (1..model.weeks).rev() {
            let of_week = weeks[week].iter().map(|at: &usize| sides[*at].1);
            open_sides[week - 1] = of_week.fold(open_sides[week], |all, opposite| all | opposite);
        }
        Some(Self { model, weeks, cells, covers, rows, bits, parts, sides, open_sides, sequences })
    }

    fn empty(&self) -> Label {
        Label {
            value: 0.0,
            shares: self.cells.iter().map(|(cell, _)| self.model.cells[*cell].base).collect(),
            used: vec![0.0; self.rows.len()],
            held: 0,
            sides: 0,
            runs: self.sequences.iter().map(|at| self.model.sequences[*at].before).collect(),
            step: NONE,
        }
    }

    /// A label with one application more; `None` where a rule forbids it.
    fn extended(&self, label: &Label, at: usize, price: f64) -> Option<Label> {
        let (own, opposite) = self.sides[at];
        if label.sides & opposite != 0 {
            return None;
        }
        for (row, part, holds) in &self.parts[at] {
            let row_of = &self.model.rows[self.rows[*row].0];
            if row_of.bind == Bind::AtLeast || label.used[*row] + part <= row_of.limit + HAIR {
                continue;
            }
            if row_of.only_if.is_none() || *holds || label.held & self.bits[*row] != 0 {
                return None;
            }
        }
        let product_use = self.model.candidates[at].planned.product_use;
        let mut runs = label.runs.clone();
        for (run, sequence) in runs.iter_mut().zip(&self.sequences) {
            let sequence = &self.model.sequences[*sequence];
            *run = if sequence.member[product_use] { *run + 1 } else { 0 };
            if *run > sequence.most {
                return None;
            }
        }
        let mut next = label.clone();
        next.runs = runs;
        next.sides |= own;
        next.value -= price;
        for (row, part, holds) in &self.parts[at] {
            next.used[*row] += part;
            if *holds {
                next.held |= self.bits[*row];
            }
        }
        for (cell, share) in &self.covers[at] {
            let held = &mut next.shares[*cell];
            if share > held {
                next.value += self.model.cells[self.cells[*cell].0].damage * (share - *held);
                *held = *share;
            }
        }
        Some(next)
    }

    /// The best choice at these prices by candidate, if it gains more than `least`.
    ///
    /// With more labels than `most` in a week the best of them go on: then what is found may not be the best, and the
    /// bound is what those left behind could have reached.
    pub(crate) fn best(&self, prices: &[f64], least: f64, most: usize) -> GroundBest {
        let ahead = Ahead::priced(self, prices, least.max(0.0));
        let mut steps: Vec<(usize, usize)> = Vec::new();
        let mut labels = vec![self.empty()];
        let mut left_behind = f64::NEG_INFINITY;
        let mut bounds = Vec::new();
        for week in 0..self.model.weeks {
            let mut next: Vec<Label> = Vec::new();
            for label in &labels {
                for at in &self.weeks[week] {
                    if let Some(mut longer) = self.extended(label, *at, prices[*at])
                        && ahead.bound(self, &longer, week + 1) > least + 1e-7
                    {
                        longer.step = steps.len();
                        steps.push((label.step, *at));
                        next.push(longer);
                    }
                }
            }
            labels.append(&mut next);
            labels.retain(|label| ahead.bound(self, label, week + 1) > least + 1e-7 && self.demands_met(label, week));
            labels = self.undominated(labels, week);
            if labels.len() > most {
                bounds.clear();
                bounds.extend(labels.iter().map(|label| ahead.bound(self, label, week + 1)));
                let mut order: Vec<usize> = (0..labels.len()).collect();
                order.sort_by(|a, b| bounds[*b].total_cmp(&bounds[*a]).then(a.cmp(b)));
                left_behind = f64::max(left_behind, bounds[order[most]]);
                let mut stays = vec![false; labels.len()];
                for at in &order[..most] {
                    stays[*at] = true;
                }
                let mut stays = stays.into_iter();
                labels.retain(|_| stays.next().unwrap_or(false));
            }
        }
        let best = labels.iter().max_by(|a, b| a.value.total_cmp(&b.value).then(b.step.cmp(&a.step)));
        let value = best.map_or(least, |label| label.value.max(least));
        let chosen = best.filter(|label| label.value > least).map(|label| {
            let mut chosen = Vec::new();
            let mut step = label.step;
            while step != NONE {
                chosen.push(steps[step].1);
                step = steps[step].0;
            }
            chosen.reverse();
            chosen
        });
        GroundBest { chosen, bound: value.max(left_behind) }
    }

    /// Demands whose last week has passed have to be met.
    fn demands_met(&self, label: &Label, week: usize) -> bool {
        self.rows.iter().zip(&label.used).all(|((row, last), used)| {
            let row_of = &self.model.rows[*row];
            *last != week || row_of.bind == Bind::AtMost || *used >= row_of.limit - HAIR
        })
    }

    fn undominated(&self, mut labels: Vec<Label>, week: usize) -> Vec<Label> {
        labels.sort_by(|a, b| b.value.total_cmp(&a.value).then(a.step.cmp(&b.step)));
        let open_cells: Vec<usize> = (0..self.cells.len()).filter(|at| self.cells[*at].1 > week).collect();
        let open_rows: Vec<usize> = (0..self.rows.len()).filter(|at| self.rows[*at].1 > week).collect();
        let mut kept: Vec<Label> = Vec::new();
        for label in labels {
            if !kept.iter().any(|other| self.dominates(other, &label, (&open_cells, &open_rows, self.open_sides[week])))
            {
                kept.push(label);
            }
        }
        kept
    }

    /// Whether one label is at least as good as another, whatever follows both.
    fn dominates(&self, one: &Label, other: &Label, (cells, rows, sides): (&[usize], &[usize], u128)) -> bool {
        let mut spare = one.value - other.value;
        if spare < 0.0
            || one.sides & !other.sides & sides != 0
            || one.held & !other.held != 0
            || one.runs.iter().zip(&other.runs).any(|(a, b)| a > b)
        {
            return false;
        }
        for row in rows {
            let (a, b) = (one.used[*row], other.used[*row]);
            let is_worse = match self.model.rows[self.rows[*row].0].bind {
                Bind::AtMost => a > b + HAIR,
                Bind::AtLeast => a < b - HAIR,
            };
            if is_worse {
                return false;
            }
        }
        for cell in cells {
            // What it controls already it cannot gain any more.
            let more = one.shares[*cell] - other.shares[*cell];
            if more > 0.0 {
                spare -= more * self.model.cells[self.cells[*cell].0].damage;
                if spare < 0.0 {
                    return false;
                }
            }
        }
        true
    }
}

/// What can still be gained, at the most, by prices: of each cell, for what is controlled in it only once, and of each
/// limit. At such prices candidates stand by themselves, and the best of each week adds up.
#[derive(Clone)]
struct Ahead {
    /// By cell, minor units.
    cells: Vec<f64>,
    /// By row, for the whole of its limit.
    rows: Vec<f64>,
    /// By week: what the best of each week from it on are worth beyond all prices.
    after: Vec<f64>,
    whole: f64,
}

/// Steps in the search for prices.
const PRICE_STEPS: usize = 1_500;

impl Ahead {
    /// Prices at which the bound is low, found by subgradient steps toward `least`.
    fn priced(search: &GroundSearch<'_>, prices: &[f64], least: f64) -> Self {
        let limit = |row: usize| search.model.rows[search.rows[row].0].limit;
        let priced_rows: Vec<usize> = (0..search.rows.len())
            .filter(|at| {
                let row = &search.model.rows[search.rows[*at].0];
                row.bind == Bind::AtMost && row.only_if.is_none()
            })
            .collect();
        let room: Vec<f64> = search
            .cells
            .iter()
            .map(|(cell, _)| {
                let cell = &search.model.cells[*cell];
                cell.damage * (cell.covers[0].1 - cell.base)
            })
            .collect();
        let mut tried = Self {
            cells: room.iter().map(|room| room * 0.6).collect(),
            rows: vec![0.0; search.rows.len()],
            after: vec![0.0; search.model.weeks + 1],
            whole: 0.0,
        };
        let mut best: Option<Self> = None;
        let mut length = 1.0;
        let mut since = 0;
        for _ in 0..PRICE_STEPS {
            let chosen = tried.reckon(search, prices);
            if best.as_ref().is_none_or(|best| tried.whole < best.whole - 1e-6) {
                best = Some(tried.clone());
                since = 0;
            } else {
                since += 1;
                if since >= 20 {
                    length *= 0.7;
                    since = 0;
                }
            }
            let mut on_cells = vec![1.0; search.cells.len()];
            let mut on_rows = vec![0.0; search.rows.len()];
            for row in &priced_rows {
                on_rows[*row] = 1.0;
            }
            for at in chosen {
                for (cell, share) in &search.covers[at] {
                    if search.gain(*cell, *share) > tried.cells[*cell] {
                        on_cells[*cell] -= 1.0;
                    }
                }
                for (row, part, _) in &search.parts[at] {
                    on_rows[*row] -= if on_rows[*row] > f64::NEG_INFINITY { part / limit(*row).max(1e-9) } else { 0.0 };
                }
            }
            let norm: f64 = on_cells.iter().map(|by| by * by).sum::<f64>()
                + priced_rows.iter().map(|row| on_rows[*row] * on_rows[*row]).sum::<f64>();
            if norm <= 1e-12 {
                break;
            }
            let step = length * (tried.whole - least).max(1e-3) / norm;
            for ((price, by), room) in tried.cells.iter_mut().zip(&on_cells).zip(&room) {
                *price = (*price - step * by).clamp(0.0, *room);
            }
            for row in &priced_rows {
                tried.rows[*row] = (tried.rows[*row] - step * on_rows[*row]).max(0.0);
            }
        }
        best.unwrap_or(tried)
    }

    /// Reckons the bound at the prices held, and the candidates that it stands for.
    fn reckon(&mut self, search: &GroundSearch<'_>, prices: &[f64]) -> Vec<usize> {
        let mut chosen = Vec::new();
        let limit = |row: usize| search.model.rows[search.rows[row].0].limit.max(1e-9);
        for week in (0..search.model.weeks).rev() {
            let mut best = (0.0, None);
            for at in &search.weeks[week] {
                let gained: f64 = search.covers[*at]
                    .iter()
                    .map(|(cell, share)| (search.gain(*cell, *share) - self.cells[*cell]).max(0.0))
                    .sum();
                let paid: f64 =
                    search.parts[*at].iter().map(|(row, part, _)| self.rows[*row] * part / limit(*row)).sum();
                let worth = gained - paid - prices[*at];
                if worth > best.0 {
                    best = (worth, Some(*at));
                }
            }
            self.after[week] = self.after[week + 1] + best.0;
            chosen.extend(best.1);
        }
        self.whole = self.after[0] + self.cells.iter().sum::<f64>() + self.rows.iter().sum::<f64>();
        chosen
    }

    /// What a label can come to.
    fn bound(&self, search: &GroundSearch<'_>, label: &Label, week: usize) -> f64 {
        let mut bound = label.value + self.after[week];
        for (at, (cell, last)) in search.cells.iter().enumerate() {
            if *last >= week {
                let cell = &search.model.cells[*cell];
                bound += (self.cells[at] - cell.damage * (label.shares[at] - cell.base)).max(0.0);
            }
        }
        for (at, (row, last)) in search.rows.iter().enumerate() {
            if self.rows[at] > 0.0 && *last >= week {
                let limit = search.model.rows[*row].limit.max(1e-9);
                bound += self.rows[at] * (1.0 - label.used[at] / limit).max(0.0);
            }
        }
        bound
    }
}

impl GroundSearch<'_> {
    /// What a share gains in a cell over its base.
    fn gain(&self, cell: usize, share: f64) -> f64 {
        let cell = &self.model.cells[self.cells[cell].0];
        cell.damage * (share - cell.base)
    }

    /// Whether a choice keeps the rules of the ground, demands among them.
    pub(crate) fn is_sound(&self, chosen: &[usize]) -> bool {
        let mut label = self.empty();
        for at in chosen {
            match self.extended(&label, *at, 0.0) {
                Some(longer) => label = longer,
                None => return false,
            }
        }
        (0..self.model.weeks).all(|week| self.demands_met(&label, week))
    }

    /// What a choice comes to at these prices.
    pub(crate) fn value(&self, prices: &[f64], chosen: &[usize]) -> f64 {
        let mut shares: Vec<f64> = self.cells.iter().map(|(cell, _)| self.model.cells[*cell].base).collect();
        let mut value = 0.0;
        for at in chosen {
            value -= prices[*at];
            for (cell, share) in &self.covers[*at] {
                if *share > shares[*cell] {
                    value += self.model.cells[self.cells[*cell].0].damage * (share - shares[*cell]);
                    shares[*cell] = *share;
                }
            }
        }
        value
    }
}
