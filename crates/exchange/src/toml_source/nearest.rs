//! The known word that a mistyped one was most likely meant for.

/// The known word nearest to a mistyped one; `None` when none is near.
///
/// Near means at most a third of its letters (one of three to five, none of two) changed, added,
/// left out or swapped with the next.
/// `-`, `_` and blanks count as the same letter, and case does not count.
pub fn nearest<'w>(word: &str, known: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let word = plain(word);
    known
        .into_iter()
        .map(|candidate| (distance(&word, &plain(candidate)), candidate))
        .filter(|(distance, candidate)| *distance <= candidate.chars().count() / 3)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

fn plain(word: &str) -> Vec<char> {
    // No known word is longer; a longer one is not worth the comparison.
    word.chars().take(64).flat_map(char::to_lowercase).map(|c| if c == '-' || c == ' ' { '_' } else { c }).collect()
}

/// Number of letters changed, added, left out or swapped with the next.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let changed = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            row[j] = changed.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_hand_finds_its_word() {
        let known = ["rate", "rain_free", "highest", "lowest"];
        assert_eq!(nearest("hihgest", known), Some("highest"));
        assert_eq!(nearest("rain-free", known), Some("rain_free"));
        assert_eq!(nearest("Rate", known), Some("rate"));
        assert_eq!(nearest("rat", known), Some("rate"));
        assert_eq!(nearest("nozzle", known), None);
        assert_eq!(nearest("SX", ["SC", "EC"]), None);
        assert_eq!(nearest("sc", ["SC", "EC"]), Some("SC"));
        assert_eq!(nearest("", known), None);
    }
}
