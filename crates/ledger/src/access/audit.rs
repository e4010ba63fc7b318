//! The audit trail: who did what at the door, when, from where, and how it ended.

use super::Access;
use crate::error::LedgerError;
use crate::identity::AccountId;
use jiff::Timestamp;
use problem::Problem;
use sqlx::{AnyConnection, Row as _};
use uuid::Uuid;

/// What happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// When.
    pub at: Timestamp,
    /// The account concerned, where one is known.
    pub account: Option<AccountId>,
    /// The sign-in that acted, where one is known.
    pub sign_in: Option<Uuid>,
    /// Who acted, as a person reads it; empty for an attempt under an unknown name.
    pub name: String,
    /// From which address.
    pub address: String,
    /// What was done, such as `signed in`.
    pub event: String,
    /// How it ended, such as `done` or `refused`.
    pub outcome: String,
    /// The request, as the log names it.
    pub request: String,
}

/// An event of the trail, with its place in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Audited {
    /// Its name; later events have later names.
    pub number: Uuid,
    /// What happened.
    pub event: Event,
}

/// Adds an event, in the transaction of what it tells where there is one.
pub(super) async fn append(connection: &mut AnyConnection, event: &Event) -> Result<(), LedgerError> {
    sqlx::query(
        "insert into audit (number, at_ms, account, sign_in, name, address, event, outcome, request) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(Uuid::now_v7().to_string())
    .bind(event.at.as_millisecond())
    .bind(event.account.map(|account| account.to_string()))
    .bind(event.sign_in.map(|sign_in| sign_in.to_string()))
    .bind(event.name.as_str())
    .bind(event.address.as_str())
    .bind(event.event.as_str())
    .bind(event.outcome.as_str())
    .bind(event.request.as_str())
    .execute(connection)
    .await?;
    Ok(())
}

impl Access {
    /// Adds an event to the trail. Nothing is changed there or taken away.
    ///
    /// # Errors
    /// The database fails.
    pub async fn audit(&self, event: &Event) -> Result<(), LedgerError> {
        let mut connection = self.database.unscoped().acquire().await?;
        append(&mut connection, event).await
    }

    /// Events of an account, newest first, older than one of them if it is named.
    ///
    /// # Errors
    /// The database fails.
    pub async fn audited(
        &self,
        account: AccountId,
        before: Option<Uuid>,
        limit: u16,
    ) -> Result<Vec<Audited>, LedgerError> {
        let before = before.map_or_else(|| "g".to_owned(), |number| number.to_string());
        let rows = sqlx::query(
            "select number, at_ms, sign_in, name, address, event, outcome, request from audit \
             where account = $1 and number < $2 order by number desc limit $3",
        )
        .bind(account.to_string())
        .bind(before)
        .bind(i64::from(limit))
        .fetch_all(self.read())
        .await?;
        let damaged = || Problem::error("access::damaged", "an event of the audit trail cannot be read");
        rows.iter()
            .map(|row| {
                let sign_in: Option<String> = row.try_get("sign_in")?;
                Ok(Audited {
                    number: Uuid::try_parse(row.try_get("number")?).map_err(|_| damaged())?,
                    event: Event {
                        at: Timestamp::from_millisecond(row.try_get("at_ms")?).map_err(|_| damaged())?,
                        account: Some(account),
                        sign_in: sign_in.map(|text| Uuid::try_parse(&text)).transpose().map_err(|_| damaged())?,
                        name: row.try_get("name")?,
                        address: row.try_get("address")?,
                        event: row.try_get("event")?,
                        outcome: row.try_get("outcome")?,
                        request: row.try_get("request")?,
                    },
                })
            })
            .collect()
    }
}
