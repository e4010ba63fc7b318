//! Records of later days that were kept before an earlier one: what they pass of their labels with it.

use super::{HeldRecord, RecordLinks};
use crate::{Book, Filter, LedgerError, ThingId};
use problem::{Problem, Problems};
use record::{ApplicationRecord, Breach, extent};

impl Book {
    /// What records of later days near a record that is kept as `thing` pass of their labels now, and do not say:
    /// they were judged without it. Warnings, `record::later-passes`; what those records say is for their own
    /// amendment.
    ///
    /// # Errors
    /// The database fails.
    pub(super) async fn later_passed(
        &self,
        record: &ApplicationRecord,
        thing: ThingId,
    ) -> Result<Problems, LedgerError> {
        let Ok(next_day) = record.date.tomorrow() else { return Ok(Problems::new()) };
        let filter = Filter { from: Some(next_day), near: extent(record), ..Filter::default() };
        let mut problems = Problems::new();
        for held in self.records(&filter).await?.into_iter().filter(|held| held.thing != thing) {
            problems.extend(self.untold_of(held).await?);
        }
        Ok(problems)
    }

    async fn untold_of(&self, held: HeldRecord) -> Result<Problems, LedgerError> {
        let HeldRecord { thing, indexed, record, .. } = held;
        let links = RecordLinks { client: indexed.client, property: indexed.property };
        let (judged, _) = self.judged(record.clone(), thing, links).await?;
        let is_told = |breach: &&Breach| {
            record.breaches.iter().any(|told| (&told.rule, &told.task) == (&breach.rule, &breach.task))
        };
        let untold = judged.breaches.iter().filter(|breach| breach.is_of_the_past() && !is_told(breach));
        Ok(untold
            .map(|breach| {
                let found = format!(
                    "with this record, `{}` of {} passes the label {} ({}): {}",
                    record.name, record.date, breach.label, breach.task, breach.text
                );
                Problem::warning("record::later-passes", found)
                    .expected("a record that says what it passed; it was kept before this one")
                    .mend(format!(
                        "have it say so: `tussock record amend {thing} --judge-anew --reason …`, or send it as it is"
                    ))
            })
            .collect())
    }
}
