//! Ends of a leftover that no label allows, found in the words that a person wrote.

use crate::actual::{Actual, ActualTank, LeftoverUse};
use crate::application::{ApplicationRecord, Became};
use problem::{Problem, Problems};

/// Where a mix, a product or rinse water never goes. A word of the list counts in its plural as well.
///
/// # Source
/// Pesticide Environmental Stewardship, rinsate pages, and the storage and disposal sentences that labels print by
/// 40 CFR 156.10(i)(2)(ix): open dumping is prohibited, and waters and drains are kept clear of product and rinsate.
/// The words themselves are our list, no source.
const ENDS: &[&str] = &[
    "drain",
    "storm drain",
    "sink",
    "sewer",
    "toilet",
    "septic tank",
    "gutter",
    "curb",
    "kerb",
    "driveway",
    "street",
    "road",
    "alley",
    "parking lot",
    "ditch",
    "culvert",
    "swale",
    "pond",
    "creek",
    "brook",
    "stream",
    "river",
    "lake",
    "canal",
];

/// What a person does who pours it out.
const POURINGS: &[&str] = &[
    "poured out",
    "poured away",
    "poured on",
    "poured onto",
    "poured into",
    "poured in",
    "poured down",
    "pour out",
    "dumped",
    "tipped out",
    "tipped into",
    "emptied onto",
    "emptied into",
    "emptied out",
    "flushed",
    "washed down",
];

/// Words by which somebody says that it did not happen, or that it lies far from there.
const DENIALS: &[&str] =
    &["not ", "never ", "nothing ", "none ", "no ", "without ", "away from ", "far from ", "clear of ", "instead of "];

/// The usual lawful ways of a mix, of product and of rinse water.
pub const LAWFUL_WAYS: &str = "spray it over ground that the label lists, within the rate; keep it closed and labelled \
     for the next use, within the label's time for a mix; add rinsate to the next mix of the same product as far as the \
     label allows; or take it to a disposal programme for pesticides";

/// What of the words tells an end that no label allows, as it is written there; `None` where nothing does.
///
/// Words are looked for, and not understood: what is found is told as a caution, never as a breach.
pub fn forbidden_end(words: &str) -> Option<&str> {
    let lower = words.to_ascii_lowercase();
    let mut from = 0;
    // A denial holds up to the next stop: `nothing into the drain; the rest on the street` tells of a street.
    for part in lower.split_inclusive([';', '.', ',', ':']) {
        let start = from;
        from += part.len();
        let written = &words[start..from];
        let found = POURINGS.iter().chain(ENDS).filter_map(|end| Some((place_of(part, written, end)?, end.len())));
        let found = found.min_by_key(|&(at, length)| (at, std::cmp::Reverse(length)));
        let Some((at, length)) = found else { continue };
        if !DENIALS.iter().any(|denial| format!(" {}", &part[..at]).contains(&format!(" {denial}"))) {
            return words.get(start + at..start + at + length);
        }
    }
    None
}

/// Where a whole word, or its plural, begins in a text, and is no part of a name such as `Mill Street`; `written` is
/// the text with its capitals.
fn place_of(text: &str, written: &str, word: &str) -> Option<usize> {
    let is_letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    let is_capital = |word: Option<&str>| word.and_then(|word| word.chars().next()).is_some_and(char::is_uppercase);
    text.match_indices(word).map(|(at, _)| at).find(|&at| {
        let rest = &text[at + word.len()..];
        let rest = rest.strip_prefix('s').unwrap_or(rest);
        let (before, after) = (&written[..at], &written[at + word.len()..]);
        let is_name = is_capital(written.get(at..))
            && (is_capital(before.split_whitespace().next_back()) || is_capital(after.split_whitespace().next()));
        !is_name && !is_letter(text[..at].chars().next_back()) && !is_letter(rest.chars().next())
    })
}

/// What is told of an end that no label allows, at the fields of an as-applied file: cautions `record::poured-out`.
pub(crate) fn in_actual(actual: &Actual) -> Problems {
    let mut problems = Problems::new();
    for (index, task) in actual.tasks.iter().enumerate() {
        let of_tank =
            |(place, tank): (usize, &ActualTank)| Some((format!(".tank[{}]", place + 1), tank.leftover.clone()?));
        let of_task = task.leftover.clone().map(|left| (String::new(), left));
        for (place, left) in of_task.into_iter().chain(task.tanks.iter().enumerate().filter_map(of_tank)) {
            let words = match &left.became {
                LeftoverUse::Kept(words) | LeftoverUse::HandedIn(words) | LeftoverUse::Other(words) => words,
                LeftoverUse::NotSaid | LeftoverUse::Applied { .. } => continue,
            };
            let at = format!("task[{}]{place}.leftover.became", index + 1);
            problems.extend(caution(&rest_of(&task.task), words).map(|problem| problem.at(at)));
        }
    }
    problems.extend(actual.disposal.value().and_then(|words| caution(DISPOSAL, words)).map(|one| one.at("disposal")));
    problems
}

/// The same of a record.
pub(crate) fn in_record(record: &ApplicationRecord) -> Problems {
    let mut problems = Problems::new();
    for (index, left) in record.leftover.value().into_iter().flatten().enumerate() {
        let Some(Became::Kept(words) | Became::HandedIn(words) | Became::Other(words)) = left.became.value() else {
            continue;
        };
        let at = format!("leftover[{}].became", index + 1);
        problems.extend(caution(&rest_of(&left.task), words).map(|problem| problem.at(at)));
    }
    problems.extend(record.disposal.value().and_then(|words| caution(DISPOSAL, words)).map(|one| one.at("disposal")));
    problems
}

const DISPOSAL: &str = "what was disposed of";

fn rest_of(task: &str) -> String {
    format!("the rest of task `{task}`")
}

fn caution(of: &str, words: &str) -> Option<Problem> {
    let end = forbidden_end(words)?;
    Some(
        Problem::warning(
            "record::poured-out",
            format!("{of} is told to have ended in a way that no label allows: `{end}` in `{words}`"),
        )
        .expected(LAWFUL_WAYS)
        .mend(
            "where it is true, tell the authority of the place at once if it reached a drain or water, and write under \
             `unexpected` what was done; where it is not, say it in other words",
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_runs_off_is_found_in_the_words() {
        for (words, end) in [
            ("down the storm drain", "storm drain"),
            ("Rinsed the tank into the Sink", "Sink"),
            ("poured on the gravel behind the house", "poured on"),
            ("the rest went to the driveways", "driveway"),
            ("into the creek", "creek"),
            ("tipped out by the fence", "tipped out"),
            ("nothing into the drain; the rest on the street", "street"),
        ] {
            assert_eq!(forbidden_end(words), Some(end), "{words}");
        }
    }

    #[test]
    fn lawful_ways_and_denials_are_not_told_of() {
        for words in [
            "kept in the closed, labelled tank for the edge of the bare soil, within the label's 24 hours",
            "taken to the county's collection day",
            "sprayed over the rest of the lawn, away from the drain",
            "not poured out, kept for tomorrow",
            "nothing was put into the street",
            "handed in at the yard on Mill Street, River Road 5",
            "restreeted, drainage, sinking, upstreaming",
            "",
        ] {
            assert_eq!(forbidden_end(words), None, "{words}");
        }
    }
}
