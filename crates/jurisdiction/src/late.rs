//! Notices and signs that came after the time by which rules demand them.

use crate::{
    Binding, BusinessDays, Circumstances, CustomerNoticeTime, Demand, PutUp, Recipient, RuleSet, notify_by, words,
};
use jiff::civil::DateTime;
use std::fmt;

/// What a notice is, as far as rules on its time tell notices apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum NoticeKind {
    /// A sign at the treated ground.
    Sign,
    /// Told or given to the client.
    Client,
    /// Told to anybody else: neighbours, persons on a list.
    Others,
}

/// When an application was made, on the clock of the place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Times {
    /// Its start.
    pub start: DateTime,
    /// Its end, where it is known.
    pub end: Option<DateTime>,
}

/// The latest moment for notices of one kind, by one rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LatestNotice<'r> {
    /// The rule.
    pub binding: Binding<'r>,
    /// Which notices it speaks of.
    pub kind: NoticeKind,
    /// What it demands, in a sentence: `notice to the client`.
    pub what: &'static str,
    /// The latest moment that still meets it.
    pub by: DateTime,
}

/// The latest moments for notices and signs that rules known set for an application that was made.
///
/// What must be done at the time of the application is in time until its end. A rule without a time that can be
/// reckoned says nothing here: one on signs that does not say when they are put up, and one on what is given before
/// leaving, since nobody records when that was.
pub fn latest_notices<'r>(
    rules: &'r RuleSet,
    circumstances: &Circumstances,
    times: Times,
    business_days: &BusinessDays,
) -> Vec<LatestNotice<'r>> {
    let of = |binding: Binding<'r>| {
        let (kind, what, by) = match &binding.rule.demand {
            Demand::AdvanceNotice(notice) => {
                let kind = if notice.to == Recipient::Client { NoticeKind::Client } else { NoticeKind::Others };
                (kind, whom(notice.to), notify_by(times.start, notice.before, business_days))
            }
            Demand::Posting(posting) => match posting.put_up? {
                PutUp::Before => (NoticeKind::Sign, "the sign", times.start),
                PutUp::At => (NoticeKind::Sign, "the sign", times.end?),
            },
            Demand::CustomerNotice(notice) => match notice.when {
                CustomerNoticeTime::Before => (NoticeKind::Client, whom(Recipient::Client), times.start),
                CustomerNoticeTime::BeforeOrAt | CustomerNoticeTime::At => {
                    (NoticeKind::Client, whom(Recipient::Client), times.end?)
                }
                CustomerNoticeTime::OnCompletion => return None,
            },
            Demand::Record(_) | Demand::Retention(_) | Demand::Duty => return None,
        };
        Some(LatestNotice { binding, kind, what, by })
    };
    rules.binding_on(circumstances).into_iter().filter_map(of).collect()
}

const fn whom(to: Recipient) -> &'static str {
    match to {
        Recipient::AbuttingOnRequest => "notice to abutting neighbours who asked for it",
        Recipient::Abutting => "notice to every abutting neighbour",
        Recipient::Registered => "notice to persons on the authority's list",
        Recipient::Client => "notice to the client",
    }
}

/// `notice to the client by 2026-07-07 08:39 at the latest (ny-lawn-contract)`, and what is to be confirmed.
impl fmt::Display for LatestNotice<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} by {} at the latest ({}", self.what, words::moment(self.by), self.binding.rule.id)?;
        match self.binding.to_confirm {
            Some(condition) => write!(f, "; only where {condition}: confirm whether this is so)"),
            None => f.write_str(")"),
        }
    }
}
