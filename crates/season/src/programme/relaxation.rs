//! The integer programme as the solver takes it, and the cuts that make its linear relaxation tight.
//!
//! What is controlled in a cell is the best of what acts, a maximum. For any threshold `c` and any choice `x` it is at
//! most `c + sum over what acts stronger than c of (share - c) x`, with equality at a whole choice where `c` is the
//! best share. These are the facets of location problems (Cornuéjols, Nemhauser and Wolsey 1990, "The uncapacitated
//! facility location problem", the submodular form); only those that the relaxation breaks are added. Runs of one
//! group in a stretch of weeks come likewise: members there are at most `most x (1 + others there)`.

use super::model::{Bind, Model};
use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

/// What a cut holds down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cut {
    /// The share controlled in a cell, at this threshold.
    Cell(usize, f64),
    /// Members of a sequence from a first to a last week.
    Run(usize, usize, usize),
}

/// What the solver is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Aim {
    /// The most gain.
    Gain,
    /// Any choice that keeps the rules.
    Feasible,
}

/// A problem for the solver with the handles of its variables.
pub(crate) struct Relaxation {
    pub(crate) problem: Problem,
    /// By candidate.
    pub(crate) chosen: Vec<Variable>,
    /// By cell, the share above its base.
    controlled: Vec<Variable>,
    /// The solver's figure of a gain of one minor unit.
    pub(crate) scale: f64,
}

/// Broken by less is not broken.
const SLACK: f64 = 1e-6;

impl Relaxation {
    /// The problem with these cuts; candidates whole or as shares of one.
    pub(crate) fn new(model: &Model, cuts: &[Cut], aim: Aim, is_whole: bool) -> Self {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        let is_gain = aim == Aim::Gain;
        let largest = model.cells.iter().map(|cell| cell.damage).chain(model.candidates.iter().map(|one| one.cost));
        let scale = 1.0 / largest.fold(1.0, f64::max);
        let weigh = |value: f64| if is_gain { value * scale } else { 0.0 };
        let chosen: Vec<Variable> = model
            .candidates
            .iter()
            .map(|candidate| {
                let value = weigh(-candidate.cost);
                if is_whole { problem.add_binary_var(value) } else { problem.add_var(value, (0.0, 1.0)) }
            })
            .collect();
        let controlled: Vec<Variable> = if is_gain {
            model
                .cells
                .iter()
                .map(|cell| problem.add_var(weigh(cell.damage), (0.0, cell.covers[0].1 - cell.base)))
                .collect()
        } else {
            Vec::new()
        };
        let mut relaxation = Self { problem, chosen, controlled, scale };
        relaxation.visits(model, weigh(-model.travel));
        relaxation.rows(model);
        relaxation.exclusions(model);
        if is_gain {
            for cell in 0..model.cells.len() {
                relaxation.cut(model, Cut::Cell(cell, model.cells[cell].base));
            }
        }
        for cut in cuts.iter().filter(|cut| is_gain || matches!(cut, Cut::Run(..))) {
            relaxation.cut(model, *cut);
        }
        relaxation
    }

    /// A week with an application is a visit; and the budget over both.
    fn visits(&mut self, model: &Model, value: f64) {
        if model.travel <= 0.0 && model.budget.is_none() {
            return;
        }
        let mut money: Vec<(Variable, f64)> = Vec::new();
        if model.travel > 0.0 {
            let visits: Vec<Variable> = (0..model.weeks).map(|_| self.problem.add_var(value, (0.0, 1.0))).collect();
            for (ground, here) in model.of_ground.iter().enumerate() {
                for (week, visit) in visits.iter().enumerate() {
                    let of_week: Vec<Variable> = here
                        .iter()
                        .filter(|at| model.candidates[**at].planned.week.index() == week)
                        .map(|at| self.chosen[*at])
                        .collect();
                    self.at_most_one_of(&of_week, *visit, model.is_single[ground]);
                }
            }
            money.extend(visits.into_iter().map(|visit| (visit, model.travel)));
        }
        if let Some((_, most)) = model.budget {
            money.extend(self.chosen.iter().zip(&model.candidates).map(|(one, candidate)| (*one, candidate.cost)));
            let most = most.max(1.0);
            let terms: Vec<_> = money.into_iter().map(|(variable, cost)| (variable, cost / most)).collect();
            self.problem.add_constraint(terms, ComparisonOp::Le, 1.0);
        }
    }

    /// Each at most the other variable, all together where only one can be chosen.
    fn at_most_one_of(&mut self, several: &[Variable], above: Variable, is_single: bool) {
        if is_single && !several.is_empty() {
            let terms: Vec<_> = several.iter().map(|one| (*one, 1.0)).chain(std::iter::once((above, -1.0))).collect();
            self.problem.add_constraint(terms, ComparisonOp::Le, 0.0);
        } else {
            for one in several {
                self.problem.add_constraint([(*one, 1.0), (above, -1.0)], ComparisonOp::Le, 0.0);
            }
        }
    }

    fn rows(&mut self, model: &Model) {
        for row in &model.rows {
            let mut terms: Vec<_> = row.terms.iter().map(|(at, part)| (self.chosen[*at], *part)).collect();
            let most: f64 = row.terms.iter().map(|(_, part)| part).sum();
            match row.bind {
                Bind::AtLeast => self.problem.add_constraint(terms, ComparisonOp::Ge, row.limit),
                Bind::AtMost if most <= row.limit => {}
                Bind::AtMost => match &row.only_if {
                    None => self.problem.add_constraint(terms, ComparisonOp::Le, row.limit),
                    Some(holders) => {
                        let holds = self.problem.add_var(0.0, (0.0, 1.0));
                        for holder in holders {
                            let pair = [(self.chosen[*holder], 1.0), (holds, -1.0)];
                            self.problem.add_constraint(pair, ComparisonOp::Le, 0.0);
                        }
                        terms.push((holds, most - row.limit));
                        self.problem.add_constraint(terms, ComparisonOp::Le, most);
                    }
                },
            }
        }
    }

    fn exclusions(&mut self, model: &Model) {
        for exclusion in &model.exclusions {
            let Some(first) = exclusion.one.first().or(exclusion.other.first()) else { continue };
            let is_single = model.is_single[model.candidates[*first].planned.ground];
            let one = self.problem.add_var(0.0, (0.0, 1.0));
            let other = self.problem.add_var(0.0, (0.0, 1.0));
            self.problem.add_constraint([(one, 1.0), (other, 1.0)], ComparisonOp::Le, 1.0);
            for (list, above) in [(&exclusion.one, one), (&exclusion.other, other)] {
                for week in 0..model.weeks {
                    let of_week: Vec<Variable> = list
                        .iter()
                        .filter(|at| model.candidates[**at].planned.week.index() == week)
                        .map(|at| self.chosen[*at])
                        .collect();
                    self.at_most_one_of(&of_week, above, is_single);
                }
            }
        }
    }

    fn cut(&mut self, model: &Model, cut: Cut) {
        match cut {
            Cut::Cell(at, threshold) => {
                let cell = &model.cells[at];
                let above = cell.covers.iter().take_while(|(_, share)| *share > threshold);
                let mut terms: Vec<_> =
                    above.map(|(candidate, share)| (self.chosen[*candidate], threshold - share)).collect();
                terms.push((self.controlled[at], 1.0));
                self.problem.add_constraint(terms, ComparisonOp::Le, threshold - cell.base);
            }
            Cut::Run(at, from, to) => {
                let sequence = &model.sequences[at];
                let most = f64::from(sequence.most);
                let mut terms = Vec::new();
                for candidate in &model.of_ground[sequence.ground] {
                    let planned = model.candidates[*candidate].planned;
                    if (from..=to).contains(&planned.week.index()) {
                        let part = if sequence.member[planned.product_use] { 1.0 } else { -most };
                        terms.push((self.chosen[*candidate], part));
                    }
                }
                let before = if from == 0 { f64::from(sequence.before) } else { 0.0 };
                self.problem.add_constraint(terms, ComparisonOp::Le, most - before);
            }
        }
    }

    /// The cuts that a solution breaks.
    pub(crate) fn broken(&self, model: &Model, solution: &Solution) -> Vec<Cut> {
        let chosen: Vec<f64> = self.chosen.iter().map(|one| solution.var_value_raw(*one)).collect();
        let mut cuts = Vec::new();
        for (at, variable) in self.controlled.iter().enumerate() {
            let (threshold, most) = tightest(model, at, &chosen);
            if solution.var_value_raw(*variable) > most + SLACK {
                cuts.push(Cut::Cell(at, threshold));
            }
        }
        cuts.extend(broken_runs(model, &chosen));
        cuts
    }
}

/// The threshold whose cut holds a cell down most, and to which share above its base.
fn tightest(model: &Model, at: usize, chosen: &[f64]) -> (f64, f64) {
    let cell = &model.cells[at];
    let (mut sum, mut weighed) = (0.0, 0.0);
    for (candidate, share) in &cell.covers {
        // Beyond here a lower threshold takes more from the sum than it gives.
        if sum + chosen[*candidate] >= 1.0 {
            return (*share, share - cell.base + weighed - sum * share);
        }
        sum += chosen[*candidate];
        weighed += chosen[*candidate] * share;
    }
    (cell.base, weighed - sum * cell.base)
}

/// For each sequence the stretches of weeks in which it is broken, the worst for each first week.
fn broken_runs(model: &Model, chosen: &[f64]) -> Vec<Cut> {
    let mut cuts = Vec::new();
    for (at, sequence) in model.sequences.iter().enumerate() {
        let most = f64::from(sequence.most);
        let mut by_week = vec![0.0; model.weeks];
        for candidate in &model.of_ground[sequence.ground] {
            let planned = model.candidates[*candidate].planned;
            let part = if sequence.member[planned.product_use] { 1.0 } else { -most };
            by_week[planned.week.index()] += part * chosen[*candidate];
        }
        for from in 0..model.weeks {
            let mut sum = if from == 0 { f64::from(sequence.before) } else { 0.0 };
            let mut worst = (most + SLACK, None);
            for (to, part) in by_week.iter().enumerate().skip(from) {
                sum += part;
                if sum > worst.0 {
                    worst = (sum, Some(to));
                }
            }
            if let Some(to) = worst.1 {
                cuts.push(Cut::Run(at, from, to));
            }
        }
    }
    cuts
}
