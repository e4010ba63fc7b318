//! Planning a visit, and keeping the record of one, from the texts that describe it.

mod document;
mod papers;

use super::documents::{self, book};
use super::records::{KeptRecordAnswer, answered, kept_record};
use super::written::WrittenFile;
use crate::app::App;
use crate::http::document::{VisitDocument, ZonesDocument};
use crate::http::{Caller, IdempotencyKey, JsonBody, Permission, ProblemDetails, ProblemEntry, Refusal, Routes};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::problems_json::ProblemJson;
use exchange::visit_json::VisitJson;
use exchange::zones_geojson::{ZoneCollectionJson, ZoneLayers};
use http::StatusCode;
use ledger::trade::{PlannedVisit, ReadVisit, VisitParties};
use ledger::{Book, Expected, Kind, ThingId};
use problem::{Problem, Problems, Severity};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::KeepRecords, routes!(plan))
        .with(Permission::KeepRecords, routes!(zones))
        .and(papers::routes())
        .and(document::routes())
        .with(Permission::KeepRecords, routes!(record))
}

/// A visit request with the files that it names.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PlanOrder {
    /// The visit request, as `docs/visit-request.md` and `schema/visit-request.schema.json` say. It names what the books keep as `books:property/…`, `books:label/…`,
    /// `books:equipment/…` by title, `books:survey/PROPERTY/PEST DAY`, or `thing:…` by the thing's own name, and the past as `books:history`.
    visit: WrittenFile,
    /// The texts of the files that it names otherwise, by those names: a draft of a map stands here.
    #[serde(default)]
    files: BTreeMap<String, String>,
}

impl PlanOrder {
    /// A request with the files that it names.
    pub(super) fn of_text(visit: String, files: BTreeMap<String, String>) -> Self {
        Self { visit: WrittenFile::Text(visit), files }
    }
}

/// A visit that was carried out.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RecordOrder {
    /// The visit request, as for planning.
    visit: WrittenFile,
    /// The texts of the files that it names, by those names.
    #[serde(default)]
    files: BTreeMap<String, String>,
    /// What differed from the plan, as `docs/as-applied.md` says; nothing when all went as planned.
    as_applied: Option<WrittenFile>,
    /// The kept visit that was carried out, which the record then names. Without it, the only kept visit of this name
    /// and day.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(format = Uuid)]
    kept: Option<String>,
}

/// The visit as planned: what draws its page.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct Planned {
    /// The visit. Its hours stand once: `hours` and `start_window` of the tasks, which are those of the
    /// whole visit, are left empty here.
    #[schema(value_type = VisitDocument)]
    visit: VisitJson,
    /// The zones with their ground, the same as `zones.geojson`.
    #[schema(value_type = ZonesDocument)]
    zones: ZoneCollectionJson,
    /// The setbacks as drawn, which overlap the zones and one another.
    #[schema(value_type = ZonesDocument)]
    setbacks: ZoneCollectionJson,
    /// What stands against the people of the visit: certificates, supervision, training. The same stands among the
    /// verdicts of the visit: an error refuses it.
    people: Vec<ProblemEntry>,
    /// What should be looked at.
    warnings: Vec<ProblemEntry>,
}

impl Planned {
    fn new(planned: &PlannedVisit, people: &Problems) -> Self {
        let mut visit = VisitJson::from(&planned.visit);
        for task in &mut visit.tasks {
            task.hours.clear();
            task.start_window = None;
        }
        Self {
            visit,
            zones: ZoneCollectionJson::new(&planned.visit, ZoneLayers::Zones),
            setbacks: ZoneCollectionJson::new(&planned.visit, ZoneLayers::Setbacks),
            people: entries(people),
            warnings: entries(&planned.warnings),
        }
    }
}

/// Problems as an answer tells them.
pub(super) fn entries(problems: &Problems) -> Vec<ProblemEntry> {
    problems.iter().map(|problem| ProblemEntry::from(ProblemJson::from(problem))).collect()
}

/// Runs what takes long for the machine apart from what answers others.
pub(super) async fn apart<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Refusal> {
    tokio::task::spawn_blocking(work).await.map_err(|_| Refusal::failed())
}

/// A visit planned with what the books hold.
pub(super) struct WithBooks {
    pub(super) planned: PlannedVisit,
    parties: VisitParties,
    /// What stands against its people, which is among its verdicts, too.
    people: Problems,
}

/// Reads a request with what it names, from the books and from what was sent along.
async fn read(book: &Book, order: PlanOrder) -> Result<ReadVisit, Refusal> {
    let PlanOrder { visit, files } = order;
    let text = visit.text()?;
    let shelf = book.shelf(&text).await?;
    let things = book.things_named_in(&text).await?;
    let read = apart(move || {
        let fetch = |name: &str| match things.get(name) {
            Some(text) => text.clone(),
            None => files.get(name).cloned().ok_or_else(|| "it was not sent along".to_owned()),
        };
        ReadVisit::read("visit", text, &shelf, fetch)
    });
    Ok(read.await??)
}

/// Plans a visit with the past and the people that the books hold.
pub(super) async fn planned(book: &Book, order: PlanOrder, is_recorded: bool) -> Result<WithBooks, Refusal> {
    let read = read(book, order).await?;
    let past = book.history_of(read.request(), is_recorded).await?;
    let planned = apart(move || read.plan(past)).await??;
    let parties = book.parties_of(&planned).await?;
    let (planned, people) = book.with_people(planned, &parties).await?;
    let planned = book.with_costs(planned).await?;
    Ok(WithBooks { planned, parties, people })
}

/// Plan a visit
///
/// A refused visit is an answer, too: its verdicts say why.
#[utoipa::path(post, path = "/api/plan", tag = "plan", request_body = PlanOrder,
    responses(
        (status = 200, description = "The visit", body = Planned),
        (status = 400, description = "The body is not JSON", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 413, description = "The texts are too large", body = ProblemDetails),
        (status = 415, description = "The body does not say that it is JSON", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn plan(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<PlanOrder>,
) -> Result<JsonBody<Planned>, Refusal> {
    let book = book(&app, &caller).await?;
    let WithBooks { planned, people, .. } = planned(&book, order, false).await?;
    Ok(JsonBody(apart(move || Planned::new(&planned, &people)).await?))
}

/// The zones of a visit alone
///
/// Sooner there than the plan: no amounts, no hours, no past, and coarser arcs, so that areas differ a little from the
/// plan's. For a map that is still drawn on.
#[utoipa::path(post, path = "/api/plan/zones", operation_id = "plan_zones", tag = "plan", request_body = PlanOrder,
    responses(
        (status = 200, description = "The zones with their ground", body = ZonesDocument),
        (status = 400, description = "The body is not JSON", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 413, description = "The texts are too large", body = ProblemDetails),
        (status = 415, description = "The body does not say that it is JSON", body = ProblemDetails),
        (status = 422, description = "Its zones cannot be told", body = ProblemDetails),
    ))]
async fn zones(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<PlanOrder>,
) -> Result<JsonBody<ZoneCollectionJson>, Refusal> {
    let book = book(&app, &caller).await?;
    let read = read(&book, order).await?;
    let kept = book.property_called(read.request().property.name()).await?;
    let place = kept.and_then(|kept| kept.document.jurisdiction).map(|text| text.place().clone());
    let zones = apart(move || {
        let (property, zoning) = read.zones(place.as_ref())?;
        Ok::<_, Problems>(ZoneCollectionJson::of_zones(&zoning.zones, property.plane()))
    });
    Ok(JsonBody(zones.await??))
}

/// The kept visit of this name, which must be the one that was carried out.
async fn kept_visit(app: &App, caller: &Caller, name: &str, planned: &PlannedVisit) -> Result<ThingId, Refusal> {
    let thing = ThingId::parse(name).map_err(|problem| problem.at("kept"))?;
    let (book, entry) = documents::seen(app, caller, Kind::Visit, thing).await?;
    let (title, day) = (&planned.request.name, planned.request.date);
    // Whoever took it along may bring an earlier version back.
    let versions = book.versions(thing).await?;
    if !versions.iter().any(|version| version.indexed.title == *title && version.indexed.date == Some(day)) {
        let kept_day = entry.indexed.date.map_or_else(String::new, |day| format!(" of {day}"));
        let found =
            format!("the kept visit is `{}`{kept_day}, and the request `{title}` of {day}", entry.indexed.title);
        return Err(Problem::error("trade::other-visit", found)
            .expected("the kept visit that was carried out, or none")
            .at("kept")
            .into());
    }
    Ok(thing)
}

/// Keep the record of a visit that was carried out
///
/// What was done is kept even where it was against a label: the record says so.
#[utoipa::path(post, path = "/api/records/of-visit", tag = "records", request_body = RecordOrder,
    params(("Idempotency-Key" = String, Header, description = "A key of its own for every request")),
    responses(
        (status = 201, description = "Kept", body = KeptRecordAnswer),
        (status = 400, description = "No key, or the body is not JSON", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 413, description = "The texts are too large", body = ProblemDetails),
        (status = 415, description = "The body does not say that it is JSON", body = ProblemDetails),
        (status = 422, description = "It cannot be recorded, or the key was used for another request", body = ProblemDetails),
    ))]
async fn record(
    State(app): State<App>,
    caller: Caller,
    key: IdempotencyKey,
    JsonBody(order): JsonBody<RecordOrder>,
) -> Result<Response, Refusal> {
    let book = book(&app, &caller).await?;
    // Planned again, it may come out differently: the same order has the answer that it had.
    let words = serde_json::to_string(&order).map_err(|_| Refusal::failed())?;
    let key = key.asking(["records/of-visit", &words]);
    if let Some(answer) = answered(&book, &key).await? {
        return Ok((StatusCode::CREATED, answer).into_response());
    }
    let WithBooks { planned, mut parties, .. } =
        planned(&book, PlanOrder { visit: order.visit, files: order.files }, true).await?;
    if let Some(kept) = order.kept {
        parties.visit = Some(kept_visit(&app, &caller, &kept, &planned).await?);
    }
    let place = planned.place(&parties)?;
    let links = ledger::trade::RecordLinks {
        client: parties.client.as_ref().map(|client| client.thing),
        property: parties.property.as_ref().map(|property| property.thing),
    };
    let as_applied = order.as_applied.map(WrittenFile::text).transpose()?;
    let (record, mut warnings) =
        apart(move || planned.record(&parties, as_applied.as_deref().map(|text| ("as-applied", text)))).await??;
    if let Some(place) = place {
        // What was done is kept: that somebody should not have done it is told, not refused.
        let told = book.authority_of(&record, &place).await?;
        warnings.extend(told.into_iter().map(|problem| Problem { severity: Severity::Warning, ..problem }));
    }
    let to = (ThingId::fresh(), Expected::New, None);
    let answer = kept_record(&app, &book, &record, links, to, key, warnings).await?;
    Ok((StatusCode::CREATED, answer).into_response())
}
