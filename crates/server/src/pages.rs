//! The pages: files that `make web` built, taken into the program.

use crate::http::Refusal;
use axum::response::{IntoResponse, Response};
use http::{HeaderMap, HeaderValue, Method, StatusCode, Uri, header};
use rust_embed::{Embed, EmbeddedFile};
use std::fmt::Write as _;

#[derive(Embed)]
#[folder = "../../web/dist"]
#[allow_missing = true]
struct Built;

/// The page that stands at every address of the pages.
const INDEX: &str = "index.html";

/// What is told where the pages were not built.
const NOT_BUILT: &str = "The pages were not built into this program; what they ask for answers under /api/.\n\
     mend: install Node 20.19 or newer, call `make web`, and build the program again.\n";

/// Whether the pages are in this program.
pub fn are_built() -> bool {
    Built::get(INDEX).is_some()
}

/// Whether a request asks for a file of the pages, or for the page itself; below `/api` there is none.
pub(crate) fn is_asked_of(method: &Method, path: &str) -> bool {
    let path = path.trim_start_matches('/');
    let is_look = method == Method::GET || method == Method::HEAD;
    is_look && path != "api" && !path.starts_with("api/") && path != "metrics"
}

/// A file of the pages, or the page itself at each of its addresses.
pub(crate) async fn page(method: Method, uri: Uri, headers: HeaderMap) -> Response {
    let path = uri.path().trim_start_matches('/');
    if !is_asked_of(&method, path) {
        return Refusal::nothing("route").into_response();
    }
    if !are_built() {
        return (StatusCode::SERVICE_UNAVAILABLE, NOT_BUILT).into_response();
    }
    let is_pressed = matches!(path.rsplit('.').next(), Some("br" | "gz"));
    if !path.is_empty() && !is_pressed && Built::get(path).is_some() {
        return file(path, &headers);
    }
    // An address of a page has no ending; a file that is not there is no page.
    if path.rsplit('/').next().is_some_and(|last| last.contains('.')) {
        return Refusal::nothing("file").into_response();
    }
    file(INDEX, &headers)
}

fn file(path: &str, asked: &HeaderMap) -> Response {
    let (name, encoding) = pressed(path, asked);
    let Some(found) = Built::get(&name) else { return Refusal::nothing("file").into_response() };
    let tag = tag_of(&found);
    // The name of an asset holds the hash of what is in it; everything else is asked for again.
    let keeping = if path.starts_with("assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
    let is_had =
        asked.get_all(header::IF_NONE_MATCH).iter().any(|had| had.to_str().is_ok_and(|had| had.contains(&tag)));
    let mut response = if is_had {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        ([(header::CONTENT_TYPE, kind(path))], found.data.into_owned()).into_response()
    };
    let headers = response.headers_mut();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(keeping));
    headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        headers.insert(header::ETAG, tag);
    }
    if let Some(encoding) = encoding.filter(|_| !is_had) {
        headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static(encoding));
    }
    response
}

/// The file as the asker can unpack it, the smallest first.
fn pressed(path: &str, asked: &HeaderMap) -> (String, Option<&'static str>) {
    let taken: Vec<&str> = asked
        .get_all(header::ACCEPT_ENCODING)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(str::trim)
        .filter(|one| !one.replace(' ', "").ends_with(";q=0"))
        .map(|one| one.split(';').next().unwrap_or_default().trim())
        .collect();
    for (encoding, ending) in [("br", ".br"), ("gzip", ".gz")] {
        let name = format!("{path}{ending}");
        if taken.contains(&encoding) && Built::get(&name).is_some() {
            return (name, Some(encoding));
        }
    }
    (path.to_owned(), None)
}

fn tag_of(file: &EmbeddedFile) -> String {
    let hash = file.metadata.sha256_hash();
    let digits = hash.iter().take(16).fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    });
    format!("\"{digits}\"")
}

fn kind(path: &str) -> &'static str {
    match path.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("webmanifest") => "application/manifest+json",
        Some("woff2") => "font/woff2",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}
