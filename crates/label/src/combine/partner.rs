//! Partners that a label forbids to mix with.

use super::Conflict;
use crate::clause::{Statement, Strength};
use crate::product::Label;
use crate::use_row::UseRow;

/// Every pair of which one forbids the other. A label names its partners in words; a word that is
/// the partner's name, one of its active ingredients, its formulation code or its mode-of-action
/// group (`group 3A`) is understood, any other is left for the person to read.
pub(super) fn prohibited(parts: &[(&Label, &UseRow)]) -> Vec<Conflict> {
    let mut found = Vec::new();
    for (label, row) in parts {
        let statements = label.restraints.prohibited_partners.iter().chain(&row.constraints.prohibited_partners);
        for statement in statements {
            let Statement::Stated { value, clause } = statement else { continue };
            if clause.strength != Strength::Mandatory {
                continue;
            }
            let others = parts.iter().map(|(other, _)| other).filter(|other| other.id != label.id);
            for other in others.filter(|other| names(value, other)) {
                found.push(Conflict {
                    rule: "mix::prohibited-partner",
                    text: format!("label `{}` forbids mixing with {}", label.id, other.product.name),
                    sentences: vec![clause.clone()],
                    mend: "apply the products separately",
                });
            }
        }
    }
    found
}

fn names(words: &str, partner: &Label) -> bool {
    let product = &partner.product;
    contains_phrase(words, &product.name)
        || contains_phrase(words, &partner.id)
        // A code in small letters would be an ordinary word.
        || words.split(|c: char| !c.is_alphanumeric()).any(|word| word == product.formulation.code())
        || product.active_ingredients.iter().any(|ingredient| {
            contains_phrase(words, &ingredient.name)
                || ingredient.group.as_ref().is_some_and(|group| contains_phrase(words, &format!("group {group}")))
        })
}

/// Whether the phrase stands in the words as whole words, whatever the case.
fn contains_phrase(words: &str, phrase: &str) -> bool {
    let plain = |text: &str| -> Vec<String> {
        text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
    };
    let (words, phrase) = (plain(words), plain(phrase));
    !phrase.is_empty() && words.windows(phrase.len()).any(|window| window == phrase)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_are_found_as_whole_words() {
        assert!(contains_phrase("products of Group 3A", "group 3A"));
        assert!(contains_phrase("do not mix with Exampthrin-based products", "exampthrin"));
        assert!(!contains_phrase("group 3AB", "group 3A"));
        assert!(!contains_phrase("anything", ""));
    }
}
