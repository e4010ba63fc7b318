//! Thresholds as the profiles of pests publish them.

use pest::{Observed, Profile, ThresholdCount};
use problem::{Problem, Problems};

use crate::count::CountBasis;
use crate::threshold::Threshold;

/// The thresholds on ground that a profile publishes, each with its place, its plants and its citation. Of a range the
/// lower figure: the ground that stands least.
pub fn published(profile: &Profile) -> Vec<Threshold> {
    let on_ground = |one: &pest::Cited<pest::Threshold>| {
        let Observed::Ground(area, words) = &one.what.per else { return None };
        let (ThresholdCount::One(count) | ThresholdCount::Between(count, _)) = one.what.count;
        let source = profile.source(&one.source).map_or("", |source| source.cite.as_str());
        let told = format!("{count} per {words} ({}, {}): {source}", one.what.place, one.what.host);
        Threshold::new(count, CountBasis::Area(*area), told).ok()
    };
    profile.thresholds.iter().filter_map(on_ground).collect()
}

/// The one threshold on ground that a profile publishes.
///
/// # Errors
/// None, or several: which of them holds where the counts were made is a person's to say.
pub fn only_published(profile: &Profile) -> Result<Threshold, Problems> {
    let mut known = published(profile);
    match (known.pop(), known.as_slice()) {
        (Some(one), []) => Ok(one),
        (None, _) => Err(Problem::error(
            "scouting::no-threshold",
            format!("the profile of {} has no threshold on ground", profile.common_name),
        )
        .expected("a threshold with its source")
        .mend("state it")
        .into()),
        (Some(last), others) => {
            let told: Vec<&str> = others.iter().chain([&last]).map(Threshold::source).collect();
            Err(Problem::error(
                "scouting::several-thresholds",
                format!("the profile of {} has {} thresholds on ground", profile.common_name, told.len()),
            )
            .expected(format!("one that holds where the counts were made: {}", told.join("; ")))
            .mend("state which")
            .into())
        }
    }
}
