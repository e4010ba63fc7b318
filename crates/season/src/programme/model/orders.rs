//! What has to lie between applications, and which may follow which.

use super::{Bind, Builder, Exclusion, Sequence};
use crate::programme::product_use::{ProductUse, same_name};
use crate::programme::request::Planned;
use crate::programme::rule::{RuleKind, Said};
use crate::programme::weeks::{days_between, weeks_of_days};

/// The labels of the season, each once.
fn labels(builder: &Builder<'_>) -> Vec<String> {
    let mut all: Vec<String> = builder.request.uses.iter().map(|offered| offered.label.clone()).collect();
    all.sort();
    all.dedup();
    all
}

/// The most days that kept sentences ask for before a use.
fn days_before<'a>(builder: &Builder<'a>, offered: &'a ProductUse) -> Option<(u32, &'a Said)> {
    let kept = offered.interval_days.iter().filter(|(_, said)| builder.request.keeps(said.strength));
    kept.max_by_key(|(days, _)| *days).map(|(days, said)| (*days, said))
}

/// The interval after what lay there before keeps candidates out.
pub(super) fn intervals_after_past(builder: &mut Builder<'_>) {
    let request = builder.request;
    for (number, past) in request.past.iter().enumerate() {
        let is_own =
            |offered: &ProductUse| same_name(&past.label, &offered.label) || same_name(&past.label, &offered.product);
        let asks = |planned: Planned| {
            let offered = &request.uses[planned.product_use];
            let days = days_before(builder, offered).map_or(0, |(days, _)| i64::from(days));
            planned.ground == past.ground
                && is_own(offered)
                && i64::from(days_between(past.date, request.weeks.date(planned.week))) < days
        };
        let closing: Vec<Planned> =
            builder.potential.iter().map(|(planned, _)| *planned).filter(|planned| asks(*planned)).collect();
        let Some(first) = closing.first() else { continue };
        let said = days_before(builder, &request.uses[first.product_use]).map(|(_, said)| said.clone());
        let _ = number;
        let words = format!("{} on {}: the interval since {}", past.label, builder.ground_name(past.ground), past.date);
        builder.close(RuleKind::Interval, words, said, |planned| closing.contains(&planned));
    }
}

/// The interval between two that are planned.
pub(super) fn intervals(builder: &mut Builder<'_>) {
    let request = builder.request;
    for ground in 0..request.grounds.len() {
        for label in labels(builder) {
            let offered: Vec<usize> = (0..request.uses.len())
                .filter(|at| request.uses[*at].label == label && request.is_offered(*at, ground))
                .collect();
            let apart = |at: usize| days_before(builder, &request.uses[at]).map_or(1, |(days, _)| weeks_of_days(days));
            let weeks: Vec<usize> = offered.iter().map(|at| apart(*at).max(1)).collect();
            let Some((least, most)) = weeks.iter().min().zip(weeks.iter().max()) else { continue };
            if *most < 2 {
                continue;
            }
            let longest = offered.iter().filter_map(|at| days_before(builder, &request.uses[*at]));
            let Some((days, said)) = longest.max_by_key(|(days, _)| *days) else { continue };
            let said = said.clone();
            let words = format!(
                "{} on {}: {days} days between applications",
                request.uses[offered[0]].product,
                builder.ground_name(ground)
            );
            let (rule, is_active) = builder.rule(RuleKind::Interval, words, Some(said));
            if !is_active {
                continue;
            }
            let in_weeks = |builder: &Builder<'_>, from: usize, to: usize| {
                builder.on(ground, |planned| {
                    offered.contains(&planned.product_use) && (from..to).contains(&planned.week.index())
                })
            };
            let count = request.weeks.count();
            // Any two uses of the product within the shortest interval exclude each other.
            for from in 0..count {
                let to = (from + least).min(count);
                let all = in_weeks(builder, from, to);
                if all.len() > 1 && (from == 0 || from + least <= count) {
                    builder.row(rule, all.into_iter().map(|at| (at, 1.0)).collect(), Bind::AtMost, 1.0);
                }
            }
            // A use that asks for more excludes each such stretch before it.
            for (at, apart) in offered.iter().zip(&weeks).filter(|(_, apart)| *apart > least) {
                for later in 1..count {
                    let own = builder.on(ground, |planned| planned.product_use == *at && planned.week.index() == later);
                    let [own] = own[..] else { continue };
                    for from in (later + 1).saturating_sub(*apart)..later {
                        let before = in_weeks(builder, from, (from + least).min(later));
                        if !before.is_empty() {
                            let mut terms: Vec<_> = before.into_iter().map(|at| (at, 1.0)).collect();
                            terms.push((own, 1.0));
                            builder.row(rule, terms, Bind::AtMost, 1.0);
                        }
                    }
                }
            }
        }
    }
}

/// Runs of one mode-of-action group: the strictest sentence among the uses of that group on the ground.
pub(super) fn in_a_row(builder: &mut Builder<'_>) {
    let request = builder.request;
    for ground in 0..request.grounds.len() {
        let offered: Vec<&ProductUse> =
            (0..request.uses.len()).filter(|at| request.is_offered(*at, ground)).map(|at| &request.uses[at]).collect();
        let mut groups: Vec<&String> = offered.iter().flat_map(|offered| &offered.groups).collect();
        groups.sort();
        groups.dedup();
        for group in groups {
            let of_group = offered.iter().filter(|offered| offered.groups.contains(group));
            let kept = of_group.flat_map(|offered| &offered.in_a_row).filter(|(_, said)| request.keeps(said.strength));
            let Some((most, said)) = kept.min_by_key(|(most, _)| *most) else { continue };
            let words =
                format!("group {group} on {}: at most {most} applications in a row", builder.ground_name(ground));
            let (rule, is_active) = builder.rule(RuleKind::InARow, words, Some(said.clone()));
            if !is_active {
                continue;
            }
            let mut past: Vec<_> =
                request.past.iter().filter(|past| past.ground == ground && !past.groups.is_empty()).collect();
            past.sort_by_key(|past| past.date);
            let run = past.iter().rev().take_while(|past| past.groups.contains(group)).count();
            builder.sequences.push(Sequence {
                rule,
                ground,
                most: *most,
                before: u32::try_from(run).unwrap_or(u32::MAX).min(*most),
                member: request.uses.iter().map(|offered| offered.groups.contains(group)).collect(),
            });
        }
    }
}

/// The groups of the uses that control a pest.
fn groups_against(builder: &Builder<'_>, pest: usize) -> Vec<String> {
    let request = builder.request;
    let against = request.uses.iter().filter(|offered| offered.controls.iter().any(|control| control.pest == pest));
    let mut groups: Vec<String> = against.flat_map(|offered| offered.groups.iter().cloned()).collect();
    groups.sort();
    groups.dedup();
    groups
}

/// What met the generation before keeps its group out of this one.
pub(super) fn rotation_after_past(builder: &mut Builder<'_>) {
    let request = builder.request;
    for (pest, profile) in request.pests.iter().enumerate().filter(|(_, pest)| pest.rotates) {
        for pair in profile.generations.windows(2) {
            for ground in 0..request.grounds.len() {
                for group in groups_against(builder, pest) {
                    let met = request.past.iter().any(|past| {
                        past.ground == ground
                            && pair[0].holds(past.date)
                            && past.groups.contains(&group)
                            && past
                                .product_use
                                .is_none_or(|at| request.uses[at].controls.iter().any(|control| control.pest == pest))
                    });
                    if !met {
                        continue;
                    }
                    let words = format!(
                        "group {group} met the generation of {} before on {}: another for the next",
                        profile.name,
                        builder.ground_name(ground)
                    );
                    let closes = |planned: Planned| {
                        let offered = &request.uses[planned.product_use];
                        planned.ground == ground
                            && pair[1].holds(request.weeks.date(planned.week))
                            && offered.groups.contains(&group)
                            && offered.controls.iter().any(|control| control.pest == pest)
                    };
                    builder.close(RuleKind::Rotation, words, None, closes);
                }
            }
        }
    }
}

/// No group meets two generations in a row.
pub(super) fn rotation(builder: &mut Builder<'_>) {
    let request = builder.request;
    for (pest, profile) in request.pests.iter().enumerate().filter(|(_, pest)| pest.rotates) {
        for pair in profile.generations.windows(2) {
            for ground in 0..request.grounds.len() {
                for group in groups_against(builder, pest) {
                    let of = |builder: &Builder<'_>, generation: &crate::programme::Generation| {
                        builder.on(ground, |planned| {
                            let offered = &request.uses[planned.product_use];
                            generation.holds(request.weeks.date(planned.week))
                                && offered.groups.contains(&group)
                                && offered.controls.iter().any(|control| control.pest == pest)
                        })
                    };
                    let (one, other) = (of(builder, &pair[0]), of(builder, &pair[1]));
                    if one.is_empty() || other.is_empty() {
                        continue;
                    }
                    let words = format!(
                        "{} on {}: group {group} not for two generations in a row ({} and {})",
                        profile.name,
                        builder.ground_name(ground),
                        pair[0].first(),
                        pair[1].first()
                    );
                    let (rule, is_active) = builder.rule(RuleKind::Rotation, words, None);
                    if is_active {
                        builder.exclusions.push(Exclusion { rule, one, other });
                    }
                }
            }
        }
    }
}
