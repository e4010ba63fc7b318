//! Labels under the pen: read out, checked, compared, and turned from text into a form and back.

use super::plan::apart;
use super::written::WrittenFile;
use crate::app::App;
use crate::http::document::{DifferencesDocument, LabelReadingDocument};
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use exchange::difference_json::DifferencesJson;
use exchange::label_file::parse_label;
use exchange::label_json::{LabelReadingJson, read_out};
use problem::Problems;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::SeeWork, routes!(check))
        .with(Permission::SeeWork, routes!(compare))
        .with(Permission::SeeWork, routes!(form))
}

/// A label file.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct LabelOrder {
    /// The label, as `docs/label-file.md` and `schema/label.schema.json` say.
    label: WrittenFile,
}

/// Two versions of a label.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct CompareOrder {
    /// The older version.
    older: WrittenFile,
    /// The newer version.
    newer: WrittenFile,
}

/// A label as text and as a form.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct LabelForm {
    /// The label file. Made of an object it has no comments.
    text: String,
    /// An object with the same fields, as `schema/label.schema.json` says; as far as they are filled in.
    #[schema(value_type = Object)]
    fields: serde_json::Value,
    /// The label as read.
    #[schema(value_type = LabelReadingDocument)]
    reading: LabelReadingJson,
}

/// Read a label out and check it
///
/// A label with problems is an answer, too.
#[utoipa::path(post, path = "/api/label/check", operation_id = "label_check", tag = "label", request_body = LabelOrder,
    responses(
        (status = 200, description = "The label as read, what is wrong, and what is still open", body = LabelReadingDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The object holds what no label file can say", body = ProblemDetails),
    ))]
async fn check(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<LabelOrder>,
) -> Result<JsonBody<LabelReadingJson>, Refusal> {
    let text = order.label.text()?;
    Ok(JsonBody(apart(move || read_out("label", &text)).await?))
}

/// Turn a label from text into a form, or from a form into text
///
/// A form that is half filled in is an answer, too.
#[utoipa::path(post, path = "/api/label/form", operation_id = "label_form", tag = "label", request_body = LabelOrder,
    responses(
        (status = 200, description = "The label both ways, and as read", body = LabelForm),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The text is no TOML, or the object holds what none can say", body = ProblemDetails),
    ))]
async fn form(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<LabelOrder>,
) -> Result<JsonBody<LabelForm>, Refusal> {
    let form = apart(move || {
        let (text, fields) = order.label.both("label")?;
        let reading = read_out("label", &text);
        Ok::<_, Problems>(LabelForm { text, fields, reading })
    });
    Ok(JsonBody(form.await??))
}

/// Compare two versions of a label
///
/// Each container is governed by its own label: the two are shown, and never blended.
#[utoipa::path(post, path = "/api/label/compare", operation_id = "label_compare", tag = "label", request_body = CompareOrder,
    responses(
        (status = 200, description = "What the newer says otherwise, by section", body = DifferencesDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "One of the two cannot be read", body = ProblemDetails),
    ))]
async fn compare(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<CompareOrder>,
) -> Result<JsonBody<DifferencesJson>, Refusal> {
    let compared = apart(move || {
        let mut problems = Problems::new();
        let mut read = |name: &str, file: WrittenFile| {
            let label = file.text().and_then(|text| parse_label(name, &text));
            label.map_err(|found| problems.extend(found)).ok().map(|(label, _)| label)
        };
        match (read("older", order.older), read("newer", order.newer)) {
            (Some(older), Some(newer)) => Ok(DifferencesJson::new(&older, &newer, &label::differences(&older, &newer))),
            _ => Err(problems),
        }
    });
    Ok(JsonBody(compared.await??))
}
