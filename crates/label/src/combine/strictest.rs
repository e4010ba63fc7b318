//! Keeping the strictest of several statements on one subject, with its sentence.

use crate::clause::{Clause, Statement, Strength};
use crate::constraint::Range;

/// A value with the sentence that set it and the label on which the sentence stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Required<T> {
    /// What is required.
    pub value: T,
    /// In which words.
    pub clause: Clause,
    /// The `id` of the label.
    pub label: String,
}

/// The strictest value of one subject. An advisory one never takes the place of a mandatory one:
/// both are kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound<T> {
    /// The strictest that binds; a breach refuses.
    pub mandatory: Option<Required<T>>,
    /// The strictest of best practice; a breach asks for a reason.
    pub advisory: Option<Required<T>>,
    /// Whether no label sets a limit or says that the subject does not apply.
    pub silent: bool,
}

impl<T> Default for Bound<T> {
    fn default() -> Self {
        Self { mandatory: None, advisory: None, silent: true }
    }
}

impl<T> Bound<T> {
    /// What is required, the mandatory first.
    pub fn iter(&self) -> impl Iterator<Item = &Required<T>> {
        self.mandatory.iter().chain(&self.advisory)
    }

    /// The mandatory value, when there is one.
    pub fn binding(&self) -> Option<&T> {
        self.mandatory.as_ref().map(|required| &required.value)
    }

    pub(super) fn take(&mut self, value: T, clause: &Clause, label: &str, is_stricter: impl Fn(&T, &T) -> bool) {
        let place = match clause.strength {
            Strength::Mandatory => &mut self.mandatory,
            Strength::Advisory => &mut self.advisory,
            // What only informs sets no limit, and leaves the subject as silent as it was.
            Strength::Descriptive => return,
        };
        if place.as_ref().is_none_or(|held| is_stricter(&value, &held.value)) {
            *place = Some(Required { value, clause: clause.clone(), label: label.to_owned() });
        }
    }

    /// As [`Bound::heed`], where a stated sentence speaks of this bound only if `speaks`.
    pub(super) fn heed_if<S>(&mut self, statement: &Statement<S>, speaks: impl Fn(&S) -> bool) {
        if statement.value().is_none_or(speaks) {
            self.heed(statement);
        }
    }

    pub(super) fn heed<S>(&mut self, statement: &Statement<S>) {
        let informs = statement.clause().is_some_and(|clause| clause.strength == Strength::Descriptive);
        if !statement.is_silent() && !informs {
            self.silent = false;
        }
    }
}

/// The strictest lower and the strictest upper end of one subject.
#[derive(Debug, Clone, PartialEq)]
pub struct RangeBound<T> {
    /// At least: the highest of the lower ends.
    pub at_least: Bound<T>,
    /// At most: the lowest of the upper ends.
    pub at_most: Bound<T>,
}

impl<T> Default for RangeBound<T> {
    fn default() -> Self {
        Self { at_least: Bound::default(), at_most: Bound::default() }
    }
}

pub(super) fn push<T>(list: &mut Vec<Required<T>>, value: T, clause: &Clause, label: &str) {
    list.push(Required { value, clause: clause.clone(), label: label.to_owned() });
}

pub(super) fn add_each<T: Clone + PartialEq>(list: &mut Vec<Required<T>>, statement: &Statement<T>, label: &str) {
    if let Statement::Stated { value, clause } = statement {
        let again = list.iter().any(|held| held.value == *value && held.clause == *clause && held.label == label);
        if !again {
            push(list, value.clone(), clause, label);
        }
    }
}

pub(super) fn add_all<T: Clone + PartialEq>(list: &mut Vec<Required<T>>, statements: &[Statement<T>], label: &str) {
    for statement in statements {
        add_each(list, statement, label);
    }
}

pub(super) fn add_more<T: Copy + PartialOrd>(bound: &mut Bound<T>, statement: &Statement<T>, label: &str) {
    bound.heed(statement);
    if let Statement::Stated { value, clause } = statement {
        bound.take(*value, clause, label, |new, held| new > held);
    }
}

pub(super) fn add_less<T: Copy + PartialOrd>(bound: &mut Bound<T>, statement: &Statement<T>, label: &str) {
    bound.heed(statement);
    if let Statement::Stated { value, clause } = statement {
        bound.take(*value, clause, label, |new, held| new < held);
    }
}

pub(super) fn add_flag(bound: &mut Bound<bool>, statement: &Statement<bool>, label: &str) {
    bound.heed(statement);
    if let Statement::Stated { value: true, clause } = statement {
        bound.take(true, clause, label, |_, _| false);
    }
}

pub(super) fn add_range<T: Copy + PartialOrd>(bound: &mut RangeBound<T>, statement: &Statement<Range<T>>, label: &str) {
    // An end that a sentence leaves open is as silent as before.
    bound.at_least.heed_if(statement, |range| range.at_least.is_some());
    bound.at_most.heed_if(statement, |range| range.at_most.is_some());
    if let Statement::Stated { value, clause } = statement {
        if let Some(least) = value.at_least {
            bound.at_least.take(least, clause, label, |new, held| new > held);
        }
        if let Some(most) = value.at_most {
            bound.at_most.take(most, clause, label, |new, held| new < held);
        }
    }
}
