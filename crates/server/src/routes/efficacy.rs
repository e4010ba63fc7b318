//! Whether treatments worked: counts of before and after, held against what was put down between them.

use super::documents::{book, seen};
use super::paper::file;
use super::plan::apart;
use crate::app::App;
use crate::http::document::{EfficacyDocument, KeptSurvey};
use crate::http::{Caller, JsonBody, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use ::scouting::{Control, CountedDay, EXPECTED_CONTROL, FollowUp, Resistance, TreatmentDay, follow_up, resistance_of};
use axum::extract::State;
use axum::response::Response;
use exchange::efficacy_json::{EfficacyJson, EfficacyTold};
use exchange::kept::{Kept, Survey};
use ledger::trade::{CountsAndTreatments, ToldTreatment, counts_of};
use ledger::{Kind, ThingId};
use problem::{Problem, Problems};
use serde::Deserialize;
use sheet::{EfficacyPicture, EfficacyPoint, efficacy_svg};
use std::collections::BTreeSet;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(kept, told)).with(Permission::SeeWork, routes!(picture))
}

/// Of what it is asked whether it worked.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct EfficacyQuery {
    /// The property; all of them when nothing is said.
    #[param(format = Uuid)]
    property: Option<String>,
    /// The pest, by common name; every pest that was counted when nothing is said.
    pest: Option<String>,
    /// The control that is expected, above 0, up to 1; 0.8 when nothing is said.
    expected: Option<f64>,
}

/// Counts that need not be kept, with the treatments between them.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct EfficacyOrder {
    /// The counts, each as `schema/kept/survey.schema.json` says. One that follows a treatment may say so itself
    /// (`treated`).
    #[schema(value_type = Vec<KeptSurvey>)]
    surveys: Vec<serde_json::Value>,
    /// Treatments that the counts do not name.
    #[serde(default)]
    treatments: Vec<TreatmentOrder>,
    /// The control that is expected, above 0, up to 1; 0.8 when nothing is said.
    expected: Option<f64>,
}

/// A treatment.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct TreatmentOrder {
    /// Its day.
    #[schema(format = Date)]
    on: String,
    /// The property, as the surveys name it; that of all surveys when nothing is said.
    property: Option<String>,
    /// The pest; every pest of the surveys when nothing is said.
    pest: Option<String>,
    /// The group of the mode of action, such as `3A`.
    group: Option<String>,
}

fn expected_of(told: Option<f64>) -> Result<Control, Problem> {
    let expected = told.map_or(Some(EXPECTED_CONTROL), Control::new).filter(|expected| expected.share() > 0.0);
    expected.ok_or_else(|| {
        Problem::error("scouting::expected", format!("`{}` as the control expected", told.unwrap_or_default()))
            .expected("above 0, up to 1, such as 0.8")
            .at("expected")
    })
}

/// What counts and treatments come to.
struct Reckoned {
    found: CountsAndTreatments,
    told: Vec<FollowUp>,
    resistance: Vec<(String, Resistance)>,
    expected: Control,
    /// The property whose treatments are told; all of them where none is named.
    only: Option<String>,
}

impl Reckoned {
    fn of(mut found: CountsAndTreatments, expected: Control, only: Option<ThingId>) -> Self {
        let days: Vec<TreatmentDay> = found.treatments.iter().map(|one| one.treatment.clone()).collect();
        let counted: Vec<CountedDay> = found.counted.iter().map(|one| one.counted.clone()).collect();
        let told = follow_up(&days, &counted);
        found.problems.extend(told.iter().flat_map(|one| &one.counts).flat_map(|count| count.names.clone()));
        let resistance = resistance_of(&days, &told, expected);
        Self { found, told, resistance, expected, only: only.map(|thing| thing.to_string()) }
    }

    fn document(&self) -> EfficacyJson {
        let CountsAndTreatments { treatments, counted, problems } = &self.found;
        let (told, resistance, expected) = (&self.told, &self.resistance, self.expected);
        let mut document =
            EfficacyJson::from(&EfficacyTold { treatments, counted, told, resistance, expected, problems });
        if let Some(only) = &self.only {
            document.treatments.retain(|one| one.property_thing.as_ref() == Some(only));
            document.untold.retain(|one| one.property_thing.as_ref() == Some(only));
        }
        let of_controls = document.treatments.iter().map(|one| &one.interval_doubt);
        let of_lines = document.resistance.iter().map(|one| &one.interval_doubt);
        let doubts: Vec<_> = of_controls.chain(of_lines).flatten().cloned().collect();
        document.problems.extend(doubts);
        document
    }

    fn picture(&self) -> String {
        let mut points = Vec::new();
        let mut pests = BTreeSet::new();
        for one in &self.told {
            let treatment = &self.found.treatments[one.treatment];
            if self.only.is_some() && treatment.property_thing != self.only {
                continue;
            }
            pests.insert(treatment.treatment.pest.as_str());
            let (pest, property) = (&treatment.treatment.pest, &treatment.property);
            let label = format!("{pest}, {property}, treated {}", treatment.treatment.day);
            points.extend(one.counts.iter().filter_map(|count| {
                let day = self.found.counted[count.after].counted.day;
                Some(EfficacyPoint { day, label: label.clone(), estimate: *count.control.as_ref().ok()? })
            }));
        }
        points.sort_by_key(|point| point.day);
        let of = pests.into_iter().collect::<Vec<_>>().join(", ");
        let picture = EfficacyPicture { points: &points, expected: self.expected, of: &of, colour: true, width: WIDTH };
        efficacy_svg(&picture)
    }
}

async fn reckoned(app: &App, caller: &Caller, query: EfficacyQuery) -> Result<Reckoned, Refusal> {
    let mut problems = Problems::new();
    let expected = expected_of(query.expected).map_err(|problem| problems.push(problem)).ok();
    let property = query.property.as_deref().map(ThingId::parse).transpose();
    let property = property.map_err(|problem| problems.push(problem.at("property"))).ok().flatten();
    let (Some(expected), false) = (expected, problems.has_errors()) else {
        return Err(Refusal::new(http::StatusCode::BAD_REQUEST, problems));
    };
    if let Some(property) = property {
        let (_, entry) = seen(app, caller, Kind::Property, property).await?;
        if entry.discards {
            return Err(Refusal::nothing(Kind::Property.word()));
        }
    }
    let pest = query.pest.filter(|pest| !pest.trim().is_empty());
    let found = book(app, caller).await?.counts_and_treatments(property, pest.as_deref()).await?;
    apart(move || Reckoned::of(found, expected, property)).await
}

/// Whether treatments worked, by what the books hold
///
/// Kept counts before and after each recorded treatment, and each that a survey says it follows: control with its interval
/// and the reason for its formula, or why it cannot be told and what to count next time. Of one property where one is named;
/// whether pests come to stand a group of action is told over all properties of the account.
#[utoipa::path(get, path = "/api/efficacy", operation_id = "efficacy", tag = "scouting", params(EfficacyQuery),
    responses(
        (status = 200, description = "What the counts tell", body = EfficacyDocument),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such property that the caller may see", body = ProblemDetails),
    ))]
async fn kept(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<EfficacyQuery>,
) -> Result<JsonBody<EfficacyJson>, Refusal> {
    let reckoned = reckoned(&app, &caller, query).await?;
    Ok(JsonBody(apart(move || reckoned.document()).await?))
}

/// Whether treatments worked, by counts that are sent
#[utoipa::path(post, path = "/api/efficacy", operation_id = "efficacy_of", tag = "scouting", request_body = EfficacyOrder,
    responses(
        (status = 200, description = "What the counts tell", body = EfficacyDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "Counts or treatments cannot be used", body = ProblemDetails),
    ))]
async fn told(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<EfficacyOrder>,
) -> Result<JsonBody<EfficacyJson>, Refusal> {
    let document = apart(move || {
        let (surveys, treated, expected) = read(&order)?;
        Ok::<_, Problems>(Reckoned::of(counts_of(&surveys, &treated), expected, None).document())
    });
    Ok(JsonBody(document.await?.map_err(Refusal::unusable)?))
}

/// Everything of an order; what is wrong with any of it is told at once.
fn read(order: &EfficacyOrder) -> Result<(Vec<Survey>, Vec<ToldTreatment>, Control), Problems> {
    let mut problems = Problems::new();
    let expected = expected_of(order.expected).map_err(|problem| problems.push(problem)).ok();
    if order.surveys.is_empty() {
        problems.push(
            Problem::error("scouting::no-counts", "no survey was sent")
                .expected("counts of before and after a treatment")
                .at("surveys"),
        );
    }
    let mut surveys = Vec::new();
    for (index, survey) in order.surveys.iter().enumerate() {
        let read = Survey::read(&survey.to_string()).and_then(|survey| survey.check_anew().map(|()| survey));
        match read {
            Ok(survey) => surveys.push(survey),
            Err(found) => problems.extend(found.into_iter().map(|mut problem| {
                let path = problem.place.path.take().unwrap_or_default();
                problem.at(format!("/surveys/{index}{path}"))
            })),
        }
    }
    let mut treated = Vec::new();
    for (index, one) in order.treatments.iter().enumerate() {
        let field = format!("/treatments/{index}/on");
        if let Some(day) = super::documents::day(&field, Some(&one.on), &mut problems) {
            let pest = one.pest.as_ref().map(|pest| pest.trim().to_lowercase());
            treated.push(ToldTreatment { property: one.property.clone(), on: day, pest, group: one.group.clone() });
        }
    }
    match expected {
        Some(expected) => problems.unless_errors((surveys, treated, expected)).map(|(read, _)| read),
        None => Err(problems),
    }
}

/// Control of treatments over time, as a picture
#[utoipa::path(get, path = "/api/efficacy/picture", operation_id = "efficacy_picture", tag = "scouting", params(EfficacyQuery),
    responses(
        (status = 200, description = "The picture", body = String, content_type = "image/svg+xml"),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such property that the caller may see", body = ProblemDetails),
    ))]
async fn picture(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<EfficacyQuery>,
) -> Result<Response, Refusal> {
    let reckoned = reckoned(&app, &caller, query).await?;
    let svg = apart(move || reckoned.picture()).await?;
    Ok(file("image/svg+xml", "efficacy.svg", svg.into_bytes()))
}

const WIDTH: u32 = 720;
