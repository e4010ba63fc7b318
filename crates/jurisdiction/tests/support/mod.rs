//! Rules and circumstances for tests.
#![allow(dead_code)]

use jiff::civil::{Date, DateTime, date};
use jurisdiction::{
    Applies, Circumstances, CompleteBy, CountedFrom, Demand, Extent, Ground, InForce, Jurisdiction, Paper, Period,
    Pesticides, Posting, PutUp, RecordField, RecordKeeping, Removal, Retention, Rule, RuleId, Scope, SignHeight,
    SignSize, Source, Work,
};
use proptest::prelude::*;
use quantity::{Length, LengthUnit};
use std::collections::BTreeSet;
use std::num::NonZeroU16;

pub(crate) fn some(number: u16) -> NonZeroU16 {
    NonZeroU16::new(number).unwrap()
}

pub(crate) fn rule(id: &str, place: &str, demand: Demand) -> Rule {
    Rule {
        id: RuleId::new(id).unwrap(),
        jurisdiction: Jurisdiction::parse(place).unwrap(),
        in_force: InForce::new(None, None).unwrap(),
        applies: vec![Applies { pesticides: Pesticides::All, work: Scope::Anyone, ground: BTreeSet::new() }],
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

pub(crate) fn record(fields: &[&[RecordField]], complete_by: Option<CompleteBy>) -> Demand {
    let fields = fields.iter().map(|any_of| any_of.iter().copied().collect()).collect();
    Demand::Record(RecordKeeping::new(fields, complete_by).unwrap())
}

pub(crate) fn keep(years: u16) -> Demand {
    Demand::Retention(Retention {
        paper: Paper::Record,
        period: Period::Years(some(years)),
        from: CountedFrom::Application,
    })
}

pub(crate) fn sign_of(height: Option<SignHeight>) -> Posting {
    Posting {
        height,
        least_size: SignSize::new(Length::new(5.0, LengthUnit::Inch), Length::new(4.0, LengthUnit::Inch)),
        least_letters: None,
        wording: vec!["KEEP OFF".to_owned()],
        look: None,
        place: None,
        put_up: Some(PutUp::At),
        removal: Some(Removal::NextDay),
    }
}

pub(crate) fn circumstances(place: &str) -> Circumstances {
    Circumstances {
        place: Jurisdiction::parse(place).unwrap(),
        date: date(2026, 7, 7),
        restricted_use: false,
        work: Work::ForHire,
        ground: BTreeSet::new(),
        conditions: std::collections::BTreeMap::new(),
    }
}

pub(crate) fn any_date() -> impl Strategy<Value = Date> {
    (2000_i16..2060, 1_i8..=12, 1_i8..=28).prop_map(|(year, month, day)| date(year, month, day))
}

pub(crate) fn any_moment() -> impl Strategy<Value = DateTime> {
    // Whole hours often, so that midnight comes up.
    (any_date(), 0_i8..24, prop_oneof![Just(0_i8), 0_i8..60])
        .prop_map(|(date, hour, minute)| date.at(hour, minute, 0, 0))
}

fn any_complete_by() -> impl Strategy<Value = Option<CompleteBy>> {
    prop_oneof![
        Just(None),
        Just(Some(CompleteBy::SameDay)),
        (1_u16..100).prop_map(|hours| Some(CompleteBy::Hours(some(hours)))),
        (1_u16..60).prop_map(|days| Some(CompleteBy::Days(some(days)))),
    ]
}

fn any_demand() -> impl Strategy<Value = Demand> {
    let field = (0..RecordField::ALL.len()).prop_map(|index| RecordField::ALL[index]);
    let any_of = prop::collection::btree_set(field, 1..3);
    prop_oneof![
        (prop::collection::vec(any_of, 1..6), any_complete_by())
            .prop_map(|(fields, by)| Demand::Record(RecordKeeping::new(fields, by).unwrap())),
        (1_u16..6, 0_usize..3).prop_map(|(years, from)| Demand::Retention(Retention {
            paper: Paper::Record,
            period: Period::Years(some(years)),
            from: CountedFrom::ALL[from],
        })),
        Just(Demand::Duty),
    ]
}

fn any_in_force() -> impl Strategy<Value = InForce> {
    (prop::option::of(any_date()), prop::option::of(any_date())).prop_map(|(one, other)| match (one, other) {
        (Some(one), Some(other)) => InForce::new(Some(one.min(other)), Some(one.max(other))).unwrap(),
        (first, last) => InForce::new(first, last).unwrap(),
    })
}

fn any_ground() -> impl Strategy<Value = BTreeSet<Ground>> {
    prop::collection::btree_set((0_usize..3).prop_map(|index| Ground::ALL[index]), 0..3)
}

pub(crate) fn any_place() -> impl Strategy<Value = Jurisdiction> {
    prop_oneof![Just("US"), Just("US-OH"), Just("US-TX"), Just("CA")]
        .prop_map(|code| Jurisdiction::parse(code).unwrap())
}

/// Up to ten rules with names of their own.
pub(crate) fn any_rules() -> impl Strategy<Value = Vec<Rule>> {
    let one = (any_place(), any_demand(), any_in_force(), 0_usize..2, 0_usize..4, any_ground(), any::<bool>());
    prop::collection::vec(one, 0..10).prop_map(|list| {
        let made = list.into_iter().enumerate();
        made.map(|(index, (place, demand, in_force, pesticides, work, ground, condition))| Rule {
            jurisdiction: place,
            in_force,
            applies: vec![Applies { pesticides: Pesticides::ALL[pesticides], work: Scope::ALL[work], ground }],
            only_where: condition.then(|| "somebody says so".to_owned()),
            ..rule(&format!("r{index}"), "US", demand)
        })
        .collect()
    })
}

pub(crate) fn any_circumstances() -> impl Strategy<Value = Circumstances> {
    let conditions = prop::collection::btree_map(
        (0_u8..10).prop_map(|n| RuleId::new(&format!("r{n}")).unwrap()),
        any::<bool>(),
        0..4,
    );
    (any_place(), any_date(), any::<bool>(), 0_usize..3, any_ground(), conditions).prop_map(
        |(place, date, restricted_use, work, ground, conditions)| Circumstances {
            place,
            date,
            restricted_use,
            work: Work::ALL[work],
            ground,
            conditions,
        },
    )
}
