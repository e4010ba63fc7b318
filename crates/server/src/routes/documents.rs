//! What the routes of every kind of kept thing share: lists, one thing, its versions, a new version.

use super::plan::entries;
use crate::app::App;

use crate::http::{Caller, ETag, IdempotencyKey, IfMatch, Page, PageQuery, ProblemEntry, Refusal};
use axum::response::{IntoResponse, Response};
use http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use jiff::civil::Date;
use ledger::access::Role;
use ledger::trade::{Keeping, KeptThing, checked_entry};
use ledger::{Book, Cursor, Entry, Expected, Filter, Kind, LedgerError, Order, Page as LedgerPage, ThingId};
use problem::{Problem, Problems};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// Which things of a kind are listed.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub(super) struct ListQuery {
    /// The `next` of the page before; none for the first.
    after: Option<String>,
    /// Entries of the page, 1 to 200; 50 when nothing is said.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
    /// Words that the title holds.
    text: Option<String>,
    /// Only things of this client.
    #[param(format = Uuid)]
    client: Option<String>,
    /// Only things of this property.
    #[param(format = Uuid)]
    property: Option<String>,
    /// Only things of this day or later.
    #[param(format = Date)]
    from: Option<String>,
    /// Only things of this day or earlier.
    #[param(format = Date)]
    until: Option<String>,
}

/// Which version of a thing is asked for.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub(super) struct VersionQuery {
    /// Its number, from 1; the newest when nothing is said.
    #[param(minimum = 1)]
    pub(super) version: Option<u64>,
}

/// Why a thing is changed.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub(super) struct ReasonQuery {
    /// Why, in a few words; a record is not amended without it.
    pub(super) reason: Option<String>,
}

/// A kept thing in a list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(super) struct ListedThing {
    /// The thing.
    #[schema(format = Uuid)]
    thing: String,
    /// What it is, such as `client`.
    kind: &'static str,
    /// Its newest version.
    version: u64,
    /// What it is called.
    title: String,
    /// Its day.
    date: Option<String>,
    /// The client it belongs to.
    client: Option<String>,
    /// The property it belongs to.
    property: Option<String>,
    /// When this version was kept.
    recorded_at: String,
}

impl From<&Entry> for ListedThing {
    fn from(entry: &Entry) -> Self {
        Self {
            thing: entry.thing.to_string(),
            kind: entry.kind.word(),
            version: entry.version,
            title: entry.indexed.title.clone(),
            date: entry.indexed.date.map(|date| date.to_string()),
            client: entry.indexed.client.map(|client| client.to_string()),
            property: entry.indexed.property.map(|property| property.to_string()),
            recorded_at: entry.recorded_at.to_string(),
        }
    }
}

/// A version of a kept thing.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(super) struct KeptVersion {
    /// The thing.
    #[schema(format = Uuid)]
    thing: String,
    /// The version, from 1.
    version: u64,
    /// When it was kept.
    recorded_at: String,
    /// Who kept it.
    actor: String,
    /// Why it was amended.
    reason: Option<String>,
    /// Whether the thing was given up with it.
    discarded: bool,
    /// Its place in the account's chain.
    sequence: u64,
    /// The hash of its entry.
    hash: String,
}

/// A version that was kept, and what should be looked at.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(super) struct KeptThingAnswer {
    /// The version.
    #[serde(flatten)]
    kept: KeptVersion,
    /// What should be looked at, such as a lot of a label that is not kept.
    warnings: Vec<ProblemEntry>,
}

impl KeptVersion {
    /// The version, from 1.
    pub(super) fn version(&self) -> u64 {
        self.version
    }
}

impl From<&Entry> for KeptVersion {
    fn from(entry: &Entry) -> Self {
        Self {
            thing: entry.thing.to_string(),
            version: entry.version,
            recorded_at: entry.recorded_at.to_string(),
            actor: entry.actor.name.clone(),
            reason: entry.reason.clone(),
            discarded: entry.discards,
            sequence: entry.sequence,
            hash: entry.hash.to_string(),
        }
    }
}

/// The caller's book.
pub(super) async fn book(app: &App, caller: &Caller) -> Result<Book, Refusal> {
    Ok(app.ledger().book(caller.account, caller.actor()).await?)
}

/// The filter that a list asks for, narrowed to what the caller may see.
pub(super) fn filter(kind: Kind, caller: &Caller, query: &ListQuery) -> Result<Filter, Refusal> {
    let mut problems = Problems::new();
    let mut thing = |field: &'static str, text: &Option<String>| {
        let read = text.as_deref().map(ThingId::parse).transpose();
        read.unwrap_or_else(|problem| {
            problems.push(problem.at(field));
            None
        })
    };
    let client = thing("client", &query.client);
    let property = thing("property", &query.property);
    let from = day("from", query.from.as_deref(), &mut problems);
    let until = day("until", query.until.as_deref(), &mut problems);
    if problems.has_errors() {
        return Err(Refusal::new(StatusCode::BAD_REQUEST, problems));
    }
    let client = match (caller.role, caller.only_client()) {
        (Role::Client, None) => return Err(Refusal::nothing("thing")),
        (_, own) => own.or(client),
    };
    // A client's own entry names no client.
    let client = if kind == Kind::Client { None } else { client };
    Ok(Filter { kind: Some(kind), client, property, text: query.text.clone(), from, until, ..Filter::default() })
}

/// Reads a day of the calendar, or adds what is wrong with it.
pub(super) fn day(field: &str, text: Option<&str>, problems: &mut Problems) -> Option<Date> {
    text.and_then(|text| {
        text.parse::<Date>()
            .map_err(|_| {
                problems.push(
                    Problem::error("server::day", format!("`{}` is no day", text.escape_debug()))
                        .expected("a day such as `2026-07-07`")
                        .at(field),
                );
            })
            .ok()
    })
}

/// One page of things of a kind.
pub(super) async fn list(
    app: &App,
    caller: &Caller,
    kind: Kind,
    query: &ListQuery,
) -> Result<Page<ListedThing>, Refusal> {
    let filter = filter(kind, caller, query)?;
    let book = book(app, caller).await?;
    if kind == Kind::Client
        && let Some(own) = caller.only_client()
    {
        let entry = book.newest(own).await?;
        return Ok(Page { entries: vec![ListedThing::from(&entry)], next: None });
    }
    let after = query.after.as_deref().map(Cursor::parse).transpose();
    let after = after.map_err(|problem| Refusal::new(StatusCode::BAD_REQUEST, problem))?;
    let limit = PageQuery { after: None, limit: query.limit }.limit();
    let order = match kind {
        Kind::Survey | Kind::Visit | Kind::Record | Kind::StockAdjustment | Kind::File => Order::NewestFirst,
        _ => Order::Title,
    };
    // What a list refuses stands in its address: a place in it, or words searched for.
    let listing = book.list(&filter, order, &LedgerPage { after, limit: limit.into() }).await;
    let listing = listing.map_err(|error| match error {
        LedgerError::Refused(problems) => Refusal::new(StatusCode::BAD_REQUEST, problems),
        error => error.into(),
    })?;
    Ok(Page {
        entries: listing.entries.iter().map(ListedThing::from).collect(),
        next: listing.next.map(|next| next.to_string()),
    })
}

/// The newest version of a thing of a kind, when the caller may see it.
pub(super) async fn seen(app: &App, caller: &Caller, kind: Kind, thing: ThingId) -> Result<(Book, Entry), Refusal> {
    let book = book(app, caller).await?;
    let entry = book.newest(thing).await.map_err(|error| unknown_is_nothing(error, kind))?;
    if entry.kind != kind {
        return Err(Refusal::nothing(kind.word()));
    }
    caller.may_see_client(concerned(kind, &entry))?;
    Ok((book, entry))
}

/// The client whom a version of a thing concerns.
fn concerned(kind: Kind, entry: &Entry) -> Option<ThingId> {
    if kind == Kind::Client { Some(entry.thing) } else { entry.indexed.client }
}

/// There was something of this name, and it was given up: status 410.
pub(super) fn discarded(kind: Kind) -> Refusal {
    Refusal::new(StatusCode::GONE, Problem::error("server::discarded", format!("this {kind} was discarded")))
}

fn unknown_is_nothing(error: LedgerError, kind: Kind) -> Refusal {
    match error {
        LedgerError::UnknownThing { .. } => Refusal::nothing(kind.word()),
        error => error.into(),
    }
}

/// The document of a thing.
pub(super) async fn one(
    app: &App,
    caller: &Caller,
    kind: Kind,
    thing: ThingId,
    query: &VersionQuery,
    headers: &HeaderMap,
) -> Result<Response, Refusal> {
    let (book, newest) = seen(app, caller, kind, thing).await?;
    let entry = match query.version {
        None => newest,
        Some(version) => book.version(thing, version).await.map_err(|error| unknown_is_nothing(error, kind))?,
    };
    if entry.discards {
        return Err(discarded(kind));
    }
    // An earlier version may have been of another client.
    caller.may_see_client(concerned(kind, &entry))?;
    let tag = ETag(entry.version);
    if tag.is_had(headers) {
        return Ok((StatusCode::NOT_MODIFIED, [tag.header()]).into_response());
    }
    Ok(([tag.header(), json()], entry.body).into_response())
}

/// Every version of a thing, the first one first.
pub(super) async fn versions(
    app: &App,
    caller: &Caller,
    kind: Kind,
    thing: ThingId,
) -> Result<Vec<KeptVersion>, Refusal> {
    let (book, _) = seen(app, caller, kind, thing).await?;
    let versions = book.versions(thing).await?;
    let seen = versions.iter().filter(|entry| caller.may_see_client(concerned(kind, entry)).is_ok());
    Ok(seen.map(KeptVersion::from).collect())
}

/// Keeps a new thing.
pub(super) async fn make(
    app: &App,
    caller: &Caller,
    kind: Kind,
    key: IdempotencyKey,
    body: String,
) -> Result<Response, Refusal> {
    let keeping = Keeping { thing: ThingId::fresh(), expected: Expected::New, reason: None, recorded_at: app.now() };
    let entry = checked_entry(kind, body, keeping)?;
    let found = book(app, caller).await?.append_linked(entry, key.0).await?;
    Ok(kept_thing(StatusCode::CREATED, &found))
}

/// Keeps a new version of a thing, on top of the one that the caller has seen.
pub(super) async fn change(
    app: &App,
    caller: &Caller,
    kind: Kind,
    thing: ThingId,
    (seen_version, key): (IfMatch, IdempotencyKey),
    reason: Option<String>,
    body: String,
) -> Result<Response, Refusal> {
    let (book, _) = seen(app, caller, kind, thing).await?;
    let keeping = Keeping { thing, expected: seen_version.0, reason, recorded_at: app.now() };
    let entry = checked_entry(kind, body, keeping)?;
    let found = book.append_linked(entry, key.0).await.map_err(IfMatch::refused)?;
    Ok(kept_thing(StatusCode::OK, &found))
}

fn kept_thing(status: StatusCode, found: &KeptThing) -> Response {
    let entry = &found.appended.entry;
    let answer = KeptThingAnswer { kept: KeptVersion::from(entry), warnings: entries(&found.warnings) };
    (status, [ETag(entry.version).header()], axum::Json(answer)).into_response()
}

/// What is told of a version that was kept.
pub(super) fn kept(status: StatusCode, entry: &Entry) -> Response {
    (status, [ETag(entry.version).header()], axum::Json(KeptVersion::from(entry))).into_response()
}

/// The header of a document.
pub(super) fn json() -> (HeaderName, HeaderValue) {
    (header::CONTENT_TYPE, HeaderValue::from_static("application/json"))
}

/// The filter for records of what the caller may see, of one property where one is named.
pub(super) fn filter_of(caller: &Caller, property: Option<&str>) -> Result<Filter, Refusal> {
    let query = ListQuery { property: property.map(str::to_owned), ..ListQuery::default() };
    filter(Kind::Record, caller, &query)
}
