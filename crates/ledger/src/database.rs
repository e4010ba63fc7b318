//! The one place that knows which database it is: kinds of text and bytes, how a transaction begins,
//! and what keeps accounts apart.

use sqlx::any::AnyPoolOptions;
use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, AnyPool, AssertSqlSafe, Connection as _, Transaction};
use std::ops::{Deref, DerefMut};
use std::time::Duration;

use crate::error::LedgerError;
use crate::identity::AccountId;
use crate::location::Location;
use crate::private;
use crate::turn::{Turn, Writers};
use problem::Problem;

/// How long a connection, or a writer before us, is waited for.
pub(crate) const PATIENCE: Duration = Duration::from_secs(30);
/// How long a connection under way is waited for at the end.
const CLOSING: Duration = Duration::from_secs(5);
/// Connections for reading, or for all work on PostgreSQL.
const CONNECTIONS: u32 = 10;

/// SQLite keeps a commit through a loss of power only with `synchronous = full`; foreign keys are off
/// unless asked for.
///
/// # Source
/// SQLite, "Pragma statements supported by SQLite".
const SQLITE_SETTINGS: &str = "pragma busy_timeout = 30000; pragma journal_mode = wal; \
     pragma synchronous = full; pragma foreign_keys = on";

/// Sets up a connection to SQLite. The change to the write-ahead log does not wait for another connection that makes it
/// at the same moment, whatever `busy_timeout` says: it is tried again.
async fn set_up(connection: &mut AnyConnection) -> Result<(), sqlx::Error> {
    let begun = std::time::Instant::now();
    loop {
        match sqlx::raw_sql(SQLITE_SETTINGS).execute(&mut *connection).await {
            Err(error) if is_locked(&error) && begun.elapsed() < PATIENCE => {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
            done => return done.map(drop),
        }
    }
}

fn is_locked(error: &sqlx::Error) -> bool {
    error.as_database_error().is_some_and(|error| error.message().contains("database is locked"))
}

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

/// What one statement looks through.
pub(crate) enum Look {
    Connection(PoolConnection<Any>),
    Transaction(Transaction<'static, Any>),
}

impl Deref for Look {
    type Target = AnyConnection;

    fn deref(&self) -> &AnyConnection {
        match self {
            Self::Connection(connection) => connection,
            Self::Transaction(transaction) => transaction,
        }
    }
}

impl DerefMut for Look {
    fn deref_mut(&mut self) -> &mut AnyConnection {
        match self {
            Self::Connection(connection) => connection,
            Self::Transaction(transaction) => transaction,
        }
    }
}

/// Connections to one database.
#[derive(Debug, Clone)]
pub(crate) struct Database {
    dialect: Dialect,
    readers: AnyPool,
    /// SQLite has one writer at a time: they queue for one connection rather than poll for the lock.
    writers: AnyPool,
    /// Those of them who may share a commit.
    together: Writers,
}

impl Database {
    /// Connects, and makes the file of SQLite when there is none.
    pub(crate) async fn connect(location: &Location) -> Result<Self, LedgerError> {
        sqlx::any::install_default_drivers();
        let dialect = location.dialect();
        if let Some(path) = location.path() {
            // Whatever goes wrong here, opening the file says it better.
            let _ = private::create_file(path);
        }
        // A pool waits long for a server that starts; whoever opens a ledger wants to know at once.
        let mut first = sqlx::AnyConnection::connect_with(location.options()).await?;
        if dialect == Dialect::Sqlite {
            set_up(&mut first).await?;
            check_description(&mut first).await?;
        }
        first.close().await?;
        let pool = |connections| {
            let options = AnyPoolOptions::new().max_connections(connections).acquire_timeout(PATIENCE);
            let options = match dialect {
                // A file does not go away as a server does: its connections are not asked before each use.
                Dialect::Sqlite => {
                    options.test_before_acquire(false).after_connect(|connection, _| Box::pin(set_up(connection)))
                }
                Dialect::Postgres => options,
            };
            options.connect_lazy_with(location.options().clone())
        };
        let readers = pool(CONNECTIONS);
        let writers = match dialect {
            Dialect::Sqlite => pool(1),
            Dialect::Postgres => readers.clone(),
        };
        Ok(Self { dialect, readers, writers, together: Writers::default() })
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
                let (account, every_account) = match scope {
                    Scope::Account(account) => (account.to_string(), "no"),
                    Scope::Accounts => (String::new(), "yes"),
                };
                // The name of an account is digits and hyphens: it can stand in the statement, which saves
                // a question to the server in every transaction.
                let begin = format!(
                    "{begin}; select set_config('role', 'tussock_books', true), \
                     set_config('tussock.account', '{account}', true), \
                     set_config('tussock.every_account', '{every_account}', true)"
                );
                Ok(self.readers.begin_with(AssertSqlSafe(begin)).await?)
            }
        }
    }

    /// Waits for a writer's turn in an account.
    pub(crate) async fn turn(&self, account: AccountId) -> Result<Turn, LedgerError> {
        match self.dialect {
            Dialect::Sqlite => Turn::shared(&self.together, &self.writers).await,
            Dialect::Postgres => Ok(Turn::Alone(self.begin(Scope::Account(account), Intent::Write).await?)),
        }
    }

    /// A connection for one statement that looks, which sees what `scope` says. A statement sees one state by
    /// itself; only where the scope must be set does it need a transaction round it.
    pub(crate) async fn look(&self, scope: Scope) -> Result<Look, LedgerError> {
        Ok(match self.dialect {
            Dialect::Sqlite => Look::Connection(self.readers.acquire().await?),
            Dialect::Postgres => Look::Transaction(self.begin(scope, Intent::Read).await?),
        })
    }

    /// Waits until every connection is given back and closes them; not longer than patience lasts, since one
    /// whose database is damaged may never come back.
    pub(crate) async fn close(&self) {
        for pool in [&self.writers, &self.readers] {
            // What does not come back is left: every entry acknowledged is on the disk.
            let _ = tokio::time::timeout(CLOSING, pool.close()).await;
        }
    }
}

/// Whether SQLite's own description of the tables is text: where it is damaged the driver breaks off in the middle
/// of an answer, which would then look like a shorter one. Every step of our schema is written in ASCII.
async fn check_description(connection: &mut AnyConnection) -> Result<(), LedgerError> {
    let described: Vec<Option<String>> =
        sqlx::query_scalar("select hex(sql) from sqlite_master").fetch_all(connection).await?;
    let is_text = |hexadecimal: &String| hexadecimal.as_bytes().chunks(2).all(|byte| byte[0] < b'8');
    if described.iter().flatten().all(is_text) {
        return Ok(());
    }
    let found = "the database's own description of its tables is damaged";
    Err(LedgerError::Failed(
        Problem::error("ledger::unreadable", found).mend("restore the ledger from its last backup"),
    ))
}
