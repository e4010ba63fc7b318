//! Thresholds as the profiles of pests publish them.

use pest::{Observed, Profile, StageFit, ThresholdCount, ThresholdOf};
use problem::{Problem, Problems};

use crate::count::CountBasis;
use crate::threshold::Threshold;

/// The thresholds that a profile publishes, each with its place, its plants, what else is noted of it and its citation. Of a range
/// the lower figure, that of the ground which stands least: the range is told with it.
pub fn published(profile: &Profile) -> Vec<Threshold> {
    let told = |one: &pest::Cited<pest::Threshold>| {
        let (basis, words) = match &one.what.per {
            Observed::Ground(area, words) => (CountBasis::Area(*area), words),
            Observed::Each(words) => (CountBasis::parse(words).ok()?, words),
        };
        let (count, range) = match one.what.count {
            ThresholdCount::One(count) => (count, count.to_string()),
            ThresholdCount::Between(low, high) => (low, format!("{low} to {high} (the lower is taken)")),
        };
        let source = profile.source(&one.source).map_or("", |source| source.cite.as_str());
        let stage = one.what.stage.as_ref().map_or_else(String::new, |stage| format!(", {stage}"));
        let of = match one.what.of {
            ThresholdOf::Animals => "",
            ThresholdOf::Mounds => " mounds",
        };
        let note = one.what.note.as_ref().map_or_else(String::new, |note| format!("; {}", note.trim_end_matches('.')));
        let told = format!("{range}{of} per {words} ({}, {}{stage}{note}): {source}", one.what.place, one.what.host);
        let threshold = Threshold::new(count, basis, told).ok()?.written_per(words).for_stage(one.what.stage.clone());
        Some(match one.what.of {
            ThresholdOf::Animals => threshold,
            ThresholdOf::Mounds => threshold.of_mounds(),
        })
    };
    profile.thresholds.iter().filter_map(told).collect()
}

/// The one threshold of those that profiles publish which counts can be held against: told for a way in which they were made,
/// and for the stage that was counted. Of several profiles, those of a general word's kinds, it is one that all of them tell.
///
/// # Errors
/// None, or several: which of them holds where the counts were made is a person's to say.
pub fn only_published(profiles: &[&Profile], ways: &[CountBasis], stage: Option<&str>) -> Result<Threshold, Problems> {
    let of = profiles.iter().map(|profile| profile.common_name.as_str()).collect::<Vec<_>>().join(", ");
    let whose = if profiles.len() == 1 { format!("the profile of {of}") } else { format!("the profiles of {of}") };
    let has = if profiles.len() == 1 { "has" } else { "have" };
    let mut known: Vec<Threshold> = Vec::new();
    for threshold in profiles.iter().flat_map(|profile| published(profile)) {
        if !known.contains(&threshold) {
            known.push(threshold);
        }
    }
    let all = told(&known);
    known.retain(|one| ways.iter().any(|way| way.ratio(one.basis()).is_some()));
    let on_this_basis = told(&known);
    known.retain(|one| !is_of_another(one.stage(), stage));
    match (known.pop(), known.as_slice()) {
        (Some(one), []) => match profiles.iter().find(|profile| !published(profile).contains(&one)) {
            None => Ok(one),
            Some(without) => Err(Problem::error(
                "scouting::several-thresholds",
                format!("of {whose} not all tell the same: that of {} has no such threshold", without.common_name),
            )
            .expected(format!("the kind that was counted; one of them has {}", one.source()))
            .mend("name the kind, or state the threshold")
            .into()),
        },
        (None, _) if all.is_empty() => {
            Err(Problem::error("scouting::no-threshold", format!("{whose} {has} no threshold"))
                .expected("a threshold with its source")
                .mend("state it")
                .into())
        }
        (None, _) if on_this_basis.is_empty() => {
            let ways = ways.iter().map(|way| way.words()).collect::<Vec<_>>().join(" or ");
            Err(Problem::error(
                "scouting::no-threshold",
                format!("{whose} {has} no threshold for counts `{ways}`, but {all}"),
            )
            .expected("a threshold for this way of counting, with its source")
            .mend("state it")
            .into())
        }
        (None, _) => Err(Problem::error(
            "scouting::other-stage",
            format!(
                "{whose} {has} no threshold for `{}`, but {on_this_basis}",
                stage.unwrap_or_default().escape_debug()
            ),
        )
        .expected("a threshold for the stage that was counted, with its source")
        .mend("state it")
        .into()),
        (Some(last), others) => Err(Problem::error(
            "scouting::several-thresholds",
            format!("{whose} {has} {} thresholds for these counts", others.len() + 1),
        )
        .expected(format!("one that holds where the counts were made: {}", told(&[others, &[last]].concat())))
        .mend("state which")
        .into()),
    }
}

/// A general word for whose kinds profiles were looked up.
pub fn general_name(name: &str, kinds: &[&Profile]) -> Problem {
    let kinds: Vec<&str> = kinds.iter().map(|profile| profile.id.as_str()).collect();
    let found = format!("`{}` is a general word: of {}", name.escape_debug(), kinds.join(", "));
    Problem::warning("scouting::general-name", found)
        .expected("the kind that was counted; what all their profiles tell alike is used")
}

fn told(thresholds: &[Threshold]) -> String {
    thresholds.iter().map(Threshold::source).collect::<Vec<_>>().join("; ")
}

fn is_of_another(threshold: Option<&str>, counted: Option<&str>) -> bool {
    threshold.zip(counted).is_some_and(|(threshold, counted)| pest::stage_fit(counted, threshold) == StageFit::Other)
}
