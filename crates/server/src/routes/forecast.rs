//! A forecast under the pen.

use super::plan::apart;
use crate::app::App;
use crate::http::document::ForecastReadingDocument;
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use exchange::forecast_json::{ForecastReadingJson, read_out};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(check))
}

/// A forecast.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct ForecastOrder {
    /// The table, as `docs/forecast.md` says.
    forecast: String,
}

/// Read a forecast and check it
///
/// A forecast with problems is an answer, too.
#[utoipa::path(post, path = "/api/forecast/check", operation_id = "forecast_check", tag = "forecast",
    request_body = ForecastOrder,
    responses(
        (status = 200, description = "The hours as read, gaps, what is wrong, and what to look at", body = ForecastReadingDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The body does not have the fields that this route reads", body = ProblemDetails),
    ))]
async fn check(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<ForecastOrder>,
) -> Result<JsonBody<ForecastReadingJson>, Refusal> {
    Ok(JsonBody(apart(move || read_out("forecast", &order.forecast)).await?))
}
