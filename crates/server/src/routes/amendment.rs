//! Amending a record by what was otherwise, as a person writes it down after a visit.

use super::documents::{self, ReasonQuery};
use super::records::{KeptRecordAnswer, answered, checked, kept_record};
use super::written::WrittenFile;
use crate::app::App;
use crate::http::{
    Caller, IdempotencyKey, IfMatch, JsonBody, NameInPath, Permission, ProblemDetails, QueryOf, Refusal, Routes,
};
use axum::extract::State;
use exchange::as_applied_file::{clock_of, record_as_applied};
use exchange::record_json::parse_record;
use ledger::trade::RecordLinks;
use ledger::{Kind, LedgerError, ThingId};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::KeepRecords, routes!(amend))
}

/// What was otherwise than a record says.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct AmendOrder {
    /// What was otherwise, as `docs/as-applied.md` says; what it does not say stays as the record has it.
    as_applied: WrittenFile,
    /// The clock of times without an offset, such as `-05:00`; where nothing is said, that of the record's times.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    clock: Option<String>,
}

/// Amend a record by what was otherwise
///
/// The record of the version that was seen, with what is told put in its place: amounts, rates and what was against a
/// label are reckoned again. The original stays, and every version with its reason.
#[utoipa::path(put, path = "/api/records/{thing}/as-applied", operation_id = "records_amend", tag = "records",
    params(
        ("thing" = Uuid, Path, description = "The record"),
        ReasonQuery,
        ("If-Match" = String, Header, description = "The `ETag` of the version that was seen"),
        ("Idempotency-Key" = String, Header, description = "A key of its own for every request"),
    ),
    request_body = AmendOrder,
    responses(
        (status = 200, description = "Kept", body = KeptRecordAnswer),
        (status = 400, description = "A header is missing or cannot be read, or the body is not JSON", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 409, description = "The record was discarded", body = ProblemDetails),
        (status = 412, description = "Somebody else kept another version meanwhile", body = ProblemDetails),
        (status = 413, description = "The text is too large", body = ProblemDetails),
        (status = 415, description = "The body does not say that it is JSON", body = ProblemDetails),
        (status = 422, description = "It cannot be amended so, the key was used for another request, or no reason is given", body = ProblemDetails),
        (status = 428, description = "The request does not say which version it changes", body = ProblemDetails),
    ))]
async fn amend(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
    QueryOf(query): QueryOf<ReasonQuery>,
    seen: IfMatch,
    key: IdempotencyKey,
    JsonBody(order): JsonBody<AmendOrder>,
) -> Result<KeptRecordAnswer, Refusal> {
    let thing = ThingId::new(thing);
    let (book, entry) = documents::seen(&app, &caller, Kind::Record, thing).await?;
    let links = RecordLinks { client: entry.indexed.client, property: entry.indexed.property };
    // Judged again, by labels kept since, it may come out differently: the same request has the answer that it had.
    let words = serde_json::to_string(&order).map_err(|_| Refusal::failed())?;
    let reason = query.reason.as_deref().unwrap_or_default();
    let key = key.asking(["records/as-applied", &thing.to_string(), &format!("{:?}", seen.0), reason, &words]);
    if let Some(answer) = answered(&book, &key).await? {
        return Ok(answer);
    }
    if entry.discards {
        return Err(LedgerError::Discarded(thing).into());
    }
    // Against any but the newest version the books refuse it, so that it is put into that one.
    let (sprayers, text) = (book.sprayers().await?, order.as_applied.text()?);
    let make = move || {
        let record = parse_record("record", &entry.body)?;
        let clock = clock_of(&record, order.clock.as_deref())?;
        record_as_applied("as-applied", &text, &record, clock, &sprayers)
    };
    let (record, surroundings, mut warnings) = checked(&book, links, make).await?;
    let (record, unjudged) = book.judged(record, Some(thing), &surroundings).await?;
    warnings.extend(unjudged);
    let to = (thing, seen.0, query.reason);
    kept_record(&app, &book, &record, links, to, key, warnings).await
}
