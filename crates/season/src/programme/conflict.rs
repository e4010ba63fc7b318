//! Rules that stand against each other: a set of which none can be left out without the rest being kept by some
//! programme.

use super::model::Model;
use super::request::SeasonRequest;
use super::rule::Rule;
use super::solve::{Effort, is_feasible};

/// Rules that no programme keeps all together.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The rules.
    pub rules: Vec<ConflictRule>,
    /// Whether the set is irreducible: without any one of them the others can be kept. Not every such set is the smallest
    /// there is. `false` where the effort did not suffice to find that out for some of them.
    pub is_irreducible: bool,
}

/// One of them.
#[derive(Debug, Clone, PartialEq)]
pub struct ConflictRule {
    /// The rule.
    pub rule: Rule,
    /// Whether it was asked for and may be taken back: a pin, a requirement, the budget, what is forbidden or closed.
    pub is_asked: bool,
}

/// Leaves out what can be left out while the rest still stands against itself.
///
/// # Source
/// Deletion filter: Chinneck and Dravnieks 1991, "Locating minimal infeasible constraint sets in linear programs",
/// over named rules in place of single rows; halves first, then single rules.
pub(crate) fn conflict(request: &SeasonRequest, effort: Effort) -> Conflict {
    let rules = Model::build(request, &|_| true).rules;
    let mut active = vec![true; rules.len()];
    let mut is_irreducible = true;
    let mut width = rules.len().div_ceil(2).max(1);
    loop {
        let mut first = 0;
        while first < rules.len() {
            let tried: Vec<usize> = (first..(first + width).min(rules.len())).filter(|at| active[*at]).collect();
            first += width;
            if tried.is_empty() {
                continue;
            }
            for at in &tried {
                active[*at] = false;
            }
            let found = is_feasible(&Model::build(request, &|at| active[at]), effort);
            if found != Some(false) {
                for at in &tried {
                    active[*at] = true;
                }
                is_irreducible &= found.is_some() || width > 1;
            }
        }
        if width == 1 {
            break;
        }
        width = width.div_ceil(2);
    }
    let kept = rules.into_iter().zip(active).filter(|(_, is_active)| *is_active);
    let rules = kept.map(|(rule, _)| ConflictRule { is_asked: rule.kind.is_asked(), rule }).collect();
    Conflict { rules, is_irreducible }
}
