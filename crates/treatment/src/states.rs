//! The state of the ground on the day: bloom, sites that must not be treated, methods on paving.

use crate::request::{Target, VisitRequest};
use crate::resolve::Resolved;
use crate::sizes;
use crate::verdict::{Origin, Status, Verdict, breach};
use crate::zones::{Zoning, bloom_of, feet_words, guarded_words};
use geometry::Region;
use label::BufferedFeature;
use property::{Feature, Kind};
use quantity::counted;

/// Holds the state of the ground against every task.
pub(crate) fn judge(request: &VisitRequest, tasks: &[Resolved<'_>], zoning: &Zoning) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (task, ground) in tasks.iter().zip(&zoning.grounds) {
        bloom(request, task, &ground.region, &mut verdicts);
        for product in task.products() {
            sizes::judge(task, product, ground, &mut verdicts);
        }
        if !ground.doubled_lines.is_empty() {
            let text = format!(
                "an earlier task treats the walls or entry points of `{}` too",
                ground.doubled_lines.join("`, `")
            );
            verdicts.push(
                Verdict::new("ground::treated-twice", Status::Refused, Origin::Measured, text)
                    .on(&task.request.id)
                    .mend("cut the overlap: let the first task have the wall"),
            );
        }
        let is_counted = matches!(task.request.target, Target::Places { .. });
        if ground.is_empty() && !is_counted {
            verdicts.push(
                Verdict::new(
                    "ground::nothing-left",
                    Status::Refused,
                    Origin::Measured,
                    "after setbacks and earlier tasks nothing is left to treat",
                )
                .on(&task.request.id)
                .mend(
                    "look at the map: setbacks or an earlier task hold all of it; treat it at another visit, or not at all",
                ),
            );
        }
        for buffer in &task.requirements.buffers {
            if breach(buffer.clause.strength) == Status::Caution {
                let feet = feet_words(buffer.value.distance);
                let text = format!("the label advises {feet} ft from {}", guarded_words(buffer.value.feature));
                verdicts.push(
                    Verdict::new("ground::advised-distance", Status::Caution, Origin::Label, text)
                        .by(&buffer.clause)
                        .on(&task.request.id)
                        .mend("keep it as a setback of the business, or note the reason why not"),
                );
            } else if buffer.value.feature == BufferedFeature::Water {
                let feet = feet_words(buffer.value.distance);
                let text = format!("kept {feet} ft from water on the map");
                verdicts.push(
                    Verdict::new("ground::water-distance", Status::Allowed, Origin::Label, text)
                        .by(&buffer.clause)
                        .on(&task.request.id),
                );
            }
        }
    }
    old_bloom(request, &mut verdicts);
    verdicts
}

/// The features that a task treats.
fn targets<'a>(request: &'a VisitRequest, task: &Resolved<'_>) -> Vec<&'a Feature> {
    match &task.request.target {
        Target::Features(ids) => ids.iter().filter_map(|id| request.property.feature(id)).collect(),
        _ => Vec::new(),
    }
}

fn bloom(request: &VisitRequest, task: &Resolved<'_>, treated: &Region, verdicts: &mut Vec<Verdict>) {
    let named = targets(request, task);
    let may_bloom = request.property.features().iter().filter(|feature| feature.kind().kind().may_bloom());
    for feature in may_bloom {
        let is_named = named.iter().any(|target| target.id() == feature.id());
        let is_treated = is_named || feature.region().is_some_and(|region| !region.intersection(treated).is_empty());
        if !is_treated {
            continue;
        }
        match bloom_of(feature) {
            Some(bloom) if bloom.in_bloom() => {
                // Nobody sprays flowers that bees visit, whatever a label leaves unsaid; an advisory
                // sentence is no milder than silence.
                let rules = &task.requirements.bloom;
                let rule = rules.iter().min_by_key(|rule| rule.clause.strength);
                let text = format!("`{}` is in bloom", feature.id());
                let verdict = Verdict::new("ground::in-bloom", Status::Refused, Origin::Measured, text)
                    .on(&task.request.id)
                    .mend("leave it out until the petals have fallen; mow a lawn in bloom first");
                verdicts.push(match rule {
                    Some(rule) => verdict.by(&rule.clause),
                    None => verdict,
                });
            }
            // What is looked at is written down; a lawn or a tree is only told of when it was looked at.
            None if feature.is(Kind::Ornamental) || is_named && !feature.is(Kind::Turf) => verdicts.push(
                Verdict::new(
                    "ground::bloom-unknown",
                    Status::Caution,
                    Origin::Assumed,
                    format!("whether `{}` is in bloom is not known", feature.id()),
                )
                .on(&task.request.id)
                .mend("look before spraying, and write the state and its date down"),
            ),
            _ => {}
        }
    }
}

/// States that were seen too long ago, or not at all.
fn old_bloom(request: &VisitRequest, verdicts: &mut Vec<Verdict>) {
    for feature in request.property.features().iter().filter(|feature| feature.kind().kind().may_bloom()) {
        let Some(bloom) = bloom_of(feature) else { continue };
        let text = match bloom.age_days(request.date) {
            None => format!("the bloom state of `{}` carries no date", feature.id()),
            Some(days) if days < 0 => {
                format!(
                    "the bloom state of `{}` carries a date {} after the visit",
                    feature.id(),
                    counted(-days, "day", "days")
                )
            }
            Some(days) if days > request.practice.bloom_valid_days => {
                format!("the bloom state of `{}` was seen {} ago", feature.id(), counted(days, "day", "days"))
            }
            Some(_) => continue,
        };
        verdicts.push(
            Verdict::new("ground::bloom-stale", Status::Caution, Origin::Default, text)
                .on(feature.id())
                .mend("look at it again on the day, before starting"),
        );
    }
}
