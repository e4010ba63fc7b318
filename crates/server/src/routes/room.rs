//! What labels still allow on each place of a kept property.

use super::documents::{book, day, seen};
use super::plan::apart;
use crate::app::App;
use crate::http::document::RoomsDocument;
use crate::http::{Caller, JsonBody, NameInPath, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use exchange::kept::{Kept, Label as KeptLabel, Property as KeptProperty};
use exchange::room_json::RoomsJson;
use http::StatusCode;
use ledger::trade::merged;
use ledger::{Filter, Kind, ThingId};
use problem::{Problem, Problems};
use record::ApplicationRecord;
use serde::Deserialize;
use treatment::{History, VisitRequest, room};
use utoipa::IntoParams;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(room_of))
}

/// On which day, and of which label.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct RoomQuery {
    /// The day; today when nothing is said.
    #[param(format = Date)]
    date: Option<String>,
    /// Only this label, by its id or the thing's own name; every kept label when nothing is said.
    label: Option<String>,
}

/// What labels still allow on each place of a property
///
/// By caps, numbers of applications and intervals alone, against what the books hold of the ground. Sentences of
/// other states than the property's are left out.
#[utoipa::path(get, path = "/api/properties/{thing}/room", operation_id = "properties_room", tag = "properties",
    params(("thing" = Uuid, Path, description = "The property"), RoomQuery),
    responses(
        (status = 200, description = "Place by place", body = RoomsDocument),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such property or label that the caller may see", body = ProblemDetails),
        (status = 422, description = "The kept property cannot be read", body = ProblemDetails),
    ))]
async fn room_of(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
    QueryOf(query): QueryOf<RoomQuery>,
) -> Result<JsonBody<RoomsJson>, Refusal> {
    let mut problems = Problems::new();
    let date = day("date", query.date.as_deref(), &mut problems).unwrap_or_else(|| app.today());
    if problems.has_errors() {
        return Err(Refusal::new(StatusCode::BAD_REQUEST, problems));
    }
    let (_, entry) = seen(&app, &caller, Kind::Property, ThingId::new(thing)).await?;
    let book = book(&app, &caller).await?;
    let kept = KeptProperty::read(&entry.body)?;
    let labels = book.things::<KeptLabel>().await?;
    let is_meant = |thing: &ThingId, id: &str| {
        query.label.as_deref().is_none_or(|wanted| wanted.eq_ignore_ascii_case(id) || wanted == thing.to_string())
    };
    let chosen: Vec<String> = labels
        .iter()
        .filter(|held| is_meant(&held.thing, &held.document.id))
        .map(|held| held.document.id.clone())
        .collect();
    if let (Some(wanted), true) = (&query.label, chosen.is_empty()) {
        let problem = Problem::error("server::nothing-there", format!("no label `{}` is kept", wanted.escape_debug()))
            .expected("the id of a kept label")
            .at("label");
        return Err(Refusal::new(StatusCode::NOT_FOUND, problem));
    }
    let property = kept.mapped()?;
    let near = Filter { near: record::reach(&property), ..Filter::default() };
    let records = book.records(&near).await?;
    let rooms = apart(move || {
        let state = kept.jurisdiction.as_ref().and_then(|text| text.place().division_code().map(str::to_owned));
        let mut shelf = Vec::new();
        for held in labels {
            shelf.push(label::for_state(&held.document.parsed()?, state.as_deref()));
        }
        let request = VisitRequest::of_ground(property, shelf, date);
        let records: Vec<ApplicationRecord> = records.into_iter().map(|held| held.record).collect();
        let past = merged(&request, &records, Some(&kept));
        let complete_since = match &past.history {
            History::Known { complete_since, .. } => *complete_since,
            History::Unknown => None,
        };
        let of = |label: &label::Label| room(&request.property, label, &request.labels, &past.history, date);
        let rooms: Vec<_> = request
            .labels
            .iter()
            .filter(|label| chosen.contains(&label.id))
            .map(|label| (label.clone(), of(label)))
            .collect();
        Ok::<_, Problems>(RoomsJson::new(&request.property, date, complete_since, &rooms))
    });
    Ok(JsonBody(rooms.await??))
}
