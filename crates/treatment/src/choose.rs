//! The choice among the labels on the shelf: the lawful ones ranked, the others with the sentence
//! that rejects them.

use crate::plan::plan;
use crate::request::{History, RateWish, TaskRequest, VisitRequest};
use crate::verdict::{Origin, Status, Verdict};
use crate::visit::Task;
use label::{Label, SignalWord};
use problem::Problems;

/// One label against one task.
#[derive(Debug, Clone)]
pub struct Choice {
    /// Task id.
    pub task: String,
    /// Label id.
    pub label: String,
    /// Product name.
    pub product: String,
    /// Whether the task may be done with it, and how well that is known.
    pub status: Status,
    /// The task planned with it, when a use row permits it.
    pub planned: Option<Task>,
    /// Why it stands where it stands, best reason first.
    pub reasons: Vec<String>,
    /// The verdicts that refuse, with their sentences.
    pub rejections: Vec<Verdict>,
}

/// Tries every label of the shelf on every task of the request, by the task's own method: the label
/// that the task names at the rate asked, any other at its lowest. Ranks them: lawful first; then the
/// pest named; then another mode-of-action group than last time; then the milder signal word; then
/// the most applications left; then the fewest other cautions. A label with which the task cannot be
/// planned is rejected with the reason.
///
/// # Errors
/// As [`plan`], where the request itself leads nowhere whatever the label.
pub fn choose(request: &VisitRequest) -> Result<Vec<Choice>, Problems> {
    let mut choices = Vec::new();
    let mut planned_any = false;
    let mut last_problems = None;
    for task in &request.tasks {
        let mut ranked: Vec<(Rank, Choice)> = Vec::new();
        for label in &request.labels {
            match try_label(request, task, label) {
                Ok(choice) => {
                    planned_any = true;
                    ranked.push(choice);
                }
                Err(problems) => {
                    ranked.push(unplanned(task, label, &problems));
                    last_problems = Some(problems);
                }
            }
        }
        ranked.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| a.1.label.cmp(&b.1.label)));
        choices.extend(ranked.into_iter().map(|(_, choice)| choice));
    }
    match last_problems {
        Some(problems) if !planned_any => Err(problems),
        _ => Ok(choices),
    }
}

/// A label with which the task cannot be planned at all, with every reason.
fn unplanned(task: &TaskRequest, label: &Label, problems: &Problems) -> (Rank, Choice) {
    let rejections: Vec<Verdict> = problems
        .iter()
        .map(|problem| {
            let verdict = Verdict::new("choose::no-plan", Status::Refused, Origin::Measured, problem.found.clone());
            let verdict = verdict.on(&task.id);
            match &problem.mend {
                Some(mend) => verdict.mend(mend.clone()),
                None => verdict,
            }
        })
        .collect();
    let rank = (Status::Refused, true, true, label.product.signal_word, std::cmp::Reverse(0), rejections.len());
    let choice = Choice {
        task: task.id.clone(),
        label: label.id.clone(),
        product: label.product.name.clone(),
        status: Status::Refused,
        planned: None,
        reasons: Vec::new(),
        rejections,
    };
    (rank, choice)
}

/// Smaller is better.
type Rank = (Status, bool, bool, SignalWord, std::cmp::Reverse<u32>, usize);

fn try_label(request: &VisitRequest, task: &TaskRequest, label: &Label) -> Result<(Rank, Choice), Problems> {
    let mut one = request.clone();
    let rate = if label.id == task.label { task.rate } else { RateWish::Lowest };
    // The other tasks stay: where they lie decides which ground is left, and what its past is.
    for asked in &mut one.tasks {
        if asked.id == task.id {
            label.id.clone_into(&mut asked.label);
            asked.rate = rate;
        }
    }
    let visit = plan(&one)?;
    let planned = visit.tasks.into_iter().find(|planned| planned.id == task.id);
    // A date without a lawful start is no lawful use either.
    let concerns_task =
        |verdict: &&Verdict| verdict.concerns.as_deref() == Some(task.id.as_str()) || verdict.rule == "hours::no-start";
    let verdicts: Vec<Verdict> = visit
        .verdicts
        .iter()
        .filter(concerns_task)
        .chain(planned.iter().flat_map(|planned| planned.verdicts.iter()))
        .cloned()
        .collect();
    let status = crate::verdict::worst(&verdicts);
    let has = |rule: &str| verdicts.iter().any(|verdict| verdict.rule == rule && verdict.status != Status::Allowed);
    let unlisted = has("use::unlisted-pest");
    let same_group = has("limit::rotation");
    let cautions = verdicts.iter().filter(|verdict| verdict.status == Status::Caution).count();
    let mut reasons = Vec::new();
    if planned.is_some() {
        reasons.push(if unlisted {
            "pest not named on the label".to_owned()
        } else {
            "pest named on the label".to_owned()
        });
        let group = if same_group {
            "same mode-of-action group as the last application"
        } else if request.history == History::Unknown {
            "the last mode-of-action group is not known"
        } else {
            "no repeat of the last mode-of-action group"
        };
        reasons.push(group.to_owned());
        let signal = label.product.signal_word.printed();
        reasons.push(format!("signal word: {}", if signal.is_empty() { "none required" } else { signal }));
        if let Some(left) = planned.as_ref().and_then(|planned| planned.product.remaining.first()) {
            reasons.push(format!("{} left this window after it", left.left.show()));
        }
    }
    let rejections = verdicts.iter().filter(|verdict| verdict.status == Status::Refused).cloned().collect();
    let left = planned.as_ref().and_then(|planned| planned.product.remaining.first().map(|left| left.more_at_lowest));
    let left = std::cmp::Reverse(left.unwrap_or(0));
    let rank = (status, unlisted, same_group, label.product.signal_word, left, cautions);
    let choice = Choice {
        task: task.id.clone(),
        label: label.id.clone(),
        product: label.product.name.clone(),
        status,
        planned,
        reasons,
        rejections,
    };
    Ok((rank, choice))
}
