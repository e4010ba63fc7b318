//! The audit trail of an account, for its owners.

use crate::app::App;
use crate::http::{Caller, JsonBody, Page, PageQuery, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use http::StatusCode;
use ledger::access::Audited;
use problem::Problem;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::routes;
use uuid::Uuid;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::Manage, routes!(list))
}

/// Something that happened at the door.
#[derive(Debug, Serialize, ToSchema)]
struct AuditEvent {
    /// When.
    at: String,
    /// Who, by the sign-in.
    #[schema(format = Uuid)]
    sign_in: Option<String>,
    /// Who, by name.
    name: String,
    /// From which address.
    address: String,
    /// What was done.
    event: String,
    /// How it ended.
    outcome: String,
    /// The request, as the log names it.
    request: String,
}

impl From<Audited> for AuditEvent {
    fn from(Audited { event, .. }: Audited) -> Self {
        Self {
            at: event.at.to_string(),
            sign_in: event.sign_in.map(|sign_in| sign_in.to_string()),
            name: event.name,
            address: event.address,
            event: event.event,
            outcome: event.outcome,
            request: event.request,
        }
    }
}

/// What happened at the door, newest first
#[utoipa::path(get, path = "/api/audit", operation_id = "audit_list", tag = "audit", params(PageQuery),
    responses(
        (status = 200, description = "One page of the trail", body = Page<AuditEvent>),
        (status = 400, description = "The page is not one that was given", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn list(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<PageQuery>,
) -> Result<JsonBody<Page<AuditEvent>>, Refusal> {
    let before = query.after.as_deref().map(Uuid::try_parse).transpose().map_err(|_| {
        let problem =
            Problem::error("server::cursor", "the field `after` names no page").expected("the `next` of a page");
        Refusal::new(StatusCode::BAD_REQUEST, problem.at("after"))
    })?;
    let limit = query.limit();
    // One more than asked for tells whether there is a next page.
    let mut events = app.access().audited(caller.account, before, limit + 1).await?;
    let more = events.len() > usize::from(limit);
    events.truncate(usize::from(limit));
    let next = events.last().filter(|_| more).map(|last| last.number.to_string());
    Ok(JsonBody(Page { entries: events.into_iter().map(AuditEvent::from).collect(), next }))
}
