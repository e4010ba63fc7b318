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
    let judged = judge(permission, &parts).await;
    let mut request = Request::from_parts(parts, body);
    match judged {
        Ok(caller) => {
            let named = caller.as_ref().and_then(|caller| caller.sign_in);
            if let Some(caller) = caller {
                request.extensions_mut().insert(caller);
            }
            let mut response = next.run(request).await;
            if let Some(sign_in) = named {
                response.extensions_mut().insert(Asked(sign_in));
            }
            response
        }
        Err(refusal) => refusal.into_response(),
    }
}

/// Which sign-in asked, for the log.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Asked(pub(crate) uuid::Uuid);

async fn judge(permission: Permission, request: &Parts) -> Result<Option<Caller>, Refusal> {
    let Some(app) = request.extensions.get::<App>() else { return Err(Refusal::failed()) };
    let changes = !matches!(request.method, Method::GET | Method::HEAD | Method::OPTIONS);
    if changes {
        of_our_pages(app, &request.headers)?;
    }
    let caller = caller(app, &request.headers).await?;
    if permission == Permission::Anyone {
        return Ok(caller);
    }
    let caller = caller.ok_or_else(Refusal::signed_out)?;
    if changes && let Some(token) = &caller.token {
        let sent = request.headers.get(FORM_TOKEN).map_or(&b""[..], |value| value.as_bytes());
        if !bool::from(token.form_token().as_bytes().ct_eq(sent)) {
            return Err(Refusal::not_allowed(
                Problem::error("server::form-token", "the form token is missing or of another session")
                    .expected(format!("the header `{FORM_TOKEN}` with the token of this session"))
                    .mend("ask `/api/session` for it and send it along"),
            ));
        }
    }
    if permission != Permission::OwnSignIn && caller.lacks_second_factor(app.settings()) {
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
    Ok(Some(caller))
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
