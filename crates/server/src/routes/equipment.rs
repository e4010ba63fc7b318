//! Equipment under the pen: read out, checked, calibrated, and turned from text into a form and back.

use super::plan::apart;
use super::written::WrittenFile;
use crate::app::App;
use crate::http::document::{CalibrationDocument, EquipmentReadingDocument};
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, Refusal, Routes};
use axum::extract::State;
use exchange::calibration_json::CalibrationJson;
use exchange::equipment_json::{EquipmentReadingJson, RunLimits, judged_calibration, read_out};
use problem::Problems;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::SeeWork, routes!(check))
        .with(Permission::SeeWork, routes!(form))
        .with(Permission::SeeWork, routes!(calibrate))
}

/// An equipment file.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct EquipmentOrder {
    /// The equipment file, as `docs/visit-request.md` says.
    equipment: WrittenFile,
}

/// An equipment file as text and as a form.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct EquipmentForm {
    /// The file. Made of an object it has no comments.
    text: String,
    /// An object with the same fields, as far as they are filled in.
    #[schema(value_type = Object)]
    fields: serde_json::Value,
    /// The equipment as read.
    #[schema(value_type = EquipmentReadingDocument)]
    reading: EquipmentReadingJson,
}

/// Runs of a calibration. Quantities are text with their unit, as in the equipment file.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(tag = "method", rename_all = "kebab-case", deny_unknown_fields)]
enum WrittenRuns {
    /// Sprayed a measured area with water, then measured what refilled the tank.
    TestArea {
        /// The area of each run, 50 to 2,000 sq ft: `"250 sq ft"`.
        area: String,
        /// What refilled the tank after each run: `"53 fl oz"`.
        refills: Vec<String>,
    },
    /// Timed the walk over a course, and caught the spray standing still.
    TimedCatch {
        /// The ground that the walk covers, 50 to 2,000 sq ft.
        course: String,
        /// Catch and walk, once a run.
        runs: Vec<WrittenTimedRun>,
    },
    /// Timed the walk over 1/128 acre and caught for as long.
    #[serde(rename = "1/128-acre")]
    OneTwentyEighthAcre {
        /// The course, when it is not 340.3 sq ft exactly.
        #[serde(skip_serializing_if = "Option::is_none")]
        course: Option<String>,
        /// What was caught in the time of each walk.
        caught: Vec<String>,
    },
    /// Spread a dry product over a measured area, and weighed what fell on it.
    SpreaderCatch {
        /// The area of each catch, 50 to 2,000 sq ft.
        area: String,
        /// What was caught in each run, by weight: `"0.23 lb"`.
        caught: Vec<String>,
    },
    /// The output is stated, found by another method.
    Stated {
        /// What goes out per area: `"2.0 gal/1,000 sq ft"`.
        output: String,
        /// How it was found.
        #[serde(skip_serializing_if = "Option::is_none")]
        found_by: Option<String>,
    },
}

/// One run of a timed catch.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct WrittenTimedRun {
    /// Spray caught standing still: `"50 fl oz"`.
    caught: String,
    /// For how long it was caught: `"30 s"`.
    caught_in: String,
    /// How long the walk over the course took: `"65 s"`.
    walked_in: String,
}

/// Runs to be judged.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct CalibrateOrder {
    /// The runs.
    runs: WrittenRuns,
    /// A full tank (`"4 gal"`) or hopper (`"20 lb"`), to say how much ground it covers.
    full: Option<String>,
    /// Greatest variation of the runs, sample standard deviation over mean; 0.1 when left out.
    highest_variation: Option<f64>,
    /// Fewest runs; 3 when left out.
    fewest_runs: Option<usize>,
}

/// Read equipment out and check it
///
/// Calibrations are judged as of today, within the usual limits. Equipment with problems is an answer, too.
#[utoipa::path(post, path = "/api/equipment/check", operation_id = "equipment_check", tag = "equipment",
    request_body = EquipmentOrder,
    responses(
        (status = 200, description = "The equipment as read, what is wrong, and what is still open", body = EquipmentReadingDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The object holds what no equipment file can say", body = ProblemDetails),
    ))]
async fn check(
    State(app): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<EquipmentOrder>,
) -> Result<JsonBody<EquipmentReadingJson>, Refusal> {
    let text = order.equipment.text()?;
    let today = app.today();
    Ok(JsonBody(apart(move || read_out("equipment", &text, Some(today))).await?))
}

/// Turn equipment from text into a form, or from a form into text
#[utoipa::path(post, path = "/api/equipment/form", operation_id = "equipment_form", tag = "equipment",
    request_body = EquipmentOrder,
    responses(
        (status = 200, description = "The equipment both ways, and as read", body = EquipmentForm),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The text is no TOML, or the object holds what none can say", body = ProblemDetails),
    ))]
async fn form(
    State(app): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<EquipmentOrder>,
) -> Result<JsonBody<EquipmentForm>, Refusal> {
    let today = app.today();
    let form = apart(move || {
        let (text, fields) = order.equipment.both("equipment")?;
        let reading = read_out("equipment", &text, Some(today));
        Ok::<_, Problems>(EquipmentForm { text, fields, reading })
    });
    Ok(JsonBody(form.await??))
}

/// Output per area from the runs of a calibration
///
/// `usable` is the verdict; day and person are asked of a calibration in a file, not here.
#[utoipa::path(post, path = "/api/calibrate", operation_id = "calibrate", tag = "equipment",
    request_body = CalibrateOrder,
    responses(
        (status = 200, description = "Output of each run, mean, variation and verdict", body = CalibrationDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "The runs cannot be reckoned with", body = ProblemDetails),
    ))]
async fn calibrate(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<CalibrateOrder>,
) -> Result<JsonBody<CalibrationJson>, Refusal> {
    let mut fields = serde_json::to_value(&order.runs).map_err(|_| Refusal::failed())?;
    fields["name"] = "runs".into();
    let text = exchange::toml_text::json_to_toml(&fields, &[])?;
    let limits = RunLimits {
        full: order.full.as_deref(),
        highest_variation: order.highest_variation,
        fewest_runs: order.fewest_runs,
    };
    // Lines of a text that nobody wrote would mislead: the field says where.
    let placed = |problems: Problems| -> Problems {
        problems
            .into_iter()
            .map(|mut problem| {
                (problem.place.file, problem.place.line, problem.place.column) = (None, None, None);
                problem
            })
            .collect()
    };
    Ok(JsonBody(judged_calibration("runs", &text, limits).map_err(placed)?))
}
