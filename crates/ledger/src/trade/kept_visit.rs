//! Visits that the books keep, found by their names.

use super::{Held, OfKind};
use crate::{Book, Filter, LedgerError, ThingId};
use exchange::kept::{Kept, Visit};
use jiff::civil::Date;
use problem::Problem;
use treatment::VisitRequest;

/// How a command names a kept visit: `books:visit/Alder Bend`; where several are called so, with the day behind it,
/// `books:visit/Alder Bend 2026-07-07`, or by its identifier.
pub const KEPT_VISIT: &str = "books:visit/";

impl Book {
    /// The kept visit that a person means by its name, by name and day, or by its identifier.
    ///
    /// # Errors
    /// `trade::unknown-name` where none is called that, `trade::several` where several are; the database fails.
    pub async fn meant_visit(&self, name: &str) -> Result<Held<Visit>, LedgerError> {
        let day = name.rsplit_once(' ').and_then(|(title, day)| Some((title.trim_end(), day.parse::<Date>().ok()?)));
        if let Some((title, day)) = day {
            let mut found = self.visits_on(day, title).await?;
            match found.len() {
                // A visit may be called by a day without being on it.
                0 => {}
                1 => return Ok(found.remove(0)),
                _ => return Err(several(name, found.iter().map(|visit| visit.thing.to_string()))),
            }
        }
        let titled = self.things_titled::<Visit>(name).await?;
        if titled.len() > 1 {
            let days = titled.iter().map(|visit| format!("{name} {}", visit.document.date.date()));
            return Err(several(name, days));
        }
        self.meant(name).await
    }

    /// The only kept visit of a request's name and day, on the same property where both say which.
    pub(super) async fn kept_visit_of(
        &self,
        request: &VisitRequest,
        property: Option<ThingId>,
    ) -> Result<Option<ThingId>, LedgerError> {
        let mut found = self.visits_on(request.date, &request.name).await?;
        found.retain(|visit| match (&visit.document.property, property) {
            (Some(own), Some(property)) => own.as_str() == property.to_string(),
            _ => true,
        });
        Ok(if let [only] = found.as_slice() { Some(only.thing) } else { None })
    }

    async fn visits_on(&self, day: Date, title: &str) -> Result<Vec<Held<Visit>>, LedgerError> {
        let filter = Filter { from: Some(day), until: Some(day), ..Filter::of(Visit::KIND) };
        let entries = self.all(&filter).await?.into_iter();
        let called = entries.filter(|entry| entry.indexed.title.to_lowercase() == title.to_lowercase());
        called
            .map(|entry| Ok(Held { thing: entry.thing, version: entry.version, document: Visit::read(&entry.body)? }))
            .collect()
    }
}

fn several(name: &str, which: impl Iterator<Item = String>) -> LedgerError {
    let which: Vec<String> = which.map(|one| format!("`{KEPT_VISIT}{one}`")).collect();
    Problem::error("trade::several", format!("several visits are called `{name}`"))
        .expected(format!("one of {}", which.join(", ")))
        .into()
}
