//! Kept counts as visit requests name them, and what stands against keeping counts.

use super::{Held, Shelf};
use crate::{Book, Entry, Expected, Filter, Kind, LedgerError, NewEntry, RequestKey, ThingId};
use exchange::geojson_map::parse_property;
use exchange::kept::{Kept, Property, Survey};
use exchange::survey_counts::counted_at;
use exchange::survey_file::write_survey;
use problem::{Problem, Problems, Severity};
use std::collections::BTreeMap;

/// So many surveys are told where a name leads to none, the newest.
const SHOWN: usize = 12;

/// What is there, and nothing where the books do not keep it: that is told elsewhere.
fn known<T>(found: Result<T, LedgerError>) -> Result<Option<T>, LedgerError> {
    match found {
        Ok(found) => Ok(Some(found)),
        Err(LedgerError::UnknownThing { .. }) => Ok(None),
        Err(error) => Err(error),
    }
}

impl Book {
    /// Puts the surveys that `PROPERTY/PEST DAY` may mean on a shelf, each under that name; where several are called so, with
    /// the method behind it, and where that is not enough, with their own name.
    pub(super) async fn put_surveys(&self, shelf: &mut Shelf, named: &str) -> Result<(), LedgerError> {
        let title = named.rsplit_once('/').map_or(named, |(property, _)| property);
        let mut filter = Filter::of(Kind::Survey);
        let titled = Filter { titled: Some(vec![title.to_owned()]), ..Filter::of(Kind::Property) };
        let mut properties: Vec<Entry> = self.all(&titled).await?;
        if properties.is_empty() {
            properties = self.all(&Filter::of(Kind::Property)).await?;
        }
        let is_it = |entry: &&Entry| entry.indexed.title.to_lowercase() == title.to_lowercase();
        filter.property = properties.iter().find(is_it).map(|entry| entry.thing);
        let is_found = filter.property.is_some();
        let properties: BTreeMap<String, String> =
            properties.into_iter().map(|entry| (entry.thing.to_string(), entry.indexed.title)).collect();
        let mut surveys: Vec<Held<Survey>> = Vec::new();
        for entry in self.all(&filter).await? {
            surveys.push(super::things::held(&entry)?);
        }
        surveys.sort_by_key(|held| std::cmp::Reverse(held.document.date));
        if !is_found {
            surveys.truncate(SHOWN);
        }
        let property_of = |survey: &Survey| properties.get(survey.property.as_str()).cloned().unwrap_or_default();
        let plain = |survey: &Survey| format!("{}/{} {}", property_of(survey), survey.pest, survey.date.date());
        let with_method = |survey: &Survey| format!("{} ({})", plain(survey), survey.method);
        let count = |name: &dyn Fn(&Survey) -> String, of: &str| {
            surveys.iter().filter(|held| name(&held.document).to_lowercase() == of.to_lowercase()).count()
        };
        for held in &surveys {
            let survey = &held.document;
            let (short, long) = (plain(survey), with_method(survey));
            let name = if count(&plain, &short) == 1 {
                short
            } else if count(&with_method, &long) == 1 {
                long
            } else {
                format!("{long} {}", held.thing)
            };
            shelf.put_text("survey", &name, write_survey(survey, &property_of(survey)));
        }
        Ok(())
    }

    /// The client whom counts belong to: whose the property was when they were first kept. A later version does not hand
    /// them on to whom the property came since.
    pub(super) async fn client_of_survey(
        &self,
        entry: &NewEntry,
        key: &RequestKey,
    ) -> Result<Option<ThingId>, LedgerError> {
        // A request sent again asks for what it asked for then.
        if let Some(kept) = self.kept_by(key).await?.first() {
            return Ok(kept.indexed.client);
        }
        let Some(property) = entry.indexed.property else { return Ok(None) };
        let properties = known(self.versions(property).await)?.unwrap_or_default();
        let first = match entry.expected {
            Expected::New => None,
            Expected::Version(_) => known(self.version(entry.thing, 1).await)?,
        };
        let was_there = |kept: &&Entry| first.as_ref().is_none_or(|first| kept.sequence < first.sequence);
        let then = properties.iter().rev().find(was_there).or(properties.first());
        Ok(then.and_then(|property| property.indexed.client))
    }

    /// The text of a kept survey, as the file that a person could have written.
    pub(super) async fn survey_text(&self, entry: &Entry) -> Result<String, LedgerError> {
        let survey = Survey::read(&entry.body)?;
        let property = self.newest(ThingId::parse(survey.property.as_str())?).await?;
        Ok(write_survey(&survey, &property.indexed.title))
    }

    /// What stands against counts that are kept: two stations at one place. Places outside the property are a warning: what
    /// was counted is kept, and is not held against a threshold before it is mended. So is a threshold that does not say what
    /// it counts.
    pub(super) async fn doubts_of_survey(&self, entry: &NewEntry) -> Result<Problems, LedgerError> {
        let survey = Survey::read(&entry.body)?;
        let mut problems = survey.check_anew().err().unwrap_or_default();
        let untold = survey.threshold.as_ref().and_then(|threshold| threshold.of_untold(survey.how_counted()));
        problems.extend(untold.map(|mut problem| {
            let field = problem.place.path.take().unwrap_or_default();
            problem.at(format!("/threshold/{field}"))
        }));
        let Some(property) = entry.indexed.property else { return Ok(problems) };
        // An unknown property is told with the links of the entry.
        let Ok(kept) = self.newest(property).await else { return Ok(problems) };
        if kept.kind != Kind::Property || kept.discards {
            return Ok(problems);
        }
        let map = Property::read(&kept.body)?.map.0;
        if let Ok((property, _)) = parse_property("map", &map)
            && let Err(found) = counted_at(&survey.stations, &property)
        {
            problems.extend(found.into_iter().map(|one| Problem { severity: Severity::Warning, ..one }));
        }
        Ok(problems)
    }
}
