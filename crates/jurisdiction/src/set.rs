//! All rules that are known.

use crate::{Circumstances, Jurisdiction, Rule, RuleId};
use jiff::civil::Date;
use problem::{Problem, Problems};
use std::collections::BTreeSet;

/// Rules of any jurisdictions. What is not in it is not known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RuleSet {
    rules: Vec<Rule>,
}

impl RuleSet {
    /// A set of rules, in the order given.
    ///
    /// # Errors
    /// `rules::named-twice` for every name that two rules share.
    pub fn new(rules: Vec<Rule>) -> Result<Self, Problems> {
        let mut seen = BTreeSet::new();
        let twice: Problems = rules
            .iter()
            .filter(|rule| !seen.insert(&rule.id))
            .map(|rule| {
                Problem::error("rules::named-twice", format!("two rules have the name `{}`", rule.id))
                    .expected("a name of its own for each rule of all files")
                    .mend("rename one of them, or delete it if it is the same rule")
            })
            .collect();
        if twice.is_empty() { Ok(Self { rules }) } else { Err(twice) }
    }

    /// Every rule, ended ones among them.
    pub fn rules(&self) -> &[Rule] {
        &self.rules
    }

    /// The rule of a name.
    pub fn rule(&self, id: &RuleId) -> Option<&Rule> {
        self.rules.iter().find(|rule| rule.id == *id)
    }

    /// The rules in force at a place on a day: those of its state or province, and of its country.
    pub fn in_force<'r>(&'r self, place: &Jurisdiction, date: Date) -> impl Iterator<Item = &'r Rule> {
        self.rules.iter().filter(move |rule| rule.is_in_force(place, date))
    }

    /// The rules that bind an application.
    pub fn binding_on<'r>(&'r self, circumstances: &Circumstances) -> Vec<Binding<'r>> {
        let to_confirm = |rule: &'r Rule| {
            let answered = circumstances.conditions.contains_key(&rule.id);
            rule.only_where.as_deref().filter(|_| !answered)
        };
        self.rules
            .iter()
            .filter(|rule| rule.binds(circumstances))
            .map(|rule| Binding { rule, to_confirm: to_confirm(rule) })
            .collect()
    }

    /// Whether any rule of the state or province itself is known, on whatever day: without one, only the
    /// country's rules are told.
    pub fn knows(&self, place: &Jurisdiction) -> bool {
        self.rules.iter().any(|rule| rule.jurisdiction == *place)
    }
}

/// A rule that binds an application.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binding<'r> {
    /// The rule.
    pub rule: &'r Rule,
    /// The condition that a person has yet to judge; the rule is taken to hold until then.
    pub to_confirm: Option<&'r str>,
}
