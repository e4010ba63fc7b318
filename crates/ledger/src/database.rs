//! The one place that knows which database it is: kinds of text and bytes, how a transaction begins,
//! and what keeps accounts apart.

use sqlx::any::AnyPoolOptions;
use sqlx::{Any, AnyPool, Connection as _, Transaction};
use std::time::Duration;

use crate::error::LedgerError;
use crate::identity::AccountId;
use crate::location::Location;

/// How long a connection, or a writer before us, is waited for.
const PATIENCE: Duration = Duration::from_secs(30);
/// Connections for reading, or for all work on PostgreSQL.
const CONNECTIONS: u32 = 10;

/// SQLite keeps a commit through a loss of power only with `synchronous = full`; foreign keys are off
/// unless asked for.
///
/// # Source
/// SQLite, "Pragma statements supported by SQLite".
const SQLITE_SETTINGS: &str = "pragma busy_timeout = 30000; pragma journal_mode = wal; \
     pragma synchronous = full; pragma foreign_keys = on";

/// Which SQL a database speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Dialect {
    Sqlite,
    Postgres,
}

impl Dialect {
    /// A step of the schema in this database's words.
    pub(crate) fn translate(self, sql: &str) -> String {
        let (text, bytes) = match self {
            Self::Sqlite => ("text", "blob"),
            Self::Postgres => ("text collate \"C\"", "bytea"),
        };
        sql.replace("{text}", text).replace("{bytes}", bytes)
    }

    /// What makes a look wait for writers of the same rows: in SQLite a writing transaction is alone anyway.
    pub(crate) fn for_update(self) -> &'static str {
        match self {
            Self::Sqlite => "",
            Self::Postgres => " for update",
        }
    }
}

/// What a transaction may see.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Scope {
    /// The rows of one account.
    Account(AccountId),
    /// The list of accounts, and no row of any.
    Accounts,
}

/// What a transaction is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Intent {
    /// Looking at one state of the book, however long it takes.
    Read,
    /// Changing it. In SQLite one writer works at a time, and waits for its turn at the beginning.
    Write,
}

/// Connections to one database.
#[derive(Debug, Clone)]
pub(crate) struct Database {
    dialect: Dialect,
    readers: AnyPool,
    /// SQLite has one writer at a time: they queue for one connection rather than poll for the lock.
    writers: AnyPool,
}

impl Database {
    /// Connects, and makes the file of SQLite when there is none.
    pub(crate) async fn connect(location: &Location) -> Result<Self, LedgerError> {
        sqlx::any::install_default_drivers();
        let dialect = location.dialect();
        // A pool waits long for a server that starts; whoever opens a ledger wants to know at once.
        let mut first = sqlx::AnyConnection::connect_with(location.options()).await?;
        if dialect == Dialect::Sqlite {
            sqlx::raw_sql(SQLITE_SETTINGS).execute(&mut first).await?;
        }
        first.close().await?;
        let pool = |connections| {
            let options = AnyPoolOptions::new().max_connections(connections).acquire_timeout(PATIENCE);
            let options = match dialect {
                Dialect::Sqlite => options.after_connect(|connection, _| {
                    Box::pin(async move { sqlx::raw_sql(SQLITE_SETTINGS).execute(connection).await.map(drop) })
                }),
                Dialect::Postgres => options,
            };
            options.connect_lazy_with(location.options().clone())
        };
        let readers = pool(CONNECTIONS);
        let writers = match dialect {
            Dialect::Sqlite => pool(1),
            Dialect::Postgres => readers.clone(),
        };
        Ok(Self { dialect, readers, writers })
    }

    pub(crate) fn dialect(&self) -> Dialect {
        self.dialect
    }

    /// The connections without any scope: for the schema, backups and checks of the whole.
    pub(crate) fn unscoped(&self) -> &AnyPool {
        &self.writers
    }

    /// Connections without any scope for a single look, beside the one that writes.
    pub(crate) fn unscoped_readers(&self) -> &AnyPool {
        &self.readers
    }

    /// Begins a transaction that sees what `scope` says. Dropping it undoes it.
    pub(crate) async fn begin(&self, scope: Scope, intent: Intent) -> Result<Transaction<'static, Any>, LedgerError> {
        match (self.dialect, intent) {
            (Dialect::Sqlite, Intent::Read) => Ok(self.readers.begin().await?),
            (Dialect::Sqlite, Intent::Write) => Ok(self.writers.begin_with("begin immediate").await?),
            (Dialect::Postgres, _) => {
                let begin = match intent {
                    Intent::Read => "begin isolation level repeatable read read only",
                    Intent::Write => "begin",
                };
                let mut transaction = self.readers.begin_with(begin).await?;
                let (account, every_account) = match scope {
                    Scope::Account(account) => (account.to_string(), "no"),
                    Scope::Accounts => (String::new(), "yes"),
                };
                sqlx::query(
                    "select set_config('role', 'tussock_books', true), set_config('tussock.account', $1, true), \
                     set_config('tussock.every_account', $2, true)",
                )
                .bind(account)
                .bind(every_account)
                .fetch_one(&mut *transaction)
                .await?;
                Ok(transaction)
            }
        }
    }

    /// Waits until every connection is given back and closes them.
    pub(crate) async fn close(&self) {
        self.writers.close().await;
        self.readers.close().await;
    }
}
