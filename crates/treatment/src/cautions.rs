//! The cautions that stand on every sheet, whatever the label says beside them.

use crate::visit::{Caution, CautionSubject, Sentence};
use label::Label;

/// The general cautions, then each label's own precautions, first aid, storage and disposal.
pub(crate) fn cautions(labels: &[&Label]) -> Vec<Caution> {
    let mut all: Vec<Caution> = GENERAL
        .iter()
        .map(|(subject, text)| Caution {
            subject: *subject,
            sentence: Sentence { text: (*text).to_owned(), page: None, label: None },
        })
        .collect();
    for label in labels {
        let own = |subject: CautionSubject, clause: &label::Clause| Caution {
            subject,
            sentence: Sentence { text: clause.text.clone(), page: clause.page, label: Some(label.id.clone()) },
        };
        all.extend(label.precautions.iter().map(|clause| own(subject_of(&clause.text), clause)));
        all.extend(label.first_aid.iter().map(|clause| own(CautionSubject::FirstAid, clause)));
        all.extend(label.storage_and_disposal.iter().map(|clause| own(CautionSubject::Spill, clause)));
    }
    all.sort_by_key(|caution| caution.subject);
    all
}

/// Common practice, no source: the usual care, in words that hold for any product.
const GENERAL: &[(CautionSubject, &str)] = &[
    (
        CautionSubject::Law,
        "The label on the container in hand is the law. This plan does not replace it; where they differ, the label \
         governs. Local law and licensed practice govern beside it.",
    ),
    (
        CautionSubject::Law,
        "Forecasts are not readings: measure wind and temperature where the work is done, before and during it, and \
         stop when a limit is passed.",
    ),
    (
        CautionSubject::People,
        "Wear the protective equipment that the label names. Keep people and pets off until the label's time is over \
         and the spray has dried. Bring in toys, dishes, bedding and laundry first; cover or move fish bowls and pools.",
    ),
    (
        CautionSubject::Bees,
        "Never spray plants in bloom, or weeds in bloom in the turf, while bees may visit them; mow the blooms first. \
         Tell keepers of hives nearby.",
    ),
    (
        CautionSubject::Water,
        "Keep product out of ponds, streams, drains, gutters and wells. Sweep granules off paving. Do not apply before \
         heavy rain or to saturated ground.",
    ),
    (
        CautionSubject::Food,
        "Never let product reach food plants, or any plant that will be eaten, unless the label lists it.",
    ),
    (
        CautionSubject::FirstAid,
        "When someone has swallowed, breathed in or been splashed with product: follow the label's first aid, call the \
         poison centre or the emergency number at once, and have the label in hand.",
    ),
    (
        CautionSubject::Spill,
        "Spills: keep people away, contain with absorbent material, keep it out of drains, collect it, and report it as \
         local law asks. Keep product in its own container, locked, away from food. Use up leftover mix on a site of the \
         label within its rates; never pour it out.",
    ),
];

fn subject_of(text: &str) -> CautionSubject {
    let text = text.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|word| text.contains(word));
    if has(&["bee", "pollinat"]) {
        CautionSubject::Bees
    } else if has(&["aquatic", "fish", "runoff", "drain", "to water", "surface water", "stream", "pond"]) {
        CautionSubject::Water
    } else if has(&["food", "edible", "harvest"]) {
        CautionSubject::Food
    } else {
        CautionSubject::People
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn washing_with_water_is_about_people() {
        let people = "Avoid contact with skin. Wash thoroughly with soap and water after handling.";
        assert_eq!(subject_of(people), CautionSubject::People);
        assert_eq!(subject_of("Extremely toxic to fish and aquatic invertebrates."), CautionSubject::Water);
        assert_eq!(subject_of("Do not apply directly to water."), CautionSubject::Water);
        assert_eq!(subject_of("Highly toxic to bees."), CautionSubject::Bees);
    }
}
