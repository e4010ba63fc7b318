//! Whether the server lives, is ready, and what it counted; and the description of the routes.

use crate::app::App;
use crate::http::{JsonBody, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use http::{StatusCode, header};
use problem::Problem;
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::Anyone, routes!(live))
        .with(Permission::Anyone, routes!(ready))
        .with(Permission::Anyone, routes!(description))
        .with(Permission::Manage, routes!(metrics))
}

/// How the server is.
#[derive(Debug, Serialize, ToSchema)]
struct Health {
    /// `live` or `ready`.
    state: &'static str,
}

/// Whether the process answers at all
#[utoipa::path(get, path = "/api/health/live", tag = "health",
    responses((status = 200, description = "It answers", body = Health)))]
async fn live() -> JsonBody<Health> {
    JsonBody(Health { state: "live" })
}

/// Whether the server takes work: its ledger answers, and it is not about to end
#[utoipa::path(get, path = "/api/health/ready", tag = "health",
    responses(
        (status = 200, description = "It takes work", body = Health),
        (status = 503, description = "It takes none at the moment", body = ProblemDetails),
    ))]
async fn ready(State(app): State<App>) -> Result<JsonBody<Health>, Refusal> {
    if app.is_stopping() {
        return Err(Refusal::new(
            StatusCode::SERVICE_UNAVAILABLE,
            Problem::error("server::ending", "the server is about to end").mend("ask another server, or later"),
        ));
    }
    app.access().has_owner().await?;
    Ok(JsonBody(Health { state: "ready" }))
}

/// This description
#[utoipa::path(get, path = "/api/openapi.json", tag = "health",
    responses((status = 200, description = "Every route, as OpenAPI", body = serde_json::Value)))]
async fn description(State(app): State<App>) -> Response {
    JsonBody(app.openapi()).into_response()
}

/// Counts and times since the start, as Prometheus reads them
#[utoipa::path(get, path = "/metrics", tag = "health",
    responses(
        (status = 200, description = "Counts and times", body = String, content_type = "text/plain"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn metrics(State(app): State<App>) -> Response {
    ([(header::CONTENT_TYPE, "text/plain; version=0.0.4; charset=utf-8")], app.metrics().text()).into_response()
}
