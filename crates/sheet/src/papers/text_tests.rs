//! What the papers of the business set, text by text.

use super::{application_record, application_record_pdf, client_sheet, neighbour_notice, posting_sign, quotation};
use crate::typesetting::{text_set, without_blanks as plain};
use crate::{PaperOptions, sample};
use business::{
    Advice, Applied, Business, Client, Facts, Occasion, QuotationHead, Treatment, cost, demands, ground_of, quote,
};
use jiff::civil::date;
use jurisdiction::{Known, RuleSet};
use record::{Part, Section};
use std::collections::BTreeMap;
use std::num::NonZeroU16;

fn here() -> (Business, Client) {
    (sample::business(), sample::client())
}

fn held<'r>(rules: &'r RuleSet, treatment: &Treatment) -> business::Demands<'r> {
    let (business, client) = here();
    demands(rules, treatment, &business, &client, Facts { ground: ground_of(&sample::visit()), restricted_use: false })
}

#[test]
fn the_client_sheet_tells_when_to_water_and_to_mow() {
    let (business, client) = here();
    let rules = sample::rules();
    let mut told = Treatment::planned(&sample::visit());
    let at = |day, hour| date(2026, 7, day).at(hour, 0, 0, 0);
    let depth = quantity::Length::new(0.67, quantity::LengthUnit::Inch);
    let zones = vec![("front".to_owned(), 5, 10), ("back".to_owned(), 1, 15)];
    told.advice.lawn = vec![
        business::LawnDate { from: at(11, 4), until: at(11, 8), work: business::LawnWork::Water { depth, zones } },
        business::LawnDate { from: at(12, 9), until: at(12, 19), work: business::LawnWork::Mow { to: depth } },
    ];
    let options = PaperOptions::default();
    let text = text_set(client_sheet::paper(&told, &business, &client, &held(&rules, &told), None, &options));
    for words in [
        "Water the lawn on Saturday, July 11, 2026, from 4:00 am, with 0.67 in: front 5 times 10 minutes, back 15 minutes.",
        "Mow the lawn on Sunday, July 12, 2026, between 9:00 am and 7:00 pm, to 0.67 in.",
    ] {
        assert!(text.contains(&plain(words)), "{words}");
    }
}

#[test]
fn the_client_sheet_says_what_will_be_and_what_was_applied() {
    let mut visit = sample::visit();
    visit.afterwards.push(treatment::Sentence {
        text: "Do not feed clippings from treated areas to livestock.".to_owned(),
        page: Some(2),
        label: Some("invented".to_owned()),
    });
    let (business, client) = here();
    let rules = sample::rules();
    let before = Treatment::planned(&visit);
    let applied = Applied {
        visit: before.visit.clone(),
        property: before.property.clone(),
        start: date(2026, 7, 7).at(8, 0, 0, 0),
        end: date(2026, 7, 7).at(9, 45, 0, 0),
        places: before.places.clone(),
        products: before.products.clone(),
        by: before.by.clone(),
        why: before.why.clone(),
        misapplied: vec!["Plants grown for food were treated. Do not eat from them.".to_owned()],
    };
    let after = Treatment::done(&applied, Advice::of(&visit));
    let options = PaperOptions::default();
    let set = |told: &Treatment, map| {
        text_set(client_sheet::paper(told, &business, &client, &held(&rules, told), map, &options))
    };
    let (planned, done) = (set(&before, Some(&visit)), set(&after, None));
    assert!(planned.contains(&plain("What will be applied on your property")));
    assert!(done.contains(&plain("What was applied on your property")));
    assert!(planned.contains(&plain("starting between")) && planned.contains(&plain("at least 2 hours have passed")));
    assert!(planned.contains(&plain("If we start at the latest time")) && !done.contains(&plain("latest time")));
    assert!(done.contains(&plain("please read this first")) && done.contains(&plain("Do not eat from them.")));
    assert!(!planned.contains(&plain("please read this first")));
    assert!(done.contains(&plain("from 8:00 am to 9:45 am")) && !done.contains(&plain("will be applied")));
    for text in [&planned, &done] {
        for words in [
            "1-800-222-1222",
            "911",
            "555-0100",
            "two children",
            "The label on the container and local law govern",
            "grasshopper",
            "Do not feed clippings from treated areas to livestock",
            "Do not water for 24 hours after the work",
            "two children",
        ] {
            assert!(text.to_lowercase().contains(&plain(words).to_lowercase()), "{words} is not in {text}");
        }
        assert!(!text.to_lowercase().contains("safe") && !text.contains('`'), "{text}");
    }
}

#[test]
fn a_record_has_all_its_parts_and_is_found_again() {
    let found_by = format!("Record one, version 2, entry 7, hash {}", "0f".repeat(32));
    let table = Part::Table {
        head: vec!["Tank".to_owned(), "Spray".to_owned()],
        rows: vec![vec!["1".to_owned(), "2.00 gal (7.57 L)".to_owned()]],
    };
    let sections = vec![
        Section::facts("People", vec![("Applied by", sample::HOSTILE.to_owned())]),
        Section { heading: "Task lawn".to_owned(), parts: vec![table] },
        Section::points("Against the labels", vec!["wind of 11.0 mph, over the label's 10.0 mph".to_owned()]),
    ];
    let record = record::RecordPaper {
        kept_by: None,
        kept_by_lines: Vec::new(),
        name: "Alder Bend".to_owned(),
        client: "A. Example (invented)".to_owned(),
        client_address: vec!["12 Alder Bend".to_owned()],
        facts: vec![("Day", "2026-07-07".to_owned())],
        found_by: found_by.clone(),
        sections,
    };
    let text = text_set(application_record::paper(&record, &PaperOptions::default()));
    for words in [
        "Application record: Alder Bend",
        "Applied by",
        sample::HOSTILE,
        "2.00 gal (7.57 L)",
        "wind of 11.0 mph",
        &found_by,
    ] {
        assert!(text.contains(&plain(words)), "{words} is not in {text}");
    }
    assert!(!text.contains("Invented,forpracticeonly"), "{text}");
    let bytes = application_record_pdf(&record, &PaperOptions::default()).expect("a paper");
    assert!(bytes == application_record_pdf(&record, &PaperOptions::default()).expect("a paper"));
}

#[test]
fn a_quotation_has_its_total_and_what_it_depends_on() {
    let visit = sample::visit();
    let (business, client) = here();
    let occasion =
        Occasion { people: NonZeroU16::MIN, journey: client.journey, lots: BTreeMap::new(), stock: Vec::new() };
    let found = cost(&visit, &business.tariff, &occasion).expect("a cost");
    let head = QuotationHead { number: "2026-17".to_owned(), issued: date(2026, 7, 1) };
    let quotation = quote(&visit, &business, &client, &found, head).expect("a quotation");
    let text = text_set(quotation::paper(&quotation, &business, &client, &PaperOptions::default()));
    assert!(text.contains(&plain(&quotation.price.total.to_string())), "{text}");
    for condition in &quotation.conditions {
        assert!(text.contains(&plain(condition)), "{condition}");
    }
    for words in ["2026-17", "July 31, 2026", "Accepted", "Travel to the property and back", "Total"] {
        assert!(text.contains(&plain(words)), "{words} is not in {text}");
    }
}

#[test]
fn a_sign_has_the_words_demanded_and_says_how_it_stands() {
    let (business, client) = here();
    let rules = sample::rules();
    let told = Treatment::planned(&sample::visit());
    let set = |rules: &RuleSet| {
        text_set(posting_sign::paper(&told, &business, &client, &held(rules, &told), &PaperOptions::default()))
    };
    let text = set(&rules);
    let expected = [
        "LAWN TREATED",
        "12 in (30.5 cm) to 18 in (45.7 cm)",
        "4 in (10.2 cm) by 5 in (12.7 cm)",
        "0.375 in (0.95 cm)",
        "For the person who puts up the sign",
        "not before the end of Tuesday, July 7, 2026",
        "this sheet is larger",
        "confirm local law",
        "555-0100",
    ];
    for words in expected {
        assert!(text.contains(&plain(words)), "{words} is not in {text}");
    }
    let bare = set(&RuleSet::default());
    assert!(bare.contains(&plain("KEEP OFF")) && bare.contains("confirmlocallaw"), "{bare}");
}

#[test]
fn heights_that_contradict_each_other_stand_on_the_paper() {
    let (business, client) = here();
    let rules = sample::contradicting_rules();
    let told = Treatment::planned(&sample::visit());
    let text = text_set(posting_sign::paper(&told, &business, &client, &held(&rules, &told), &PaperOptions::default()));
    assert!(text.contains(&plain("no one height meets both")), "{text}");
    assert!(text.contains(&plain("LAWN TREATED")));
}

#[test]
fn a_neighbour_is_told_by_the_deadline_or_for_having_asked() {
    let (business, client) = here();
    let rules = sample::rules();
    let told = Treatment::planned(&sample::visit());
    let demands = held(&rules, &told);
    let Known::Demanded(neighbours) = &demands.neighbours else { panic!("a notice") };
    let options = PaperOptions::default();
    let neighbour = &client.neighbours[0];
    let set = |deadline| text_set(neighbour_notice::paper(&told, &business, &client, neighbour, deadline, &options));
    let by_rule = set(Some(&neighbours[0]));
    assert!(by_rule.contains(&plain("7:00 am on Monday, July 6, 2026")), "{by_rule}");
    assert!(set(None).contains(&plain("because you asked to be told")));
}

#[test]
fn hostile_text_is_set_letter_by_letter() {
    let (mut business, mut client) = here();
    sample::HOSTILE.clone_into(&mut business.name);
    sample::HOSTILE.clone_into(&mut client.name);
    client.lives_there = vec!["x".repeat(300)];
    let rules = sample::rules();
    let told = Treatment::planned(&sample::hostile());
    let demands = held(&rules, &told);
    let options = PaperOptions::default();
    let sheet = text_set(client_sheet::paper(&told, &business, &client, &demands, None, &options));
    assert!(sheet.matches(&plain(sample::HOSTILE)).count() >= 3, "{sheet}");
    assert!(sheet.contains(&"x".repeat(300)));
    let sign = text_set(posting_sign::paper(&told, &business, &client, &demands, &options));
    assert!(sign.contains(&plain(sample::HOSTILE)), "{sign}");
}
