//! Who applied what near a place, at a time, with what wind.

use super::documents::{book, json};
use super::plan::apart;
use super::totals::position;
use crate::app::App;
use crate::http::document::ComplaintDocument;
use crate::http::{Caller, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::complaint_json::write_complaint;
use http::StatusCode;
use jiff::Timestamp;
use ledger::Filter;
use problem::{Problem, Problems};
use quantity::{Length, LengthUnit};
use record::{ApplicationRecord, Complaint, DOWNWIND_ANGLE_DEGREES, complaint};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(near))
}

/// The farthest that a search reaches: beyond it the plane of a property is no longer true.
const FARTHEST_M: f64 = 5_000.0;

/// Where, how far round it, and when.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct NearQuery {
    /// Longitude in degrees.
    #[param(minimum = -180.0, maximum = 180.0)]
    longitude: f64,
    /// Latitude in degrees.
    #[param(minimum = -90.0, maximum = 90.0)]
    latitude: f64,
    /// How far round it, in metres, up to 5,000.
    #[param(minimum = 0.0, maximum = 5000.0)]
    within_m: f64,
    /// From when, RFC 3339 with an offset.
    #[param(format = DateTime)]
    from: String,
    /// Until when.
    #[param(format = DateTime)]
    until: String,
}

/// Who applied what near a place
#[utoipa::path(get, path = "/api/complaints", tag = "complaints", params(NearQuery),
    responses(
        (status = 200, description = "The applications, as `schema/answers/complaint.schema.json` says", body = ComplaintDocument),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn near(State(app): State<App>, caller: Caller, QueryOf(query): QueryOf<NearQuery>) -> Result<Response, Refusal> {
    let asked = asked(&query).map_err(|problems| Refusal::new(StatusCode::BAD_REQUEST, problems))?;
    let around = Filter { near: Filter::around(asked.at, asked.within), ..Filter::default() };
    let held = book(&app, &caller).await?.records(&around).await?;
    let (things, records): (Vec<String>, Vec<ApplicationRecord>) =
        held.into_iter().map(|held| (held.thing.to_string(), held.record)).unzip();
    let text = apart(move || write_complaint(&asked, &complaint(&records, &asked), &things)).await?;
    Ok(([json()], text).into_response())
}

fn asked(query: &NearQuery) -> Result<Complaint, Problems> {
    let mut problems = Problems::new();
    let at = position(Some(query.longitude), Some(query.latitude), &mut problems);
    if !(0.0..=FARTHEST_M).contains(&query.within_m) {
        problems.push(
            Problem::error("server::distance", format!("`{}` m is no distance to search", query.within_m))
                .expected("0 to 5,000 m")
                .at("within_m"),
        );
    }
    let mut moment = |field: &'static str, text: &str| {
        let read = text.parse::<Timestamp>();
        read.map_err(|_| {
            problems.push(
                Problem::error("server::moment", format!("`{}` is no moment", text.escape_debug()))
                    .expected("a moment such as `2026-07-07T09:30:00-05:00`")
                    .at(field),
            );
        })
        .ok()
    };
    let from = moment("from", &query.from);
    let until = moment("until", &query.until);
    if from > until && until.is_some() {
        problems.push(Problem::error("server::moments", "the beginning is after the end").at("from"));
    }
    let (Some(at), Some(from), Some(until), false) = (at, from, until, problems.has_errors()) else {
        return Err(problems);
    };
    let within = Length::new(query.within_m, LengthUnit::Metre);
    Ok(Complaint { at, within, from, until, angle_degrees: DOWNWIND_ANGLE_DEGREES })
}
