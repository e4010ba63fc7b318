//! Notices before an application: by when, and that no visit starts before their period ends.

use crate::words::moment;
use crate::{AdvanceNotice, Binding, BusinessDays, Circumstances, Demand, Known, NoticePeriod, RuleSet};
use jiff::Span;
use jiff::civil::DateTime;
use problem::Problem;

/// The latest moment to give a notice for an application that starts at `start`. Hours are hours of the
/// clock: where the clock is put forward between the two, give the notice an hour earlier. The first
/// moment of the calendar where it would lie before it.
pub fn notify_by(start: DateTime, period: NoticePeriod, business_days: &BusinessDays) -> DateTime {
    match period {
        NoticePeriod::Hours(hours) => {
            start.checked_sub(Span::new().hours(i64::from(hours.get()))).unwrap_or(DateTime::MIN)
        }
        NoticePeriod::BusinessDays(days) => business_days.before(start, days).unwrap_or(DateTime::MIN),
    }
}

/// The earliest start of an application of which notice was given at `given`; the last moment of the
/// calendar where it would lie after it.
pub fn earliest_start(given: DateTime, period: NoticePeriod, business_days: &BusinessDays) -> DateTime {
    match period {
        NoticePeriod::Hours(hours) => {
            given.checked_add(Span::new().hours(i64::from(hours.get()))).unwrap_or(DateTime::MAX)
        }
        NoticePeriod::BusinessDays(days) => business_days.after(given, days).unwrap_or(DateTime::MAX),
    }
}

/// The notices that rules known demand before this application.
pub fn notices<'r>(rules: &'r RuleSet, circumstances: &Circumstances) -> Known<Vec<(Binding<'r>, &'r AdvanceNotice)>> {
    let found = rules.binding_on(circumstances).into_iter().filter_map(|binding| match &binding.rule.demand {
        Demand::AdvanceNotice(notice) => Some((binding, notice)),
        _ => None,
    });
    Known::of(found.collect())
}

/// A notice and the latest moment to give it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoticeDeadline<'r> {
    /// The rule.
    pub binding: Binding<'r>,
    /// The notice that it demands.
    pub notice: &'r AdvanceNotice,
    /// The latest moment to give it.
    pub by: DateTime,
}

/// The notices that rules known demand before an application that starts at `start`, the earliest first.
pub fn notice_deadlines<'r>(
    rules: &'r RuleSet,
    circumstances: &Circumstances,
    start: DateTime,
    business_days: &BusinessDays,
) -> Known<Vec<NoticeDeadline<'r>>> {
    let Known::Demanded(notices) = notices(rules, circumstances) else { return Known::NoRuleKnown };
    let mut deadlines: Vec<NoticeDeadline<'r>> = notices
        .into_iter()
        .map(|(binding, notice)| NoticeDeadline { binding, notice, by: notify_by(start, notice.before, business_days) })
        .collect();
    deadlines.sort_by_key(|deadline| deadline.by);
    Known::of(deadlines)
}

/// Refuses a start before the period of a notice has ended. `given` is when the notice was given; `None`
/// when it was not. Whether anyone is there to be told is for the caller to know.
///
/// # Errors
/// `rules::notice-missing` without a notice, `rules::notice-period` before its period has ended.
pub fn check_start(
    start: DateTime,
    given: Option<DateTime>,
    deadline: &NoticeDeadline<'_>,
    business_days: &BusinessDays,
) -> Result<(), Problem> {
    let rule = deadline.binding.rule;
    let whom = deadline.notice.to.phrase();
    let source = format!("{} {}", rule.source.publication, rule.source.section);
    let Some(given) = given else {
        let (by, start) = (moment(deadline.by), moment(start));
        return Err(Problem::error("rules::notice-missing", format!("no notice was given to {whom}"))
            .expected(format!("notice by {by} for a start at {start} ({source})"))
            .mend("give the notice, and start once its period has ended"));
    };
    let earliest = earliest_start(given, deadline.notice.before, business_days);
    if start < earliest {
        let found = format!(
            "the notice to {whom} was given at {}, and the start at {} is before its period ends",
            moment(given),
            moment(start)
        );
        return Err(Problem::error("rules::notice-period", found)
            .expected(format!("a start at {} or later ({source})", moment(earliest)))
            .mend("start later"));
    }
    Ok(())
}
