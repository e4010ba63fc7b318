//! A finding of live mounds of ants: each by itself, or the whole lawn.

use super::{Told, caution, figure_of};
use crate::request::{FindingRequest, Target};
use crate::resolve::Resolved;
use crate::verdict::{Origin, Status, Verdict};
use crate::visit::Call;
use crate::zones::TaskGround;
use label::Method;
use problem::Problems;
use property::{Kind, Property};
use quantity::{Area, AreaUnit, counted};
use scouting::{Counts, MoundCall, Threshold};

/// What was walked for mounds.
pub(super) struct Walked {
    /// Live mounds in all.
    found: u64,
    /// The ground, all parts together.
    ground: Area,
    /// Whether it is the whole lawn.
    is_whole: bool,
    /// Whether there are more mounds on it than the level, which says nothing of the rest of the lawn.
    is_over_in_part: bool,
}

/// Drawn ground is taken for what was walked up to this share of it, for what drawing is off. Common practice, no source.
const DRAWN_UP_TO: f64 = 1.05;

/// Holds mounds against the level above which to broadcast. What a part says of itself alone does not broadcast the lawn.
///
/// # Errors
/// Counts or a threshold that are not of mounds.
pub(super) fn held(
    asked: &FindingRequest,
    counts: &Counts,
    threshold: &Threshold,
    lawn: Area,
    found: &mut Vec<Verdict>,
) -> Result<Told, Problems> {
    let mounds = scouting::mounds(counts, threshold)?;
    found.extend(mounds.doubts(Some(lawn)).into_iter().map(caution));
    let is_over_in_part = mounds.call == MoundCall::Broadcast && !mounds.tell_of(lawn);
    let call = match mounds.call {
        MoundCall::LeaveBe => Call::DoNotTreat,
        MoundCall::Broadcast if !is_over_in_part => Call::Broadcast,
        MoundCall::Singly | MoundCall::Broadcast => Call::MoundsAlone,
    };
    let measured = figure_of(counts.mean(), counts.basis());
    let limit = figure_of(threshold.count(), threshold.basis());
    let of = asked.survey.as_ref().map(|survey| format!(" of {} ({})", survey.date, survey.name));
    let against = if mounds.call == MoundCall::Broadcast { "are more than" } else { "are not more than" };
    let mut text = format!(
        "{} on {}, {}{}, {against} {} ({})",
        counted(mounds.found, "live mound", "live mounds"),
        mounds.ground.show(AreaUnit::SquareFoot),
        measured.show(),
        of.unwrap_or_default(),
        limit.show(),
        threshold.source(),
    );
    if is_over_in_part {
        let lawn = lawn.show(AreaUnit::SquareFoot);
        text = format!("{text}, which says too little of the whole lawn of {lawn}");
    }
    if call == Call::Broadcast {
        found.push(
            Verdict::new("finding::mounds", Status::Allowed, Origin::Measured, format!("{text}: broadcast"))
                .comparing(measured.clone(), limit.clone()),
        );
    }
    let walked =
        Walked { found: mounds.found, ground: mounds.ground, is_whole: mounds.is_whole(lawn), is_over_in_part };
    Ok(Told { call, text, compared: Some((measured, limit)), walked: Some(walked) })
}

/// What allows a task where the lawn is not to be broadcast: it treats mounds one by one, or no more than the ground that was
/// walked and has more of them than the level.
pub(super) fn alone(told: &Told, property: &Property, task: &Resolved<'_>, ground: &TaskGround) -> Option<Verdict> {
    if is_on_single_mounds(property, task) {
        let text = format!("{}: the mounds alone", told.text);
        let allowed = || Verdict::new("finding::mounds", Status::Allowed, Origin::Measured, text);
        return Some(more_places_than_mounds(told, task).unwrap_or_else(allowed));
    }
    let walked = told.walked.as_ref().filter(|walked| walked.is_over_in_part)?;
    let is_drawn = matches!(task.request.target, Target::Ground(_) | Target::Features(_));
    (is_drawn && ground.region.area() <= walked.ground * DRAWN_UP_TO).then(|| {
        let text = format!("{}: no more than the ground that was walked", told.text);
        Verdict::new("finding::mounds", Status::Caution, Origin::Measured, text)
            .mend("see that it is the ground that was walked; walk the rest as well")
    })
}

/// What to do in place of a task that is refused.
pub(super) fn mend(told: &Told) -> String {
    let singly = "treat the mounds one by one: a task with `method = \"mound\"` on counted or mapped mounds";
    match &told.walked {
        Some(walked) if walked.is_over_in_part => {
            format!("walk the whole lawn, mounds are seen from far; or {singly}, or draw the ground that was walked")
        }
        _ => singly.to_owned(),
    }
}

/// Above the level single mounds are treated after the whole lawn, and not instead of it.
pub(super) fn beside_broadcast(told: &Told, task: &Resolved<'_>, tasks: &[Resolved<'_>]) -> Option<Verdict> {
    let is_broadcast = |other: &Resolved<'_>| {
        matches!(other.request.target, Target::Turf)
            && other.main.finding.zip(task.main.finding).is_some_and(|(one, other)| std::ptr::eq(one, other))
    };
    if let Some(more) = more_places_than_mounds(told, task) {
        return Some(more);
    }
    (!matches!(task.request.target, Target::Turf) && !tasks.iter().any(is_broadcast)).then(|| {
        let text = format!("{}: no task of this visit broadcasts against them", told.text);
        Verdict::new("finding::mounds", Status::Caution, Origin::Measured, text)
            .mend("broadcast over the lawn first, then treat single mounds that stay")
    })
}

/// More places than live mounds that were found: where the whole lawn was walked, nothing lives at the others.
fn more_places_than_mounds(told: &Told, task: &Resolved<'_>) -> Option<Verdict> {
    let (walked, Target::Places { count, .. }) = (told.walked.as_ref()?, &task.request.target) else { return None };
    (u64::from(*count) > walked.found).then(|| {
        let text = format!("{}, and {} are to be treated", told.text, counted(*count, "place", "places"));
        let (status, mend) = if walked.is_whole {
            (Status::Refused, "treat no more places than live mounds were found, or walk the lawn again")
        } else {
            (Status::Caution, "walk the rest as well, and treat no more places than live mounds are found")
        };
        Verdict::new("finding::mounds", status, Origin::Measured, text).mend(mend)
    })
}

/// Whether a task treats mounds one by one: counted, on the map, or drawn for the visit.
fn is_on_single_mounds(property: &Property, task: &Resolved<'_>) -> bool {
    let is_mound = |id: &String| property.feature(id).is_some_and(|feature| feature.is(Kind::Mound));
    match &task.request.target {
        Target::Places { .. } => true,
        Target::Features(ids) => task.request.method == Method::Mound || ids.iter().all(is_mound),
        Target::Ground(_) => task.request.method == Method::Mound,
        Target::Turf | Target::HotSpots { .. } | Target::Structures { .. } | Target::EntryPoints { .. } => false,
    }
}
