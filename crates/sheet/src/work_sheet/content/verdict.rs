//! What was held against the plan: refusals, cautions, and where it is met most narrowly.

use super::{clause, number};
use crate::words::{capital, place, plain};
use serde_json::{Value, json};
use treatment::{Origin, Status, Verdict, Visit};

/// How many of the rules that are met stand on paper.
const TIGHTEST: usize = 3;

/// The word for the whole visit, its reasons, and for a refused one what else is to be looked at.
pub(super) fn banner(visit: &Visit) -> Value {
    let status = visit.verdict();
    let of = |wanted: Status| -> Vec<Value> {
        let groups = grouped(visit, |verdict| verdict.status == wanted);
        groups.iter().map(|(verdict, concerned)| self::verdict(visit, verdict, concerned)).collect()
    };
    let (refused, cautions) = (of(Status::Refused), of(Status::Caution));
    let points = |list: &[Value]| if list.len() == 1 { "1 point".to_owned() } else { format!("{} points", list.len()) };
    let (word, line) = match status {
        Status::Allowed => ("WITHIN THE STATED LIMITS".to_owned(), String::new()),
        Status::Caution => (
            format!("CHECK BEFORE STARTING ({})", points(&cautions)),
            "Within the stated limits as far as they are known.".to_owned(),
        ),
        Status::Refused => {
            ("REFUSED: DO NOT APPLY".to_owned(), format!("Outside the stated limits in {}.", points(&refused)))
        }
    };
    // A refused sheet prints no sentences to keep, so it does not send anyone to them.
    let to_look_at = grouped(visit, |verdict| verdict.status == Status::Caution && verdict.rule != "label::directions");
    let to_look_at = || to_look_at.iter().map(|(held, concerned)| self::verdict(visit, held, concerned)).collect();
    let (reasons, also) = if status == Status::Refused { (refused, to_look_at()) } else { (cautions, Vec::new()) };
    json!({ "status": status.word(), "word": word, "line": line, "reasons": reasons, "also": also })
}

/// The rules that are met with the least to spare, by the part of the limit that is left.
pub(super) fn tightest(visit: &Visit) -> Vec<Value> {
    let mut groups = grouped(visit, |verdict| verdict.status == Status::Allowed && left(verdict).is_some());
    groups.sort_by(|(a, _), (b, _)| left(a).unwrap_or(f64::MAX).total_cmp(&left(b).unwrap_or(f64::MAX)));
    groups.iter().take(TIGHTEST).map(|(held, concerned)| verdict(visit, held, concerned)).collect()
}

/// The part of the limit that is left, whichever side of it is the lawful one.
fn left(verdict: &Verdict) -> Option<f64> {
    let (margin, limit) = (verdict.margin.as_ref()?, verdict.limit.as_ref()?);
    (limit.value != 0.0).then(|| (margin.value / limit.value).abs())
}

/// Verdicts with what they concern; those in the same words against several tasks stand once.
fn grouped(visit: &Visit, wanted: impl Fn(&Verdict) -> bool) -> Vec<(&Verdict, Vec<&str>)> {
    let mut groups: Vec<(&Verdict, Vec<&str>)> = Vec::new();
    for verdict in visit.all_verdicts().filter(|verdict| wanted(verdict)) {
        let same = |held: &Verdict| Verdict { concerns: verdict.concerns.clone(), ..held.clone() } == *verdict;
        match groups.iter_mut().find(|(held, _)| same(held)) {
            Some((_, concerned)) => concerned.extend(verdict.concerns.as_deref()),
            None => groups.push((verdict, verdict.concerns.as_deref().into_iter().collect())),
        }
    }
    for (_, concerned) in &mut groups {
        concerned.dedup();
    }
    groups
}

fn verdict(visit: &Visit, verdict: &Verdict, concerned: &[&str]) -> Value {
    let concerns: Vec<String> = concerned.iter().map(|id| place(visit, id)).collect();
    let origin = (verdict.origin != Origin::Label).then(|| verdict.origin.word());
    json!({
        "concerns": (!concerns.is_empty()).then(|| concerns.join(", ")),
        "text": capital(&plain(visit, &verdict.text)),
        "compared": compared(verdict),
        "margin": margin(verdict),
        "origin": origin,
        "clause": clause(verdict.clause.as_deref(), verdict.page),
        "mend": verdict.mend.as_deref().map(|mend| ended(plain(visit, mend))),
    })
}

/// With a full stop, where the words bring none.
fn ended(mut text: String) -> String {
    if !text.ends_with(['.', '!', '?', '”']) {
        text.push('.');
    }
    text
}

/// `0.692 against 1.60 fl oz/1,000 sq ft`: a unit that both have is told once.
fn compared(verdict: &Verdict) -> Option<String> {
    match (&verdict.measured, &verdict.limit) {
        (Some(measured), Some(limit)) if measured.unit == limit.unit => {
            Some(format!("{} against {}", number(measured), limit.show()))
        }
        (Some(measured), Some(limit)) => Some(format!("{} against {}", measured.show(), limit.show())),
        (Some(measured), None) => Some(measured.show()),
        (None, Some(limit)) => Some(format!("limit {}", limit.show())),
        (None, None) => None,
    }
}

/// What is left to the limit; within the limit it is told how far from it, whichever side that is.
fn margin(verdict: &Verdict) -> Option<String> {
    let (margin, limit) = (verdict.margin.as_ref()?, verdict.limit.as_ref()?);
    let mut figure = margin.clone();
    // What the arithmetic loses is no margin.
    if figure.value.abs() <= 1e-9 * limit.value.abs() {
        figure.value = 0.0;
    }
    if verdict.status == Status::Allowed {
        figure.value = figure.value.abs();
    }
    Some(if figure.unit == limit.unit { number(&figure) } else { figure.show() })
}
