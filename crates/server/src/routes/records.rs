//! Application records: kept, amended with a reason, their standing by the rules of their place, and
//! discarded only when no rule keeps them any longer.

use super::documents::{self, KeptVersion, ListQuery, ListedThing, ReasonQuery, VersionQuery, book};
use super::plan::{apart, entries};
use crate::app::App;
use crate::http::document::RecordDocument;
use crate::http::{
    Caller, ETag, IdempotencyKey, IfMatch, JsonBody, NameInPath, Page, Permission, ProblemDetails, ProblemEntry,
    QueryOf, Refusal, Routes, TextBody,
};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::kept::JurisdictionText;
use exchange::record_json::parse_record;
use exchange::rule_file::{parse_rules, shipped};
use http::{HeaderMap, StatusCode};
use jurisdiction::{CONFIRM_LOCAL_LAW, Jurisdiction, Known, RuleSet};
use ledger::trade::{HeldRecord, Keeping, KeptRecord, RecordLinks, Surroundings};
use ledger::{Book, Expected, Kind, LedgerError, ThingId};
use problem::{Problem, Problems};
use record::{ApplicationRecord, LateNotice, Standing, kept_until, late_notices, standing};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::SignedIn, routes!(list))
        .with(Permission::KeepRecords, routes!(make))
        .with(Permission::SignedIn, routes!(one))
        .with(Permission::KeepRecords, routes!(change))
        .with(Permission::Manage, routes!(discard))
        .with(Permission::SignedIn, routes!(versions))
        .with(Permission::SeeWork, routes!(standing_of))
}

/// What a record belongs to.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct LinkQuery {
    /// The kept property that it was done on; its client goes with it.
    #[param(format = Uuid)]
    property: Option<String>,
}

/// Where an application was made.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct PlaceQuery {
    /// Such as `US-GA`; where nothing is said, where the kept property lies.
    place: Option<String>,
}

/// A record that was kept.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub(super) struct KeptRecordAnswer {
    /// The version kept.
    kept: KeptVersion,
    /// Whether the same request had kept it before.
    replayed: bool,
    /// What should be looked at, stock below nothing among it.
    warnings: Vec<ProblemEntry>,
    /// Sentences of labels that what was done passed.
    breaches: Vec<Breach>,
    /// What could not be held against a label, and why.
    not_judged: Vec<String>,
}

/// A sentence of a label that what was done passed.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct Breach {
    /// The task.
    task: String,
    /// The label.
    label: String,
    /// In words.
    text: String,
}

impl From<&record::Breach> for Breach {
    fn from(breach: &record::Breach) -> Self {
        Self { task: breach.task.clone(), label: breach.label.clone(), text: breach.text.clone() }
    }
}

impl KeptRecordAnswer {
    fn new(kept: &KeptRecord, record: &ApplicationRecord, warnings: &Problems) -> Self {
        let breaches = record.breaches.iter();
        Self {
            kept: KeptVersion::from(&kept.appended.entry),
            replayed: kept.appended.replayed,
            warnings: entries(warnings),
            breaches: breaches.map(Breach::from).collect(),
            not_judged: record.not_judged.clone(),
        }
    }
}

impl IntoResponse for KeptRecordAnswer {
    fn into_response(self) -> Response {
        ([ETag(self.kept.version()).header()], axum::Json(self)).into_response()
    }
}

/// Whether a record is complete, by the rules known of its place.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct StandingAnswer {
    /// The place asked for; null where it is not known.
    place: Option<String>,
    /// `complete`, `draft`, `no-rule-known` or `place-not-known`.
    standing: &'static str,
    /// What it lacks.
    lacking: Vec<LackingField>,
    /// Notices that came after the time that a rule allows for them. The record is none the less complete.
    late: Vec<LateNoticeTold>,
    /// Whether something of it is overdue today.
    overdue: bool,
    /// How many sentences of labels it passed; one that several tasks passed counts once.
    breaches: usize,
    /// How much of it could not be held against a label.
    not_judged: usize,
    /// The day until which it must be kept, by the rules known.
    kept_until: Option<String>,
    /// What stands beside everything told from a set of rules.
    caution: &'static str,
}

/// Something that a record lacks.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct LackingField {
    /// One of these is enough.
    any_of: Vec<&'static str>,
    /// By when it must be recorded, on the clock of the place; null where no rule known says.
    by: Option<String>,
    /// Whether that moment has passed when today begins, by universal time.
    overdue: bool,
    /// The rules that demand it.
    rules: Vec<String>,
}

/// A notice or sign that came after the time that a rule allows for it.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct LateNoticeTold {
    /// To whom, or where the sign stood.
    to: String,
    /// How.
    how: String,
    /// When, on the clock of the place.
    given: String,
    /// The latest moment that the rule allows, on the clock of the place.
    by: String,
    /// The rule.
    rule: String,
    /// All of it in a sentence.
    words: String,
}

impl From<&LateNotice<'_>> for LateNoticeTold {
    fn from(late: &LateNotice<'_>) -> Self {
        Self {
            to: late.notice.to.clone(),
            how: late.notice.how.clone(),
            given: late.given.to_string(),
            by: late.latest.by.to_string(),
            rule: late.latest.binding.rule.id.to_string(),
            words: late.to_string(),
        }
    }
}

/// Keeps a record for the caller, and tells what came of it.
pub(super) async fn kept_record(
    app: &App,
    book: &Book,
    record: &ApplicationRecord,
    links: RecordLinks,
    (thing, expected, reason): (ThingId, Expected, Option<String>),
    key: IdempotencyKey,
    mut warnings: Problems,
) -> Result<KeptRecordAnswer, Refusal> {
    let keeping = Keeping { thing, expected, reason, recorded_at: app.now() };
    let kept = book.keep_record(record, links, keeping, key.0).await.map_err(IfMatch::refused)?;
    warnings.extend(kept.warnings());
    Ok(KeptRecordAnswer::new(&kept, record, &warnings))
}

/// What is told of a record that the same request kept before; `None` for a request that is new.
pub(super) async fn answered(book: &Book, key: &IdempotencyKey) -> Result<Option<KeptRecordAnswer>, Refusal> {
    let Some(entry) = book.answered(&key.0).await?.and_then(|mut entries| entries.pop()) else { return Ok(None) };
    let (kept, record) = book.kept_before(entry).await?;
    let warnings = kept.warnings();
    Ok(Some(KeptRecordAnswer::new(&kept, &record, &warnings)))
}

/// Reads a record that was sent, and looks up what the books keep round it.
async fn read(
    book: &Book,
    links: RecordLinks,
    body: String,
) -> Result<(ApplicationRecord, Surroundings, Problems), Refusal> {
    checked(book, links, move || Ok((parse_record("body", &body)?, Problems::new()))).await
}

/// What a record comes to, checked by what the books keep round it; `make` tells it with what should be looked at.
pub(super) async fn checked(
    book: &Book,
    links: RecordLinks,
    make: impl FnOnce() -> Result<(ApplicationRecord, Problems), Problems> + Send + 'static,
) -> Result<(ApplicationRecord, Surroundings, Problems), Refusal> {
    let read = move || {
        let (record, told) = make()?;
        let mut found = record::check(&record, None);
        found.extend_untold(told);
        Ok::<_, Problems>((record, found))
    };
    let (record, mut found) = apart(read).await??;
    let surroundings = book.surroundings_of(&record, links).await?;
    found.extend(record::overfilled(&record, &surroundings.sprayers));
    let (record, warnings) = found.unless_errors(record)?;
    Ok((record, surroundings, warnings))
}

/// The records, page by page
#[utoipa::path(get, path = "/api/records", operation_id = "records_list", tag = "records", params(ListQuery),
    responses(
        (status = 200, description = "One page, the newest day first", body = Page<ListedThing>),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
    ))]
async fn list(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<ListQuery>,
) -> Result<JsonBody<Page<ListedThing>>, Refusal> {
    documents::list(&app, &caller, Kind::Record, &query).await.map(JsonBody)
}

/// Keep a record
#[utoipa::path(post, path = "/api/records", operation_id = "records_make", tag = "records",
    params(LinkQuery, ("Idempotency-Key" = String, Header, description = "A key of its own for every request")),
    request_body(content = RecordDocument, description = "The record, as `schema/record.schema.json` says", content_type = "application/json"),
    responses(
        (status = 201, description = "Kept", body = KeptRecordAnswer),
        (status = 400, description = "No key, or the fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such property", body = ProblemDetails),
        (status = 413, description = "The record is too large", body = ProblemDetails),
        (status = 422, description = "The record cannot be kept, or the key was used for another request", body = ProblemDetails),
    ))]
async fn make(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<LinkQuery>,
    key: IdempotencyKey,
    TextBody(body): TextBody,
) -> Result<Response, Refusal> {
    let links = match query.property.as_deref().map(ThingId::parse).transpose() {
        Err(problem) => return Err(Refusal::new(StatusCode::BAD_REQUEST, problem.at("property"))),
        Ok(None) => RecordLinks::default(),
        Ok(Some(property)) => {
            let (_, entry) = documents::seen(&app, &caller, Kind::Property, property).await?;
            RecordLinks { client: entry.indexed.client, property: Some(property) }
        }
    };
    let book = book(&app, &caller).await?;
    let key = key.asking(["records", query.property.as_deref().unwrap_or_default(), &body]);
    if let Some(answer) = answered(&book, &key).await? {
        return Ok((StatusCode::CREATED, answer).into_response());
    }
    let (record, surroundings, mut warnings) = read(&book, links, body).await?;
    let thing = ThingId::fresh();
    let (record, unjudged) = book.judged(record, None, &surroundings).await?;
    warnings.extend(unjudged);
    let to = (thing, Expected::New, None);
    let answer = kept_record(&app, &book, &record, links, to, key, warnings).await?;
    Ok((StatusCode::CREATED, answer).into_response())
}

/// One record
#[utoipa::path(get, path = "/api/records/{thing}", operation_id = "records_one", tag = "records",
    params(("thing" = Uuid, Path, description = "The record"), VersionQuery),
    responses(
        (status = 200, description = "The record, its version in the `ETag`", body = RecordDocument),
        (status = 304, description = "The caller has this version"),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
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
    documents::one(&app, &caller, Kind::Record, ThingId::new(thing), &query, &headers).await
}

/// Amend a record
///
/// The original stays, and every version with its reason.
#[utoipa::path(put, path = "/api/records/{thing}", operation_id = "records_change", tag = "records",
    params(
        ("thing" = Uuid, Path, description = "The record"),
        ReasonQuery,
        ("If-Match" = String, Header, description = "The `ETag` of the version that was seen"),
        ("Idempotency-Key" = String, Header, description = "A key of its own for every request"),
    ),
    request_body(content = RecordDocument, description = "The record, as `schema/record.schema.json` says", content_type = "application/json"),
    responses(
        (status = 200, description = "Kept", body = KeptRecordAnswer),
        (status = 400, description = "A header is missing or cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 409, description = "The record was discarded", body = ProblemDetails),
        (status = 412, description = "Somebody else kept another version meanwhile", body = ProblemDetails),
        (status = 413, description = "The record is too large", body = ProblemDetails),
        (status = 422, description = "The record cannot be kept, the key was used for another request, or no reason is given", body = ProblemDetails),
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
    let thing = ThingId::new(thing);
    let (book, entry) = documents::seen(&app, &caller, Kind::Record, thing).await?;
    let links = RecordLinks { client: entry.indexed.client, property: entry.indexed.property };
    // Judged again, by labels kept since, it may come out differently: the same request has the answer that it had.
    let reason = query.reason.as_deref().unwrap_or_default();
    let key = key.asking(["records", &thing.to_string(), &format!("{:?}", seen.0), reason, &body]);
    if let Some(answer) = answered(&book, &key).await? {
        return Ok(answer.into_response());
    }
    let (record, surroundings, mut warnings) = read(&book, links, body).await?;
    let (record, unjudged) = book.judged(record, Some(thing), &surroundings).await?;
    warnings.extend(unjudged);
    let to = (thing, seen.0, query.reason);
    Ok(kept_record(&app, &book, &record, links, to, key, warnings).await?.into_response())
}

/// Give up a record that no rule keeps any longer
#[utoipa::path(delete, path = "/api/records/{thing}", operation_id = "records_discard", tag = "records",
    params(
        ("thing" = Uuid, Path, description = "The record"),
        ReasonQuery,
        PlaceQuery,
        ("If-Match" = String, Header, description = "The `ETag` of the version that was seen"),
    ),
    responses(
        (status = 204, description = "Discarded; its versions stay in the chain"),
        (status = 400, description = "A header or a field of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 409, description = "It was discarded before", body = ProblemDetails),
        (status = 412, description = "Somebody else kept another version meanwhile", body = ProblemDetails),
        (status = 422, description = "A rule keeps it, or none is known", body = ProblemDetails),
        (status = 428, description = "The request does not say which version it gives up", body = ProblemDetails),
    ))]
async fn discard(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
    QueryOf(query): QueryOf<DiscardQuery>,
    seen: IfMatch,
) -> Result<StatusCode, Refusal> {
    let thing = ThingId::new(thing);
    let (book, held) = held(&app, &caller, thing, || LedgerError::Discarded(thing).into()).await?;
    if seen.0 != Expected::Version(held.version) {
        let problem = Problem::error("ledger::conflict", format!("the record stands at version {}", held.version))
            .expected("the version that was seen")
            .mend("look at the version that is there first");
        return Err(Refusal::new(StatusCode::PRECONDITION_FAILED, problem));
    }
    let reason = query.reason.filter(|reason| !reason.trim().is_empty()).ok_or_else(|| {
        Problem::error("trade::no-reason", "a record is given up without a reason")
            .expected("why, in a few words")
            .at("reason")
    })?;
    let place = place_of(&book, &held, query.place.as_deref()).await?.ok_or_else(|| {
        Problem::error("trade::no-place", "nothing says where the application was made")
            .expected("the place, such as `US-GA`")
            .at("place")
    })?;
    let rules = rules()?;
    book.discard_record(&held, &held.circumstances(&place), &rules, &reason, (app.today(), app.now())).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Why, and where, a record is given up.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct DiscardQuery {
    reason: Option<String>,
    place: Option<String>,
}

/// The versions of a record
#[utoipa::path(get, path = "/api/records/{thing}/versions", operation_id = "records_versions", tag = "records",
    params(("thing" = Uuid, Path, description = "The record")),
    responses(
        (status = 200, description = "Every version, the first one first", body = Vec<KeptVersion>),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
    ))]
async fn versions(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
) -> Result<JsonBody<Vec<KeptVersion>>, Refusal> {
    documents::versions(&app, &caller, Kind::Record, ThingId::new(thing)).await.map(JsonBody)
}

/// Whether a record is complete by the rules known of its place, and until when it is kept
#[utoipa::path(get, path = "/api/records/{thing}/standing", operation_id = "records_standing", tag = "records",
    params(("thing" = Uuid, Path, description = "The record"), PlaceQuery),
    responses(
        (status = 200, description = "Its standing", body = StandingAnswer),
        (status = 400, description = "The fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
        (status = 410, description = "It was discarded", body = ProblemDetails),
        (status = 422, description = "No such place can be read", body = ProblemDetails),
    ))]
async fn standing_of(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
    QueryOf(query): QueryOf<PlaceQuery>,
) -> Result<JsonBody<StandingAnswer>, Refusal> {
    let (book, held) = held(&app, &caller, ThingId::new(thing), || documents::discarded(Kind::Record)).await?;
    let place = place_of(&book, &held, query.place.as_deref()).await?;
    let rules = rules()?;
    let (breaches, not_judged) = (held.record.sentences_passed(), held.record.not_judged.len());
    let Some(place) = place else {
        return Ok(JsonBody(StandingAnswer {
            place: None,
            standing: "place-not-known",
            lacking: Vec::new(),
            late: Vec::new(),
            overdue: false,
            breaches,
            not_judged,
            kept_until: None,
            caution: CONFIRM_LOCAL_LAW,
        }));
    };
    let circumstances = held.circumstances(&place);
    let found = standing(&held.record, &rules, &circumstances);
    let lacking = found.lacking().iter().map(|lacking| LackingField {
        any_of: lacking.any_of.iter().map(|field| field.word()).collect(),
        by: lacking.by.map(|(moment, _)| moment.to_string()),
        overdue: lacking.is_overdue(app.today()),
        rules: lacking.demanded_by.iter().map(|binding| binding.rule.id.to_string()).collect(),
    });
    Ok(JsonBody(StandingAnswer {
        place: Some(place.to_string()),
        standing: match found {
            Standing::NoRuleKnown => "no-rule-known",
            Standing::Complete => "complete",
            Standing::Draft(_) => "draft",
        },
        lacking: lacking.collect(),
        late: late_notices(&held.record, &rules, &circumstances).iter().map(LateNoticeTold::from).collect(),
        overdue: found.overdue_since(app.today()).is_some(),
        breaches,
        not_judged,
        kept_until: match kept_until(&rules, &circumstances) {
            Known::Demanded(kept) => Some(kept.until.to_string()),
            Known::NoRuleKnown => None,
        },
        caution: CONFIRM_LOCAL_LAW,
    }))
}

/// The rules that come with the program.
pub(super) fn rules() -> Result<RuleSet, Problems> {
    parse_rules(shipped().iter().copied()).map(|(rules, _)| rules)
}

/// A record that is there to be read, or the refusal of one that was discarded.
async fn held(
    app: &App,
    caller: &Caller,
    thing: ThingId,
    discarded: impl FnOnce() -> Refusal,
) -> Result<(Book, HeldRecord), Refusal> {
    let (book, entry) = documents::seen(app, caller, Kind::Record, thing).await?;
    if entry.discards {
        return Err(discarded());
    }
    let record = parse_record("record", &entry.body)?;
    let held = HeldRecord { thing, version: entry.version, indexed: entry.indexed, record };
    Ok((book, held))
}

/// Where a record lies: as said, or as the kept property says to which it belongs.
async fn place_of(book: &Book, held: &HeldRecord, said: Option<&str>) -> Result<Option<Jurisdiction>, Refusal> {
    let said = said.map(JurisdictionText::parse).transpose().map_err(|problem| problem.at("place"))?;
    Ok(book.place_of(held, said.as_ref().map(JurisdictionText::place)).await?)
}
