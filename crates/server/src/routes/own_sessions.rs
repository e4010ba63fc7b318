//! One's own sessions on other devices: looked at and ended.

use super::session::{event, own_sign_in};
use crate::app::App;
use crate::http::{Caller, ClientAddress, JsonBody, Permission, ProblemDetails, Refusal, RequestId, Routes};
use axum::extract::State;
use http::StatusCode;
use ledger::access::OpenSession;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::OwnSignIn, routes!(list, end))
}

/// A session of one's own on another device, or in another browser.
#[derive(Debug, Serialize, ToSchema)]
struct OtherSession {
    /// When it began.
    began_at: String,
    /// When it was used last, to the minute.
    seen_at: String,
}

impl From<&OpenSession> for OtherSession {
    fn from(session: &OpenSession) -> Self {
        Self { began_at: session.began_at.to_string(), seen_at: session.seen_at.to_string() }
    }
}

/// One's own sessions but this one, the first begun first
#[utoipa::path(get, path = "/api/session/others", operation_id = "own_sessions_list", tag = "session",
    responses(
        (status = 200, description = "The sessions", body = Vec<OtherSession>),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 409, description = "On loopback nobody signs in", body = ProblemDetails),
    ))]
async fn list(State(app): State<App>, caller: Caller) -> Result<JsonBody<Vec<OtherSession>>, Refusal> {
    let sign_in = own_sign_in(&caller)?;
    let Some(token) = &caller.token else { return Err(Refusal::signed_out()) };
    let open = app.access().open_sessions(caller.account, app.settings().lifetime, app.now()).await?;
    let others = open.iter().filter(|session| session.sign_in == sign_in && !session.is_of(token));
    Ok(JsonBody(others.map(OtherSession::from).collect()))
}

/// End one's own sessions but this one
#[utoipa::path(delete, path = "/api/session/others", operation_id = "own_sessions_end", tag = "session",
    responses(
        (status = 204, description = "Ended; this session goes on"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "The form token is missing", body = ProblemDetails),
        (status = 409, description = "On loopback nobody signs in", body = ProblemDetails),
    ))]
async fn end(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
) -> Result<StatusCode, Refusal> {
    let sign_in = own_sign_in(&caller)?;
    let Some(token) = &caller.token else { return Err(Refusal::signed_out()) };
    app.access().end_other_sessions(sign_in, token).await?;
    app.access().audit(&event(&app, &caller, number, address, "end other sessions", "done")).await?;
    Ok(StatusCode::NO_CONTENT)
}
