//! A record held against what the books keep: labels, the map, and other records.

use super::Surroundings;
use super::records::held;
use super::surroundings::labels_used;
use super::visit::USE_BREACH;
use crate::{Book, LedgerError, ThingId};
use jiff::civil::Date;
use problem::{Problem, Problems};
use record::{ApplicationRecord, Breach, Ground, TaskRecord, past_is_whole, with_breaches};
use std::collections::BTreeSet;
use treatment::{History, VisitRequest};

impl Book {
    /// A record, kept as `thing` or not yet kept, with the sentences of labels that it passed, judged by the labels,
    /// the map and the other records that the books keep, and what could not be judged, which stands in the record as
    /// well. By a label that is not kept the sentences told before stay; so do distances told before, since what
    /// bloomed on the day may stand on no map.
    ///
    /// # Errors
    /// The database fails.
    pub async fn judged(
        &self,
        record: ApplicationRecord,
        thing: Option<ThingId>,
        surroundings: &Surroundings,
    ) -> Result<(ApplicationRecord, Problems), LedgerError> {
        let Surroundings { labels, properties: maps, .. } = surroundings;
        let mut labels = labels.clone();
        let mut problems = Problems::new();
        for id in labels_used(&record) {
            if !labels.iter().any(|label| label.id == id) {
                problems.push(
                    Problem::warning("trade::not-judged", format!("the books keep no label `{id}`"))
                        .expected("the label, to judge by it what was done")
                        .mend("keep it with `tussock label keep`, and amend the record again"),
                );
            }
        }
        let map = if let [only] = maps.as_slice() { Some(only.document.mapped()?) } else { None };
        if let [only] = maps.as_slice()
            && let Some(state) = only.document.jurisdiction.as_ref().and_then(|text| text.place().division_code())
        {
            labels = labels.iter().map(|label| label::for_state(label, Some(state))).collect();
        }
        if map.is_none() {
            let found = format!("the books keep no one map of `{}`", record.property.name);
            problems.push(Problem::warning("trade::not-judged", found).expected("the map, to judge distances by it"));
        }
        let request = map.map(|map| VisitRequest::of_ground(map, labels.clone(), record.date));
        let past = match &request {
            Some(request) => {
                let kept = maps.first().map(|held| &held.document);
                let past = self.past_of(request, kept, |held| Some(held.thing) == thing).await?.history;
                Some(within_windows(past, &labels, record.date))
            }
            None => None,
        };
        let has_ground = request.is_some();
        // What the kept version told is carried on where nothing here can tell it anew: a label or a map that is not
        // kept, what bloomed on the day, a past that only the visit knew. What a document says of itself is not heard.
        let before = match thing {
            None => None,
            Some(thing) => match self.newest(thing).await {
                Ok(entry) if !entry.discards => Some(held(&entry)?.record),
                Ok(_) | Err(LedgerError::UnknownThing { .. }) => None,
                Err(error) => return Err(error),
            },
        };
        if let Some(before) = &before
            && before.property.name != record.property.name
        {
            let found = format!(
                "the version before was of `{}`, this one is of `{}`",
                before.property.name, record.property.name
            );
            problems.push(
                Problem::warning("record::other-property", found)
                    .expected("the property on which it was done, in every version")
                    .mend(
                        "where this is the record of another application, amend it back, and keep the other as its own",
                    ),
            );
        }
        let is_as_before = |task: &TaskRecord| {
            before.as_ref().is_some_and(|before| before.date == record.date && is_same_work(before, &record, &task.id))
        };
        let changed: BTreeSet<String> =
            record.tasks.iter().filter(|task| !is_as_before(task)).map(|task| task.id.clone()).collect();
        let is_known = |label: &str| labels.iter().any(|known| known.id == label);
        // Where the books reach back as far as a limit counts, what they say of it replaces what was told before.
        let is_whole = |breach: &Breach, record: &ApplicationRecord| {
            past.as_ref().and_then(|past| past_is_whole(record, breach, &labels, past)) == Some(true)
        };
        let stays = |breach: &Breach| {
            let is_of_the_day = ["breach::distance", "breach::bloom"].contains(&breach.rule.as_str())
                || breach.rule.starts_with(USE_BREACH);
            is_of_the_day
                || !is_known(&breach.label)
                || !has_ground
                || (breach.is_of_the_past()
                    && record.task(&breach.task).is_some()
                    && !changed.contains(&breach.task)
                    && !is_whole(breach, &record))
        };
        let told = before.as_ref().unwrap_or(&record).breaches.iter();
        let (earlier, given_up): (Vec<Breach>, Vec<Breach>) = told.cloned().partition(stays);
        let given_up = given_up.into_iter().filter(|breach| !is_whole(breach, &record)).collect::<Vec<_>>();
        let mut judged = if labels.is_empty() {
            let on = request.as_ref().zip(past.as_ref());
            with_breaches(record, &labels, on.map(|(request, past)| Ground { property: &request.property, past }))
        } else {
            let (labels, past) = (labels.clone(), past.clone());
            let property = request.as_ref().map(|request| request.property.clone());
            // Overlays take their time, and others are served meanwhile.
            apart(move || {
                let on = property.as_ref().zip(past.as_ref());
                with_breaches(record, &labels, on.map(|(property, past)| Ground { property, past }))
            })
            .await?
        };
        for what in beyond_the_books(before.as_ref(), &judged, &given_up) {
            if !judged.not_judged.contains(&what) {
                judged.not_judged.push(what);
            }
        }
        for breach in earlier {
            let is_same = |other: &Breach| {
                (&other.rule, &other.task, &other.label, &other.clause)
                    == (&breach.rule, &breach.task, &breach.label, &breach.clause)
            };
            if !judged.breaches.iter().any(is_same) {
                judged.breaches.push(breach);
            }
        }
        Ok((judged, problems))
    }
}

/// Does work that takes its time beside what waits for the database.
async fn apart<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, LedgerError> {
    tokio::task::spawn_blocking(work).await.map_err(|error| match error.try_into_panic() {
        Ok(panic) => std::panic::resume_unwind(panic),
        Err(ended) => LedgerError::Failed(Problem::error("ledger::ended", ended.to_string())),
    })
}

/// Limits over time that the version before passed, and that the books, which do not reach back so far, cannot judge for
/// tasks that are told otherwise now. Silence would read as praise, in this version and in those after it.
fn beyond_the_books(
    before: Option<&ApplicationRecord>,
    judged: &ApplicationRecord,
    given_up: &[Breach],
) -> Vec<String> {
    let is_told = |breach: &Breach| {
        judged.breaches.iter().any(|other| (&other.rule, &other.task) == (&breach.rule, &breach.task))
    };
    let passed = given_up.iter().filter(|breach| {
        before.is_some() && breach.is_of_the_past() && !is_told(breach) && judged.task(&breach.task).is_some()
    });
    let mut untold: Vec<String> = passed
        .map(|breach| {
            let was = breach.text.trim_end_matches('.');
            format!("{}: {BEYOND_THE_BOOKS}; the version before passed one: {was}", breach.task)
        })
        .collect();
    let kept_before = before.into_iter().flat_map(|before| &before.not_judged);
    untold.extend(kept_before.filter(|what| what.contains(BEYOND_THE_BOOKS)).cloned());
    untold
}

const BEYOND_THE_BOOKS: &str = "limits over time by what the visit itself told of the past, beyond what the books hold";

/// The past without what lies so far back, or so far ahead, that no limit of these labels counts it together with the
/// day; how far back it is known stays.
fn within_windows(past: History, labels: &[label::Label], day: Date) -> History {
    /// The longest window of a cap or a number.
    const YEAR: u32 = 366;
    let intervals = labels.iter().flat_map(|label| {
        label
            .uses
            .iter()
            .filter_map(|row| label::requirements(label, row).minimum_interval_days.iter().map(|days| days.value).max())
    });
    let longest = i64::from(intervals.max().unwrap_or(0).max(YEAR));
    match past {
        History::Known { complete_since, mut applications } => {
            applications.retain(|application| {
                day.since(application.date).is_ok_and(|span| i64::from(span.get_days()).abs() <= longest)
            });
            History::Known { complete_since, applications }
        }
        History::Unknown => History::Unknown,
    }
}

/// Whether a task put down the same in two versions of a record, to within what writing and reading figures changes.
fn is_same_work(before: &ApplicationRecord, now: &ApplicationRecord, task: &str) -> bool {
    const ROUNDING: f64 = 1e-6;
    let is_one = |ratio: f64| (ratio - 1.0).abs() < ROUNDING;
    let (Some(before), Some(now)) = (before.task(task), now.task(task)) else { return false };
    let (was, is) = (before.region(), now.region());
    let is_same_ground = (was.is_empty() && is.is_empty())
        || (is_one(is.area().ratio(was.area())) && is_one(is.intersection(&was).area().ratio(was.area())));
    before.products.len() == now.products.len()
        && is_same_ground
        && before
            .products
            .iter()
            .zip(&now.products)
            .all(|(was, is)| was.label == is.label && is.amount.ratio(was.amount).is_some_and(is_one))
}
