//! What lies on each place: running totals by ground, over days.

use super::documents::{day, filter_of, json, seen};
use super::plan::apart;
use crate::app::App;
use crate::http::document::TotalsDocument;
use crate::http::{Caller, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::kept::{Kept as _, Property};
use exchange::totals_json::write_totals;
use geometry::GeoPosition;
use http::StatusCode;
use ledger::trade::Held;
use ledger::{Filter, Kind};
use problem::{Problem, Problems};
use quantity::Length;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SignedIn, routes!(totals))
}

/// Which ground, and over which days.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct TotalsQuery {
    /// Only what lies on the ground of this property, whatever the records belong to; for a client, what was recorded of it
    /// for them.
    #[param(format = Uuid)]
    property: Option<String>,
    /// Only the place that holds this point: its longitude in degrees.
    #[param(minimum = -180.0, maximum = 180.0)]
    longitude: Option<f64>,
    /// Its latitude.
    #[param(minimum = -90.0, maximum = 90.0)]
    latitude: Option<f64>,
    /// The first day that counts; the first of the year of the last when nothing is said.
    #[param(format = Date)]
    from: Option<String>,
    /// The last day that counts; today when nothing is said.
    #[param(format = Date)]
    until: Option<String>,
}

/// What lies on each place
///
/// For a client only what was kept for them is counted, which nothing proves to be all: the answer says so.
#[utoipa::path(get, path = "/api/totals", tag = "totals", params(TotalsQuery),
    responses(
        (status = 200, description = "The places, as `schema/answers/totals.schema.json` says", body = TotalsDocument),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 422, description = "The records lie too far apart for one map", body = ProblemDetails),
    ))]
async fn totals(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<TotalsQuery>,
) -> Result<Response, Refusal> {
    let mut problems = Problems::new();
    let until = day("until", query.until.as_deref(), &mut problems);
    let until = until.unwrap_or_else(|| app.today());
    let from = day("from", query.from.as_deref(), &mut problems).unwrap_or_else(|| until.first_of_year());
    let at = position(query.longitude, query.latitude, &mut problems);
    if from > until {
        problems.push(
            Problem::error("server::days", format!("the first day, {from}, is after the last, {until}")).at("from"),
        );
    }
    if problems.has_errors() {
        return Err(Refusal::new(StatusCode::BAD_REQUEST, problems));
    }
    let filter = filter_of(&caller, query.property.as_deref())?;
    let counted = match filter.property {
        // Of one client there is no more to count than what was kept for them.
        Some(property) if filter.client.is_none() => {
            let (book, entry) = seen(&app, &caller, Kind::Property, property).await?;
            if entry.discards {
                return Err(Refusal::nothing(Kind::Property.word()));
            }
            let document = Property::read(&entry.body)?;
            let days = Filter { from: Some(from), until: Some(until), ..Filter::default() };
            book.counted_on(&Held { thing: property, version: entry.version, document }, &days).await?
        }
        _ => {
            let near = at.and_then(|at| Filter::around(at, Length::ZERO));
            let filter = Filter { from: Some(from), until: Some(until), near, ..filter };
            super::documents::book(&app, &caller).await?.counted(&filter).await?
        }
    };
    let found = apart(move || counted.totals(at, (from, until)).map(|laid| laid.map(|laid| laid.told(write_totals))));
    let found = found.await?.map_err(|far| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, far.at("property")))?;
    let text = found.ok_or_else(|| Refusal::nothing("record"))?;
    Ok(([json()], text).into_response())
}

/// The point asked for, or what is wrong with it.
pub(super) fn position(longitude: Option<f64>, latitude: Option<f64>, problems: &mut Problems) -> Option<GeoPosition> {
    match (longitude, latitude) {
        (None, None) => None,
        (Some(longitude), Some(latitude)) => {
            let read = GeoPosition::from_degrees(longitude, latitude);
            read.map_err(|_| {
                problems.push(
                    Problem::error("server::position", format!("`{longitude}, {latitude}` is no place on earth"))
                        .expected("a longitude of -180 to 180 and a latitude of -90 to 90 degrees")
                        .at("longitude"),
                );
            })
            .ok()
        }
        _ => {
            problems.push(
                Problem::error("server::position", "one of longitude and latitude is missing")
                    .expected("both, in degrees")
                    .at("longitude"),
            );
            None
        }
    }
}
