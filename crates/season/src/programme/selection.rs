//! A choice among the candidates, kept with everything that tells at once what one more or one fewer changes.

use super::model::{Bind, Model};
use super::request::Planned;

/// Sums of shares are compared with a hair's breadth.
const HAIR: f64 = 1e-9;

/// What is chosen, and what it comes to.
#[derive(Debug, Clone)]
pub(crate) struct Selection<'m> {
    model: &'m Model,
    chosen: Vec<bool>,
    /// By ground, what is chosen there in the order of weeks.
    here: Vec<Vec<usize>>,
    activity: Vec<f64>,
    /// By row, how many are chosen of those that make it hold.
    holding: Vec<u32>,
    /// By exclusion, how many are chosen on each side.
    sides: Vec<[u32; 2]>,
    /// By cell, the shares of what is chosen.
    shares: Vec<Vec<f64>>,
    visits: Vec<u32>,
    spent: f64,
    gained: f64,
    unmet: usize,
}

/// Where exclusions and holders stand, by candidate.
#[derive(Debug, Clone)]
pub(crate) struct Index {
    exclusions: Vec<Vec<(usize, usize)>>,
    holds: Vec<Vec<usize>>,
}

impl Index {
    pub(crate) fn of(model: &Model) -> Self {
        let mut exclusions = vec![Vec::new(); model.candidates.len()];
        for (at, exclusion) in model.exclusions.iter().enumerate() {
            for (side, list) in [&exclusion.one, &exclusion.other].into_iter().enumerate() {
                for candidate in list {
                    exclusions[*candidate].push((at, side));
                }
            }
        }
        let mut holds = vec![Vec::new(); model.candidates.len()];
        for (at, row) in model.rows.iter().enumerate() {
            for candidate in row.only_if.iter().flatten() {
                holds[*candidate].push(at);
            }
        }
        Self { exclusions, holds }
    }
}

impl<'m> Selection<'m> {
    /// Nothing chosen.
    pub(crate) fn empty(model: &'m Model) -> Self {
        let unmet = model.rows.iter().filter(|row| row.bind == Bind::AtLeast && row.limit > HAIR).count();
        Self {
            model,
            chosen: vec![false; model.candidates.len()],
            here: vec![Vec::new(); model.of_ground.len()],
            activity: vec![0.0; model.rows.len()],
            holding: vec![0; model.rows.len()],
            sides: vec![[0; 2]; model.exclusions.len()],
            shares: vec![Vec::new(); model.cells.len()],
            visits: vec![0; model.weeks],
            spent: 0.0,
            gained: 0.0,
            unmet,
        }
    }

    /// What these candidates come to.
    pub(crate) fn of(model: &'m Model, index: &Index, chosen: impl IntoIterator<Item = usize>) -> Self {
        let mut selection = Self::empty(model);
        for candidate in chosen {
            selection.add(index, candidate);
        }
        selection
    }

    /// Damage prevented less money spent, minor units.
    pub(crate) fn gain(&self) -> f64 {
        self.gained - self.spent
    }

    /// How many demands are not met.
    pub(crate) fn unmet(&self) -> usize {
        self.unmet
    }

    pub(crate) fn has(&self, candidate: usize) -> bool {
        self.chosen[candidate]
    }

    /// What is chosen, in order.
    pub(crate) fn list(&self) -> Vec<usize> {
        (0..self.chosen.len()).filter(|at| self.chosen[*at]).collect()
    }

    /// The programme that it is.
    pub(crate) fn planned(&self) -> Vec<Planned> {
        let mut planned: Vec<Planned> = self.list().into_iter().map(|at| self.model.candidates[at].planned).collect();
        planned.sort_unstable();
        planned
    }

    /// Whether it is better than another: first more demands met, then more gained.
    pub(crate) fn beats(&self, other: &Self) -> bool {
        if self.unmet == other.unmet { self.gain() > other.gain() + 1e-6 } else { self.unmet < other.unmet }
    }

    fn best(&self, cell: usize) -> f64 {
        self.shares[cell].iter().copied().fold(self.model.cells[cell].base, f64::max)
    }

    /// What one more would gain, and how many demands it would meet.
    pub(crate) fn worth(&self, candidate: usize) -> (usize, f64) {
        let model = self.model;
        let mut gain = -model.candidates[candidate].cost;
        if self.visits[model.candidates[candidate].planned.week.index()] == 0 {
            gain -= model.travel;
        }
        for (cell, share) in &model.cells_of[candidate] {
            gain += model.cells[*cell].damage * (share - self.best(*cell)).max(0.0);
        }
        let meets = model.rows_of[candidate].iter().filter(|(row, part)| {
            let row_of = &model.rows[*row];
            row_of.bind == Bind::AtLeast
                && self.activity[*row] < row_of.limit - HAIR
                && self.activity[*row] + part >= row_of.limit - HAIR
        });
        (meets.count(), gain)
    }

    /// Whether one more keeps every rule.
    pub(crate) fn allows(&self, index: &Index, candidate: usize) -> bool {
        let model = self.model;
        if self.chosen[candidate] {
            return false;
        }
        let of_candidate = &model.candidates[candidate];
        let rows_fit = model.rows_of[candidate].iter().all(|(row, part)| {
            let row_of = &model.rows[*row];
            row_of.bind == Bind::AtLeast
                || self.activity[*row] + part <= row_of.limit + HAIR
                || (row_of.only_if.is_some() && self.holding[*row] == 0 && !index.holds[candidate].contains(row))
        });
        let sides_fit = index.exclusions[candidate].iter().all(|(at, side)| self.sides[*at][1 - side] == 0);
        if !rows_fit || !sides_fit {
            return false;
        }
        if let Some((_, most)) = model.budget {
            let travel = if self.visits[of_candidate.planned.week.index()] == 0 { model.travel } else { 0.0 };
            if self.spent + of_candidate.cost + travel > most + 1e-6 {
                return false;
            }
        }
        let ground = of_candidate.planned.ground;
        if model.sequences.iter().all(|sequence| sequence.ground != ground) {
            return true;
        }
        let mut order = self.here[ground].clone();
        let at = order.partition_point(|other| model.candidates[*other].planned.week < of_candidate.planned.week);
        order.insert(at, candidate);
        self.runs_fit(ground, &order)
    }

    /// Whether runs on a ground are as they stand no longer than allowed.
    pub(crate) fn runs_are_sound(&self, ground: usize) -> bool {
        self.runs_fit(ground, &self.here[ground])
    }

    fn runs_fit(&self, ground: usize, order: &[usize]) -> bool {
        self.model.sequences.iter().filter(|sequence| sequence.ground == ground).all(|sequence| {
            let mut run = sequence.before;
            order.iter().all(|at| {
                run = if sequence.member[self.model.candidates[*at].planned.product_use] { run + 1 } else { 0 };
                run <= sequence.most
            })
        })
    }

    pub(crate) fn add(&mut self, index: &Index, candidate: usize) {
        let model = self.model;
        let of_candidate = &model.candidates[candidate];
        self.chosen[candidate] = true;
        let order = &mut self.here[of_candidate.planned.ground];
        let at = order.partition_point(|other| model.candidates[*other].planned.week < of_candidate.planned.week);
        order.insert(at, candidate);
        for (cell, share) in &model.cells_of[candidate] {
            let before = self.best(*cell);
            self.shares[*cell].push(*share);
            self.gained += model.cells[*cell].damage * (share - before).max(0.0);
        }
        self.turn(index, candidate, 1.0);
    }

    pub(crate) fn remove(&mut self, index: &Index, candidate: usize) {
        let model = self.model;
        let of_candidate = &model.candidates[candidate];
        self.chosen[candidate] = false;
        self.here[of_candidate.planned.ground].retain(|other| *other != candidate);
        for (cell, share) in &model.cells_of[candidate] {
            let before = self.best(*cell);
            if let Some(at) = self.shares[*cell].iter().position(|own| own == share) {
                self.shares[*cell].swap_remove(at);
            }
            self.gained -= model.cells[*cell].damage * (before - self.best(*cell));
        }
        self.turn(index, candidate, -1.0);
    }

    /// Counts that go up with one more and down with one fewer.
    fn turn(&mut self, index: &Index, candidate: usize, by: f64) {
        let model = self.model;
        let step = |count: &mut u32| if by > 0.0 { *count += 1 } else { *count -= 1 };
        let of_candidate = &model.candidates[candidate];
        for (row, part) in &model.rows_of[candidate] {
            let row_of = &model.rows[*row];
            let was_met = self.activity[*row] >= row_of.limit - HAIR;
            self.activity[*row] += by * part;
            let is_met = self.activity[*row] >= row_of.limit - HAIR;
            if row_of.bind == Bind::AtLeast && was_met != is_met {
                if is_met { self.unmet -= 1 } else { self.unmet += 1 }
            }
        }
        for row in &index.holds[candidate] {
            step(&mut self.holding[*row]);
        }
        for (at, side) in &index.exclusions[candidate] {
            step(&mut self.sides[*at][*side]);
        }
        let visits = &mut self.visits[of_candidate.planned.week.index()];
        let before = *visits;
        step(visits);
        self.spent += by * of_candidate.cost;
        if (before == 0) != (*visits == 0) {
            self.spent += by * model.travel;
        }
    }
}
