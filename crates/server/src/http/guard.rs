//! What stands before every handler: who asks, whether from a page of ours, and whether they may.

use super::{Caller, Permission, Refusal};
use crate::app::App;
use axum::extract::Request;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use http::request::Parts;
use http::{HeaderMap, Method, header};
use ledger::access::Token;
use problem::Problem;
use subtle::ConstantTimeEq;

/// The header in which a page sends the form token along with every change.
pub(crate) const FORM_TOKEN: &str = "x-form-token";

/// Lets a request through to its handler when its caller has the permission.
pub(crate) async fn guard(permission: Permission, request: Request, next: Next) -> Response {
    let (parts, body) = request.into_parts();
    let caller = match identify(&parts).await {
        Ok(caller) => caller,
        Err(refusal) => return refusal.into_response(),
    };
    let named = caller.as_ref().and_then(|caller| caller.sign_in);
    let mut response = match judge(permission, &parts, caller.as_ref()) {
        Ok(()) => {
            let mut request = Request::from_parts(parts, body);
            if let Some(caller) = caller {
                request.extensions_mut().insert(caller);
            }
            next.run(request).await
        }
        Err(refusal) => refusal.into_response(),
    };
    // The log names who was refused, too.
    if let Some(sign_in) = named {
        response.extensions_mut().insert(Asked(sign_in));
    }
    response
}

/// Which sign-in asked, for the log.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked(pub(crate) uuid::Uuid);

/// Who asks, if from a page of ours.
async fn identify(request: &Parts) -> Result<Option<Caller>, Refusal> {
    let app = app_of(request)?;
    if changes(request) {
        of_our_pages(app, &request.headers)?;
    }
    caller(app, &request.headers).await
}

fn app_of(request: &Parts) -> Result<&App, Refusal> {
    request.extensions.get::<App>().ok_or_else(Refusal::failed)
}

/// Whether a request may change something.
fn changes(request: &Parts) -> bool {
    !matches!(request.method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// Whether the caller may do what the route does.
fn judge(permission: Permission, request: &Parts, caller: Option<&Caller>) -> Result<(), Refusal> {
    if permission == Permission::Anyone {
        return Ok(());
    }
    let caller = caller.ok_or_else(Refusal::signed_out)?;
    if changes(request)
        && let Some(token) = &caller.token
    {
        let sent = request.headers.get(FORM_TOKEN).map_or(&b""[..], |value| value.as_bytes());
        if !bool::from(token.form_token().as_bytes().ct_eq(sent)) {
            return Err(Refusal::not_allowed(
                Problem::error("server::form-token", "the form token is missing or of another session")
                    .expected(format!("the header `{FORM_TOKEN}` with the token of this session"))
                    .mend("ask `/api/session` for it and send it along"),
            ));
        }
    }
    if permission != Permission::OwnSignIn && caller.lacks_second_factor(app_of(request)?.settings()) {
        return Err(Refusal::not_allowed(
            Problem::error("server::second-factor-wanted", "this server asks owners for a second factor")
                .mend("begin and confirm one under `/api/session/second-factor`"),
        ));
    }
    if !permission.is_held_by(caller.role) {
        return Err(Refusal::not_allowed(
            Problem::error("server::role", format!("this is not for the role `{}`", caller.role.word()))
                .mend("ask an owner of the account"),
        ));
    }
    Ok(())
}

/// Refuses a change that a page of another origin had a browser send.
///
/// # Source
/// OWASP Cheat Sheet Series, "Cross-Site Request Forgery Prevention": verifying the origin with standard
/// headers, beside the token.
fn of_our_pages(app: &App, headers: &HeaderMap) -> Result<(), Refusal> {
    let foreign = |found: String| {
        Refusal::not_allowed(
            Problem::error("server::origin", found)
                .expected("a request of this server's own pages, or of no page at all"),
        )
    };
    if let Some(origin) = headers.get(header::ORIGIN) {
        let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
        let own = match app.proxy_origin() {
            Some(origin) => origin.to_owned(),
            None => format!("{}://{host}", if app.settings().is_secure() { "https" } else { "http" }),
        };
        if !origin.as_bytes().eq_ignore_ascii_case(own.as_bytes()) {
            return Err(foreign("the request comes from a page of another origin".to_owned()));
        }
    }
    match headers.get("sec-fetch-site").map(http::HeaderValue::as_bytes) {
        None | Some(b"same-origin" | b"none") => Ok(()),
        Some(_) => Err(foreign("the browser says that a page of another site sends this".to_owned())),
    }
}

/// Who asks, by the session's cookie, or by sitting at the machine.
async fn caller(app: &App, headers: &HeaderMap) -> Result<Option<Caller>, Refusal> {
    if !app.settings().needs_sign_in() {
        return Ok(Some(Caller::local(app.local_account())));
    }
    let Some(token) = session_cookie(headers, app.cookie_name()) else { return Ok(None) };
    let session = app.access().session(&token, app.settings().lifetime, app.now()).await?;
    Ok(session.map(|session| Caller::signed_in(session.sign_in, token)))
}

fn session_cookie(headers: &HeaderMap, wanted: &str) -> Option<Token> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == wanted)
        .and_then(|(_, value)| Token::parse(value))
}
