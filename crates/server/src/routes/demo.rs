//! The invented demo property, one request away.

use super::documents::{KeptVersion, book};
use crate::app::App;
use crate::http::{Caller, IdempotencyKey, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use http::StatusCode;
use ledger::LedgerError;
use problem::Problem;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::Plan, routes!(keep))
}

/// The demo in the books.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct DemoKept {
    /// The property.
    #[schema(format = Uuid)]
    property: String,
    /// The visit planned on it.
    #[schema(format = Uuid)]
    visit: String,
    /// Everything that was kept.
    kept: Vec<KeptVersion>,
}

/// Keep the invented demo property
///
/// With its client, business, person, labels, sprayer, a lot and a visit. Titles and notes say that it is invented.
#[utoipa::path(post, path = "/api/demo", operation_id = "demo_keep", tag = "demo",
    params(("Idempotency-Key" = String, Header, description = "A key of its own for every request")),
    responses(
        (status = 201, description = "Kept", body = DemoKept),
        (status = 400, description = "No key", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 409, description = "The books have it already", body = ProblemDetails),
        (status = 422, description = "The key was used for another request", body = ProblemDetails),
    ))]
async fn keep(
    State(app): State<App>,
    caller: Caller,
    key: IdempotencyKey,
) -> Result<(StatusCode, JsonBody<DemoKept>), Refusal> {
    let demo = book(&app, &caller).await?.keep_demo(app.now(), key.0).await.map_err(|error| match error {
        LedgerError::Conflict { .. } => Refusal::new(
            StatusCode::CONFLICT,
            Problem::error("server::demo-kept", "the demo property is in the books already")
                .mend("open it under Properties"),
        ),
        error => error.into(),
    })?;
    let kept = demo.kept.iter().map(|appended| KeptVersion::from(&appended.entry)).collect();
    let answer = DemoKept { property: demo.property.to_string(), visit: demo.visit.to_string(), kept };
    Ok((StatusCode::CREATED, JsonBody(answer)))
}
