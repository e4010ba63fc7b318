//! How the words of a label stand to the name of a pest. Labels write of kinds by their general word, and in the plural.

/// In small letters, words apart by one space, the last one in the singular.
fn key(name: &str) -> String {
    let lower = name.to_lowercase().replace('-', " ");
    let words = lower.split_whitespace().collect::<Vec<_>>().join(" ");
    if let Some(stem) = words.strip_suffix("ies") {
        return format!("{stem}y");
    }
    match words.strip_suffix('s') {
        Some(stem) if !stem.ends_with(['s', 'u', 'i']) => stem.to_owned(),
        _ => words,
    }
}

/// Whether a label's word names a pest: its own name, or the general word of its kind, as `ants` is of `carpenter ant`.
pub fn names_pest(word: &str, pest: &str) -> bool {
    closeness(word, pest).is_some()
}

/// Whether a label's word names a kind of what a general name means, as `fire ant` is of `ant`.
pub fn names_kind_of(word: &str, general: &str) -> bool {
    key(word) != key(general) && names_pest(general, word)
}

/// How closely a label's word names a pest, the closest word having the most; `None` where it does not.
pub(crate) fn closeness(word: &str, pest: &str) -> Option<usize> {
    let (word, pest) = (key(word), key(pest));
    let rest = pest.strip_suffix(word.as_str())?;
    (!word.is_empty() && (rest.is_empty() || rest.ends_with(' '))).then_some(word.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_general_word_names_its_kinds() {
        for (word, pest) in [
            ("ants", "carpenter ant"),
            ("Fire Ants", "red-imported-fire-ant"),
            ("flies", "crane fly"),
            ("chinch bug", "Chinch Bugs"),
            ("black turfgrass ataenius", "black turfgrass ataenius"),
        ] {
            assert!(names_pest(word, pest), "{word}, {pest}");
        }
        for (word, pest) in [("ant", "plant"), ("fire ant", "ant"), ("", "ant"), ("grub", "grub egg")] {
            assert!(!names_pest(word, pest), "{word}, {pest}");
        }
        assert!(
            names_kind_of("fire ants", "ant") && !names_kind_of("ants", "ant") && !names_kind_of("ant", "fire ant")
        );
    }
}
