//! What every request and every answer passes, whatever the route: number, host, rate, patience,
//! headers, log and counters.

use super::Refusal;
use super::extract::{ClientAddress, RequestId};
use super::guard::Asked;
use crate::app::App;
use crate::pages;
use axum::extract::{ConnectInfo, MatchedPath, Request, State};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use problem::Problem;
use std::net::{IpAddr, SocketAddr};
use std::time::Instant;

/// What the gate lets through: the names under which the server is reached.
#[derive(Debug, Clone)]
pub struct Gate(App);

impl Gate {
    /// The gate of an app.
    pub fn new(app: App) -> Self {
        Self(app)
    }

    /// Whether a `Host` header names this server. A name of somebody else that points here is how a page
    /// of theirs would reach a server on loopback (DNS rebinding); an address cannot be made to point
    /// elsewhere.
    fn knows(&self, host: &str) -> bool {
        let bare = host.rsplit_once(':').filter(|(_, port)| port.bytes().all(|byte| byte.is_ascii_digit()));
        let name = bare.map_or(host, |(name, _)| name);
        let address = name.trim_start_matches('[').trim_end_matches(']');
        if address.parse::<IpAddr>().is_ok() || name.eq_ignore_ascii_case("localhost") {
            return true;
        }
        let of_proxy = self.0.proxy_origin().and_then(|origin| origin.split_once("://"));
        of_proxy.is_some_and(|(_, own)| own.eq_ignore_ascii_case(host) || own.eq_ignore_ascii_case(name))
            || self.0.settings().names.iter().any(|own| own.eq_ignore_ascii_case(name))
    }

    /// The client's address: of the connection, or the last one that our own proxy added.
    fn client(&self, request: &Request) -> IpAddr {
        let connected = request
            .extensions()
            .get::<ConnectInfo<SocketAddr>>()
            .map_or(IpAddr::from([0, 0, 0, 0]), |ConnectInfo(address)| address.ip().to_canonical());
        if self.0.proxy_origin().is_none() {
            return connected;
        }
        let last = request.headers().get_all("x-forwarded-for").iter().next_back();
        let told = last.and_then(|value| value.to_str().ok()?.rsplit(',').next()?.trim().parse().ok());
        told.unwrap_or(connected)
    }
}

/// Takes a request in, has it answered, and sees the answer out.
pub async fn gate(State(gate): State<Gate>, mut request: Request, next: Next) -> Response {
    let began = Instant::now();
    let app = gate.0.clone();
    let number = RequestId::fresh();
    let client = gate.client(&request);
    let method = request.method().clone();
    let route = request.extensions().get::<MatchedPath>().map_or("none", MatchedPath::as_str).to_owned();
    request.extensions_mut().insert(app.clone());
    request.extensions_mut().insert(number);
    request.extensions_mut().insert(ClientAddress(client));
    let mut response = match admitted(&gate, &request, client) {
        Err(refusal) => refusal.into_response(),
        Ok(()) => match tokio::time::timeout(app.settings().patience, next.run(request)).await {
            Ok(response) => response,
            Err(_) => Refusal::new(
                StatusCode::SERVICE_UNAVAILABLE,
                Problem::error("server::too-long", "the answer took too long").mend("ask for less at once, or later"),
            )
            .into_response(),
        },
    };
    let status = response.status();
    let took = began.elapsed();
    safeguard(response.headers_mut(), &app, number);
    app.metrics().count(method.as_str(), &route, status.as_u16(), took);
    let sign_in = response.extensions().get::<Asked>().map(|asked| asked.0.to_string());
    tracing::info!(
        request = %number,
        %client,
        method = %method,
        route,
        status = status.as_u16(),
        took_ms = took.as_secs_f64() * 1000.0,
        sign_in,
        "answered"
    );
    response
}

fn admitted(gate: &Gate, request: &Request, client: IpAddr) -> Result<(), Refusal> {
    // HTTP/2 carries the host in the address of the request.
    let host = request.headers().get(header::HOST).map(|value| value.to_str().unwrap_or_default().to_owned());
    let host = host.or_else(|| request.uri().authority().map(ToString::to_string)).unwrap_or_default();
    if !gate.knows(&host) {
        return Err(Refusal::new(
            StatusCode::MISDIRECTED_REQUEST,
            Problem::error("server::host", "the request names another host")
                .expected("`localhost`, an address, or a name that the server was given")
                .mend("start the server with `--name` and the name that you use"),
        ));
    }
    let is_of_pages = pages::is_asked_of(request.method(), request.uri().path());
    let limiter = if is_of_pages { gate.0.page_limiter() } else { gate.0.limiter() };
    if let Some(seconds) = limiter.take(client, Instant::now()) {
        return Err(Refusal::wait(
            seconds,
            Problem::error("server::too-many", "too many requests from this address").mend("wait, and ask less often"),
        ));
    }
    Ok(())
}

/// Pages may run our own scripts and styles, nothing written inline, and nothing from elsewhere; drawn
/// photos come as `blob:` and `data:` pictures.
const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: \
     data:; font-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; form-action 'self'; \
     base-uri 'none'; frame-ancestors 'none'";

/// # Source
/// OWASP Cheat Sheet Series, "HTTP Security Response Headers"; W3C Permissions Policy.
const HEADERS: &[(&str, &str)] = &[
    ("content-security-policy", CONTENT_SECURITY_POLICY),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    ("permissions-policy", "geolocation=(self), camera=(self), microphone=(), payment=(), usb=()"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

fn safeguard(headers: &mut HeaderMap, app: &App, number: RequestId) {
    for (name, value) in HEADERS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    if app.settings().is_secure() {
        let a_year = HeaderValue::from_static("max-age=31536000");
        headers.insert(header::STRICT_TRANSPORT_SECURITY, a_year);
    }
    // A document that a browser is led to by itself is saved, never shown as a page.
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    if kind.starts_with("application/json") || kind.starts_with("application/problem+json") {
        let saved = HeaderValue::from_static("attachment; filename=\"answer.json\"");
        headers.entry(header::CONTENT_DISPOSITION).or_insert(saved);
    }
    // What the books say is not left in caches of shared machines, unless a route says that it may.
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    if let Ok(value) = HeaderValue::from_str(&number.to_string()) {
        headers.insert(HeaderName::from_static("x-request-id"), value);
    }
}

/// The answer to a handler that panicked: what it was is for the log, not for the client.
#[allow(clippy::needless_pass_by_value)] // The layer that catches panics hands them over.
pub(crate) fn panicked(panic: Box<dyn std::any::Any + Send + 'static>) -> Response {
    let words = panic.downcast_ref::<&str>().copied().or_else(|| panic.downcast_ref::<String>().map(String::as_str));
    tracing::error!(panic = words.unwrap_or("no words"), "a handler broke off");
    Refusal::failed().into_response()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_handler_that_breaks_off_tells_nothing_of_its_inside() {
        let response = panicked(Box::new("index 7 of the books"));
        assert_eq!(response.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert_eq!(response.headers()[header::CONTENT_TYPE], "application/problem+json");
        let body = axum::body::to_bytes(response.into_body(), 10_000).await.unwrap();
        let text = String::from_utf8(body.to_vec()).unwrap();
        assert!(text.contains("server::failed") && !text.contains("index 7"), "{text}");
    }
}
