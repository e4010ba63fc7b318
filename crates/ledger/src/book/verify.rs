//! Going over a whole book: is every entry as it was kept, and is every entry there?

use problem::Problem;
use sqlx::AnyConnection;
use sqlx::Row as _;

use super::row::{self, select_entries};
use super::{Book, Head};
use crate::database::Intent;
use crate::digest::Digest;
use crate::entry::Entry;
use crate::error::LedgerError;
use crate::identity::ThingId;

/// Entries looked at in one go.
const STRIDE: i64 = 500;

/// One thing that is wrong with a book.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Finding {
    /// The entry is not what was kept: its hash does not fit its content.
    Changed {
        /// Its place in the book.
        sequence: u64,
    },
    /// The entry holds what no ledger writes.
    Unreadable {
        /// Its place in the book.
        sequence: u64,
    },
    /// The entry does not follow the one that stands before it.
    OutOfOrder {
        /// Its place in the book.
        sequence: u64,
    },
    /// Entries are missing.
    Missing {
        /// The first of them.
        from: u64,
        /// The last of them.
        until: u64,
    },
    /// The entry stands behind the head of the book.
    BehindHead {
        /// Its place in the book.
        sequence: u64,
    },
    /// The entry at the place of a head that was noted has another hash.
    OtherHead {
        /// Its place in the book.
        sequence: u64,
    },
    /// The list shows the thing other than its newest entry says.
    IndexDiffers {
        /// The thing.
        thing: ThingId,
    },
    /// The bytes of an attachment are not what was kept.
    AttachmentChanged {
        /// The hash that names it.
        sha256: String,
    },
    /// An entry names an attachment that is not there.
    AttachmentMissing {
        /// The hash that names it.
        sha256: String,
    },
}

impl Finding {
    /// The finding as a problem.
    pub fn problem(&self) -> Problem {
        let (code, found) = match self {
            Self::Changed { sequence } => ("ledger::changed", format!("entry `{sequence}` was changed")),
            Self::Unreadable { sequence } => {
                ("ledger::unreadable", format!("entry `{sequence}` holds what no ledger writes"))
            }
            Self::OutOfOrder { sequence } => {
                ("ledger::out-of-order", format!("entry `{sequence}` does not follow the one before it"))
            }
            Self::Missing { from, until } if from == until => ("ledger::missing", format!("entry `{from}` is missing")),
            Self::Missing { from, until } => {
                ("ledger::missing", format!("the entries from `{from}` to `{until}` are missing"))
            }
            Self::BehindHead { sequence } => {
                ("ledger::behind-head", format!("entry `{sequence}` stands behind the end of the book"))
            }
            Self::OtherHead { sequence } => (
                "ledger::other-head",
                format!("entry `{sequence}` is not the one that was noted as the end of the book"),
            ),
            Self::IndexDiffers { thing } => {
                ("ledger::index", format!("the list shows `{thing}` other than its newest entry says"))
            }
            Self::AttachmentChanged { sha256 } => {
                ("ledger::attachment-changed", format!("the bytes of attachment `{sha256}` were changed"))
            }
            Self::AttachmentMissing { sha256 } => {
                ("ledger::attachment-missing", format!("attachment `{sha256}` is missing"))
            }
        };
        Problem::error(code, found).mend("compare the ledger with its last backup, and restore what was kept")
    }
}

/// How far the going over has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Progress {
    /// Entries looked at.
    pub done: u64,
    /// Entries that the book has.
    pub of: u64,
}

/// What the going over found.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Verification {
    /// Entries looked at.
    pub entries: u64,
    /// Attachments looked at.
    pub attachments: u64,
    /// The end of the book.
    pub head: Head,
    /// All that is wrong; nothing when the book is as it was kept.
    pub findings: Vec<Finding>,
}

impl Verification {
    /// Whether nothing is wrong.
    pub fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }
}

impl Book {
    /// Goes over every entry and attachment in one state of the book.
    ///
    /// Changed, missing and reordered entries are found by their hashes. Whoever can write to the
    /// database could rewrite the whole chain, or cut its tail and move the head; that is found by
    /// `noted`, a head that was kept elsewhere.
    ///
    /// # Errors
    /// The database fails.
    pub async fn verify(
        &self,
        noted: Option<Head>,
        progress: &mut (dyn FnMut(Progress) + Send),
    ) -> Result<Verification, LedgerError> {
        let mut transaction = self.begin(Intent::Read).await?;
        let head = self.head_in(&mut transaction).await?;
        let mut walk = Walk { head, noted, last: 0, hash: Some(Digest::NONE), entries: 0, findings: Vec::new() };
        loop {
            let stretch = self.stretch(&mut transaction, walk.last).await?;
            if stretch.is_empty() {
                break;
            }
            for (sequence, entry) in stretch {
                walk.step(sequence, entry.as_ref());
            }
            progress(Progress { done: walk.entries, of: head.sequence });
        }
        walk.end();
        let Walk { mut findings, entries, .. } = walk;
        self.check_index(&mut transaction, &mut findings).await?;
        let attachments = self.check_attachments(&mut transaction, &mut findings).await?;
        Ok(Verification { entries, attachments, head, findings })
    }

    /// The next entries with their places; none where a row is no entry.
    async fn stretch(
        &self,
        connection: &mut AnyConnection,
        after: u64,
    ) -> Result<Vec<(u64, Option<Entry>)>, LedgerError> {
        let rows =
            sqlx::query(select_entries!("where e.account = $1 and e.sequence > $2 order by e.sequence limit $3"))
                .bind(self.account.to_string())
                .bind(row::signed(after))
                .bind(STRIDE)
                .fetch_all(&mut *connection)
                .await;
        match rows.map_err(LedgerError::from) {
            Ok(rows) => rows.iter().map(|row| Ok((row::count(row, "sequence")?, row::entry(row).ok()))).collect(),
            Err(error @ LedgerError::Unreachable(_)) => Err(error),
            Err(_) => self.one_by_one(connection, after).await,
        }
    }

    /// As [`Self::stretch`], where a row that cannot be read at all must not hide the others.
    async fn one_by_one(
        &self,
        connection: &mut AnyConnection,
        after: u64,
    ) -> Result<Vec<(u64, Option<Entry>)>, LedgerError> {
        let sequences =
            sqlx::query("select sequence from entry where account = $1 and sequence > $2 order by sequence limit $3")
                .bind(self.account.to_string())
                .bind(row::signed(after))
                .bind(STRIDE)
                .fetch_all(&mut *connection)
                .await?;
        let mut stretch = Vec::with_capacity(sequences.len());
        for row in &sequences {
            let sequence = row::count(row, "sequence")?;
            let row = sqlx::query(select_entries!("where e.account = $1 and e.sequence = $2"))
                .bind(self.account.to_string())
                .bind(row::signed(sequence))
                .fetch_one(&mut *connection)
                .await;
            let entry = match row.map_err(LedgerError::from).and_then(|row| row::entry(&row)) {
                Ok(entry) => Some(entry),
                Err(error @ LedgerError::Unreachable(_)) => return Err(error),
                Err(_) => None,
            };
            stretch.push((sequence, entry));
        }
        Ok(stretch)
    }

    async fn check_index(
        &self,
        connection: &mut AnyConnection,
        findings: &mut Vec<Finding>,
    ) -> Result<(), LedgerError> {
        let rows = sqlx::query(
            "select coalesce(t.thing, e.thing) as thing from \
             (select * from thing where account = $1) t full join \
             (select n.* from entry n join (select thing, max(version) as version from entry where account = $1 \
              group by thing) m on m.thing = n.thing and m.version = n.version where n.account = $1) e \
             on t.thing = e.thing \
             where t.version is distinct from e.version or t.kind is distinct from e.kind \
             or t.client is distinct from e.client or t.property is distinct from e.property \
             or t.date is distinct from coalesce(e.date, '') or t.title is distinct from e.title \
             or t.discarded is distinct from e.discards \
             or t.ground_south is distinct from coalesce(e.ground_south, -900000000) \
             or t.ground_west is distinct from coalesce(e.ground_west, -1800000000) \
             or t.ground_north is distinct from coalesce(e.ground_north, 900000000) \
             or t.ground_east is distinct from coalesce(e.ground_east, 1800000000) \
             or t.labels is distinct from e.labels order by 1",
        )
        .bind(self.account.to_string())
        .fetch_all(&mut *connection)
        .await?;
        let mut differing = Vec::new();
        for row in rows {
            differing.extend(ThingId::parse(row.try_get("thing")?).ok());
        }
        // Databases make small letters of fewer letters than the ledger does, so that this is held here.
        let rows = sqlx::query("select thing, title, searched from thing where account = $1 order by thing")
            .bind(self.account.to_string())
            .fetch_all(connection)
            .await?;
        for row in rows {
            let (title, searched): (String, String) = (row.try_get("title")?, row.try_get("searched")?);
            if title.to_lowercase() != searched {
                differing.extend(ThingId::parse(row.try_get("thing")?).ok());
            }
        }
        differing.sort();
        differing.dedup();
        findings.extend(differing.into_iter().map(|thing| Finding::IndexDiffers { thing }));
        Ok(())
    }

    async fn check_attachments(
        &self,
        connection: &mut AnyConnection,
        findings: &mut Vec<Finding>,
    ) -> Result<u64, LedgerError> {
        let missing: Vec<String> = sqlx::query_scalar(
            "select distinct e.attachment from entry e left join attachment a \
             on a.account = e.account and a.sha256 = e.attachment \
             where e.account = $1 and e.attachment is not null and a.sha256 is null order by 1",
        )
        .bind(self.account.to_string())
        .fetch_all(&mut *connection)
        .await?;
        findings.extend(missing.into_iter().map(|sha256| Finding::AttachmentMissing { sha256 }));
        let mut count = 0;
        let mut last = String::new();
        // One at a time: a photo is large, and a book has many.
        while let Some(row) = sqlx::query(
            "select sha256, bytes from attachment where account = $1 and sha256 > $2 order by sha256 limit 1",
        )
        .bind(self.account.to_string())
        .bind(&last)
        .fetch_optional(&mut *connection)
        .await?
        {
            last = row.try_get("sha256")?;
            count += 1;
            if Digest::of(row.try_get("bytes")?).to_string() != last {
                findings.push(Finding::AttachmentChanged { sha256: last.clone() });
            }
        }
        Ok(count)
    }
}

/// Where the going over stands.
struct Walk {
    head: Head,
    noted: Option<Head>,
    last: u64,
    /// The hash that the last entry carries; none behind a gap and behind what cannot be read.
    hash: Option<Digest>,
    entries: u64,
    findings: Vec<Finding>,
}

impl Walk {
    fn step(&mut self, sequence: u64, entry: Option<&Entry>) {
        if sequence != self.last + 1 {
            self.hash = None;
            self.findings.push(Finding::Missing { from: self.last + 1, until: sequence - 1 });
        }
        self.entries += 1;
        self.last = sequence;
        if sequence > self.head.sequence {
            self.findings.push(Finding::BehindHead { sequence });
        }
        let Some(entry) = entry else {
            self.findings.push(Finding::Unreadable { sequence });
            self.hash = None;
            return;
        };
        if entry.computed_hash() != entry.hash {
            self.findings.push(Finding::Changed { sequence });
        } else if self.hash.is_some_and(|hash| hash != entry.previous) {
            self.findings.push(Finding::OutOfOrder { sequence });
        }
        // A changed entry is named once: what follows is held against the hash that it carries.
        self.hash = Some(entry.hash);
        for head in [Some(self.head), self.noted].into_iter().flatten() {
            let other = Finding::OtherHead { sequence };
            if head.sequence == sequence && head.hash != entry.hash && !self.findings.contains(&other) {
                self.findings.push(other);
            }
        }
    }

    fn end(&mut self) {
        let noted = self.noted.map_or(0, |noted| noted.sequence);
        let until = self.head.sequence.max(noted);
        if until > self.last {
            self.findings.push(Finding::Missing { from: self.last + 1, until });
        }
    }
}
