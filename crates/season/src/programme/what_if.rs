//! What one change would bring: solved again.

use super::answer::Proof;
use super::check;
use super::model::Model;
use super::money::MinorUnits;
use super::request::{Planned, SeasonRequest};
use super::selection::{Index, Selection};
use super::solve::{Effort, Unsolved, best};

/// A change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Change {
    /// So much more money.
    MoreBudget(MinorUnits),
    /// Without the uses of a label.
    WithoutLabel(String),
}

/// What it would bring.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIf {
    /// The change.
    pub change: Change,
    /// The gain with it and its bound; `None` where no programme is lawful then.
    pub proof: Option<Proof>,
    /// The programme then.
    pub planned: Vec<Planned>,
    /// What it costs then.
    pub cost: MinorUnits,
}

/// Solves the season anew with a change, beginning with what was planned without it.
///
/// `None` where the effort did not suffice.
pub fn what_if(request: &SeasonRequest, planned: &[Planned], change: Change, effort: Effort) -> Option<WhatIf> {
    let mut changed = request.clone();
    match &change {
        Change::MoreBudget(more) => changed.budget = changed.budget.map(|budget| budget + *more),
        // Its labels' limits go with its uses; places in the lists stay what they are.
        Change::WithoutLabel(label) => {
            for at in (0..request.uses.len()).filter(|at| request.uses[*at].label == *label) {
                changed.uses[at].sites.clear();
            }
        }
    }
    let model = Model::build(&changed, &|_| true);
    let index = Index::of(&model);
    let mut begin = Selection::empty(&model);
    for at in (0..model.candidates.len()).filter(|at| planned.contains(&model.candidates[*at].planned)) {
        if begin.allows(&index, at) {
            begin.add(&index, at);
        }
    }
    let (proof, planned) = match best(&model, &index, effort, begin) {
        Ok(solved) => {
            let planned = solved.selection.planned();
            (Some(Proof::new(check::gain(&changed, &planned), solved.bound)), planned)
        }
        Err(Unsolved::Infeasible) => (None, Vec::new()),
        Err(Unsolved::Undecided | Unsolved::Solver(_)) => return None,
    };
    Some(WhatIf { change, proof, cost: check::spent(&changed, &planned), planned })
}
