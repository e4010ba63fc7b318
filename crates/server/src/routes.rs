//! The routes, one file for each subject.

mod amendment;
mod audit;
mod complaints;
mod demo;
mod documents;
mod efficacy;
mod equipment;
mod files;
mod forecast;
mod health;
mod kept;
mod label;
mod map;
mod own_sessions;
mod paper;
mod pests;
mod plan;
mod record_paper;
mod records;
mod room;
mod scouting;
mod second_factor;
mod session;
mod sign_ins;
mod stock;
mod totals;
mod verification;
mod water;
mod written;

use crate::http::Routes;
use utoipa::openapi::{InfoBuilder, License, OpenApi};

/// Every route with its permission.
pub fn all() -> Routes {
    Routes::new()
        .and(health::routes())
        .and(session::routes())
        .and(own_sessions::routes())
        .and(second_factor::routes())
        .and(sign_ins::routes())
        .and(audit::routes())
        .and(kept::routes())
        .and(demo::routes())
        .and(map::routes())
        .and(label::routes())
        .and(equipment::routes())
        .and(forecast::routes())
        .and(plan::routes())
        .and(water::routes())
        .and(pests::routes())
        .and(scouting::routes())
        .and(efficacy::routes())
        .and(records::routes())
        .and(amendment::routes())
        .and(record_paper::routes())
        .and(room::routes())
        .and(totals::routes())
        .and(complaints::routes())
        .and(stock::routes())
        .and(files::routes())
        .and(verification::routes())
}

/// The description of every route.
pub fn openapi() -> OpenApi {
    described(all().split().1)
}

/// The description with what concerns the whole.
pub(crate) fn described(mut openapi: OpenApi) -> OpenApi {
    openapi.info = InfoBuilder::new()
        .title("tussock")
        .version(env!("CARGO_PKG_VERSION"))
        .description(Some(
            "Plans, records and their keeping. `x-permission` says what a route asks of its caller: `anyone`, \
             `own-sign-in`, `signed-in`, `see-work`, `keep-records`, `plan`, `manage`. Every refusal is `application/problem+json` \
             and carries the problems that the command line would tell. Changes under a session carry the header \
             `X-Form-Token`. The label on the container in hand is the law; local law and licensed practice govern \
             beside it.",
        ))
        .license(Some(License::new("MIT OR Apache-2.0")))
        .build();
    openapi
}

/// The description as the repository keeps it.
pub fn openapi_text() -> String {
    // Through a value, whose keys are sorted: the same bytes on every run.
    let value = serde_json::to_value(openapi()).unwrap_or_default();
    let mut text = serde_json::to_string_pretty(&value).unwrap_or_default();
    text.push('\n');
    text
}
