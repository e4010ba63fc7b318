//! Looking things up.

use sqlx::AnyConnection;
use sqlx::Row as _;

use super::row::{self, select_entries};
use super::{Book, Head};
use crate::digest::Digest;
use crate::entry::Entry;
use crate::error::LedgerError;
use crate::identity::ThingId;
use crate::kind::Kind;

impl Book {
    /// The newest version of a thing; of a discarded thing, the entry that gave it up.
    ///
    /// # Errors
    /// The thing is not in this account; the database fails.
    pub async fn newest(&self, thing: ThingId) -> Result<Entry, LedgerError> {
        let mut look = self.look().await?;
        self.newest_in(&mut look, thing).await
    }

    pub(crate) async fn newest_in(&self, connection: &mut AnyConnection, thing: ThingId) -> Result<Entry, LedgerError> {
        let row = sqlx::query(select_entries!("where e.account = $1 and e.thing = $2 order by e.version desc limit 1"))
            .bind(self.account.to_string())
            .bind(thing.to_string())
            .fetch_optional(connection)
            .await?
            .ok_or(LedgerError::UnknownThing { thing, version: None })?;
        row::entry(&row)
    }

    /// Every version of a thing, oldest first.
    ///
    /// # Errors
    /// The thing is not in this account; the database fails.
    pub async fn versions(&self, thing: ThingId) -> Result<Vec<Entry>, LedgerError> {
        let mut look = self.look().await?;
        let rows = sqlx::query(select_entries!("where e.account = $1 and e.thing = $2 order by e.version"))
            .bind(self.account.to_string())
            .bind(thing.to_string())
            .fetch_all(&mut *look)
            .await?;
        if rows.is_empty() {
            return Err(LedgerError::UnknownThing { thing, version: None });
        }
        rows.iter().map(row::entry).collect()
    }

    /// One version of a thing, from 1.
    ///
    /// # Errors
    /// The thing or the version is not in this account; the database fails.
    pub async fn version(&self, thing: ThingId, version: u64) -> Result<Entry, LedgerError> {
        let mut look = self.look().await?;
        self.version_in(&mut look, thing, version).await
    }

    pub(crate) async fn version_in(
        &self,
        connection: &mut AnyConnection,
        thing: ThingId,
        version: u64,
    ) -> Result<Entry, LedgerError> {
        let row = sqlx::query(select_entries!("where e.account = $1 and e.thing = $2 and e.version = $3"))
            .bind(self.account.to_string())
            .bind(thing.to_string())
            .bind(row::signed(version))
            .fetch_optional(connection)
            .await?
            .ok_or(LedgerError::UnknownThing { thing, version: Some(version) })?;
        row::entry(&row)
    }

    /// The entry kept last among the things of a kind that are not discarded.
    ///
    /// # Errors
    /// The database fails.
    pub async fn newest_of(&self, kind: Kind) -> Result<Option<Entry>, LedgerError> {
        let mut look = self.look().await?;
        let row = sqlx::query(select_entries!(
            "join thing t on t.account = e.account and t.thing = e.thing \
             where e.account = $1 and e.kind = $2 and t.discarded = 0 order by e.sequence desc limit 1"
        ))
        .bind(self.account.to_string())
        .bind(kind.word())
        .fetch_optional(&mut *look)
        .await?;
        row.as_ref().map(row::entry).transpose()
    }

    /// Entries in the order they were kept, from behind `after` (0 for the beginning), at most `limit`.
    ///
    /// # Errors
    /// The database fails.
    pub async fn entries(&self, after: u64, limit: u32) -> Result<Vec<Entry>, LedgerError> {
        let mut look = self.look().await?;
        self.entries_in(&mut look, after, limit).await
    }

    pub(crate) async fn entries_in(
        &self,
        connection: &mut AnyConnection,
        after: u64,
        limit: u32,
    ) -> Result<Vec<Entry>, LedgerError> {
        let rows =
            sqlx::query(select_entries!("where e.account = $1 and e.sequence > $2 order by e.sequence limit $3"))
                .bind(self.account.to_string())
                .bind(row::signed(after))
                .bind(i64::from(limit))
                .fetch_all(connection)
                .await?;
        rows.iter().map(row::entry).collect()
    }

    /// The end of the book, worth keeping elsewhere for [`Book::verify`].
    ///
    /// # Errors
    /// The database fails.
    pub async fn head(&self) -> Result<Head, LedgerError> {
        let mut look = self.look().await?;
        self.head_in(&mut look).await
    }

    pub(crate) async fn head_in(&self, connection: &mut AnyConnection) -> Result<Head, LedgerError> {
        let row = sqlx::query("select head_sequence, head_hash from account where account = $1")
            .bind(self.account.to_string())
            .fetch_optional(connection)
            .await?
            .ok_or(LedgerError::UnknownAccount(self.account))?;
        Ok(Head { sequence: row::count(&row, "head_sequence")?, hash: Digest::parse(row.try_get("head_hash")?)? })
    }
}
