//! A planned visit on paper, as a picture and in a calendar: the files that the command writes.

use super::{PlanOrder, apart, planned};
use crate::app::App;
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use crate::routes::documents::book;
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::calendar::write_calendar;
use http::{StatusCode, header};
use ledger::trade::PlannedVisit;
use serde::Deserialize;
use sheet::{MapOptions, PaperOptions, PaperSize, Units, svg_map, work_sheet_pdf};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::KeepRecords, routes!(work_sheet))
        .with(Permission::KeepRecords, routes!(map))
        .with(Permission::KeepRecords, routes!(calendar))
}

/// The units that come first in words.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
enum UnitsWord {
    /// Feet, US gallons, degrees Fahrenheit.
    #[default]
    Us,
    /// Metres, litres, degrees Celsius.
    Metric,
}

/// The paper.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
enum PaperWord {
    /// 8.5 by 11 inches.
    #[default]
    Letter,
    /// 210 by 297 millimetres.
    A4,
}

/// How a paper or a picture looks.
#[derive(Debug, Clone, Copy, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(default, deny_unknown_fields)]
struct LookQuery {
    /// The units that come first: `us` when nothing is said.
    #[param(inline)]
    units: UnitsWord,
    /// The paper of the work sheet: `letter` when nothing is said. A picture has none.
    #[param(inline)]
    paper: PaperWord,
    /// Draw in black and white only.
    black_and_white: bool,
}

impl LookQuery {
    fn units(self) -> Units {
        match self.units {
            UnitsWord::Us => Units::UsCustomary,
            UnitsWord::Metric => Units::Metric,
        }
    }

    fn of_paper(self) -> PaperOptions {
        PaperOptions {
            paper: match self.paper {
                PaperWord::Letter => PaperSize::Letter,
                PaperWord::A4 => PaperSize::A4,
            },
            units: self.units(),
            black_and_white: self.black_and_white,
            fonts: Vec::new(),
        }
    }

    fn of_map(self) -> MapOptions {
        MapOptions { colour: !self.black_and_white, units: self.units(), ..MapOptions::default() }
    }
}

async fn visit_of(app: &App, caller: &Caller, order: PlanOrder) -> Result<PlannedVisit, Refusal> {
    let book = book(app, caller).await?;
    Ok(planned(&book, order.visit, order.files, false).await?.planned)
}

/// A file to be kept, not a page of ours.
fn file(media_type: &'static str, name: &'static str, bytes: Vec<u8>) -> Response {
    let disposition = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, media_type.to_owned()), (header::CONTENT_DISPOSITION, disposition)], bytes).into_response()
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
