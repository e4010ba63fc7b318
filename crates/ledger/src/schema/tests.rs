//! A ledger of every earlier schema, with a book in it, is opened by this one.

use sqlx::{AnyConnection, AssertSqlSafe, Connection as _};

use super::{Empty, STEPS, migrate_to};
use crate::actor::Actor;
use crate::database::Database;
use crate::digest::Digest;
use crate::entry::{Entry, Expected, Indexed, NewEntry};
use crate::error::LedgerError;
use crate::identity::{AccountId, ThingId};
use crate::kind::Kind;
use crate::location::Location;
use crate::request_key::RequestKey;
use crate::store::Ledger;

/// Two versions of one thing, as the first tussock kept them.
fn early_entries(account: AccountId) -> Vec<Entry> {
    let thing = ThingId::fresh();
    let mut previous = Digest::NONE;
    (1..=2)
        .map(|number| {
            let mut entry = Entry {
                account,
                sequence: number,
                kind: Kind::Property,
                thing,
                version: number,
                recorded_at: jiff::Timestamp::UNIX_EPOCH,
                actor: Actor::local("Mara Reed"),
                body: format!("{{\"edition\":{number}}}"),
                reason: None,
                indexed: Indexed { title: "Alder Bend".to_owned(), ..Indexed::default() },
                attachment: None,
                discards: false,
                request: RequestKey::fresh(),
                previous,
                hash: Digest::NONE,
            };
            entry.hash = entry.computed_hash();
            previous = entry.hash;
            entry
        })
        .collect()
}

/// Writes entries with the columns of the first schema.
async fn write_early(database: &Database, entries: &[Entry]) {
    let mut connection = database.unscoped().acquire().await.unwrap();
    let last = entries.last().unwrap();
    // Where rows are separated, even their owner names the account.
    if database.dialect() == crate::database::Dialect::Postgres {
        sqlx::query("select set_config('tussock.account', $1, false)")
            .bind(last.account.to_string())
            .fetch_one(&mut *connection)
            .await
            .unwrap();
    }
    let account = format!(
        "insert into account (account, name, head_sequence, head_hash) values ('{}', 'Reed', {}, '{}')",
        last.account, last.sequence, last.hash
    );
    sqlx::raw_sql(AssertSqlSafe(account)).execute(&mut *connection).await.unwrap();
    for entry in entries {
        let row = format!(
            "insert into entry (account, sequence, kind, thing, version, recorded_at, actor_name, body, title, \
             discards, request, previous_hash, hash) values ('{}', {}, '{}', '{}', {}, '{}', '{}', '{}', '{}', 0, \
             '{}', '{}', '{}')",
            entry.account,
            entry.sequence,
            entry.kind,
            entry.thing,
            entry.version,
            entry.recorded_at,
            entry.actor.name,
            entry.body,
            entry.indexed.title,
            entry.request,
            entry.previous,
            entry.hash
        );
        sqlx::raw_sql(AssertSqlSafe(row)).execute(&mut *connection).await.unwrap();
    }
    let thing = format!(
        "insert into thing (account, thing, kind, version, date, title, searched, discarded) \
         values ('{}', '{}', '{}', {}, '', '{}', 'alder bend', 0)",
        last.account, last.thing, last.kind, last.version, last.indexed.title
    );
    sqlx::raw_sql(AssertSqlSafe(thing)).execute(&mut *connection).await.unwrap();
}

async fn opens_from_step(location: &Location, step: i64) {
    let database = Database::connect(location).await.unwrap();
    migrate_to(&database, Empty::Fill, step).await.unwrap();
    let account = AccountId::fresh();
    let entries = early_entries(account);
    write_early(&database, &entries).await;
    database.close().await;

    let ledger = Ledger::open(location).await.unwrap();
    let book = ledger.book(account, Actor::local("Mara Reed")).await.unwrap();
    assert_eq!(book.entries(0, 10).await.unwrap(), entries);
    let amended = NewEntry {
        kind: Kind::Property,
        thing: entries[1].thing,
        expected: Expected::Version(2),
        body: "{}".to_owned(),
        reason: Some("the fence moved".to_owned()),
        recorded_at: jiff::Timestamp::UNIX_EPOCH,
        indexed: entries[1].indexed.clone(),
        attachment: Some(book.attach(b"a photo".to_vec(), "image/png").await.unwrap()),
    };
    book.append(amended, RequestKey::fresh()).await.unwrap();
    let verification = book.verify(None, &mut |_| ()).await.unwrap();
    assert_eq!((verification.entries, verification.findings), (3, Vec::new()), "from step {step}");
    ledger.close().await;
}

async fn a_newer_schema_is_refused(location: &Location) {
    let ledger = Ledger::open(location).await.unwrap();
    sqlx::raw_sql("insert into schema_step (number) values (9999)").execute(ledger.database.unscoped()).await.unwrap();
    ledger.close().await;
    let refused = Ledger::open(location).await.unwrap_err();
    let known = STEPS.last().unwrap().number.unsigned_abs();
    assert_eq!(refused, LedgerError::Newer { known, found: 9999 });
    assert_eq!(refused.problems().iter().next().unwrap().code, "ledger::newer");
}

async fn a_database_of_something_else_is_refused(location: &Location) {
    let database = Database::connect(location).await.unwrap();
    sqlx::raw_sql("create table recipes (name text)").execute(database.unscoped()).await.unwrap();
    database.close().await;
    let refused = Ledger::open(location).await.unwrap_err();
    assert_eq!(refused.problems().iter().next().unwrap().code, "ledger::not-a-ledger");
}

#[test]
fn steps_go_up() {
    assert!(STEPS.is_sorted_by(|one, next| one.number < next.number));
}

#[tokio::test(flavor = "multi_thread")]
async fn sqlite_opens_from_every_step() {
    let folder = tempfile::tempdir().unwrap();
    for step in STEPS {
        let location = Location::file(&folder.path().join(format!("{}.db", step.number))).unwrap();
        opens_from_step(&location, step.number).await;
    }
    a_newer_schema_is_refused(&Location::file(&folder.path().join("newer.db")).unwrap()).await;
    a_database_of_something_else_is_refused(&Location::file(&folder.path().join("else.db")).unwrap()).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn postgres_opens_from_every_step() {
    let Ok(server) = std::env::var("TUSSOCK_POSTGRES") else {
        eprintln!("not run: TUSSOCK_POSTGRES names no PostgreSQL server (see tools/postgres)");
        return;
    };
    sqlx::any::install_default_drivers();
    let (address, _) = server.rsplit_once('/').unwrap();
    let mut connection = AnyConnection::connect(&server).await.unwrap();
    let names: Vec<String> = (0..STEPS.len() + 2).map(|_| format!("steps_{}", uuid::Uuid::now_v7().simple())).collect();
    for name in &names {
        sqlx::raw_sql(AssertSqlSafe(format!("create database {name}"))).execute(&mut connection).await.unwrap();
    }
    let location = |name: &String| Location::parse(&format!("{address}/{name}")).unwrap();
    for (step, name) in STEPS.iter().zip(&names) {
        opens_from_step(&location(name), step.number).await;
    }
    a_newer_schema_is_refused(&location(&names[STEPS.len()])).await;
    a_database_of_something_else_is_refused(&location(&names[STEPS.len() + 1])).await;
    for name in &names {
        let drop = format!("drop database {name} with (force)");
        sqlx::raw_sql(AssertSqlSafe(drop)).execute(&mut connection).await.unwrap();
    }
}
