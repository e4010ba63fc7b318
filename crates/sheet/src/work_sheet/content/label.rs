//! What the labels say, in their own words: equipment to wear, sentences to keep, cautions.

use super::clause;
use label::{PpeTask, Strength};
use serde_json::{Value, json};
use treatment::{Ppe, Sentence, Visit};

/// What to wear at which work; pieces that one sentence asks for at the same work share a row.
pub(super) fn ppe(visit: &Visit) -> Value {
    let tasks = [
        (PpeTask::Mixing, "Mixing, loading"),
        (PpeTask::Applying, "Applying"),
        (PpeTask::CleanUp, "Clean-up, repair"),
        (PpeTask::EarlyEntry, "Early entry"),
    ];
    let used: Vec<_> =
        tasks.into_iter().filter(|(task, _)| visit.ppe.iter().any(|piece| piece.tasks.contains(task))).collect();
    let mut groups: Vec<(&Ppe, Vec<&str>)> = Vec::new();
    for piece in &visit.ppe {
        let same = |held: &Ppe| {
            held.clause.is_some() && (&held.tasks, &held.clause, held.page) == (&piece.tasks, &piece.clause, piece.page)
        };
        match groups.iter_mut().find(|(held, _)| same(held)) {
            Some((_, items)) => items.push(&piece.item),
            None => groups.push((piece, vec![&piece.item])),
        }
    }
    let rows: Vec<Value> = groups
        .into_iter()
        .map(|(piece, items)| {
            let wear: Vec<bool> = used.iter().map(|(task, _)| piece.tasks.contains(task)).collect();
            json!({ "item": items.join("; "), "wear": wear, "clause": clause(piece.clause.as_deref(), piece.page) })
        })
        .collect();
    let heads: Vec<&str> = used.iter().map(|(_, head)| *head).collect();
    json!({ "tasks": heads, "rows": rows })
}

/// Sentences with their source.
pub(super) fn sentences(visit: &Visit, list: &[Sentence]) -> Vec<Value> {
    list.iter().map(|own| sentence(visit, own)).collect()
}

/// The source is the page alone where only one label speaks.
fn sentence(visit: &Visit, sentence: &Sentence) -> Value {
    let product = sentence.label.as_ref().map(|id| {
        let total = visit.products.iter().find(|total| total.label == *id);
        total.map_or(id.as_str(), |total| &total.product)
    });
    let many = visit.products.len() > 1;
    let source = match (product, sentence.page) {
        (Some(product), Some(page)) if many => Some(format!("{product}, page {page}")),
        (Some(product), None) if many => Some(product.to_owned()),
        (Some(_), Some(page)) => Some(format!("page {page}")),
        (Some(_), None) => Some("label".to_owned()),
        (None, _) => None,
    };
    json!({ "text": sentence.text, "source": source })
}

/// The sentences that only a person on the spot can keep, those that bind first.
pub(super) fn directions(visit: &Visit) -> Vec<Value> {
    let own = |direction: &treatment::Direction| {
        let mut value = sentence(visit, &direction.sentence);
        value["binds"] = json!(direction.strength == Strength::Mandatory);
        value
    };
    visit.directions.iter().map(own).collect()
}

/// The cautions by subject.
pub(super) fn cautions(visit: &Visit) -> Vec<Value> {
    let mut subjects: Vec<_> = visit.cautions.iter().map(|caution| caution.subject).collect();
    subjects.sort_unstable();
    subjects.dedup();
    subjects
        .into_iter()
        .map(|subject| {
            let own = visit.cautions.iter().filter(|caution| caution.subject == subject);
            let sentences: Vec<Value> = own.map(|caution| sentence(visit, &caution.sentence)).collect();
            let first_aid = subject == treatment::CautionSubject::FirstAid;
            json!({ "heading": subject.heading(), "sentences": sentences, "first_aid": first_aid })
        })
        .collect()
}
