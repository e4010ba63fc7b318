//! The kept things: clients, people, properties, labels, equipment, stock, surveys, visits, the business.
//!
//! Each kind has the same five routes. Documents are as their schemas in `schema/kept` say.

use super::documents::{self, KeptThingAnswer, KeptVersion, ListQuery, ListedThing, ReasonQuery, VersionQuery};
use crate::app::App;
use crate::http::document::{
    KeptBusiness, KeptClient, KeptEquipment, KeptLabel, KeptLot, KeptPerson, KeptProperty, KeptStockAdjustment,
    KeptSurvey, KeptVisit,
};
use crate::http::{
    Caller, IdempotencyKey, IfMatch, JsonBody, NameInPath, Page, Permission, ProblemDetails, QueryOf, Refusal, Routes,
    TextBody,
};
use axum::extract::State;
use axum::response::Response;
use http::HeaderMap;
use ledger::{Kind, ThingId};
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .and(businesses::routes())
        .and(clients::routes())
        .and(people::routes())
        .and(properties::routes())
        .and(labels::routes())
        .and(equipment::routes())
        .and(lots::routes())
        .and(stock_adjustments::routes())
        .and(surveys::routes())
        .and(visits::routes())
}

/// The routes of one kind.
macro_rules! kept {
    ($module:ident, $kind:ident, $document:ident, $tag:tt, $all:tt, $one:tt, $versions:tt, see: $see:ident, keep: $keep:ident) => {
        mod $module {
            use super::*;

            pub(super) fn routes() -> Routes {
                Routes::new()
                    .with(Permission::$see, routes!(list))
                    .with(Permission::$keep, routes!(make))
                    .with(Permission::$see, routes!(one))
                    .with(Permission::$keep, routes!(change))
                    .with(Permission::$see, routes!(versions))
            }

            /// Those kept, page by page
            #[utoipa::path(get, path = $all, operation_id = concat!($tag, "_list"), tag = $tag, params(ListQuery),
                responses(
                    (status = 200, description = "One page", body = Page<ListedThing>),
                    (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
                    (status = 401, description = "Nobody is signed in", body = ProblemDetails),
                    (status = 403, description = "Not for this role", body = ProblemDetails),
                    (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
                ))]
            async fn list(
                State(app): State<App>,
                caller: Caller,
                QueryOf(query): QueryOf<ListQuery>,
            ) -> Result<JsonBody<Page<ListedThing>>, Refusal> {
                documents::list(&app, &caller, Kind::$kind, &query).await.map(JsonBody)
            }

            /// Keep a new one
            #[utoipa::path(post, path = $all, operation_id = concat!($tag, "_make"), tag = $tag,
                params(("Idempotency-Key" = String, Header, description = "A key of its own for every request")),
                request_body(content = $document, description = "The document, as its schema in `schema/kept` says", content_type = "application/json"),
                responses(
                    (status = 201, description = "Kept", body = KeptThingAnswer),
                    (status = 400, description = "No key", body = ProblemDetails),
                    (status = 401, description = "Nobody is signed in", body = ProblemDetails),
                    (status = 403, description = "Not for this role", body = ProblemDetails),
                    (status = 413, description = "The document is too large", body = ProblemDetails),
                    (status = 422, description = "The document cannot be kept, or the key was used for another request", body = ProblemDetails),
                ))]
            async fn make(
                State(app): State<App>,
                caller: Caller,
                key: IdempotencyKey,
                TextBody(body): TextBody,
            ) -> Result<Response, Refusal> {
                documents::make(&app, &caller, Kind::$kind, key, body).await
            }

            /// One of them
            #[utoipa::path(get, path = $one, operation_id = concat!($tag, "_one"), tag = $tag,
                params(("thing" = Uuid, Path, description = "The thing"), VersionQuery),
                responses(
                    (status = 200, description = "The document, its version in the `ETag`", body = $document),
                    (status = 304, description = "The caller has this version"),
                    (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
                    (status = 401, description = "Nobody is signed in", body = ProblemDetails),
                    (status = 403, description = "Not for this role", body = ProblemDetails),
                    (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
                    (status = 410, description = "It was discarded", body = ProblemDetails),
                ))]
            async fn one(
                State(app): State<App>,
                caller: Caller,
                NameInPath(thing): NameInPath,
                QueryOf(query): QueryOf<VersionQuery>,
                headers: HeaderMap,
            ) -> Result<Response, Refusal> {
                documents::one(&app, &caller, Kind::$kind, ThingId::new(thing), &query, &headers).await
            }

            /// Keep a new version of one
            #[utoipa::path(put, path = $one, operation_id = concat!($tag, "_change"), tag = $tag,
                params(
                    ("thing" = Uuid, Path, description = "The thing"),
                    ReasonQuery,
                    ("If-Match" = String, Header, description = "The `ETag` of the version that was seen"),
                    ("Idempotency-Key" = String, Header, description = "A key of its own for every request"),
                ),
                request_body(content = $document, description = "The document, as its schema in `schema/kept` says", content_type = "application/json"),
                responses(
                    (status = 200, description = "Kept", body = KeptThingAnswer),
                    (status = 400, description = "A header is missing or cannot be read", body = ProblemDetails),
                    (status = 401, description = "Nobody is signed in", body = ProblemDetails),
                    (status = 403, description = "Not for this role", body = ProblemDetails),
                    (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
                    (status = 409, description = "The thing was discarded", body = ProblemDetails),
                    (status = 412, description = "Somebody else kept another version meanwhile", body = ProblemDetails),
                    (status = 413, description = "The document is too large", body = ProblemDetails),
                    (status = 422, description = "The document cannot be kept, or the key was used for another request", body = ProblemDetails),
                    (status = 428, description = "The request does not say which version it changes", body = ProblemDetails),
                ))]
            async fn change(
                State(app): State<App>,
                caller: Caller,
                NameInPath(thing): NameInPath,
                QueryOf(query): QueryOf<ReasonQuery>,
                seen: IfMatch,
                key: IdempotencyKey,
                TextBody(body): TextBody,
            ) -> Result<Response, Refusal> {
                documents::change(&app, &caller, Kind::$kind, ThingId::new(thing), (seen, key), query.reason, body).await
            }

            /// The versions of one
            #[utoipa::path(get, path = $versions, operation_id = concat!($tag, "_versions"), tag = $tag,
                params(("thing" = Uuid, Path, description = "The thing")),
                responses(
                    (status = 200, description = "Every version, the first one first", body = Vec<KeptVersion>),
                    (status = 401, description = "Nobody is signed in", body = ProblemDetails),
                    (status = 403, description = "Not for this role", body = ProblemDetails),
                    (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
                ))]
            async fn versions(
                State(app): State<App>,
                caller: Caller,
                NameInPath(thing): NameInPath,
            ) -> Result<JsonBody<Vec<KeptVersion>>, Refusal> {
                documents::versions(&app, &caller, Kind::$kind, ThingId::new(thing)).await.map(JsonBody)
            }
        }
    };
}

kept!(businesses, Business, KeptBusiness, "businesses", "/api/businesses", "/api/businesses/{thing}", "/api/businesses/{thing}/versions", see: SeeWork, keep: Manage);
kept!(clients, Client, KeptClient, "clients", "/api/clients", "/api/clients/{thing}", "/api/clients/{thing}/versions", see: SignedIn, keep: Plan);
kept!(people, Person, KeptPerson, "people", "/api/people", "/api/people/{thing}", "/api/people/{thing}/versions", see: SeeWork, keep: Plan);
kept!(properties, Property, KeptProperty, "properties", "/api/properties", "/api/properties/{thing}", "/api/properties/{thing}/versions", see: SignedIn, keep: Plan);
kept!(labels, Label, KeptLabel, "labels", "/api/labels", "/api/labels/{thing}", "/api/labels/{thing}/versions", see: SeeWork, keep: Plan);
kept!(equipment, Equipment, KeptEquipment, "equipment", "/api/equipment", "/api/equipment/{thing}", "/api/equipment/{thing}/versions", see: SeeWork, keep: Plan);
kept!(lots, Lot, KeptLot, "lots", "/api/lots", "/api/lots/{thing}", "/api/lots/{thing}/versions", see: SeeWork, keep: Plan);
kept!(stock_adjustments, StockAdjustment, KeptStockAdjustment, "stock-adjustments", "/api/stock-adjustments", "/api/stock-adjustments/{thing}", "/api/stock-adjustments/{thing}/versions", see: SeeWork, keep: Plan);
kept!(surveys, Survey, KeptSurvey, "surveys", "/api/surveys", "/api/surveys/{thing}", "/api/surveys/{thing}/versions", see: SignedIn, keep: KeepRecords);
kept!(visits, Visit, KeptVisit, "visits", "/api/visits", "/api/visits/{thing}", "/api/visits/{thing}/versions", see: SignedIn, keep: Plan);
