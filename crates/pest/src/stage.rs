//! Words for life stages, and whether two of them mean one.

use std::collections::BTreeSet;

/// How the stage that was counted stands to the one that something holds for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StageFit {
    /// The same.
    Same,
    /// A part of what it holds for: nymphs, where it holds for nymphs and adults.
    Part,
    /// More than it holds for: nymphs and adults, where it holds for nymphs.
    More,
    /// None of what it holds for.
    Other,
    /// The words leave it open.
    Unknown,
}

/// The words of each stage, the stage first. Grubs, caterpillars and maggots are larvae.
const WORDS: [&[&str]; 5] = [
    &["egg", "eggs"],
    &["nymph", "nymphs"],
    &["larva", "larvae", "larval", "grub", "grubs", "caterpillar", "caterpillars", "maggot", "maggots"],
    &["pupa", "pupae", "pupal"],
    &["adult", "adults"],
];

/// The stages that words name; none where they name none that is known, such as `crawler`.
fn stages(words: &str) -> BTreeSet<&'static str> {
    let lower = words.to_lowercase();
    let each = lower.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    each.filter_map(|word| WORDS.iter().find(|stage| stage.contains(&word)).map(|stage| stage[0])).collect()
}

/// How the stage that was counted stands to the one that something holds for, by their words.
pub fn stage_fit(counted: &str, wanted: &str) -> StageFit {
    if counted.trim().eq_ignore_ascii_case(wanted.trim()) {
        return StageFit::Same;
    }
    let (counted, wanted) = (stages(counted), stages(wanted));
    if counted.is_empty() || wanted.is_empty() {
        StageFit::Unknown
    } else if counted == wanted {
        StageFit::Same
    } else if counted.is_subset(&wanted) {
        StageFit::Part
    } else if counted.is_disjoint(&wanted) {
        StageFit::Other
    } else {
        StageFit::More
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_one_stage_are_one() {
        let fits = |counted, wanted, fit| assert_eq!(stage_fit(counted, wanted), fit, "{counted}, {wanted}");
        fits("Larvae", "larva", StageFit::Same);
        fits("small grubs", "larva", StageFit::Same);
        fits("nymphs", "nymphs and adults", StageFit::Part);
        fits("nymphs and adults", "nymph", StageFit::More);
        fits("adult", "nymph", StageFit::Other);
        fits("crawler", "nymph", StageFit::Unknown);
        fits("crawler", "Crawler", StageFit::Same);
        fits("", "nymph", StageFit::Unknown);
    }
}
