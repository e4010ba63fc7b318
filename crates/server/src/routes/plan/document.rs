//! A visit as the books keep it, and its request as a form.

use super::{PlanOrder, WithBooks, apart, planned};
use crate::app::App;
use crate::http::document::KeptVisit;
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use crate::routes::documents::{book, json};
use crate::routes::written::WrittenFile;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::kept::Kept;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::KeepRecords, routes!(document)).with(Permission::SeeWork, routes!(form))
}

/// A visit request.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct VisitFormOrder {
    /// The visit request, as `docs/visit-request.md` says.
    visit: WrittenFile,
}

/// A visit request as text and as a form.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct VisitForm {
    /// The request. Made of an object it has no comments.
    text: String,
    /// An object with the same fields.
    #[schema(value_type = Object)]
    fields: serde_json::Value,
}

/// The document that the books would keep of a visit
///
/// The request with the text of everything that it names, as it is today, and what came of it in short.
#[utoipa::path(post, path = "/api/plan/document", operation_id = "plan_document", tag = "plan", request_body = PlanOrder,
    responses(
        (status = 200, description = "The document, to be kept as it is", body = KeptVisit),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn document(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<PlanOrder>,
) -> Result<Response, Refusal> {
    let book = book(&app, &caller).await?;
    let WithBooks { planned, parties, .. } = planned(&book, order, false).await?;
    Ok(([json()], planned.document(&parties)?.text()).into_response())
}

/// Turn a visit request from text into a form, or from a form into text
#[utoipa::path(post, path = "/api/plan/form", operation_id = "plan_form", tag = "plan", request_body = VisitFormOrder,
    responses(
        (status = 200, description = "The request both ways", body = VisitForm),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The text is no TOML, or the object holds what none can say", body = ProblemDetails),
    ))]
async fn form(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<VisitFormOrder>,
) -> Result<JsonBody<VisitForm>, Refusal> {
    let (text, fields) = apart(move || order.visit.both("visit")).await??;
    Ok(JsonBody(VisitForm { text, fields }))
}
