//! A database of its own for every test, on SQLite always and on PostgreSQL where
//! `TUSSOCK_POSTGRES` names a server (`tools/postgres` starts one).

use jiff::Timestamp;
use ledger::{AccountId, Actor, Book, Expected, Indexed, Kind, Ledger, Location, NewEntry, RequestKey, ThingId};
use sqlx::{AnyConnection, AssertSqlSafe, Connection as _};
use tempfile::TempDir;

/// A database that lives as long as this.
pub(crate) struct Database {
    /// Where it lies.
    pub(crate) location: Location,
    /// Its address for other hands than the ledger's.
    pub(crate) url: String,
    /// The server's address, when it has a server.
    server: Option<String>,
    /// A folder of its own.
    pub(crate) folder: TempDir,
}

impl Database {
    /// A file in a folder of its own.
    pub(crate) fn sqlite() -> Self {
        sqlx::any::install_default_drivers();
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("books.db");
        let location = Location::file(&path).expect("a path");
        Self { location, url: format!("sqlite:{}", path.display()), server: None, folder }
    }

    /// A new database of the server, when there is one.
    pub(crate) async fn postgres() -> Option<Self> {
        sqlx::any::install_default_drivers();
        let Ok(server) = std::env::var("TUSSOCK_POSTGRES") else {
            eprintln!("not run: TUSSOCK_POSTGRES names no PostgreSQL server (see tools/postgres)");
            return None;
        };
        let name = format!("books_{}", uuid::Uuid::now_v7().simple());
        let mut connection = AnyConnection::connect(&server).await.expect("the server of TUSSOCK_POSTGRES");
        sqlx::raw_sql(AssertSqlSafe(format!("create database {name}")))
            .execute(&mut connection)
            .await
            .expect("a database");
        connection.close().await.expect("closed");
        let (server_part, _) = server.rsplit_once('/').expect("an address with a database");
        let url = format!("{server_part}/{name}");
        let location = Location::parse(&url).expect("an address");
        Some(Self { location, url, server: Some(server), folder: tempfile::tempdir().expect("a folder") })
    }

    /// Whether it is SQLite.
    pub(crate) fn is_sqlite(&self) -> bool {
        self.server.is_none()
    }

    /// The ledger in it.
    pub(crate) async fn ledger(&self) -> Ledger {
        Ledger::open(&self.location).await.expect("a ledger")
    }

    /// A book of a new account in it.
    pub(crate) async fn book(&self) -> Book {
        let ledger = self.ledger().await;
        let account = ledger.open_account("Reed & Daughters Lawn Care").await.expect("an account");
        ledger.book(account, Actor::local("Mara Reed")).await.expect("a book")
    }

    /// A connection past the ledger, as one who tampers has it: the guards of kept rows are off.
    pub(crate) async fn tamperer(&self) -> AnyConnection {
        let mut connection = AnyConnection::connect(&self.url).await.expect("a connection");
        let guards = if self.is_sqlite() {
            "drop trigger if exists entry_unchanged; drop trigger if exists entry_unremoved; \
             drop trigger if exists attachment_unchanged; drop trigger if exists attachment_unremoved; \
             pragma foreign_keys = off; pragma busy_timeout = 30000"
        } else {
            "set session_replication_role = replica"
        };
        sqlx::raw_sql(guards).execute(&mut connection).await.expect("the guards taken off");
        connection
    }

    /// Removes what lies on a server.
    pub(crate) async fn remove(self) {
        if let Some(server) = &self.server {
            let name = self.url.rsplit_once('/').expect("an address with a database").1;
            let mut connection = AnyConnection::connect(server).await.expect("the server");
            let drop = format!("drop database {name} with (force)");
            sqlx::raw_sql(AssertSqlSafe(drop)).execute(&mut connection).await.expect("the database removed");
        }
    }
}

/// Runs each test on SQLite and on PostgreSQL.
macro_rules! on_both {
    ($($name:ident),* $(,)?) => {
        mod sqlite {
            $(#[tokio::test(flavor = "multi_thread")]
            async fn $name() {
                super::$name(&crate::support::Database::sqlite()).await;
            })*
        }
        mod postgres {
            $(#[tokio::test(flavor = "multi_thread")]
            async fn $name() {
                if let Some(database) = crate::support::Database::postgres().await {
                    super::$name(&database).await;
                    database.remove().await;
                }
            })*
        }
    };
}
pub(crate) use on_both;

/// A moment of the tests.
pub(crate) fn moment(second: i64) -> Timestamp {
    Timestamp::from_second(1_790_000_000 + second).expect("a moment")
}

/// A client's first version.
pub(crate) fn client(name: &str) -> NewEntry {
    NewEntry::first(Kind::Client, ThingId::fresh(), name, format!("{{\"name\":\"{name}\"}}"), moment(0))
}

/// The next version of an entry's thing.
pub(crate) fn next(entry: &ledger::Entry, body: &str) -> NewEntry {
    NewEntry {
        kind: entry.kind,
        thing: entry.thing,
        expected: Expected::Version(entry.version),
        body: body.to_owned(),
        reason: Some("the gate was mapped on the wrong side".to_owned()),
        recorded_at: moment(60),
        indexed: Indexed::clone(&entry.indexed),
        attachment: None,
    }
}

/// A key of its own.
pub(crate) fn key() -> RequestKey {
    RequestKey::fresh()
}

/// An account that no ledger has.
pub(crate) fn no_account() -> AccountId {
    AccountId::fresh()
}
