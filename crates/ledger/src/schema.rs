//! The schema, step by step and forward only.

use sqlx::{AssertSqlSafe, Row as _};

use crate::database::{Database, Dialect};
use crate::error::LedgerError;
use problem::Problem;

/// What is to be done with a database that holds nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Empty {
    /// A ledger is made in it.
    Fill,
    /// It is refused: there must be a ledger.
    Refuse,
}

/// One step: its number, and its SQL for each database. A step that was released never changes.
struct Step {
    number: i64,
    sqlite: &'static str,
    postgres: &'static str,
}

macro_rules! step {
    ($number:literal, $file:literal) => {
        step!($number, $file, $file)
    };
    ($number:literal, $sqlite:literal, $postgres:literal) => {
        Step {
            number: $number,
            sqlite: include_str!(concat!("../migrations/", $sqlite)),
            postgres: include_str!(concat!("../migrations/", $postgres)),
        }
    };
}

/// Numbers leave gaps for steps that are made side by side. On PostgreSQL a step that adds a table
/// grants it to `tussock_books` and separates its rows, and one that touches rows lifts the separation
/// while it does so: it binds the tables' owner too.
const STEPS: &[Step] = &[
    step!(1, "0001_entries.sql"),
    step!(2, "0002_attachments.sql"),
    step!(3, "0003_kept.sqlite.sql", "0003_kept.postgres.sql"),
    step!(4, "0004_separation.sqlite.sql", "0004_separation.postgres.sql"),
    step!(10, "0010_access.sql"),
    step!(11, "0011_audit.sqlite.sql", "0011_audit.postgres.sql"),
    step!(12, "0012_ground.sql"),
    step!(13, "0013_second_factor.sql"),
    step!(14, "0014_request.sqlite.sql", "0014_request.postgres.sql"),
];

/// Brings the schema up to the newest step. Several programs may do so at once: each step is taken
/// once, all of them in one transaction.
pub(crate) async fn migrate(database: &Database, empty: Empty) -> Result<(), LedgerError> {
    migrate_to(database, empty, STEPS.last().map_or(0, |step| step.number)).await
}

async fn migrate_to(database: &Database, empty: Empty, last: i64) -> Result<(), LedgerError> {
    let known = STEPS.last().map_or(0, |step| step.number);
    let mut transaction = match database.dialect() {
        Dialect::Sqlite => database.unscoped().begin_with("begin immediate").await?,
        Dialect::Postgres => {
            let mut transaction = database.unscoped().begin().await?;
            sqlx::query("select pg_advisory_xact_lock(7402316218)").execute(&mut *transaction).await?;
            transaction
        }
    };
    let tables = match database.dialect() {
        Dialect::Sqlite => "select name from sqlite_master where type = 'table'",
        Dialect::Postgres => "select tablename::text as name from pg_tables where schemaname = current_schema()",
    };
    let tables: Vec<String> = sqlx::query_scalar(tables).fetch_all(&mut *transaction).await?;
    if !tables.iter().any(|table| table == "schema_step") {
        if !tables.is_empty() || empty == Empty::Refuse {
            return Err(Problem::error("ledger::not-a-ledger", "the database holds no table of a ledger")
                .expected(match empty {
                    Empty::Fill => "a ledger, or an empty database",
                    Empty::Refuse => "a ledger",
                })
                .into());
        }
        sqlx::raw_sql("create table schema_step (number bigint primary key)").execute(&mut *transaction).await?;
    }
    let reached = sqlx::query("select coalesce(max(number), 0) as number from schema_step")
        .fetch_one(&mut *transaction)
        .await?
        .try_get::<i64, _>("number")?;
    if reached > known {
        return Err(LedgerError::Newer { known: known.unsigned_abs(), found: reached.unsigned_abs() });
    }
    for step in STEPS.iter().filter(|step| step.number > reached && step.number <= last) {
        let sql = match database.dialect() {
            Dialect::Sqlite => step.sqlite,
            Dialect::Postgres => step.postgres,
        };
        let sql = database.dialect().translate(sql);
        sqlx::raw_sql(AssertSqlSafe(sql)).execute(&mut *transaction).await?;
        sqlx::query("insert into schema_step (number) values ($1)")
            .bind(step.number)
            .execute(&mut *transaction)
            .await?;
    }
    transaction.commit().await?;
    Ok(())
}

#[cfg(test)]
mod tests;
