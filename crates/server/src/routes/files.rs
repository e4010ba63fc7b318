//! Photos and papers that belong to kept things: checked for what they are and how large.

mod picture;

use super::documents::{self, KeptVersion, ListQuery, ListedThing, book, kept};
use super::plan::apart;
use crate::app::App;
use crate::http::{
    Caller, IdempotencyKey, JsonBody, NameInPath, Page, Permission, ProblemDetails, QueryOf, Refusal, Routes,
};
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, State};
use axum::response::{IntoResponse, Response};
use exchange::kept::{Day, File, Kept as _, MediaType, Reference, Sha256};
use http::{HeaderMap, HeaderValue, StatusCode, header};
use ledger::trade::{Keeping, checked_entry, reference};
use ledger::{Book, Entry, Expected, Filter, Kind, ThingId};
use problem::{Problem, Problems};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::routes;

/// The largest file taken: a photo of 12 million points, as a phone makes it, is about half of it.
pub(crate) const LARGEST_BYTES: usize = 12 * 1024 * 1024;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::SignedIn, routes!(list))
        .with(Permission::KeepRecords, {
            let (schemas, paths, router) = routes!(make);
            // One byte more than is taken, so that the refusal can say what is too large.
            (schemas, paths, router.layer(DefaultBodyLimit::max(LARGEST_BYTES + 1)))
        })
        .with(Permission::SignedIn, routes!(content))
        .with(Permission::SignedIn, routes!(of_thing))
}

/// What a file is called, and what it belongs to.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct FileQuery {
    /// Its name, without folders.
    name: String,
    /// The kept thing that it belongs to.
    #[param(format = Uuid)]
    belongs_to: String,
    /// The day that it shows.
    #[param(format = Date)]
    date: Option<String>,
}

/// The files, page by page
#[utoipa::path(get, path = "/api/files", operation_id = "files_list", tag = "files", params(ListQuery),
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
    documents::list(&app, &caller, Kind::File, &query).await.map(JsonBody)
}

/// Keep a photo or paper
///
/// Its first bytes must be those of the media type that the request states, and a picture must be whole.
#[utoipa::path(post, path = "/api/files", operation_id = "files_make", tag = "files",
    params(FileQuery, ("Idempotency-Key" = String, Header, description = "A key of its own for every request")),
    request_body(content = Vec<u8>, description = "The file: JPEG, PNG, WebP or PDF, up to 12 MiB", content_type = "image/jpeg"),
    responses(
        (status = 201, description = "Kept", body = KeptVersion),
        (status = 400, description = "No key, or the fields of the address cannot be read", body = ProblemDetails),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such thing for it to belong to", body = ProblemDetails),
        (status = 413, description = "The file is too large", body = ProblemDetails),
        (status = 415, description = "The file is of another kind than it says, or of one that is not taken", body = ProblemDetails),
        (status = 422, description = "The file cannot be read to its end or be kept, or the key was used for another request", body = ProblemDetails),
    ))]
async fn make(
    State(app): State<App>,
    caller: Caller,
    QueryOf(query): QueryOf<FileQuery>,
    key: IdempotencyKey,
    headers: HeaderMap,
    bytes: Bytes,
) -> Result<Response, Refusal> {
    if bytes.len() > LARGEST_BYTES {
        return Err(Refusal::new(
            StatusCode::PAYLOAD_TOO_LARGE,
            Problem::error("server::file-size", format!("the file is larger than {LARGEST_BYTES} bytes"))
                .mend("send a smaller picture"),
        ));
    }
    let media_type = media_type(&headers, &bytes)?;
    let shown = bytes.clone();
    apart(move || picture::check(media_type, &shown)).await??;
    let mut problems = Problems::new();
    let date = documents::day("date", query.date.as_deref(), &mut problems);
    let owner = ThingId::parse(&query.belongs_to).map_err(|problem| problems.push(problem.at("belongs_to"))).ok();
    let (Some(owner), false) = (owner, problems.has_errors()) else {
        return Err(Refusal::new(StatusCode::BAD_REQUEST, problems));
    };
    let book = book(&app, &caller).await?;
    let of = newest(&book, owner).await?;
    let property = if of.kind == Kind::Property { Some(of.thing) } else { of.indexed.property };
    let document = File {
        name: query.name,
        media_type,
        size_bytes: bytes.len() as u64,
        sha256: Sha256::parse(&ledger::Digest::of(&bytes).to_string())?,
        belongs_to: Reference::parse(&owner.to_string())?,
        property: property.map(reference).transpose()?,
        date: date.map(Day::new),
    };
    let keeping = Keeping { thing: ThingId::fresh(), expected: Expected::New, reason: None, recorded_at: app.now() };
    let mut entry = checked_entry(Kind::File, document.text(), keeping)?;
    entry.indexed.client = if of.kind == Kind::Client { Some(of.thing) } else { of.indexed.client };
    entry.attachment = Some(book.attach(bytes.to_vec(), media_type.word()).await?);
    let appended = book.append(entry, key.0).await?;
    Ok(kept(StatusCode::CREATED, &appended.entry))
}

/// A file of a thing.
#[derive(Debug, Clone, Serialize, ToSchema)]
struct FileOfThing {
    /// The file: its bytes are at `/api/files/{thing}`.
    #[schema(format = Uuid)]
    thing: String,
    /// Its name.
    name: String,
    /// What it holds, by its media type.
    media_type: &'static str,
    /// How many bytes.
    size_bytes: u64,
    /// The day that it shows.
    date: Option<String>,
    /// When it was kept.
    recorded_at: String,
}

/// The files that belong to a thing
#[utoipa::path(get, path = "/api/files/of/{thing}", operation_id = "files_of_thing", tag = "files",
    params(("thing" = Uuid, Path, description = "A kept thing of any kind")),
    responses(
        (status = 200, description = "All of them that the caller may see, the newest day first", body = Vec<FileOfThing>),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
    ))]
async fn of_thing(
    State(app): State<App>,
    caller: Caller,
    NameInPath(thing): NameInPath,
) -> Result<JsonBody<Vec<FileOfThing>>, Refusal> {
    let owner = ThingId::new(thing);
    let book = book(&app, &caller).await?;
    let of = newest(&book, owner).await?;
    let client = if of.kind == Kind::Client { Some(of.thing) } else { of.indexed.client };
    caller.may_see_client(client)?;
    // What its owner belonged to when the file was kept may have changed since: only the file says whose it is.
    let mut entries = book.all(&Filter::of(Kind::File)).await?;
    entries.sort_by_key(|entry| std::cmp::Reverse((entry.indexed.date, entry.recorded_at)));
    // What was kept of another client, before the thing became the caller's, stays with the other.
    entries.retain(|entry| caller.may_see_client(entry.indexed.client).is_ok());
    let owner = owner.to_string();
    let mut files = Vec::new();
    for entry in entries {
        let document = File::read(&entry.body)?;
        if document.belongs_to.as_str() == owner {
            files.push(FileOfThing {
                thing: entry.thing.to_string(),
                name: document.name,
                media_type: document.media_type.word(),
                size_bytes: document.size_bytes,
                date: document.date.map(|day| day.date().to_string()),
                recorded_at: entry.recorded_at.to_string(),
            });
        }
    }
    Ok(JsonBody(files))
}

async fn newest(book: &Book, thing: ThingId) -> Result<Entry, Refusal> {
    book.newest(thing).await.map_err(|error| match error {
        ledger::LedgerError::UnknownThing { .. } => Refusal::nothing("thing"),
        error => error.into(),
    })
}

/// The bytes of a file
#[utoipa::path(get, path = "/api/files/{thing}", operation_id = "files_content", tag = "files",
    params(("thing" = Uuid, Path, description = "The file")),
    responses(
        (status = 200, description = "The file", body = Vec<u8>, content_type = "application/octet-stream"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 404, description = "Nothing that the caller may see", body = ProblemDetails),
    ))]
async fn content(State(app): State<App>, caller: Caller, NameInPath(thing): NameInPath) -> Result<Response, Refusal> {
    let (book, entry) = documents::seen(&app, &caller, Kind::File, ThingId::new(thing)).await?;
    let sha256 = entry.attachment.ok_or_else(|| Refusal::nothing("file"))?;
    let attachment = book.attachment(sha256).await?;
    let media_type = HeaderValue::from_str(&attachment.media_type).map_err(|_| Refusal::failed())?;
    let headers = [
        (header::CONTENT_TYPE, media_type),
        // A file is never shown as a page of ours.
        (header::CONTENT_DISPOSITION, HeaderValue::from_static("attachment")),
    ];
    Ok((headers, attachment.bytes).into_response())
}

/// What the file is: as the request says, and as its first bytes show.
///
/// # Source
/// ITU-T T.81, annex B (`FF D8 FF`); W3C PNG specification, section 5.2; RFC 9649, section 2.4 (`RIFF` … `WEBP`);
/// ISO 32000-2, section 7.5.2 (`%PDF-`).
fn media_type(headers: &HeaderMap, bytes: &[u8]) -> Result<MediaType, Refusal> {
    let shown = if bytes.starts_with(b"\xff\xd8\xff") {
        Some(MediaType::Jpeg)
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some(MediaType::Png)
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        Some(MediaType::Webp)
    } else if bytes.starts_with(b"%PDF-") {
        Some(MediaType::Pdf)
    } else {
        None
    };
    let said = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let said = said.split(';').next().unwrap_or_default().trim().to_ascii_lowercase();
    shown.filter(|shown| shown.word() == said).ok_or_else(|| {
        let what = shown.map_or("none of the kinds taken", MediaType::word);
        Refusal::new(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Problem::error(
                "server::file-kind",
                format!("the request says `{}`, the file is {what}", said.escape_debug()),
            )
            .expected("a JPEG, PNG, WebP or PDF file under its own media type"),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(said: &'static str, bytes: &[u8]) -> Result<MediaType, StatusCode> {
        let mut headers = HeaderMap::new();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(said));
        media_type(&headers, bytes).map_err(|refusal| refusal.status())
    }

    #[test]
    fn a_file_is_what_its_bytes_show() {
        assert_eq!(read("image/jpeg", b"\xff\xd8\xff\xe0"), Ok(MediaType::Jpeg));
        assert_eq!(read("image/webp", b"RIFF\x00\x00\x00\x00WEBPVP8 "), Ok(MediaType::Webp));
        for (said, bytes) in [
            ("image/png", &b"\xff\xd8\xff"[..]),
            ("image/svg+xml", b"<svg/>"),
            ("text/html", b"<html>"),
            ("image/jpeg", b""),
        ] {
            assert_eq!(read(said, bytes), Err(StatusCode::UNSUPPORTED_MEDIA_TYPE), "{said}");
        }
    }
}
