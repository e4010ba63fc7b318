//! Single cases, by hand.

mod support;

use jiff::civil::date;
use jurisdiction::{
    AdvanceNotice, Applies, BusinessDays, CompleteBy, CustomerNotice, CustomerNoticeTime, Demand, Ground, InForce,
    Known, NoticeKind, NoticePeriod, Paper, Pesticides, Posting, Presence, PutUp, Recipient, RecordField,
    RecordKeeping, Removal, Rule, RuleSet, Scope, SignEdge, SignHeight, SignSize, Times, Work, check_start,
    common_height, latest_notices, notice_deadlines, posting, record_demands, retention, sign,
};
use quantity::{Length, LengthUnit};
use std::collections::BTreeSet;
use support::{circumstances, keep, record, rule, sign_of, some};

fn inches(value: f64) -> Length {
    Length::new(value, LengthUnit::Inch)
}

fn set(rules: Vec<Rule>) -> RuleSet {
    RuleSet::new(rules).unwrap()
}

#[test]
fn where_no_rule_is_known_none_is_said_to_exist() {
    let rules = set(vec![rule("oh", "US-OH", keep(3))]);
    let texas = circumstances("US-TX");
    assert_eq!(record_demands(&rules, &texas), Known::NoRuleKnown);
    assert_eq!(retention(&rules, &texas, Paper::Record), Known::NoRuleKnown);
    assert_eq!(posting(&rules, &texas), Known::NoRuleKnown);
    assert!(matches!(sign(&rules, &texas, texas.date.at(9, 0, 0, 0)), Ok(Known::NoRuleKnown)));
    let calendar = BusinessDays::default();
    assert_eq!(notice_deadlines(&rules, &texas, texas.date.at(9, 0, 0, 0), &calendar), Known::NoRuleKnown);
    assert!(!rules.knows(&texas.place) && rules.knows(&circumstances("US-OH").place));
    let not_known = |place| rules.not_known(&circumstances(place).place);
    assert_eq!(not_known("US-OH"), None);
    assert_eq!(
        not_known("US-TX").as_deref(),
        Some("No rule of US-TX itself is known here. That is not to say that there is none: confirm local law.")
    );
    assert_eq!(not_known("US").as_deref(), Some("The state is not given: only rules of US as a whole are told."));
    // Where only the country is known, no state's rule is taken for the place's own.
    assert_eq!(retention(&rules, &circumstances("US"), Paper::Record), Known::NoRuleKnown);
}

#[test]
fn country_and_state_add_up_and_the_strictest_counts() {
    use RecordField::{Date, Pest, Product};
    let rules = set(vec![
        rule("us", "US", record(&[&[Date], &[Product]], Some(CompleteBy::Days(some(14))))),
        rule("oh", "US-OH", record(&[&[Product], &[Pest]], Some(CompleteBy::SameDay))),
        rule("us-kept", "US", keep(2)),
        rule("oh-kept", "US-OH", keep(3)),
        rule("tx-kept", "US-TX", keep(9)),
    ]);
    let ohio = circumstances("US-OH");
    let ended = ohio.date.at(9, 20, 0, 0);
    let demands = record_demands(&rules, &ohio).demanded().unwrap();
    let by: Vec<_> = demands
        .fields
        .iter()
        .map(|field| (field.any_of.first().copied(), field.demanded_by.len(), field.by(ended).unwrap()))
        .map(|(field, rules, (moment, binding))| (field.unwrap(), rules, moment, binding.rule.id.as_str()))
        .collect();
    let midnight = date(2026, 7, 8).at(0, 0, 0, 0);
    assert_eq!(
        by,
        [(Date, 1, date(2026, 7, 22).at(0, 0, 0, 0), "us"), (Product, 2, midnight, "oh"), (Pest, 1, midnight, "oh"),]
    );
    let kept = retention(&rules, &ohio, Paper::Record).demanded().unwrap();
    assert_eq!((kept.until, kept.by.rule.id.as_str()), (date(2029, 7, 7), "oh-kept"));
}

#[test]
fn what_a_record_lacks_is_told_with_who_demands_it_and_by_when() {
    use RecordField::{Area, Product, Supervisor, TotalAmount};
    let fields: &[&[RecordField]] = &[&[Product], &[Area, TotalAmount], &[Supervisor]];
    let rules = set(vec![rule("oh", "US-OH", record(fields, Some(CompleteBy::SameDay)))]);
    let ohio = circumstances("US-OH");
    let demands = record_demands(&rules, &ohio).demanded().unwrap();
    let has = |field| match field {
        TotalAmount => Presence::Recorded,
        Supervisor => Presence::DoesNotArise,
        _ => Presence::Absent,
    };
    let lacking = demands.lacking(has, ohio.date.at(9, 20, 0, 0));
    let told: Vec<String> = lacking.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        ["the record lacks the product, which Invented Code oh demands by the end of 2026-07-07 (Invented Code oh)"]
    );
}

#[test]
fn a_rule_that_ended_counts_for_what_was_done_before() {
    let ended = Rule {
        in_force: InForce::new(Some(date(1993, 5, 10)), Some(date(2025, 7, 10))).unwrap(),
        ..rule("ended", "US", keep(2))
    };
    let rules = set(vec![ended]);
    for (day, kept) in [
        (date(1993, 5, 9), None),
        (date(1993, 5, 10), Some(date(1995, 5, 10))),
        (date(2025, 7, 10), Some(date(2027, 7, 10))),
        (date(2025, 7, 11), None),
    ] {
        let there = jurisdiction::Circumstances { date: day, ..circumstances("US-KS") };
        assert_eq!(retention(&rules, &there, Paper::Record).demanded().map(|kept| kept.until), kept, "{day}");
    }
}

#[test]
fn a_rule_applies_to_its_pesticides_work_and_ground_only() {
    let of = |pesticides, work, ground: &[Ground]| Rule {
        applies: vec![Applies { pesticides, work, ground: ground.iter().copied().collect() }],
        ..rule("r", "US", keep(2))
    };
    let binds = |rule: &Rule, restricted_use, work, ground: &[Ground]| {
        rule.binds(&jurisdiction::Circumstances {
            restricted_use,
            work,
            ground: ground.iter().copied().collect(),
            ..circumstances("US")
        })
    };
    let restricted = of(Pesticides::RestrictedUse, Scope::Commercial, &[]);
    assert!(binds(&restricted, true, Work::ForHire, &[]) && binds(&restricted, true, Work::NotForHire, &[]));
    assert!(!binds(&restricted, false, Work::ForHire, &[]) && !binds(&restricted, true, Work::Private, &[]));
    let lawn = of(Pesticides::All, Scope::ForHire, &[Ground::Turf]);
    assert!(binds(&lawn, false, Work::ForHire, &[Ground::Turf, Ground::Perimeter]));
    assert!(!binds(&lawn, false, Work::ForHire, &[Ground::Perimeter]));
    assert!(!binds(&lawn, false, Work::NotForHire, &[Ground::Turf]));
    // What is not known cannot lift a rule.
    assert!(binds(&lawn, false, Work::ForHire, &[]));
}

#[test]
fn a_condition_counts_until_a_person_says_that_it_is_not_met() {
    let rules = set(vec![Rule { only_where: Some("the town says so".to_owned()), ..rule("town", "US-OH", keep(3)) }]);
    let mut ohio = circumstances("US-OH");
    let told = rules.binding_on(&ohio);
    assert_eq!(told[0].to_confirm, Some("the town says so"));
    assert!(told[0].words().ends_with("Confirm whether this is so."), "{}", told[0].words());
    ohio.conditions.insert(told[0].rule.id.clone(), true);
    assert_eq!(rules.binding_on(&ohio)[0].to_confirm, None);
    ohio.conditions.insert(told[0].rule.id.clone(), false);
    assert!(rules.binding_on(&ohio).is_empty());
}

#[test]
fn two_rules_of_one_name_are_no_set() {
    let problems = RuleSet::new(vec![rule("r", "US", keep(2)), rule("r", "US-OH", keep(3))]).unwrap_err();
    let codes: Vec<_> = problems.iter().map(|problem| problem.code).collect();
    assert_eq!(codes, ["rules::named-twice"]);
}

#[test]
fn nothing_to_record_is_no_demand() {
    assert_eq!(RecordKeeping::new(Vec::new(), None), None);
    assert_eq!(RecordKeeping::new(vec![BTreeSet::new()], None), None);
}

#[test]
fn one_business_day_is_counted_over_weekends_and_holidays() {
    let calendar = BusinessDays::new([date(2026, 7, 3)]);
    let before = |start| calendar.before(start, some(1)).unwrap();
    // Tuesday from Monday, Wednesday from Tuesday.
    assert_eq!(before(date(2026, 7, 7).at(9, 0, 0, 0)), date(2026, 7, 6).at(9, 0, 0, 0));
    // Monday 6 July: over the weekend and the holiday on Friday to Thursday.
    assert_eq!(before(date(2026, 7, 6).at(9, 0, 0, 0)), date(2026, 7, 2).at(9, 0, 0, 0));
    // A visit on Saturday: Friday must lie between, and here Friday is a holiday.
    assert_eq!(before(date(2026, 7, 4).at(9, 0, 0, 0)), date(2026, 7, 2).at(0, 0, 0, 0));
    let after = |given| calendar.after(given, some(1)).unwrap();
    assert_eq!(after(date(2026, 7, 2).at(9, 0, 0, 0)), date(2026, 7, 6).at(9, 0, 0, 0));
    assert_eq!(after(date(2026, 7, 4).at(9, 0, 0, 0)), date(2026, 7, 7).at(0, 0, 0, 0));
}

fn notice(before: NoticePeriod) -> Demand {
    Demand::AdvanceNotice(AdvanceNotice {
        to: Recipient::AbuttingOnRequest,
        within: None,
        before,
        contains: Vec::new(),
    })
}

#[test]
fn no_visit_starts_before_its_notices_are_due() {
    let rules = set(vec![
        rule("day", "US-OH", notice(NoticePeriod::BusinessDays(some(1)))),
        rule("hours", "US-OH", notice(NoticePeriod::Hours(some(48)))),
    ]);
    let ohio = circumstances("US-OH");
    let calendar = BusinessDays::default();
    let start = ohio.date.at(9, 0, 0, 0);
    let deadlines = notice_deadlines(&rules, &ohio, start, &calendar).demanded().unwrap();
    let by: Vec<_> = deadlines.iter().map(|deadline| (deadline.binding.rule.id.as_str(), deadline.by)).collect();
    assert_eq!(by, [("hours", date(2026, 7, 5).at(9, 0, 0, 0)), ("day", date(2026, 7, 6).at(9, 0, 0, 0))]);

    let [hours, day] = deadlines[..] else { panic!("two deadlines") };
    let given = Some(date(2026, 7, 5).at(9, 0, 0, 0));
    assert!(check_start(start, given, &hours, &calendar).is_ok());
    assert!(check_start(start, given, &day, &calendar).is_ok());
    let late = check_start(start, Some(date(2026, 7, 6).at(9, 1, 0, 0)), &day, &calendar).unwrap_err();
    assert_eq!(late.code, "rules::notice-period");
    assert_eq!(late.expected.as_deref(), Some("a start at 2026-07-07 09:01 or later (Invented Code day)"), "{late}");
    let none = check_start(start, None, &day, &calendar).unwrap_err();
    assert_eq!(none.code, "rules::notice-missing");
}

fn height(edge: SignEdge, lowest: Option<f64>, highest: Option<f64>) -> Option<SignHeight> {
    Some(SignHeight::new(edge, lowest.map(inches), highest.map(inches)).unwrap())
}

#[test]
fn one_sign_meets_all_rules_of_its_own_place() {
    let narrow = sign_of(height(SignEdge::Bottom, Some(8.0), Some(12.0)));
    let open = Posting {
        least_size: SignSize::new(inches(3.0), inches(10.0)),
        least_letters: Some(inches(0.375)),
        wording: vec!["KEEP OFF".to_owned(), "CAUTION".to_owned()],
        put_up: Some(PutUp::Before),
        removal: Some(Removal::Hours(some(24))),
        ..sign_of(height(SignEdge::Top, Some(13.0), None))
    };
    let rules = set(vec![
        rule("narrow", "US", Demand::Posting(narrow)),
        rule("open", "US-GA", Demand::Posting(open)),
        rule("elsewhere", "US-OH", Demand::Posting(sign_of(height(SignEdge::Bottom, Some(14.0), None)))),
    ]);
    let georgia = circumstances("US-GA");
    let made = sign(&rules, &georgia, georgia.date.at(9, 20, 0, 0)).unwrap().demanded().unwrap();
    // The top edge of a sign at least 4 in high is 13 in up when its bottom edge is 9 in up.
    assert_eq!(made.bottom_at_least.unwrap().show(LengthUnit::Inch), "9.00 in");
    assert_eq!(made.bottom_at_most, Some(inches(12.0)));
    let size = made.least_size.unwrap();
    assert_eq!((size.short(), size.long()), (inches(4.0), inches(10.0)));
    assert_eq!(made.least_letters, Some(inches(0.375)));
    assert_eq!(made.wording, ["KEEP OFF", "CAUTION"]);
    assert_eq!(made.put_up, Some(PutUp::Before));
    assert_eq!(made.remove_from, Some(date(2026, 7, 8).at(9, 20, 0, 0)));
    assert_eq!(
        made.to_string(),
        "a sign: at least 4 in by 10 in; bottom edge 9 in to 12 in above the ground; letters at least 0.375 in high; \
         with the words “KEEP OFF”; with the words “CAUTION”; put up before the application; left until 2026-07-08 09:20"
    );
}

#[test]
fn heights_that_exclude_each_other_are_told_by_name() {
    let low = rule("low", "US", Demand::Posting(sign_of(height(SignEdge::Bottom, None, Some(12.0)))));
    let high = rule("high", "US", Demand::Posting(sign_of(height(SignEdge::NotStated, Some(14.0), None))));
    let pairs = [&low, &high].map(|rule| match &rule.demand {
        Demand::Posting(posting) => (rule, posting),
        _ => panic!("no posting"),
    });
    let found = common_height(pairs, None).unwrap_err();
    assert_eq!((found.higher.0.id.as_str(), found.lower.0.id.as_str()), ("high", "low"));
    assert_eq!(
        found.to_string(),
        "`high` wants the sign at least 14 in above the ground, `low` at most 12 in: no one height meets both"
    );
}

#[test]
fn a_height_that_no_sign_can_have_is_refused() {
    for (edge, lowest, highest) in [
        (SignEdge::Bottom, None, None),
        (SignEdge::Bottom, Some(12.0), Some(8.0)),
        (SignEdge::Bottom, Some(0.0), None),
        (SignEdge::Top, Some(8.0), Some(12.0)),
    ] {
        let refused = SignHeight::new(edge, lowest.map(inches), highest.map(inches)).unwrap_err();
        assert_eq!(refused.code, "rules::sign-height", "{edge:?} {lowest:?} {highest:?}");
    }
    assert!(SignHeight::new(SignEdge::Bottom, Some(inches(8.0)), Some(inches(8.0))).is_ok());
}

#[test]
fn dates_in_the_wrong_order_are_refused() {
    let refused = InForce::new(Some(date(2026, 1, 2)), Some(date(2026, 1, 1))).unwrap_err();
    assert_eq!(refused.code, "rules::dates");
    assert!(InForce::new(Some(date(2026, 1, 1)), Some(date(2026, 1, 1))).unwrap().is_on(date(2026, 1, 1)));
}

/// What must be done at the time of the application is in time until its end; what has no time that can be reckoned
/// is never late.
#[test]
fn rules_on_notices_set_the_latest_moment_that_still_meets_them() {
    let put_up = |put_up| Demand::Posting(Posting { put_up, ..sign_of(None) });
    let advance = |to, before| Demand::AdvanceNotice(AdvanceNotice { to, within: None, before, contains: Vec::new() });
    let client = |when| Demand::CustomerNotice(CustomerNotice { when, contains: Vec::new() });
    let rules = set(vec![
        rule("before", "US-OH", put_up(Some(PutUp::Before))),
        rule("at", "US-OH", put_up(Some(PutUp::At))),
        rule("some-time", "US-OH", put_up(None)),
        rule("two-days", "US-OH", advance(Recipient::Abutting, NoticePeriod::Hours(some(48)))),
        rule("a-business-day", "US-OH", advance(Recipient::Client, NoticePeriod::BusinessDays(some(1)))),
        rule("client-before", "US-OH", client(CustomerNoticeTime::Before)),
        rule("client-at", "US-OH", client(CustomerNoticeTime::At)),
        rule("client-after", "US-OH", client(CustomerNoticeTime::OnCompletion)),
        rule("elsewhere", "US-TX", put_up(Some(PutUp::Before))),
    ]);
    let ohio = circumstances("US-OH");
    // Tuesday.
    let (start, end) = (date(2026, 7, 7).at(8, 0, 0, 0), date(2026, 7, 7).at(9, 20, 0, 0));
    let told = |end| {
        let all = latest_notices(&rules, &ohio, Times { start, end }, &BusinessDays::default());
        all.into_iter().map(|one| (one.binding.rule.id.as_str(), one.kind, one.by)).collect::<Vec<_>>()
    };
    let without_end = [
        ("before", NoticeKind::Sign, start),
        ("two-days", NoticeKind::Others, date(2026, 7, 5).at(8, 0, 0, 0)),
        ("a-business-day", NoticeKind::Client, date(2026, 7, 6).at(8, 0, 0, 0)),
        ("client-before", NoticeKind::Client, start),
    ];
    assert_eq!(told(None), without_end);
    let mut all = without_end.to_vec();
    all.insert(1, ("at", NoticeKind::Sign, end));
    all.push(("client-at", NoticeKind::Client, end));
    assert_eq!(told(Some(end)), all);
}
