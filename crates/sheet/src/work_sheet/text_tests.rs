//! What the work sheet sets, text by text.

use super::{content, paper};
use crate::typesetting::{Fonts, text_set, without_blanks as plain};
use crate::{PaperOptions, sample};

/// Every text that the sheet of a visit sets.
fn set(visit: &treatment::Visit) -> String {
    text_set(paper(visit, &PaperOptions::default()))
}

#[test]
fn hostile_text_is_set_letter_by_letter() {
    let text = set(&sample::hostile());
    // As name and product; and where identifiers stand between backticks, with quotes in their place.
    assert!(text.matches(&plain(sample::HOSTILE)).count() >= 2);
    let quoted = sample::HOSTILE.replace("`r`", "“r”");
    // As reason against an hour and verdict.
    assert!(text.matches(&plain(&quoted)).count() >= 2);
    assert!(text.contains(&"x".repeat(300)));
}

#[test]
fn a_refused_visit_says_so_in_words_with_sentence_and_mend() {
    let visit = sample::refused();
    let text = set(&visit);
    assert!(text.contains(&plain("REFUSED: DO NOT APPLY")));
    assert!(text.contains(&plain("Do not apply more than 0.48 lb a.i. per acre per calendar year")));
    assert!(text.contains(&plain("Do instead:")));
}

#[test]
fn a_doubt_of_the_applicators_certificate_stands_on_the_sheet() {
    let mut visit = sample::visit();
    assert!(set(&visit).contains(&plain("certified for this category, as the request says")));
    let found = "J. Example holds certificate KS-00000, which is valid until 2026-07-06, not on 2026-07-07";
    let doubt =
        treatment::Verdict::new("authority::not-certified", treatment::Status::Caution, treatment::Origin::Rule, found);
    visit.verdicts.push(doubt.mend("confirm with the state what it asks for this product"));
    let text = set(&visit);
    assert!(
        text.contains(&plain(found)) && text.contains(&plain("authority not shown: see the points above")),
        "{text}"
    );
    assert!(!text.contains(&plain("as the request says")), "{text}");
}

#[test]
fn a_refused_sheet_is_no_recipe() {
    let text = set(&sample::refused());
    let planned = set(&sample::visit());
    for words in ["Mixing and measuring", "Done", "As applied", "7:00 am to 9:20 am", "14.0 mL"] {
        assert!(planned.contains(&plain(words)), "{words}");
        assert!(!text.contains(&plain(words)), "{words}");
    }
}

#[test]
fn paper_has_no_sign_of_the_screen_and_no_figure_too_fine_to_measure() {
    let text = set(&sample::visit());
    assert!(!text.contains('`'), "{text}");
    // Equal tanks share a row; what was computed has one digit more than the measure's mark of 0.2 mL.
    for words in ["3–8, each", "14.02 mL", "1.69 gal/1,000 sq ft", "CHECK BEFORE STARTING"] {
        assert!(text.contains(&plain(words)), "{words} is not in {text}");
    }
    assert!(!text.contains("CAUTION:") && !text.contains("−"), "{text}");
}

#[test]
fn no_sheet_calls_a_visit_safe_and_every_sheet_has_the_cautions() {
    for visit in [sample::visit(), sample::refused()] {
        let text = set(&visit);
        assert!(!text.to_lowercase().contains("safe"));
        for caution in &visit.cautions {
            assert!(text.contains(&plain(&caution.sentence.text)), "{}", caution.sentence.text);
        }
        assert!(text.contains(&plain("The label is the law. Local law and licensed practice govern.")));
    }
}

#[test]
fn a_letter_that_no_font_has_is_told() {
    let fonts = Fonts::with(&[]).unwrap();
    assert!(fonts.missing("Ångström żółć Ελλάδα Київ 1 m² × ½ “–”").is_empty());
    let mut visit = sample::visit();
    visit.name = "\u{7530}\u{4e2d}".to_owned();
    let mut content = content::of(&visit, &PaperOptions::default());
    let missing = fonts.missing(&content.all_text());
    assert_eq!(missing, ['\u{4e2d}', '\u{7530}']);
    content.note_missing(&missing);
    assert!(content.all_text().contains("U+4E2D, U+7530"));
}

#[test]
fn broadcast_and_spots_stand_side_by_side() {
    let mut visit = sample::visit();
    let way = |square_feet: f64, millilitres: f64, cost: &str| treatment::Way {
        ground: quantity::Area::new(square_feet, quantity::AreaUnit::SquareFoot),
        products: vec![treatment::WayProduct {
            label: "concentrate".to_owned(),
            product: "Invented Concentrate".to_owned(),
            amount: quantity::Amount::Volume(quantity::Volume::new(millilitres, quantity::VolumeUnit::Millilitre)),
            active_ingredients: vec![(
                "inventrin".to_owned(),
                Some(quantity::Mass::new(millilitres * 0.12, quantity::MassUnit::Gram)),
            )],
            cost: Some(cost.to_owned()),
        }],
    };
    assert!(!set(&visit).contains(&plain("side by side")));
    visit.side_by_side = vec![treatment::SideBySide {
        task: "lawn".to_owned(),
        is_by_spots: true,
        infested: quantity::Area::new(900.0, quantity::AreaUnit::SquareFoot),
        stays: quantity::Area::new(90.0, quantity::AreaUnit::SquareFoot),
        broadcast: way(8_000.0, 94.5, "4.80 USD"),
        spots: way(2_000.0, 23.6, "1.20 USD"),
    }];
    let text = set(&visit);
    for words in [
        "Broadcast and spots side by side: lawn",
        "Spots, as planned",
        "8,000 sq ft",
        "2,000 sq ft",
        "94.5 mL",
        "23.6 mL",
        "2.83 g",
        "4.80 USD",
        "1.20 USD",
    ] {
        assert!(text.contains(&plain(words)), "{words} is not in {text}");
    }
}
