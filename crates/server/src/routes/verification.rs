//! Going over the book, with its progress as it goes.

use super::documents::book;
use super::plan::entries;
use crate::app::App;
use crate::http::{Caller, Permission, ProblemDetails, ProblemEntry, Refusal, Routes};
use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::StreamExt as _;
use ledger::Progress;
use problem::Problems;
use serde::Serialize;
use std::convert::Infallible;
use tokio::sync::mpsc;
use tokio_stream::wrappers::UnboundedReceiverStream;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new().with(Permission::Manage, routes!(verify))
}

/// How the going over ended.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct Verified {
    /// Whether nothing is wrong.
    sound: bool,
    /// Entries looked at.
    entries: u64,
    /// Attachments looked at.
    attachments: u64,
    /// How many entries the book has.
    head_sequence: u64,
    /// The hash of the last of them, worth noting elsewhere.
    head_hash: String,
    /// All that is wrong.
    findings: Vec<ProblemEntry>,
}

/// How far it has come.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
struct Step {
    /// Entries looked at.
    done: u64,
    /// Entries that the book has.
    of: u64,
}

/// Go over every entry of the book
///
/// Answers with a stream of events: `progress` with how far it has come, then one `verified`, or
/// `failed` where the database fails.
#[utoipa::path(get, path = "/api/verification", tag = "verification",
    responses(
        (status = 200, description = "The events: `progress` (`done`, `of`) and at the end `verified`", body = Verified, content_type = "text/event-stream"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn verify(State(app): State<App>, caller: Caller) -> Result<Response, Refusal> {
    let book = book(&app, &caller).await?;
    let (sender, events) = mpsc::unbounded_channel::<Event>();
    tokio::spawn(async move {
        let mut progress = |Progress { done, of }: Progress| {
            // Nobody listens any more: the going over ends soon all the same.
            let _ = sender.send(event("progress", &Step { done, of }));
        };
        let ended = match book.verify(None, &mut progress).await {
            Ok(found) => {
                let problems: Problems = found.findings.iter().map(ledger::Finding::problem).collect();
                event(
                    "verified",
                    &Verified {
                        sound: found.is_sound(),
                        entries: found.entries,
                        attachments: found.attachments,
                        head_sequence: found.head.sequence,
                        head_hash: found.head.hash.to_string(),
                        findings: entries(&problems),
                    },
                )
            }
            Err(error) => {
                tracing::error!(problems = %error.problems(), "going over the book failed");
                event("failed", &entries(Refusal::failed().problems()))
            }
        };
        let _ = sender.send(ended);
    });
    let stream = UnboundedReceiverStream::new(events).map(Ok::<_, Infallible>);
    Ok(Sse::new(stream).keep_alive(KeepAlive::default()).into_response())
}

fn event(name: &str, data: &impl Serialize) -> Event {
    Event::default().event(name).data(serde_json::to_string(data).unwrap_or_default())
}
