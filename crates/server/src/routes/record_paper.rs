//! A record as an inspector reads it: told part by part, and as a paper.

use super::documents::{self, VersionQuery};
use super::paper::{LookQuery, file};
use super::plan::apart;
use super::records::rules;
use crate::app::App;
use crate::http::{Caller, JsonBody, NameInPath, Permission, ProblemDetails, QueryOf, Refusal, Routes};
use axum::extract::State;
use axum::response::Response;
use jurisdiction::CONFIRM_LOCAL_LAW;
use ledger::{Kind, ThingId};
use record::{Part, RecordPaper};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::SeeWork, routes!(told)).with(Permission::SeeWork, routes!(paper))
}

/// All that the books hold of a record.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct RecordTold {
    /// What it is called.
    name: String,
    /// By what it is found again.
    found_by: String,
    /// Its parts, in the order in which an inspector asks for them.
    sections: Vec<SectionTold>,
    /// What stands beside everything told from a set of rules.
    caution: &'static str,
}

/// What stands under one heading.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct SectionTold {
    /// The heading.
    heading: String,
    /// In order.
    parts: Vec<PartTold>,
}

/// One part of a section.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum PartTold {
    /// What is asked, and what the record says of it.
    Facts {
        /// Each with what is said.
        facts: Vec<FactTold>,
    },
    /// A table.
    Table {
        /// The heads of the columns.
        head: Vec<String>,
        /// The rows.
        rows: Vec<Vec<String>>,
    },
    /// Sentences.
    Points {
        /// One each.
        points: Vec<String>,
    },
}

/// What is asked, and what the record says of it.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct FactTold {
    /// What is asked.
    asked: String,
    /// What is said; `not recorded` where nothing is.
    said: String,
}

impl From<Part> for PartTold {
    fn from(part: Part) -> Self {
        match part {
            Part::Facts(facts) => {
                Self::Facts { facts: facts.into_iter().map(|(asked, said)| FactTold { asked, said }).collect() }
            }
            Part::Table { head, rows } => Self::Table { head, rows },
            Part::Points(points) => Self::Points { points },
        }
    }
}

async fn paper_of(app: &App, caller: &Caller, thing: ThingId, version: Option<u64>) -> Result<RecordPaper, Refusal> {
    let (book, newest) = documents::seen(app, caller, Kind::Record, thing).await?;
    let entry = match version {
        None => newest,
        Some(version) => book.version(thing, version).await?,
    };
    if entry.discards {
        return Err(documents::discarded(Kind::Record));
    }
    Ok(book.record_paper(&entry, None, &rules()?, app.today()).await?)
}

/// A record, told part by part
#[utoipa::path(get, path = "/api/records/{thing}/told", operation_id = "records_told", tag = "records",
    params(("thing" = Uuid, Path, description = "The record"), VersionQuery),
    responses(
        (status = 200, description = "All that the books hold of it", body = RecordTold),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 410, description = "It was discarded", body = ProblemDetails),
    ))]
async fn told(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
    QueryOf(query): QueryOf<VersionQuery>,
) -> Result<JsonBody<RecordTold>, Refusal> {
    let paper = paper_of(&app, &caller, ThingId::new(thing), query.version).await?;
    let sections = paper.sections.into_iter().map(|section| SectionTold {
        heading: section.heading,
        parts: section.parts.into_iter().map(PartTold::from).collect(),
    });
    Ok(JsonBody(RecordTold {
        name: paper.name,
        found_by: paper.found_by,
        sections: sections.collect(),
        caution: CONFIRM_LOCAL_LAW,
    }))
}

/// A record as a paper for an inspector
#[utoipa::path(get, path = "/api/records/{thing}/paper", operation_id = "records_paper", tag = "records",
    params(("thing" = Uuid, Path, description = "The record"), LookQuery),
    responses(
        (status = 200, description = "The paper; by what the record is found again stands on every page", body = Vec<u8>, content_type = "application/pdf"),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 410, description = "It was discarded", body = ProblemDetails),
    ))]
async fn paper(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
    QueryOf(look): QueryOf<LookQuery>,
) -> Result<Response, Refusal> {
    let paper = paper_of(&app, &caller, ThingId::new(thing), None).await?;
    let bytes = apart(move || sheet::application_record_pdf(&paper, &look.of_paper())).await??;
    Ok(file("application/pdf", "record.pdf", bytes))
}
