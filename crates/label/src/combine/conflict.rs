//! Sentences of labels that cannot all be kept in one application.

use super::strictest::RangeBound;
use super::{Required, Requirements};
use crate::clause::{Clause, Strength};

/// Why the products of a tank mixture cannot lawfully go out together.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// Stable code, such as `mix::prohibited-partner`.
    pub rule: &'static str,
    /// What cannot be kept, in words.
    pub text: String,
    /// The sentences that stand against it, at least one.
    pub sentences: Vec<Clause>,
    /// What would settle it.
    pub mend: &'static str,
}

/// Limits that leave nothing between them, and water both required and forbidden.
pub(super) fn between(all: &Requirements) -> Vec<Conflict> {
    let mut found = Vec::new();
    found.extend(empty_range("wind", &all.wind));
    found.extend(empty_range("air temperature", &all.temperature));
    found.extend(empty_range("spray volume", &all.carrier));
    found.extend(empty_range("relative humidity", &all.relative_humidity));
    found.extend(empty_range("water pH", &all.water_ph));
    if let Some(none) = &all.irrigation_prohibited_for.mandatory {
        let binds = |clause: &Clause| clause.strength == Strength::Mandatory;
        for water in all.watering_in.iter().filter(|water| binds(&water.clause) && water.value.within <= none.value) {
            found.push(Conflict {
                rule: "mix::irrigation",
                text: format!(
                    "{} has to be watered in, within a time in which {} forbids all irrigation",
                    whose(water),
                    whose(none)
                ),
                sentences: vec![water.clause.clone(), none.clause.clone()],
                mend: "apply the two at different times, as separate tasks",
            });
        }
    }
    found
}

fn whose<T>(required: &Required<T>) -> String {
    format!("label `{}`", required.label)
}

fn empty_range<T: PartialOrd>(subject: &str, range: &RangeBound<T>) -> Option<Conflict> {
    let (least, most) = range.at_least.mandatory.as_ref().zip(range.at_most.mandatory.as_ref())?;
    (least.value > most.value).then(|| Conflict {
        rule: "mix::limits",
        text: format!("the limits of {subject} of {} and {} leave nothing between them", whose(least), whose(most)),
        sentences: vec![least.clause.clone(), most.clause.clone()],
        mend: "apply the products separately, or leave one out",
    })
}
