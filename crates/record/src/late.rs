//! Notices that a record tells as given after the time that a rule allows for them.

use crate::application::{ApplicationRecord, Moment, NoticeGiven};
use jiff::civil::DateTime;
use jurisdiction::{BusinessDays, Circumstances, LatestNotice, NoticeKind, RuleSet, Times, latest_notices};
use std::fmt;

/// A notice that came too late. The record says it, and is none the less complete for it.
#[derive(Debug, Clone, PartialEq)]
pub struct LateNotice<'r> {
    /// The notice.
    pub notice: NoticeGiven,
    /// When it was given, on the clock of the place.
    pub given: DateTime,
    /// What the rule demands, and by when.
    pub latest: LatestNotice<'r>,
}

/// `the notice to 12 Invented Lane (telephone) was given at 2026-07-07 07:00; demanded is …`
impl fmt::Display for LateNotice<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let NoticeGiven { to, how, .. } = &self.notice;
        let (noun, verb) = match self.latest.kind {
            NoticeKind::Sign => ("sign at", "put up"),
            NoticeKind::Client | NoticeKind::Others => ("notice to", "given"),
        };
        let given = self.given.strftime("%Y-%m-%d %H:%M");
        write!(f, "the {noun} {to} ({how}) was {verb} at {given}; demanded is {}", self.latest)
    }
}

/// The notices of a record that came after the latest moment that a rule known allows, in the order told.
///
/// Told only where it can be reckoned: the notice has its time, the record its start, and the rule a moment. A record
/// does not say under which rule a notice was given: one by sign, marker or flag counts as a sign, one to the client (by
/// name, or as client or customer) as the client's, any other as a neighbour's. Of several to the same one, the
/// earliest counts. Holidays are not known here; they only make a moment of business days earlier.
pub fn late_notices<'r>(
    record: &ApplicationRecord,
    rules: &'r RuleSet,
    circumstances: &Circumstances,
) -> Vec<LateNotice<'r>> {
    let (Some(notices), Some(started)) = (record.notices.value(), record.started.value()) else { return Vec::new() };
    let on_the_spot = |moment: &Moment| started.offset.to_datetime(moment.instant());
    let times = Times { start: on_the_spot(started), end: record.ended.value().map(on_the_spot) };
    let latest = latest_notices(rules, circumstances, times, &BusinessDays::default());
    let mut first: Vec<(NoticeKind, DateTime, &NoticeGiven)> = Vec::new();
    for notice in notices {
        let Some(given) = notice.given.value().map(on_the_spot) else { continue };
        let kind = kind_of(notice, record.client.value().map(String::as_str));
        match first.iter_mut().find(|(known, _, other)| *known == kind && is_same(&other.to, &notice.to)) {
            Some(earlier) if given < earlier.1 => *earlier = (kind, given, notice),
            Some(_) => {}
            None => first.push((kind, given, notice)),
        }
    }
    let late = first.iter().flat_map(|(kind, given, notice)| {
        let passed = latest.iter().filter(move |latest| latest.kind == *kind && latest.by < *given);
        passed.map(|latest| LateNotice { notice: (*notice).clone(), given: *given, latest: *latest })
    });
    late.collect()
}

fn is_same(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

/// The words by which a notice is a sign.
const SIGNS: &[&str] = &["sign", "signs", "marker", "markers", "flag", "flags", "placard", "placards"];

fn kind_of(notice: &NoticeGiven, client: Option<&str>) -> NoticeKind {
    let has = |text: &str, any_of: &[&str]| {
        let text = text.to_lowercase();
        text.split(|c: char| !c.is_alphanumeric()).any(|word| any_of.contains(&word))
    };
    if has(&notice.how, SIGNS) || has(&notice.to, SIGNS) {
        return NoticeKind::Sign;
    }
    let is_named = client.is_some_and(|client| is_same(client, &notice.to));
    let is_next_door = has(&notice.to, &["neighbour", "neighbours", "neighbor", "neighbors"]);
    let is_client = is_named || (has(&notice.to, &["client", "customer"]) && !is_next_door);
    if is_client { NoticeKind::Client } else { NoticeKind::Others }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Fact;

    fn notice(to: &str, how: &str) -> NoticeGiven {
        NoticeGiven { to: to.to_owned(), how: how.to_owned(), given: Fact::Absent }
    }

    #[test]
    fn a_notice_is_told_apart_by_its_words() {
        let kind = |to, how| kind_of(&notice(to, how), Some("A. Client (invented)"));
        assert_eq!(kind("front lawn", "by sign"), NoticeKind::Sign);
        assert_eq!(kind("yellow markers at the drive", "put up"), NoticeKind::Sign);
        assert_eq!(kind("a. client (INVENTED)", "signed letter"), NoticeKind::Client);
        assert_eq!(kind("the customer", "by hand"), NoticeKind::Client);
        assert_eq!(kind("neighbours of the client", "by letter"), NoticeKind::Others);
        assert_eq!(kind("12 Invented Lane", "by telephone"), NoticeKind::Others);
    }
}
