//! What was found, and whether it justifies treating.

use crate::request::{FindingRequest, VisitRequest};
use crate::resolve::Resolved;
use crate::verdict::{Figure, Origin, Status, Verdict};
use crate::visit::{Finding, Measure};
use label::Claim;
use quantity::{AreaUnit, counted};
use scouting::{CountBasis, Counts, Decision, Threshold, compare};

/// Words that name no pest.
const NO_PEST: &[&str] = &["insect", "insects", "bug", "bugs", "pest", "pests", "unknown", ""];

/// The finding, what it means, and its figures.
#[derive(Debug, Clone)]
pub(crate) struct Judged {
    /// As the visit keeps it.
    pub finding: Option<Finding>,
    /// What it means for treating.
    pub verdicts: Vec<Verdict>,
    /// Its figures.
    pub measures: Vec<Measure>,
}

/// The finding as the visit keeps it, and what it means for treating.
pub(crate) fn judge(request: &VisitRequest, tasks: &[Resolved<'_>]) -> Judged {
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
        return Judged { finding: None, verdicts, measures: Vec::new() };
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
    let counts = counts_of(asked, &mut verdicts);
    threshold(asked, counts.as_ref(), tasks, &mut verdicts);
    let estimate = counts.as_ref().and_then(|counts| counts.density(CONFIDENCE));
    let yard = AreaUnit::SquareYard;
    let mean = estimate.map(|estimate| per_square_yard(estimate.mean.per(yard)));
    let error = estimate.and_then(|estimate| estimate.standard_error).map(|error| per_square_yard(error.per(yard)));
    let mut measures = Vec::new();
    measures.extend(mean.clone().map(|mean| measure("density", "mean count", mean)));
    measures.extend(error.clone().map(|error| measure("density-standard-error", "its standard error", error)));
    let variance = counts.as_ref().and_then(Counts::sample_variance).map(Figure::count);
    measures.extend(variance.map(|variance| measure("sample-variance", "variance of the counts", variance)));
    let found = Finding {
        pest: asked.pest.clone(),
        stage: asked.stage.clone(),
        basis: asked.basis.clone(),
        identified_by: asked.identified_by.clone(),
        density: mean.zip(error),
        counts: asked.counts.len(),
        threshold: asked.threshold.as_ref().map(|threshold| {
            let limit = per_square_yard(threshold.count / threshold.area.to(yard));
            (limit, threshold.source.clone())
        }),
    };
    Judged { finding: Some(found), verdicts, measures }
}

/// Confidence of the intervals around counts.
const CONFIDENCE: f64 = 0.95;

/// The counts as scouting reads them; `None` when nothing was counted on known ground.
fn counts_of(asked: &FindingRequest, verdicts: &mut Vec<Verdict>) -> Option<Counts> {
    let area = asked.count_area?;
    match Counts::new(asked.counts.clone(), CountBasis::Area(area)) {
        Ok((counts, warnings)) => {
            verdicts.extend(warnings.into_iter().map(caution));
            Some(counts)
        }
        Err(problems) => {
            verdicts.extend(problems.into_iter().map(caution));
            None
        }
    }
}

fn caution(problem: problem::Problem) -> Verdict {
    let verdict = Verdict::new("finding::counts", Status::Caution, Origin::Measured, problem.found);
    match problem.mend {
        Some(mend) => verdict.mend(mend),
        None => verdict,
    }
}

/// Holds the counts against the threshold, in the unit of the threshold's publication.
fn threshold(asked: &FindingRequest, counts: Option<&Counts>, tasks: &[Resolved<'_>], verdicts: &mut Vec<Verdict>) {
    let (Some(counts), Some(asked_threshold)) = (counts, &asked.threshold) else {
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
    let basis = CountBasis::Area(asked_threshold.area);
    let compared = Threshold::new(asked_threshold.count, basis, asked_threshold.source.as_str())
        .and_then(|threshold| compare(counts, &threshold, CONFIDENCE));
    let comparison = match compared {
        Ok(comparison) => comparison,
        Err(problems) => {
            verdicts.extend(problems.into_iter().map(caution));
            return;
        }
    };
    let Some(density) = counts.density(CONFIDENCE) else { return };
    let preventive = asked.preventive
        && tasks.iter().all(|task| {
            let mut claims = task.main.row.pests.iter().filter(|claim| claim.pest == task.main.pest);
            claims.any(|claim| claim.claim == Claim::Preventive)
        });
    let (status, word) = match (comparison.decision, preventive) {
        (Decision::Above, _) => (Status::Allowed, "is over"),
        (_, true) => (Status::Allowed, "is not over, in a preventive use that the label claims,"),
        (Decision::Undecided, false) => (Status::Caution, "neither is clearly over nor clearly under"),
        (Decision::Below, false) => (Status::Caution, "is under"),
    };
    let measured = per_square_yard(density.mean.per(AreaUnit::SquareYard));
    let limit = per_square_yard(asked_threshold.count / asked_threshold.area.to(AreaUnit::SquareYard));
    let text = format!(
        "{} from {} {word} the threshold of {} ({})",
        measured.show(),
        counted(density.stations, "count", "counts"),
        limit.show(),
        asked_threshold.source
    );
    let verdict = Verdict::new("finding::threshold", status, Origin::Measured, text).comparing(measured, limit);
    verdicts.push(match (status, comparison.decision) {
        (Status::Allowed, _) => verdict,
        (_, Decision::Undecided) => verdict.mend("count at more stations until it is settled"),
        _ => verdict.mend("do not treat; mow, water and count again, or treat single hot spots"),
    });
}

/// A count per area as a figure per square yard.
fn per_square_yard(count: f64) -> Figure {
    Figure::new(count, "per sq yd", "/[syd_i]")
}

fn measure(name: &str, words: &str, figure: Figure) -> Measure {
    Measure { name: name.to_owned(), words: words.to_owned(), figure, origin: Origin::Measured }
}
