//! Stock, lot by lot.

use super::documents::{book, json};
use crate::app::App;
use crate::http::document::StockDocument;
use crate::http::{Caller, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::books_json::{LotStockJson, StockJson, problems_json, write_answer};
use exchange::record_json::AmountJson;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(stock))
}

/// What was received, used and adjusted of each lot, and what is left
#[utoipa::path(get, path = "/api/stock", tag = "stock",
    responses(
        (status = 200, description = "The stock, as `schema/answers/stock.schema.json` says", body = StockDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn stock(State(app): State<App>, caller: Caller) -> Result<Response, Refusal> {
    let stock = book(&app, &caller).await?.stock().await?;
    let lots = stock.lots.iter().map(|lot| LotStockJson {
        lot: lot.lot.as_str().to_owned(),
        label: lot.label.clone(),
        number: lot.number.clone(),
        received: AmountJson::from(lot.received),
        used: AmountJson::from(lot.used),
        adjusted: AmountJson::from(lot.adjusted),
        left: AmountJson::from(lot.left),
    });
    let answer =
        StockJson { format: StockJson::FORMAT, lots: lots.collect(), problems: problems_json(&stock.problems()) };
    Ok(([json()], write_answer(&answer)).into_response())
}
