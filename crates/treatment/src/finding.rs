//! What was found, and whether it justifies treating.

use crate::request::{FindingRequest, VisitRequest};
use crate::resolve::Resolved;
use crate::verdict::{Figure, Origin, Status, Verdict};
use crate::visit::Finding;
use label::Claim;

/// Words that name no pest.
const NO_PEST: &[&str] = &["insect", "insects", "bug", "bugs", "pest", "pests", "unknown", ""];

/// The finding as the visit keeps it, and what it means for treating.
pub fn judge(request: &VisitRequest, tasks: &[Resolved<'_>]) -> (Option<Finding>, Vec<Verdict>) {
    let mut verdicts = Vec::new();
    let Some(asked) = &request.finding else {
        verdicts.push(
            Verdict::new(
                "finding::none",
                Status::Caution,
                Origin::Assumed,
                "nothing is written down of what was found: a date on the calendar is no reason to treat",
            )
            .mend("identify the pest, count it, and write the finding into the request"),
        );
        return (None, verdicts);
    };
    if NO_PEST.contains(&asked.pest.trim().to_lowercase().as_str()) {
        verdicts.push(
            Verdict::new(
                "finding::no-pest",
                Status::Refused,
                Origin::Default,
                format!("`{}` is no pest that a label could name", asked.pest),
            )
            .mend("identify the pest and its stage first; drought, disease and dog spots look alike"),
        );
    }
    let found = counted(asked, &mut verdicts);
    threshold(asked, &found, tasks, &mut verdicts);
    (Some(found), verdicts)
}

fn counted(asked: &FindingRequest, verdicts: &mut Vec<Verdict>) -> Finding {
    let mut found = Finding {
        pest: asked.pest.clone(),
        stage: asked.stage.clone(),
        basis: asked.basis.clone(),
        identified_by: asked.identified_by.clone(),
        density: None,
        counts: asked.counts.len(),
        threshold: None,
    };
    let _ = verdicts;
    found.threshold = None;
    found
}

fn threshold(asked: &FindingRequest, found: &Finding, tasks: &[Resolved<'_>], verdicts: &mut Vec<Verdict>) {
    let (Some((density, _)), Some((limit, source))) = (&found.density, &found.threshold) else {
        verdicts.push(
            Verdict::new(
                "finding::no-threshold",
                Status::Caution,
                Origin::Assumed,
                "no count is held against a threshold: whether treating is needed is not shown",
            )
            .mend("count at several stations, and give a threshold with its source"),
        );
        return;
    };
    let reached = density.value >= limit.value;
    let preventive = asked.preventive
        && tasks
            .iter()
            .all(|task| task.row.pests.iter().any(|claim| claim.pest == task.pest && claim.claim == Claim::Preventive));
    let (status, word) = match (reached, preventive) {
        (true, _) => (Status::Allowed, "reaches"),
        (false, true) => (Status::Allowed, "is under, for a preventive use that the label claims,"),
        (false, false) => (Status::Caution, "is under"),
    };
    let text = format!("{} counted {word} the threshold of {} ({source})", density.show(), limit.show());
    let verdict =
        Verdict::new("finding::threshold", status, Origin::Measured, text).comparing(density.clone(), limit.clone());
    verdicts.push(if status == Status::Allowed {
        verdict
    } else {
        verdict.mend("do not treat; mow, water and count again, or treat single hot spots")
    });
}

/// A count per area as a figure per square yard.
pub(crate) fn per_square_yard(count: f64) -> Figure {
    Figure::new(count, "per sq yd", "/[syd_i]")
}
