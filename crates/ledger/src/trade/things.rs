//! Kept things of every kind: checked before they are kept, read back as what they are.

use crate::{
    AccountId, Appended, Book, Digest, Entry, Expected, Filter, Indexed, Kind, Labels, Ledger, LedgerError, NewEntry,
    RequestKey, ThingId,
};
use exchange::kept::{self, Index, Kept, Reference};
use exchange::record_json::parse_record;
use jiff::Timestamp;
use problem::{Problem, Problems, Severity};
use record::ApplicationRecord;
use std::path::Path;

/// A document that the books keep under a kind.
pub trait OfKind: Kept {
    /// The kind.
    const KIND: Kind;
}

/// The document of each kind, apart from records.
macro_rules! of_kind {
    ($($document:ident),+) => {
        $(impl OfKind for kept::$document {
            const KIND: Kind = Kind::$document;
        })+

        /// Checks the document of a kind, and tells what it is found by.
        fn index_of(kind: Kind, body: &str) -> Result<Indexed, Problems> {
            match kind {
                $(Kind::$document => Ok(indexed(kept::$document::read(body)?.index())?),)+
                Kind::Record => parse_record("", body).map(|record| of_record(&record)),
            }
        }
    };
}

of_kind!(Business, Client, Person, Property, Label, Equipment, Lot, StockAdjustment, Survey, Visit, File);

fn indexed(index: Index) -> Result<Indexed, Problem> {
    Ok(Indexed {
        client: index.client.as_ref().map(thing_of).transpose()?,
        property: index.property.as_ref().map(thing_of).transpose()?,
        date: index.date,
        title: index.title,
        ..Indexed::default()
    })
}

/// A record is found by its ground and by the labels that it used as well.
fn of_record(record: &ApplicationRecord) -> Indexed {
    let products = record.tasks.iter().flat_map(|task| &task.products);
    Indexed {
        date: Some(record.date),
        title: record.name.clone(),
        ground: record::extent(record),
        labels: Some(Labels::new(products.map(|product| product.label.clone()))),
        ..Indexed::default()
    }
}

/// A version of a kept thing, read.
#[derive(Debug, Clone, PartialEq)]
pub struct Held<T> {
    /// The thing.
    pub thing: ThingId,
    /// Its newest version.
    pub version: u64,
    /// What it is.
    pub document: T,
}

/// How a version of a thing is to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Keeping {
    /// The thing; a new one gets a name that nothing had before ([`ThingId::fresh`]).
    pub thing: ThingId,
    /// What the keeper has seen of it.
    pub expected: Expected,
    /// Why an earlier version is amended.
    pub reason: Option<String>,
    /// When it is kept.
    pub recorded_at: Timestamp,
}

/// What keeping a thing came to.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptThing {
    /// The entry, and whether the same request had kept it before.
    pub appended: Appended,
    /// What should be looked at.
    pub warnings: Problems,
}

/// An entry of a body that was checked by its kind, with what it is found by. Whoever keeps things for
/// others (a server, an import) makes entries by this.
///
/// # Errors
/// Everything wrong with the document; `trade::no-reason` for an amended record without a reason.
pub fn checked_entry(kind: Kind, body: String, keeping: Keeping) -> Result<NewEntry, Problems> {
    let indexed = index_of(kind, &body)?;
    entry(kind, body, indexed, keeping)
}

/// As [`checked_entry`], of a record that is read already.
pub(super) fn record_entry(record: &ApplicationRecord, body: String, keeping: Keeping) -> Result<NewEntry, Problems> {
    // What came of putting a change into a record is read as whoever looks it up will: what nobody could read is not
    // kept, since it cannot be taken back.
    if keeping.expected != Expected::New {
        parse_record("record", &body)?;
    }
    entry(Kind::Record, body, of_record(record), keeping)
}

fn entry(kind: Kind, body: String, indexed: Indexed, keeping: Keeping) -> Result<NewEntry, Problems> {
    let is_amended = keeping.expected != Expected::New;
    let has_reason = keeping.reason.as_deref().is_some_and(|reason| !reason.trim().is_empty());
    if kind == Kind::Record && is_amended && !has_reason {
        return Err(Problem::error("trade::no-reason", "a record is amended without a reason")
            .expected("why it is amended, in a few words")
            .at("reason")
            .into());
    }
    Ok(NewEntry {
        kind,
        thing: keeping.thing,
        expected: keeping.expected,
        body,
        reason: keeping.reason,
        recorded_at: keeping.recorded_at,
        indexed,
        attachment: None,
    })
}

/// The name of a thing as documents write it.
///
/// # Errors
/// None for any name that the books give.
pub fn reference(thing: ThingId) -> Result<Reference, Problem> {
    Reference::parse(&thing.to_string())
}

fn thing_of(reference: &Reference) -> Result<ThingId, Problem> {
    ThingId::parse(reference.as_str())
}

impl Ledger {
    /// As [`Ledger::import`], and every document is what its kind says.
    ///
    /// # Errors
    /// As [`Ledger::import`]; everything wrong with the documents, with file and line.
    pub async fn import_books(&self, folder: &Path, named: Option<&str>) -> Result<AccountId, LedgerError> {
        self.import_checked(folder, named, |kind, body| index_of(kind, body).map(drop)).await
    }
}

impl Book {
    /// Keeps a version of a thing, checked.
    ///
    /// # Errors
    /// As [`checked_entry`] and [`Book::append`].
    pub async fn keep_thing<T: OfKind>(
        &self,
        document: &T,
        keeping: Keeping,
        key: RequestKey,
    ) -> Result<KeptThing, LedgerError> {
        self.append_linked(checked_entry(T::KIND, document.text(), keeping)?, key).await
    }

    /// Appends an entry whose client and property this book keeps, held against what else it keeps.
    ///
    /// # Errors
    /// As [`Book::append`]; `trade::unknown-link` for a client or a property that this book does not keep; what
    /// [`super::receipt`] says cannot be of a lot.
    pub async fn append_linked(&self, entry: NewEntry, key: RequestKey) -> Result<KeptThing, LedgerError> {
        let mut problems = self.unknown_links(&entry).await?;
        problems.extend(self.doubts_of(&entry).await?);
        // What was kept before is answered as before, whatever became of its links since.
        if problems.has_errors() && !self.has_kept(&key).await? {
            return Err(problems.into());
        }
        let warnings = problems.into_iter().filter(|problem| problem.severity == Severity::Warning).collect();
        Ok(KeptThing { appended: self.append(entry, key).await?, warnings })
    }

    async fn unknown_links(&self, entry: &NewEntry) -> Result<Problems, LedgerError> {
        let mut problems = Problems::new();
        let links = [(Kind::Client, entry.indexed.client), (Kind::Property, entry.indexed.property)];
        for (kind, link) in links {
            let Some(link) = link else { continue };
            let found = match self.newest(link).await {
                Ok(found) => found.kind == kind && !found.discards,
                Err(LedgerError::UnknownThing { .. }) => false,
                Err(error) => return Err(error),
            };
            if !found {
                problems.push(
                    Problem::error("trade::unknown-link", format!("the books keep no {kind} `{link}`"))
                        .expected(format!("a {kind} that is kept"))
                        .mend(format!("keep the {kind} first, or leave it out"))
                        .at(format!("/{kind}")),
                );
            }
        }
        Ok(problems)
    }

    /// All things of a kind, each in its newest version, by title.
    ///
    /// # Errors
    /// The database fails; a body is no document of its kind.
    pub async fn things<T: OfKind>(&self) -> Result<Vec<Held<T>>, LedgerError> {
        self.all(&Filter::of(T::KIND)).await?.iter().map(held).collect()
    }

    /// The things of a kind with exactly this title.
    ///
    /// # Errors
    /// The database fails; a body is no document of its kind.
    pub async fn things_titled<T: OfKind>(&self, title: &str) -> Result<Vec<Held<T>>, LedgerError> {
        let entries = self.all(&Filter { titled: Some(vec![title.to_owned()]), ..Filter::of(T::KIND) }).await?;
        // Titles are found whether in capitals or not.
        entries.iter().filter(|entry| entry.indexed.title == title).map(held).collect()
    }

    /// The thing of a kind that a person means by its name or title.
    ///
    /// # Errors
    /// `trade::unknown-name` when none is called that, `trade::several` when several are; the database
    /// fails.
    pub async fn meant<T: OfKind>(&self, name: &str) -> Result<Held<T>, LedgerError> {
        held(&self.meant_entry(T::KIND, name).await?)
    }

    /// As [`Book::meant`], for a thing of any kind, unread.
    ///
    /// # Errors
    /// As [`Book::meant`].
    pub async fn meant_entry(&self, kind: Kind, name: &str) -> Result<Entry, LedgerError> {
        let all = self.all(&Filter::of(kind)).await?;
        let is_called = |entry: &&Entry| {
            entry.thing.to_string() == name || entry.indexed.title.to_lowercase() == name.to_lowercase()
        };
        let mut found = all.iter().filter(is_called);
        match (found.next(), found.next()) {
            (Some(entry), None) => Ok(entry.clone()),
            (Some(_), Some(_)) => {
                let called: Vec<String> =
                    all.iter().filter(is_called).map(|entry| format!("`{}`{}", entry.thing, day(entry))).collect();
                Err(Problem::error("trade::several", format!("several things of kind {kind} are called `{name}`"))
                    .expected(format!("one of {}", called.join(", ")))
                    .into())
            }
            (None, _) => {
                const SHOWN: usize = 12;
                let mut titles: Vec<String> =
                    all.iter().take(SHOWN).map(|entry| format!("`{}`{}", entry.indexed.title, day(entry))).collect();
                if all.len() > SHOWN {
                    titles.push("…".to_owned());
                }
                let problem =
                    Problem::error("trade::unknown-name", format!("the books keep no {kind} called `{name}`"));
                Err(if titles.is_empty() {
                    problem.expected(format!("a {kind}; the books keep none yet"))
                } else {
                    problem.expected(format!("one of {}", titles.join(", ")))
                }
                .into())
            }
        }
    }
}

/// The day of a thing, to tell apart what is called the same.
fn day(entry: &Entry) -> String {
    entry.indexed.date.map_or_else(String::new, |date| format!(" of {date}"))
}

pub(super) fn held<T: OfKind>(entry: &Entry) -> Result<Held<T>, LedgerError> {
    let document = T::read(&entry.body)?;
    Ok(Held { thing: entry.thing, version: entry.version, document })
}

impl RequestKey {
    /// A key that the same words give again, so that a command repeated by mistake keeps nothing twice.
    ///
    /// # Errors
    /// None: a hash is a key.
    pub fn of_words(words: &str) -> Result<Self, Problem> {
        Self::parse(&Digest::of(words.as_bytes()).to_string())
    }
}
