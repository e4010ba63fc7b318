//! Watering and mowing a lawn, from the texts that describe it.

use super::documents::book;
use super::paper::{LookQuery, file};
use super::plan::{PlanOrder, apart, planned};
use super::written::WrittenFile;
use crate::app::App;
use crate::http::document::{MowDocument, WaterDocument};
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use axum::response::Response;
use exchange::lawn_file::{LawnFile, LawnWish, parse_lawn};
use exchange::mow_json::MowJson;
use exchange::water_json::WaterJson;
use ledger::Book;
use ledger::trade::KEPT_VISIT;
use problem::{Problem, Problems};
use season::mow_plan::plan_mowing;
use season::prohibition::visit_times;
use season::water_plan::{WaterPlan, plan_water};
use serde::Deserialize;
use sheet::water_balance_svg;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::KeepRecords, routes!(water))
        .with(Permission::KeepRecords, routes!(picture))
        .with(Permission::KeepRecords, routes!(mow))
}

/// A lawn file with the files that it names.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct LawnOrder {
    /// The lawn file, as `docs/water.md` says. It may name `books:property/…`, or `thing:…` by the thing's own name, and visits
    /// as `books:visit/…`.
    lawn: WrittenFile,
    /// The texts of the files that it and its visits name otherwise, by those names.
    #[serde(default)]
    files: BTreeMap<String, String>,
    /// The first planned day, in place of the file's.
    #[schema(format = Date)]
    from: Option<String>,
}

/// Reads a lawn and plans its visits with what the books hold.
async fn read(book: &Book, order: LawnOrder) -> Result<(LawnFile, Problems), Refusal> {
    let LawnOrder { lawn, files, from } = order;
    let mut asked = Problems::new();
    let plan_from = super::documents::day("from", from.as_deref(), &mut asked);
    if asked.has_errors() {
        return Err(Refusal::unusable(asked));
    }
    let text = lawn.text()?;
    let shelf = book.shelf(&text).await?;
    let things = book.things_named_in(&text).await?;
    let sent = files.clone();
    let parsed = apart(move || {
        let wish = LawnWish { plan_from, ..LawnWish::default() };
        let mut fetch = |name: &str| match shelf.text(name) {
            Some(kept) => kept,
            None if things.contains_key(name) => things[name].clone(),
            None => sent.get(name).cloned().ok_or_else(|| "it was not sent along".to_owned()),
        };
        parse_lawn("lawn", &text, &wish, &mut fetch)
    });
    let (mut lawn, mut problems) = parsed.await??;
    let mut times = Vec::new();
    for name in lawn.visits.clone() {
        let order = if let Some(kept) = name.strip_prefix(KEPT_VISIT) {
            let kept = book.meant_visit(kept).await?.document;
            let files = kept.files.into_iter().map(|(name, text)| (name, text.0)).collect();
            PlanOrder::of_text(kept.request.0, files)
        } else {
            let Some(text) = files.get(&name) else {
                problems.push(
                    Problem::error(
                        "visit::unread-file",
                        format!("the visit `{}` was not sent along", name.escape_debug()),
                    )
                    .expected("its request among the files, or the name of a kept visit")
                    .at("visits"),
                );
                continue;
            };
            PlanOrder::of_text(text.clone(), files.clone())
        };
        let planned = planned(book, order, false).await?.planned;
        let (found, warnings) = visit_times(&planned.visit, lawn.rest_after_treatment);
        times.push(found);
        problems.extend(warnings.in_file(&name));
    }
    lawn.heed(times);
    problems.unless_errors(lawn).map_err(Refusal::from)
}

/// What the lawn file does not tell and this asks for.
fn not_told(code: &'static str, what: &str, expected: &str) -> Refusal {
    Refusal::unusable(Problem::error(code, format!("the lawn file tells {what}")).expected(expected))
}

async fn water_plan(app: &App, caller: &Caller, order: LawnOrder) -> Result<(LawnFile, WaterPlan, Problems), Refusal> {
    let book = book(app, caller).await?;
    let (mut lawn, warnings) = read(&book, order).await?;
    let Some(request) = lawn.water.take() else {
        return Err(not_told("lawn::no-root-zone", "no root zone", "`root_zone`"));
    };
    let plan = apart(move || plan_water(request)).await??;
    Ok((lawn, plan, warnings))
}

/// Plan the watering of a lawn
///
/// A treatment that cannot be watered in is an answer, too: `water_in` says why.
#[utoipa::path(post, path = "/api/water", operation_id = "water", tag = "lawn", request_body = LawnOrder,
    responses(
        (status = 200, description = "The balance, the waterings and the runs of the sprinklers", body = WaterDocument),
        (status = 400, description = "The body is not JSON", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 413, description = "The texts are too large", body = ProblemDetails),
        (status = 415, description = "The body does not say that it is JSON", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn water(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<LawnOrder>,
) -> Result<JsonBody<WaterJson>, Refusal> {
    let (lawn, plan, warnings) = water_plan(&app, &caller, order).await?;
    Ok(JsonBody(WaterJson::new(&lawn, &plan, &warnings)))
}

/// The water of a lawn, as a picture
#[utoipa::path(post, path = "/api/water/picture", operation_id = "water_picture", tag = "lawn",
    params(LookQuery), request_body = LawnOrder,
    responses(
        (status = 200, description = "The balance, drawn", body = String, content_type = "image/svg+xml"),
        (status = 400, description = "The body or the fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn picture(
    State(app): State<App>,
    caller: Caller,
    QueryOf(look): QueryOf<LookQuery>,
    JsonBody(order): JsonBody<LawnOrder>,
) -> Result<Response, Refusal> {
    let (lawn, plan, _) = water_plan(&app, &caller, order).await?;
    let svg = apart(move || water_balance_svg(&lawn.name, &plan, look.of_water())).await?;
    Ok(file("image/svg+xml", "water-balance.svg", svg.into_bytes()))
}

/// Plan the mowing of a lawn
#[utoipa::path(post, path = "/api/mow", operation_id = "mow", tag = "lawn", request_body = LawnOrder,
    responses(
        (status = 200, description = "How the grass grows, and when it is mown", body = MowDocument),
        (status = 400, description = "The body is not JSON", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 413, description = "The texts are too large", body = ProblemDetails),
        (status = 415, description = "The body does not say that it is JSON", body = ProblemDetails),
        (status = 422, description = "It cannot be planned", body = ProblemDetails),
    ))]
async fn mow(
    State(app): State<App>,
    caller: Caller,
    JsonBody(order): JsonBody<LawnOrder>,
) -> Result<JsonBody<MowJson>, Refusal> {
    let book = book(&app, &caller).await?;
    let (lawn, warnings) = read(&book, order).await?;
    let Some(request) = lawn.mowing.clone() else {
        return Err(not_told("lawn::no-mowing", "nothing of mowing", "`mowing`"));
    };
    let plan = apart(move || plan_mowing(request)).await??;
    Ok(JsonBody(MowJson::new(&lawn, &plan, &warnings)))
}
