//! What the rules that come with the program demand around the acceptance example, with its deadlines.

mod support;

use business::{Demands, Facts, Treatment, demands, ground_of, lacking};
use jiff::civil::date;
use jurisdiction::{
    AdvanceNotice, Applies, Demand, Extent, Ground, InForce, Jurisdiction, Known, NoticeItem, NoticePeriod, Pesticides,
    Posting, PutUp, Recipient, Removal, Rule, RuleId, RuleSet, Scope, SignEdge, SignHeight, Source,
};
use quantity::{Length, LengthUnit};
use std::collections::BTreeSet;
use std::num::NonZeroU16;
use support::visits::{planned, whole};
use support::{business, client};

fn some(number: u16) -> NonZeroU16 {
    NonZeroU16::new(number).unwrap()
}

fn rule(id: &str, demand: Demand) -> Rule {
    Rule {
        id: RuleId::new(id).unwrap(),
        jurisdiction: Jurisdiction::parse("US-OH").unwrap(),
        in_force: InForce::new(None, None).unwrap(),
        applies: vec![Applies { pesticides: Pesticides::All, work: Scope::ForHire, ground: BTreeSet::new() }],
        only_where: None,
        sentence: "An invented rule.".to_owned(),
        demand,
        source: Source {
            publication: "Invented Code".to_owned(),
            section: id.to_owned(),
            extent: Extent::Read,
            as_of: None,
            note: None,
        },
    }
}

fn notice(to: Recipient, before: NoticePeriod) -> Demand {
    Demand::AdvanceNotice(AdvanceNotice { to, within: None, before, contains: vec![NoticeItem::LicenceNumber] })
}

fn sign(low: Option<f64>, high: Option<f64>) -> Demand {
    let inches = |value| Length::new(value, LengthUnit::Inch);
    Demand::Posting(Posting {
        height: Some(SignHeight::new(SignEdge::Bottom, low.map(inches), high.map(inches)).unwrap()),
        least_size: None,
        least_letters: None,
        wording: vec!["KEEP OFF".to_owned()],
        look: None,
        place: None,
        put_up: Some(PutUp::Before),
        removal: Some(Removal::Hours(some(24))),
    })
}

fn held<'r>(rules: &'r RuleSet, place: &str) -> Demands<'r> {
    let visit = planned(&whole());
    let business = business(place);
    let facts = Facts { ground: ground_of(&visit), ..Facts::default() };
    demands(rules, &Treatment::planned(&visit), &business, &client(), facts)
}

/// The acceptance example starts from 07:00 to 09:20 on Tuesday, 7 July 2026 and lasts 99 minutes.
#[test]
fn deadlines_count_from_the_earliest_start_and_the_latest_end() {
    let rules = RuleSet::new(vec![
        rule("asked", notice(Recipient::AbuttingOnRequest, NoticePeriod::BusinessDays(some(1)))),
        rule("all", notice(Recipient::Abutting, NoticePeriod::Hours(some(48)))),
        rule("sign", sign(Some(12.0), Some(18.0))),
    ])
    .unwrap();
    let held = held(&rules, "US-OH");
    assert!(held.times_known);
    assert_eq!(held.start, date(2026, 7, 7).at(7, 0, 0, 0));
    assert_eq!(held.end, date(2026, 7, 7).at(11, 0, 0, 0), "09:20 and 99.3 minutes, on the next whole minute");
    let Known::Demanded(neighbours) = &held.neighbours else { panic!("notices") };
    let told: Vec<_> = neighbours
        .iter()
        .map(|one| (one.deadline.by, one.to.iter().map(|to| to.name.as_str()).collect::<Vec<_>>()))
        .collect();
    // 48 hours before Tuesday 07:00; one business day before it, which Monday is.
    assert_eq!(
        told,
        [(date(2026, 7, 5).at(7, 0, 0, 0), vec!["west", "east"]), (date(2026, 7, 6).at(7, 0, 0, 0), vec!["west"]),]
    );
    let courtesy: Vec<_> = held.by_courtesy.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(courtesy, ["far"], "who asked and abuts not is told by courtesy");
    let Ok(Known::Demanded(sign)) = &held.sign else { panic!("a sign") };
    assert_eq!(sign.remove_from, Some(date(2026, 7, 8).at(11, 0, 0, 0)));
    assert_eq!(sign.put_up, Some(PutUp::Before));
}

#[test]
fn heights_that_contradict_each_other_are_told_and_the_postings_stay() {
    let rules =
        RuleSet::new(vec![rule("high", sign(Some(14.0), None)), rule("low", sign(Some(8.0), Some(12.0)))]).unwrap();
    let held = held(&rules, "US-OH");
    let contradiction = held.sign.as_ref().unwrap_err().to_string();
    assert!(contradiction.contains("`high`") && contradiction.contains("no one height meets both"), "{contradiction}");
    assert!(matches!(&held.postings, Known::Demanded(postings) if postings.len() == 2));
}

#[test]
fn without_a_start_the_whole_day_counts() {
    let rules = RuleSet::new(vec![rule("all", notice(Recipient::Abutting, NoticePeriod::Hours(some(48))))]).unwrap();
    let mut request = whole();
    request.forecast = None;
    let visit = planned(&request);
    let business = business("US-OH");
    let held = demands(&rules, &Treatment::planned(&visit), &business, &client(), Facts::default());
    assert!(!held.times_known);
    let Known::Demanded(neighbours) = &held.neighbours else { panic!("notices") };
    assert_eq!(neighbours[0].deadline.by, date(2026, 7, 5).at(0, 0, 0, 0));
}

#[test]
fn a_place_without_rules_is_told_as_not_known() {
    let rules = RuleSet::default();
    let held = held(&rules, "US-KS");
    assert_eq!(held.neighbours, Known::NoRuleKnown);
    assert_eq!(held.sign, Ok(Known::NoRuleKnown));
    assert!(held.not_known.is_some_and(|words| words.contains("confirm local law")));
    // All who asked are told by courtesy, and nobody else.
    assert_eq!(held.by_courtesy.len(), 2);
}

#[test]
fn grounds_are_those_that_rules_tell_apart() {
    let visit = planned(&whole());
    assert_eq!(ground_of(&visit), [Ground::Turf, Ground::Ornamental, Ground::Perimeter].into());
}

#[test]
fn what_a_notice_must_have_and_nobody_stated_is_told() {
    let visit = planned(&whole());
    let treatment = Treatment::planned(&visit);
    let items = [NoticeItem::LicenceNumber, NoticeItem::Product, NoticeItem::Time, NoticeItem::LicenceNumber];
    let mut without = business("US-OH");
    let mut nobody = treatment.clone();
    nobody.by.clear();
    assert_eq!(lacking(&items, &without, &nobody), [&NoticeItem::LicenceNumber]);
    without.licence_number = Some("OH-1".to_owned());
    assert!(lacking(&items, &without, &nobody).is_empty());
}
