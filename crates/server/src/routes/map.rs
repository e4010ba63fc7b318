//! Maps under the pencil: measured as they are drawn.

use super::plan::apart;
use crate::app::App;
use crate::http::document::DrawingDocument;
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use exchange::drawing_json::{DrawingJson, DrawingWishes, measured_drawing};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(measure))
}

/// A map to be measured.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct MeasureOrder {
    /// The map, as `docs/map.md` says: GeoJSON text.
    map: String,
    /// Whether a mended copy is wanted. It costs as much again: leave it out while a corner is dragged.
    #[serde(default)]
    repair: bool,
    /// Whether the distance of every pair of features is wanted.
    #[serde(default)]
    distances: bool,
}

/// Measure a map as it is drawn
///
/// Corners, edges, areas, and everything wrong with the map by feature and spot. A map with problems is an
/// answer, too.
#[utoipa::path(post, path = "/api/map/measure", operation_id = "map_measure", tag = "map", request_body = MeasureOrder,
    responses(
        (status = 200, description = "The map, measured as far as it goes", body = DrawingDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The text is no GeoJSON", body = ProblemDetails),
    ))]
async fn measure(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<MeasureOrder>,
) -> Result<JsonBody<DrawingJson>, Refusal> {
    let wishes = DrawingWishes { repair: order.repair, distances: order.distances };
    let drawing = apart(move || measured_drawing("map", &order.map, wishes)).await??;
    Ok(JsonBody(drawing))
}
