//! Records of later days that were kept before an earlier one, and judged without it.

use crate::book::Called;
use crate::{Book, Filter, Kind, LedgerError, ThingId};
use jiff::ToSpan;
use jiff::civil::Date;
use problem::{Problem, Problems};
use record::{ApplicationRecord, extent};

/// So many are named; of more it is said that there are more.
const NAMED: u32 = 5;

impl Book {
    /// Records of later days near a record that is kept as `thing`, within the year in which limits count it: they were
    /// judged without it, or with its version before, which told `earlier_day`. One warning, `record::later-kept`; what
    /// those records say is for their own amendment.
    ///
    /// # Errors
    /// The database fails.
    pub(super) async fn later_records(
        &self,
        record: &ApplicationRecord,
        thing: ThingId,
        earlier_day: Option<Date>,
    ) -> Result<Problems, LedgerError> {
        let first = earlier_day.map_or(record.date, |earlier| earlier.min(record.date));
        let last = earlier_day.map_or(record.date, |earlier| earlier.max(record.date));
        let (Ok(from), Ok(until)) = (first.tomorrow(), last.checked_add(366.days())) else {
            return Ok(Problems::new());
        };
        let near = extent(record);
        let filter = Filter { from: Some(from), until: Some(until), near, ..Filter::of(Kind::Record) };
        // One more than is named, and perhaps the record itself, whose other version told another day.
        let mut found = self.called(&filter, NAMED + 2).await?;
        found.retain(|called| called.thing != thing);
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
            "have each judged anew, with the reason: `tussock record amend {} --judge-anew --reason …`, or sent again as it is",
            first.thing
        ))
        .into()
}
