//! Records of later days that were kept before an earlier one, and judged without it.

use crate::book::Called;
use crate::{Book, Entry, Filter, Kind, LedgerError};
use jiff::ToSpan;
use jiff::civil::Date;
use problem::{Problem, Problems};

/// So many are named; of more it is said that there are more.
const NAMED: u32 = 5;

impl Book {
    /// Records of later days near a record that is kept, within the year in which limits count it: they were
    /// judged without it, or with its version before, which told `earlier_day`. One warning, `record::later-kept`; what
    /// those records say is for their own amendment.
    ///
    /// # Errors
    /// The database fails.
    pub(super) async fn later_records(
        &self,
        record: &Entry,
        earlier_day: Option<Date>,
    ) -> Result<Problems, LedgerError> {
        let Some(day) = record.indexed.date else { return Ok(Problems::new()) };
        let first = earlier_day.map_or(day, |earlier| earlier.min(day));
        let last = earlier_day.map_or(day, |earlier| earlier.max(day));
        let (Ok(from), Ok(until)) = (first.tomorrow(), last.checked_add(366.days())) else {
            return Ok(Problems::new());
        };
        let filter =
            Filter { from: Some(from), until: Some(until), near: record.indexed.ground, ..Filter::of(Kind::Record) };
        // One more than is named, and perhaps the record itself, whose other version told another day.
        let mut found = self.called(&filter, NAMED + 2).await?;
        found.retain(|called| called.thing != record.thing);
        Ok(told(&found))
    }
}

fn told(later: &[Called]) -> Problems {
    let named: Vec<String> = later
        .iter()
        .take(NAMED as usize)
        .map(|one| format!("`{}` of {} ({})", one.title, one.date, one.thing))
        .collect();
    let Some(first) = later.first() else { return Problems::new() };
    let more = if later.len() > NAMED as usize { ", and more before them" } else { "" };
    let found = format!("kept before this one, and judged without it as it stands now: {}{more}", named.join(", "));
    Problem::warning("record::later-kept", found)
        .expected("records of later days that count what was applied before them")
        .mend(format!(
            "amend each as it stands, with the reason, so that it is judged anew: `tussock record amend {} --judge-anew --reason …`, or over HTTP the same document sent again",
            first.thing
        ))
        .into()
}
