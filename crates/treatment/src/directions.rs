//! Sentences of the labels that no figure proves, and those on who may apply.

use crate::request::VisitRequest;
use crate::resolve::Resolved;
use crate::verdict::{Origin, Status, Verdict, breach};
use crate::visit::{Direction, Sentence};
use label::{Clause, Strength};

/// Subjects that a verdict, an hour, a zone or a figure of the plan holds, or that stand in a part of
/// the sheet of their own. Every other sentence is printed for a person to keep: a subject that is
/// added to labels and forgotten here is printed, never lost.
const HELD: &[&str] = &[
    "carrier",
    "cap",
    "maximum_applications",
    "minimum_interval_days",
    "consecutive_same_group",
    "keep_off",
    "restricted_entry",
    "rain_free",
    "irrigation",
    "not_during_rain",
    "not_on_saturated_soil",
    "temperature",
    "wind",
    "not_during_inversion",
    "relative_humidity",
    "buffer",
    "ppe",
    "prohibited_method",
    "prohibited_site",
    "posting",
    "certified_only",
];

/// Every sentence of the labels used that is not held elsewhere, once, the mandatory first.
pub(crate) fn directions(tasks: &[Resolved<'_>]) -> Vec<Direction> {
    let mut all: Vec<Direction> = Vec::new();
    for product in tasks.iter().flat_map(Resolved::products) {
        let mut add = |subject, strength, clause: &Clause, text: String| {
            let sentence = Sentence { text, page: clause.page, label: Some(product.label.id.clone()) };
            let new = Direction { subject, strength, sentence };
            if !all.contains(&new) {
                all.push(new);
            }
        };
        let stated = product.label.restraints.sentences().into_iter().chain(product.row.constraints.sentences());
        // What only informs holds nothing, so it is printed whatever its subject.
        let is_held =
            |subject: &str, clause: &Clause| HELD.contains(&subject) && clause.strength != Strength::Descriptive;
        for (subject, clause) in stated.filter(|(subject, clause)| !is_held(subject, clause)) {
            add(subject, clause.strength, clause, clause.text.clone());
        }
        for excluded in &product.row.excluded {
            add("excluded", product.row.clause.strength, &product.row.clause, format!("Not on: {excluded}"));
        }
        let choice = product.row.rate.value().and_then(|range| range.choice.as_ref());
        if let (Some(words), Some(clause)) = (choice, product.row.rate.clause()) {
            // Which rate to take is for the practitioner to judge.
            add("rate", Strength::Advisory, clause, words.clone());
        }
    }
    all.sort_by_key(|direction| direction.strength);
    all
}

/// What the sentences ask before the work may start.
pub(crate) fn judge(request: &VisitRequest, tasks: &[Resolved<'_>], directions: &[Direction]) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    let binding = directions.iter().filter(|direction| direction.strength == Strength::Mandatory).count();
    if binding > 0 {
        let text = match binding {
            1 => "one sentence of the labels binds and only a person on the spot can keep it".to_owned(),
            many => format!("{many} sentences of the labels bind and only a person on the spot can keep them"),
        };
        verdicts.push(
            Verdict::new("label::directions", Status::Caution, Origin::Label, text)
                .mend("read them under “The labels say”, and keep each"),
        );
    }
    let certified = request.applicator.as_ref().is_some_and(|applicator| applicator.certified);
    if !certified {
        verdicts.push(
            Verdict::new(
                "use::applicator",
                Status::Caution,
                Origin::Rule,
                "no applicator certified for this category is named",
            )
            .mend(
                "name the certified applicator, or the one who supervises and answers for the work, as the state asks",
            ),
        );
    }
    for task in tasks {
        for only in task.requirements.certified_only.iter().filter(|only| only.value) {
            let (status, text) = if certified {
                (Status::Allowed, "for certified applicators only, and one is named")
            } else {
                (breach(only.clause.strength), "for certified applicators only, and none is named")
            };
            let verdict =
                Verdict::new("use::certified-only", status, Origin::Label, text).by(&only.clause).on(&task.request.id);
            verdicts.push(if certified { verdict } else { verdict.mend("have a certified applicator do the work") });
        }
    }
    verdicts
}
