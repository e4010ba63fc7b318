//! Rows of the database and entries, both ways.

use geometry::GeoExtent;
use jiff::Timestamp;
use jiff::civil::Date;
use sqlx::AnyConnection;
use sqlx::Row as _;
use sqlx::any::AnyRow;

use crate::actor::Actor;
use crate::digest::Digest;
use crate::entry::{Entry, Indexed, Labels};
use crate::error::LedgerError;
use crate::identity::{AccountId, ThingId};
use crate::kind::Kind;
use crate::request_key::RequestKey;
use problem::Problem;

/// `select` with the columns of an entry; what follows names `entry` as `e`.
macro_rules! select_entries {
    ($rest:literal) => {
        concat!(
            "select e.account, e.sequence, e.kind, e.thing, e.version, e.recorded_at, e.actor_name, e.actor_sign_in, \
             e.body, e.reason, e.client, e.property, e.date, e.title, e.attachment, e.discards, e.request, \
             e.previous_hash, e.hash, e.ground_south, e.ground_west, e.ground_north, e.ground_east, e.labels from entry e ",
            $rest
        )
    };
}
pub(super) use select_entries;

/// The entry of a row.
pub(super) fn entry(row: &AnyRow) -> Result<Entry, LedgerError> {
    Ok(Entry {
        account: AccountId::parse(row.try_get("account")?)?,
        sequence: count(row, "sequence")?,
        kind: read(row, "kind", Kind::of_word)?,
        thing: ThingId::parse(row.try_get("thing")?)?,
        version: count(row, "version")?,
        recorded_at: read(row, "recorded_at", |text| text.parse::<Timestamp>().ok())?,
        actor: Actor { name: row.try_get("actor_name")?, sign_in: row.try_get("actor_sign_in")? },
        body: row.try_get("body")?,
        reason: row.try_get("reason")?,
        indexed: Indexed {
            client: optional(row, "client", |text| ThingId::parse(text).ok())?,
            property: optional(row, "property", |text| ThingId::parse(text).ok())?,
            date: optional(row, "date", |text| text.parse::<Date>().ok())?,
            title: row.try_get("title")?,
            ground: ground(row)?,
            labels: optional(row, "labels", Labels::parse)?,
        },
        attachment: optional(row, "attachment", |text| Digest::parse(text).ok())?,
        discards: row.try_get::<i64, _>("discards")? != 0,
        request: RequestKey::parse(row.try_get("request")?)?,
        previous: Digest::parse(row.try_get("previous_hash")?)?,
        hash: Digest::parse(row.try_get("hash")?)?,
    })
}

/// The columns of a box of ground, in the order of its bounds.
const GROUND: [&str; 4] = ["ground_south", "ground_west", "ground_north", "ground_east"];

fn ground(row: &AnyRow) -> Result<Option<GeoExtent>, LedgerError> {
    let mut bounds = [0; 4];
    let mut told = 0;
    for (bound, column) in bounds.iter_mut().zip(GROUND) {
        if let Some(value) = row.try_get::<Option<i64>, _>(column)? {
            (*bound, told) = (value, told + 1);
        }
    }
    match (told, GeoExtent::of_bounds(bounds)) {
        (0, _) => Ok(None),
        (4, Some(ground)) => Ok(Some(ground)),
        _ => Err(unreadable(GROUND[0], &format!("{bounds:?}"))),
    }
}

/// A count of a row, never below zero.
pub(super) fn count(row: &AnyRow, column: &str) -> Result<u64, LedgerError> {
    let count = row.try_get::<i64, _>(column)?;
    u64::try_from(count).map_err(|_| unreadable(column, &count.to_string()))
}

fn read<T>(row: &AnyRow, column: &str, of: impl Fn(&str) -> Option<T>) -> Result<T, LedgerError> {
    let text: &str = row.try_get(column)?;
    of(text).ok_or_else(|| unreadable(column, text))
}

fn optional<T>(row: &AnyRow, column: &str, of: impl Fn(&str) -> Option<T>) -> Result<Option<T>, LedgerError> {
    let text: Option<&str> = row.try_get(column)?;
    text.map(|text| of(text).ok_or_else(|| unreadable(column, text))).transpose()
}

fn unreadable(column: &str, text: &str) -> LedgerError {
    LedgerError::Failed(
        Problem::error("ledger::unreadable", format!("the database holds `{}`", text.escape_debug()))
            .at(column)
            .mend("verify the book, and restore the ledger from its last backup"),
    )
}

/// A number for the database, whose numbers are signed.
pub(crate) fn signed(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// Writes an entry at the end of its book, moves the book's head and brings the index up to it.
pub(crate) async fn write(connection: &mut AnyConnection, entry: &Entry) -> Result<(), LedgerError> {
    let Indexed { client, property, date, title, ground, labels } = &entry.indexed;
    let bounds = ground.map(GeoExtent::bounds);
    let labels = labels.as_ref().map(Labels::text);
    let client = client.map(|client| client.to_string());
    let property = property.map(|property| property.to_string());
    let date = date.map(|date| date.to_string());
    sqlx::query(
        "insert into entry (account, sequence, kind, thing, version, recorded_at, actor_name, actor_sign_in, body, \
         reason, client, property, date, title, attachment, discards, request, previous_hash, hash, ground_south, \
         ground_west, ground_north, ground_east, labels) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, \
         $23, $24)",
    )
    .bind(entry.account.to_string())
    .bind(signed(entry.sequence))
    .bind(entry.kind.word())
    .bind(entry.thing.to_string())
    .bind(signed(entry.version))
    .bind(entry.recorded_at.to_string())
    .bind(&entry.actor.name)
    .bind(entry.actor.sign_in.as_deref())
    .bind(&entry.body)
    .bind(entry.reason.as_deref())
    .bind(client.as_deref())
    .bind(property.as_deref())
    .bind(date.as_deref())
    .bind(title)
    .bind(entry.attachment.map(|attachment| attachment.to_string()))
    .bind(i64::from(entry.discards))
    .bind(entry.request.as_str())
    .bind(entry.previous.to_string())
    .bind(entry.hash.to_string())
    .bind(bounds.map(|[south, ..]| south))
    .bind(bounds.map(|[_, west, ..]| west))
    .bind(bounds.map(|[_, _, north, _]| north))
    .bind(bounds.map(|[.., east]| east))
    .bind(labels.as_deref())
    .execute(&mut *connection)
    .await?;
    // What tells no ground is found wherever one looks.
    let [south, west, north, east] = bounds.unwrap_or(GeoExtent::EARTH.bounds());
    sqlx::query(
        "insert into thing (account, thing, kind, version, client, property, date, title, searched, discarded, \
         ground_south, ground_west, ground_north, ground_east, labels) \
         values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15) \
         on conflict (account, thing) do update set version = excluded.version, client = excluded.client, \
         property = excluded.property, date = excluded.date, title = excluded.title, searched = excluded.searched, \
         discarded = excluded.discarded, ground_south = excluded.ground_south, ground_west = excluded.ground_west, \
         ground_north = excluded.ground_north, ground_east = excluded.ground_east, labels = excluded.labels",
    )
    .bind(entry.account.to_string())
    .bind(entry.thing.to_string())
    .bind(entry.kind.word())
    .bind(signed(entry.version))
    .bind(client)
    .bind(property)
    .bind(date.unwrap_or_default())
    .bind(title)
    .bind(title.to_lowercase())
    .bind(i64::from(entry.discards))
    .bind(south)
    .bind(west)
    .bind(north)
    .bind(east)
    .bind(labels)
    .execute(&mut *connection)
    .await?;
    sqlx::query("update account set head_sequence = $2, head_hash = $3 where account = $1")
        .bind(entry.account.to_string())
        .bind(signed(entry.sequence))
        .bind(entry.hash.to_string())
        .execute(&mut *connection)
        .await?;
    Ok(())
}
