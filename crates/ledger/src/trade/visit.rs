//! A visit request, planned with what the books know, and the record of the visit.

use super::past::with_records;
use super::{BooksPast, Held, Shelf, reference};
use crate::{Book, LedgerError, ThingId};
use exchange::aftercare_file::parse_aftercare;
use exchange::as_applied_file::record_as_applied;
use exchange::kept::{self, Client, Day, FileText, Person, PlannedResult, Property};
use exchange::visit_file::{parse_visit, parse_visit_in};
use jurisdiction::Jurisdiction;
use problem::{Problem, Problems};
use record::{ApplicationRecord, Breach, Fact, Ground, Parties, from_visit, with_breaches};
use std::collections::BTreeMap;
use treatment::{History, Status, Verdict, Visit, VisitRequest, Zoning};

/// How the code of a breach begins that the plan told of a use itself.
pub(super) const USE_BREACH: &str = "breach::use-";

/// A visit request, read with all it names.
#[derive(Debug, Clone)]
pub struct ReadVisit {
    file: String,
    text: String,
    files: BTreeMap<String, String>,
    request: VisitRequest,
    warnings: Problems,
    kept: Option<ThingId>,
}

/// A visit, planned.
#[derive(Debug, Clone)]
pub struct PlannedVisit {
    /// The request, its past from the books in it.
    pub request: VisitRequest,
    /// The visit.
    pub visit: Visit,
    /// What should be looked at.
    pub warnings: Problems,
    /// The request as it was written.
    pub text: String,
    /// The texts that it names, by the names that it gives them.
    pub files: BTreeMap<String, String>,
    /// The kept visit that was planned, where it was asked for by its name in the books.
    pub kept: Option<ThingId>,
    /// What the books hold of the visit itself, where it is to be recorded.
    pub of_itself: Vec<ApplicationRecord>,
}

impl ReadVisit {
    /// Reads a request; the shelf has what it names as `books:…`, `fetch` the texts of other names.
    ///
    /// # Errors
    /// Everything wrong in those texts.
    pub fn read(
        file: &str,
        text: String,
        shelf: &Shelf,
        mut fetch: impl FnMut(&str) -> Result<String, String>,
    ) -> Result<Self, Problems> {
        let mut files = BTreeMap::new();
        let mut fetch = |name: &str| {
            let text = shelf.text(name).unwrap_or_else(|| fetch(name))?;
            files.insert(name.to_owned(), text.clone());
            Ok(text)
        };
        let (request, warnings) = parse_visit(file, &text, &mut fetch)?;
        Ok(Self { file: file.to_owned(), text, files, request, warnings, kept: None })
    }

    /// The same request, which the books keep as this visit.
    #[must_use]
    pub fn kept_as(self, visit: ThingId) -> Self {
        Self { kept: Some(visit), ..self }
    }

    /// The request as it was written.
    pub fn request(&self) -> &VisitRequest {
        &self.request
    }

    /// The same request, of a property that is known to lie at a place: registration and what labels say of single
    /// states are judged by it. That the request says otherwise is a warning, `trade::other-place`.
    fn at_place(mut self, place: &Jurisdiction) -> Result<Self, Problems> {
        let Some(state) = place.division_code() else { return Ok(self) };
        let said = self.request.state.take();
        if said.as_deref() == Some(state) {
            return Ok(Self { request: VisitRequest { state: said, ..self.request }, ..self });
        }
        let files = &self.files;
        let mut fetch = |name: &str| files.get(name).cloned().ok_or_else(|| "it was not read before".to_owned());
        (self.request, self.warnings) = parse_visit_in(&self.file, &self.text, Some(state), &mut fetch)?;
        if let Some(said) = said {
            self.warnings.push(
                Problem::warning(
                    "trade::other-place",
                    format!("the request says `{said}`, and the books keep the property as lying in {place}"),
                )
                .expected("the state of the property; it is planned by where the books say that it lies")
                .mend(
                    "correct `state` or leave it out; where the books are wrong, keep the property with the right place",
                )
                .at("state")
                .in_file(self.file.clone()),
            );
        }
        Ok(self)
    }

    /// The zones of the visit alone, with the map on which they lie, to be drawn and not to be measured by
    /// ([`treatment::zones_sketched`]). They follow from the map, the tasks and the distances
    /// of labels and business, and from no forecast and no past.
    ///
    /// # Errors
    /// All that keeps the zones from being told.
    pub fn zones(self, place: Option<&Jurisdiction>) -> Result<(property::Property, Zoning), Problems> {
        let placed = match place {
            Some(place) => self.at_place(place)?,
            None => self,
        };
        let zoning = treatment::zones_sketched(&placed.request).map_err(|problems| problems.in_file(&placed.file))?;
        Ok((placed.request.property, zoning))
    }

    /// Plans the visit with the past from the books ([`Book::history_of`]), where they say that its property lies.
    ///
    /// # Errors
    /// All that keeps the request from being planned.
    pub fn plan(self, past: BooksPast) -> Result<PlannedVisit, Problems> {
        let placed = match &past.place {
            Some(place) => self.at_place(place)?,
            None => self,
        };
        let Self { file, text, files, mut request, warnings, kept } = placed;
        // Where the books say how far back they are complete, a history that does not is no fault.
        let is_told = matches!(past.history, History::Known { complete_since: Some(_), .. });
        let mut warnings: Problems =
            warnings.into_iter().filter(|problem| !is_told || problem.code != "history::open-beginning").collect();
        warnings.extend(past.gaps.iter().map(|gap| {
            let found = format!("{} of {} on {}: {}", gap.product, gap.task, gap.date, gap.why);
            Problem::warning("record::history-gap", found)
        }));
        request.history = past.history;
        let mut visit = treatment::plan(&request).map_err(|problems| problems.in_file(&file))?;
        let care = parse_aftercare(&file, &text)?;
        visit.measures.extend(season::aftercare::figures(&care).map_err(|problems| problems.in_file(&file))?);
        Ok(PlannedVisit { request, visit, warnings, text, files, kept, of_itself: past.of_itself })
    }
}

/// The kept property and client of a visit, and the visit itself where it is kept.
#[derive(Debug, Clone, Default)]
pub struct VisitParties {
    /// The property of the visit's name.
    pub property: Option<Held<Property>>,
    /// Its client.
    pub client: Option<Held<Client>>,
    /// The kept visit, which its record names.
    pub visit: Option<ThingId>,
}

impl Book {
    /// The kept property of a planned visit with its client, and the visit as it is kept: the one that was asked for
    /// by name, or else the only one of its name and day on this property.
    ///
    /// # Errors
    /// As [`Book::meant`]; the database fails.
    pub async fn parties_of(&self, planned: &PlannedVisit) -> Result<VisitParties, LedgerError> {
        let property = self.property_called(planned.visit.property.name()).await?;
        let client = match property.as_ref().and_then(|property| property.document.client.as_ref()) {
            Some(client) => Some(self.meant::<Client>(client.as_str()).await?),
            None => None,
        };
        let visit = match planned.kept {
            Some(kept) => Some(kept),
            None => self.kept_visit_of(&planned.request, property.as_ref().map(|property| property.thing)).await?,
        };
        Ok(VisitParties { property, client, visit })
    }
}

impl Book {
    /// The kept property of this name; none where none is called so.
    ///
    /// # Errors
    /// `trade::several` where several are: whose visit it is, is not guessed. The database fails.
    pub async fn property_called(&self, name: &str) -> Result<Option<Held<Property>>, LedgerError> {
        let mut found = self.things_titled::<Property>(name).await?;
        if found.len() > 1 {
            let things: Vec<String> = found.iter().map(|held| format!("`{}`", held.thing)).collect();
            return Err(Problem::error("trade::several", format!("several properties are called `{name}`"))
                .expected(format!("one; {} are called so", things.join(", ")))
                .mend("give each property a name of its own")
                .into());
        }
        Ok(found.pop())
    }

    /// What stands against the people of a visit carrying it out, as far as the books keep people: an error is
    /// a refusal.
    ///
    /// # Errors
    /// The database fails; the request names no state that can be read.
    pub async fn authority_over(
        &self,
        planned: &PlannedVisit,
        parties: &VisitParties,
    ) -> Result<Problems, LedgerError> {
        let Some(place) = planned.place(parties)? else { return Ok(Problems::new()) };
        if self.things::<Person>().await?.is_empty() {
            return Ok(Problems::new());
        }
        let record = from_visit(&planned.visit, &planned.request, &Parties::default());
        self.authority_of(&record, &place).await
    }
}

impl PlannedVisit {
    /// The document that the books keep of the visit: its request with every file that it names, and what came
    /// of it. What it names as `books:…` stands in it as it was on the day.
    ///
    /// # Errors
    /// None for parties that the books gave.
    pub fn document(&self, parties: &VisitParties) -> Result<kept::Visit, Problem> {
        let files = self.files.iter().map(|(name, text)| (name.clone(), FileText(text.clone())));
        Ok(kept::Visit {
            name: self.request.name.clone(),
            date: Day::new(self.request.date),
            client: parties.client.as_ref().map(|client| reference(client.thing)).transpose()?,
            property: parties.property.as_ref().map(|property| reference(property.thing)).transpose()?,
            request: FileText(self.text.clone()),
            files: files.collect(),
            result: Some(PlannedResult::from(&self.visit)),
        })
    }

    /// Where the visit is carried out: where its kept property lies, or the state that its request names.
    ///
    /// # Errors
    /// `jurisdiction::code` when that is no state.
    pub fn place(&self, parties: &VisitParties) -> Result<Option<Jurisdiction>, Problem> {
        let kept = parties.property.as_ref().and_then(|property| property.document.jurisdiction.as_ref());
        if let Some(text) = kept {
            return Ok(Some(text.place().clone()));
        }
        // Labels print states of the United States; elsewhere the kept property says where it lies.
        self.request.state.as_deref().map(|state| Jurisdiction::division("US", state)).transpose()
    }

    /// The record of the visit: as planned, but for what `as_applied` (the name and the text of a file) says
    /// that differed. What passed a sentence of a label is in it as a breach. Beside it stands what should be
    /// looked at.
    ///
    /// # Errors
    /// Everything wrong with the file; a record that contradicts itself.
    pub fn record(
        &self,
        parties: &VisitParties,
        as_applied: Option<(&str, &str)>,
    ) -> Result<(ApplicationRecord, Problems), Problems> {
        let client = parties.client.as_ref();
        let property = parties.property.as_ref();
        let visit = parties.visit;
        let parties = Parties {
            client: Fact::given(client.map(|client| client.document.name.clone())),
            client_address: Fact::given(client.and_then(|client| client.document.address.clone())),
            location: Fact::given(property.and_then(|property| property.document.address.clone())),
            visit_reference: visit.map(|visit| visit.to_string()),
        };
        let planned = from_visit(&self.visit, &self.request, &parties);
        let (record, mut warnings) = match as_applied {
            None => (planned, Problems::new()),
            Some((file, text)) => record_as_applied(file, text, &planned, self.visit.offset, &self.request.equipment)?,
        };
        let found = record::check(&record, Some(&self.visit.property));
        if found.has_errors() {
            return Err(found);
        }
        warnings.extend_untold(found);
        // What the visit did on another day lies there already.
        let earlier = self.of_itself.iter().filter(|earlier| earlier.date != record.date);
        let past = with_records(&self.request.history, earlier, &self.visit.property);
        let on = Ground { property: &self.visit.property, past: &past };
        let mut record = with_breaches(record, &self.request.labels, Some(on));
        record.breaches.extend(refused_uses(&self.visit, &record));
        Ok((record, warnings))
    }
}

/// What the plan refused of the uses themselves (registration, who may apply, pest) and was done all the same: nothing
/// that differed on the day makes it lawful.
fn refused_uses(visit: &Visit, record: &ApplicationRecord) -> Vec<Breach> {
    let of_tasks = visit.tasks.iter().flat_map(|task| task.verdicts.iter().map(|verdict| (task.id.as_str(), verdict)));
    let refused = of_tasks.filter(|(_, verdict)| verdict.status == Status::Refused);
    let breach = |(task, verdict): (&str, &Verdict)| {
        let rule = verdict.rule.strip_prefix("use::")?;
        let task = record.task(task)?;
        let named = task.products.iter().find(|product| verdict.text.contains(&product.name));
        Some(Breach {
            rule: format!("{USE_BREACH}{rule}"),
            task: task.id.clone(),
            // A verdict names the product of a mixture that it means.
            label: named.or(task.products.first())?.label.clone(),
            text: verdict.text.replace('`', ""),
            clause: verdict.clause.clone().unwrap_or_default(),
            page: verdict.page,
        })
    };
    let found: Vec<Breach> = refused.filter_map(breach).collect();
    let is_told = |breach: &Breach| {
        record
            .breaches
            .iter()
            .any(|told| (&told.task, &told.clause) == (&breach.task, &breach.clause) && !breach.clause.is_empty())
    };
    found.into_iter().filter(|breach| !is_told(breach)).collect()
}
