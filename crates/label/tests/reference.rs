//! Published values.

use label::{Route, SignalWord, ToxicityCategory as Category};
use quantity::{Density, DensityUnit, Mass, MassUnit};

fn mg(value: f64) -> Mass {
    Mass::new(value, MassUnit::Milligram)
}

/// 40 CFR 156.62 (2015 edition): the upper end of each class belongs to it. The figures are limits
/// of law, so they hold exactly.
#[test]
fn toxicity_categories() {
    for (dose, category) in [
        (1.0, Category::I),
        (50.0, Category::I),
        (51.0, Category::II),
        (500.0, Category::II),
        (501.0, Category::III),
        (5000.0, Category::III),
        (5001.0, Category::IV),
    ] {
        assert_eq!(Category::oral(mg(dose)), category, "oral {dose} mg/kg");
    }
    for (dose, category) in [
        (200.0, Category::I),
        (201.0, Category::II),
        (2000.0, Category::II),
        (2001.0, Category::III),
        (20_000.0, Category::III),
        (20_001.0, Category::IV),
    ] {
        assert_eq!(Category::dermal(mg(dose)), category, "dermal {dose} mg/kg");
    }
    for (milligrams, category) in [
        (0.2, Category::I),
        (0.21, Category::II),
        (2.0, Category::II),
        (2.1, Category::III),
        (20.0, Category::III),
        (20.1, Category::IV),
    ] {
        let in_air = Density::new(milligrams / 1000.0, DensityUnit::GramPerLitre);
        assert_eq!(Category::inhalation(in_air), category, "inhalation {milligrams} mg/L");
    }
}

/// 40 CFR 156.64: the worst route decides; "Poison" for category I by mouth, skin or breath only.
#[test]
fn signal_words() {
    use Category::{I, II, III, IV};
    for (routes, word) in [
        (&[(Route::Oral, I), (Route::Eye, IV)][..], SignalWord::DangerPoison),
        (&[(Route::Dermal, I)], SignalWord::DangerPoison),
        (&[(Route::Inhalation, I)], SignalWord::DangerPoison),
        (&[(Route::Oral, III), (Route::Eye, I)], SignalWord::Danger),
        (&[(Route::Skin, I), (Route::Oral, II)], SignalWord::Danger),
        (&[(Route::Oral, II), (Route::Skin, III)], SignalWord::Warning),
        (&[(Route::Oral, III), (Route::Eye, IV)], SignalWord::Caution),
        (&[(Route::Oral, IV)], SignalWord::NoneRequired),
    ] {
        assert_eq!(SignalWord::from_categories(routes), Some(word), "{routes:?}");
    }
    assert_eq!(SignalWord::from_categories(&[]), None);
}
