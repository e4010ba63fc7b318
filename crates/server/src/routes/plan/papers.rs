//! A planned visit on paper, as a picture and in a calendar: the files that the command writes.

use super::{PlanOrder, apart, planned};
use crate::app::App;
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use crate::routes::documents::book;
use crate::routes::paper::{LookQuery, file};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::calendar::write_calendar;
use http::StatusCode;
use ledger::trade::PlannedVisit;
use sheet::{svg_map, work_sheet_pdf};
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::KeepRecords, routes!(work_sheet))
        .with(Permission::KeepRecords, routes!(map))
        .with(Permission::KeepRecords, routes!(calendar))
}

async fn visit_of(app: &App, caller: &Caller, order: PlanOrder) -> Result<PlannedVisit, Refusal> {
    let book = book(app, caller).await?;
    Ok(planned(&book, order, false).await?.planned)
}

/// The work sheet of a visit, for the clipboard
///
/// That of a refused visit says so, and is none to work by.
#[utoipa::path(post, path = "/api/plan/sheet", operation_id = "plan_sheet", tag = "plan",
    params(LookQuery), request_body = PlanOrder,
    responses(
        (status = 200, description = "The work sheet", body = Vec<u8>, content_type = "application/pdf"),
        (status = 400, description = "The body or the fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn work_sheet(
    State(app): State<App>,
    caller: Caller,
    QueryOf(look): QueryOf<LookQuery>,
    JsonBody(order): JsonBody<PlanOrder>,
) -> Result<Response, Refusal> {
    let planned = visit_of(&app, &caller, order).await?;
    let bytes = apart(move || work_sheet_pdf(&planned.visit, &look.of_paper())).await??;
    Ok(file("application/pdf", "work-sheet.pdf", bytes))
}

/// The map of a visit, as a picture
#[utoipa::path(post, path = "/api/plan/map", operation_id = "plan_map", tag = "plan",
    params(LookQuery), request_body = PlanOrder,
    responses(
        (status = 200, description = "The map, its zones hatched and named", body = String, content_type = "image/svg+xml"),
        (status = 400, description = "The body or the fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn map(
    State(app): State<App>,
    caller: Caller,
    QueryOf(look): QueryOf<LookQuery>,
    JsonBody(order): JsonBody<PlanOrder>,
) -> Result<Response, Refusal> {
    let planned = visit_of(&app, &caller, order).await?;
    let text = apart(move || svg_map(&planned.visit, look.of_map())).await?;
    Ok(file("image/svg+xml", "map.svg", text.into_bytes()))
}

/// The times of a visit, for any calendar
#[utoipa::path(post, path = "/api/plan/calendar", operation_id = "plan_calendar", tag = "plan", request_body = PlanOrder,
    responses(
        (status = 200, description = "The times (RFC 5545)", body = String, content_type = "text/calendar"),
        (status = 204, description = "The visit has none: it is refused, or nothing of it has a time"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn calendar(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<PlanOrder>,
) -> Result<Response, Refusal> {
    let planned = visit_of(&app, &caller, order).await?;
    Ok(match write_calendar(&planned.visit) {
        Some(text) => file("text/calendar; charset=utf-8", "calendar.ics", text.into_bytes()),
        None => StatusCode::NO_CONTENT.into_response(),
    })
}
