//! What lies on each place: running totals by ground, over days.

use super::documents::{day, filter_of, json};
use super::plan::apart;
use crate::app::App;
use crate::http::document::TotalsDocument;
use crate::http::{Caller, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::totals_json::write_totals;
use geometry::{GeoPosition, LocalPlane};
use http::StatusCode;
use jiff::civil::Date;
use ledger::Filter;
use problem::{Problem, Problems};
use quantity::Length;
use record::{ApplicationRecord, Totals, beyond, totals as totals_of};
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
    /// Only what was recorded of this property.
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
    let near = at.and_then(|at| Filter::around(at, Length::ZERO));
    let filter = Filter { from: Some(from), until: Some(until), near, ..filter };
    let book = super::documents::book(&app, &caller).await?;
    let records: Vec<ApplicationRecord> = book.records(&filter).await?.into_iter().map(|held| held.record).collect();
    if let Some(far) = far_apart(&records, at) {
        return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, far));
    }
    let text = apart(move || told(&records, at, (from, until))).await?;
    let text = text.ok_or_else(|| Refusal::nothing("record"))?;
    Ok(([json()], text).into_response())
}

/// One plane shows one neighbourhood; of records farther apart none is told wrongly, but a place is asked for.
fn far_apart(records: &[ApplicationRecord], at: Option<GeoPosition>) -> Option<Problem> {
    let plane = at.map(LocalPlane::around).or_else(|| records.last().map(ApplicationRecord::plane))?;
    let far = beyond(records, &plane);
    let far = far.first()?;
    Some(
        Problem::error(
            "totals::far-apart",
            format!("the records of `{}` lie more than 10 km from others", far.property.name),
        )
        .expected("records of one neighbourhood")
        .mend("name a property or a point")
        .at("property"),
    )
}

/// What lies where; `None` where nothing is recorded at all.
fn told(records: &[ApplicationRecord], at: Option<GeoPosition>, days: (Date, Date)) -> Option<String> {
    let plane = match (at, records.last()) {
        (Some(at), _) => LocalPlane::around(at),
        (None, Some(record)) => record.plane(),
        (None, None) => return None,
    };
    let mut found = totals_of(records, &plane, days);
    if let Some(at) = at {
        let here = found.at(plane.to_plane(at)).cloned();
        found = Totals { places: here.into_iter().collect(), off_ground: Vec::new() };
    }
    Some(write_totals(&found, &plane, days))
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
