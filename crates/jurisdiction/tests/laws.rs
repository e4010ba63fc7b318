//! What holds for any rules and any application.

mod support;

use jiff::civil::{Date, Weekday};
use jurisdiction::{
    BusinessDays, Demand, Known, NoticePeriod, Paper, Period, Presence, RecordField, Removal, Rule, RuleSet, SignEdge,
    SignHeight, common_height, earliest_start, notify_by, record_demands, retention,
};
use proptest::prelude::*;
use quantity::{Length, LengthUnit};
use std::collections::BTreeSet;
use support::{any_circumstances, any_date, any_moment, any_rules, rule, sign_of, some};

proptest! {
    /// A rule counts on no day outside its dates, at no place outside its jurisdiction.
    #[test]
    fn a_rule_outside_its_dates_or_its_place_never_binds(rules in any_rules(), circumstances in any_circumstances()) {
        let set = RuleSet::new(rules).unwrap();
        let date = circumstances.date;
        for binding in set.binding_on(&circumstances) {
            let in_force = binding.rule.in_force;
            prop_assert!(in_force.first().is_none_or(|first| first <= date));
            prop_assert!(in_force.last().is_none_or(|last| date <= last));
            let (of_rule, of_place) = (&binding.rule.jurisdiction, &circumstances.place);
            prop_assert_eq!(of_rule.country_code(), of_place.country_code());
            prop_assert!(of_rule.division_code().is_none() || of_rule.division_code() == of_place.division_code());
        }
    }

    /// The strictest deadline is never later than that of any rule that demands the field, and is one of them.
    #[test]
    fn the_strictest_deadline_is_no_later_than_any(
        rules in any_rules(), circumstances in any_circumstances(), ended in any_moment(),
    ) {
        let set = RuleSet::new(rules).unwrap();
        let demands = record_demands(&set, &circumstances);
        let Known::Demanded(demands) = demands else {
            let none = set.binding_on(&circumstances).iter().all(|b| !matches!(b.rule.demand, Demand::Record(_)));
            prop_assert!(none);
            return Ok(());
        };
        for binding in set.binding_on(&circumstances) {
            let Demand::Record(record) = &binding.rule.demand else { continue };
            for any_of in record.fields() {
                let field = demands.fields.iter().find(|field| field.any_of == *any_of);
                let field = field.expect("every field of every rule that binds is in the union");
                prop_assert!(field.demanded_by.iter().any(|(by, _)| by.rule.id == binding.rule.id));
                match (record.complete_by, field.by(ended)) {
                    (Some(by), Some((strictest, _))) => prop_assert!(strictest <= by.moment(ended)),
                    (Some(_), None) => prop_assert!(false, "a deadline was lost"),
                    (None, _) => {}
                }
            }
        }
        for field in &demands.fields {
            if let Some((moment, by)) = field.by(ended) {
                let Demand::Record(record) = &by.rule.demand else { panic!("not a record") };
                prop_assert_eq!(record.complete_by.map(|by| by.moment(ended)), Some(moment));
                prop_assert!(moment > ended);
            }
        }
    }

    /// A full record lacks nothing, an empty one all; one alternative is enough.
    #[test]
    fn what_is_lacking_is_what_is_absent(
        rules in any_rules(), circumstances in any_circumstances(), ended in any_moment(),
        has in prop::collection::btree_set((0..RecordField::ALL.len()).prop_map(|n| RecordField::ALL[n]), 0..31),
    ) {
        let set = RuleSet::new(rules).unwrap();
        let Known::Demanded(demands) = record_demands(&set, &circumstances) else { return Ok(()) };
        prop_assert!(demands.lacking(|_| Presence::Recorded, ended).is_empty());
        prop_assert!(demands.lacking(|_| Presence::DoesNotArise, ended).is_empty());
        prop_assert_eq!(demands.lacking(|_| Presence::Absent, ended).len(), demands.fields.len());
        let lacking = demands.lacking(|f| if has.contains(&f) { Presence::Recorded } else { Presence::Absent }, ended);
        let lacked: BTreeSet<_> = lacking.iter().map(|lacking| lacking.any_of.clone()).collect();
        for field in &demands.fields {
            prop_assert_eq!(lacked.contains(&field.any_of), field.any_of.is_disjoint(&has));
        }
    }

    /// Kept as long as the longest rule says, and never past it.
    #[test]
    fn a_paper_is_kept_as_long_as_the_longest_rule_says(rules in any_rules(), circumstances in any_circumstances()) {
        let set = RuleSet::new(rules).unwrap();
        let all: Vec<Date> = set
            .binding_on(&circumstances)
            .iter()
            .filter_map(|binding| match &binding.rule.demand {
                Demand::Retention(retention) => Some(retention.until(circumstances.date)),
                _ => None,
            })
            .collect();
        let kept = retention(&set, &circumstances, Paper::Record).demanded().map(|kept| kept.until);
        prop_assert_eq!(kept, all.into_iter().max());
        prop_assert_eq!(retention(&set, &circumstances, Paper::Contract), Known::NoRuleKnown);
    }

    /// A period of keeping is never shorter than its years of days.
    #[test]
    fn years_are_never_short(from in any_date(), years in 1_u16..50) {
        let last = Period::Years(some(years)).last_day(from);
        prop_assert!((last - from).get_days() >= i32::from(years) * 365);
        prop_assert!((last - from).get_days() <= i32::from(years) * 366 + 1);
        prop_assert_eq!(last.year(), from.year() + i16::try_from(years).unwrap());
    }

    /// A notice is due on a business day, at least so many days before the start.
    #[test]
    fn a_notice_is_due_on_a_business_day(
        start in any_moment(), days in 1_u16..12, holidays in prop::collection::vec(any_date(), 0..40),
        near in prop::collection::vec(-20_i64..20, 0..8),
    ) {
        let near = near.into_iter().map(|by| start.date().checked_add(jiff::Span::new().days(by)).unwrap());
        let calendar = BusinessDays::new(holidays.into_iter().chain(near));
        let by = calendar.before(start, some(days)).unwrap();
        prop_assert!(calendar.is_business_day(by.date()), "{} is no business day", by);
        prop_assert!(!matches!(by.date().weekday(), Weekday::Saturday | Weekday::Sunday));
        prop_assert!(by.duration_until(start) >= jiff::SignedDuration::from_hours(24 * i64::from(days)));
        // Day by day, the time of business days between the two is exactly so many days.
        prop_assert_eq!(business_time(&calendar, by, start), jiff::SignedDuration::from_hours(24 * i64::from(days)));
    }

    /// There and back: a notice given in time permits the start, one given later does not.
    #[test]
    fn in_time_means_that_the_start_is_permitted(
        start in any_moment(), given in any_moment(), shift in -400_i64..400, days in 1_u16..6, business in any::<bool>(),
        near in prop::collection::vec(-20_i64..20, 0..8),
    ) {
        let near = near.into_iter().map(|by| start.date().checked_add(jiff::Span::new().days(by)).unwrap());
        let calendar = BusinessDays::new(near);
        let period = if business { NoticePeriod::BusinessDays(some(days)) } else { NoticePeriod::Hours(some(days * 24)) };
        for given in [given, start.checked_add(jiff::Span::new().hours(shift)).unwrap()] {
            let in_time = given <= notify_by(start, period, &calendar);
            prop_assert_eq!(in_time, earliest_start(given, period, &calendar) <= start);
        }
    }

    /// A height lies in the common range exactly when it meets every rule, and a contradiction means that
    /// no height does.
    #[test]
    fn the_common_height_is_what_meets_every_rule(
        bounds in prop::collection::vec((0_usize..3, 1_u8..20, prop::option::of(0_u8..12)), 1..5), bottom in 0_u8..40,
    ) {
        let inches = |value| Length::new(f64::from(value), LengthUnit::Inch);
        let rules: Vec<Rule> = bounds
            .into_iter()
            .enumerate()
            .map(|(index, (kind, lowest, more))| {
                let (lowest, highest) = match kind {
                    0 => (Some(inches(lowest)), None),
                    1 => (None, Some(inches(lowest))),
                    _ => (Some(inches(lowest)), Some(inches(lowest + more.unwrap_or(0)))),
                };
                let height = SignHeight::new(SignEdge::Bottom, lowest, highest).unwrap();
                rule(&format!("r{index}"), "US", Demand::Posting(sign_of(Some(height))))
            })
            .collect();
        let postings = || rules.iter().map(|rule| match &rule.demand {
            Demand::Posting(posting) => (rule, posting),
            other => panic!("{other}"),
        });
        let meets = |bottom| postings().all(|(_, posting)| posting.height.unwrap().is_met_by(bottom, bottom));
        match common_height(postings(), None) {
            Ok((lowest, highest)) => {
                let bottom = inches(bottom);
                let inside = lowest.is_none_or(|low| low <= bottom) && highest.is_none_or(|high| bottom <= high);
                prop_assert_eq!(inside, meets(bottom));
                prop_assert!(lowest.or(highest).is_some_and(meets));
            }
            Err(contradiction) => {
                prop_assert!(contradiction.higher.1 > contradiction.lower.1);
                prop_assert!((0..=40).all(|bottom| !meets(inches(bottom))));
            }
        }
    }

    /// A sign stays at least until midnight or its hours are over.
    #[test]
    fn a_sign_is_not_removed_on_the_day_of_the_application(ended in any_moment(), hours in 1_u16..100) {
        prop_assert!(Removal::NextDay.earliest(ended).date() > ended.date());
        let removed = Removal::Hours(some(hours)).earliest(ended);
        prop_assert_eq!(ended.duration_until(removed), jiff::SignedDuration::from_hours(i64::from(hours)));
    }
}

/// The time of business days between two moments, added up day by day.
fn business_time(
    calendar: &BusinessDays,
    from: jiff::civil::DateTime,
    to: jiff::civil::DateTime,
) -> jiff::SignedDuration {
    let mut total = jiff::SignedDuration::ZERO;
    let mut date = from.date();
    while date <= to.date() {
        if calendar.is_business_day(date) {
            let first = if date == from.date() { from } else { date.at(0, 0, 0, 0) };
            let last = if date == to.date() { to } else { date.tomorrow().unwrap().at(0, 0, 0, 0) };
            total += first.duration_until(last);
        }
        date = date.tomorrow().unwrap();
    }
    total
}
