//! Signing in and out, and changing one's own password.

use super::second_factor::{refused, wrong_code};
use crate::app::App;
use crate::http::{Caller, ClientAddress, JsonBody, Permission, ProblemDetails, Refusal, RequestId, Routes, network};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use http::{HeaderValue, StatusCode, header};
use ledger::LedgerError;
use ledger::access::{Attempt, Event, Password, Proof, SignIn, Taken, Token, Tried};
use problem::Problem;
use serde::{Deserialize, Serialize};
use std::net::IpAddr;
use utoipa::ToSchema;
use utoipa_axum::routes;
use uuid::Uuid;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::Anyone, routes!(sign_in))
        .with(Permission::OwnSignIn, routes!(whoami, sign_out))
        .with(Permission::OwnSignIn, routes!(change_password))
}

/// Who signs in.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct Credentials {
    /// The name of the sign-in.
    name: String,
    /// Its password.
    #[schema(format = Password)]
    password: String,
    /// A code of the second factor, or a recovery code, where the sign-in has one.
    code: Option<String>,
}

/// Who is signed in.
#[derive(Debug, Serialize, ToSchema)]
pub(super) struct Session {
    /// The caller's name.
    name: String,
    /// `owner`, `planner`, `technician` or `client`.
    role: &'static str,
    /// The account.
    account: String,
    /// The client whom a client's sign-in stands for.
    client: Option<String>,
    /// Whether signing in asks for a code.
    second_factor: bool,
    /// Whether the caller must begin and confirm a second factor before anything else.
    second_factor_wanted: bool,
    /// What changes carry in the header `X-Form-Token`; none where no sign-in is needed.
    form_token: Option<String>,
}

impl Session {
    fn of(caller: &Caller, app: &App) -> Self {
        Self {
            name: caller.name.clone(),
            role: caller.role.word(),
            account: caller.account.to_string(),
            client: caller.client.map(|client| client.to_string()),
            second_factor: caller.second_factor,
            second_factor_wanted: caller.lacks_second_factor(app.settings()),
            form_token: caller.token.as_ref().map(Token::form_token),
        }
    }
}

/// Sign in
///
/// The session comes as a cookie. Failed attempts make the next one wait. Where the sign-in has a second
/// factor, a request without a code is told so once the password is right.
#[utoipa::path(post, path = "/api/session", tag = "session", request_body = Credentials,
    responses(
        (status = 200, description = "Signed in", body = Session),
        (status = 401, description = "Name and password do not open anything; or they do, and a code is wanted \
         (`server::second-factor`) or wrong (`server::second-factor-code`)", body = ProblemDetails),
        (status = 403, description = "The request comes from a page of another origin", body = ProblemDetails),
        (status = 409, description = "On loopback nobody signs in", body = ProblemDetails),
        (status = 422, description = "The body cannot be used", body = ProblemDetails),
        (status = 429, description = "Too many attempts; `Retry-After` says how long to wait", body = ProblemDetails),
    ))]
async fn sign_in(
    State(app): State<App>,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    JsonBody(credentials): JsonBody<Credentials>,
) -> Result<Response, Refusal> {
    if !app.settings().needs_sign_in() {
        return Err(Refusal::new(
            StatusCode::CONFLICT,
            Problem::error("server::no-sign-in", "on loopback nobody signs in: whoever asks is the owner"),
        ));
    }
    let attempt = count_attempt(&app, &credentials.name, address).await?;
    let (address, access) = (address.to_string(), app.access());
    let found = access.check(&credentials.name, &Password::typed(&credentials.password)).await?;
    let event = |sign_in: Option<&SignIn>, outcome: &str| Event {
        at: app.now(),
        account: sign_in.map(|sign_in| sign_in.account),
        sign_in: sign_in.map(|sign_in| sign_in.sign_in),
        // A name that opens nothing may be a password typed into the wrong field.
        name: sign_in.map(|sign_in| sign_in.name.clone()).unwrap_or_default(),
        address: address.clone(),
        event: "sign in".to_owned(),
        outcome: outcome.to_owned(),
        request: number.to_string(),
    };
    let Some(sign_in) = found else {
        // The owner of a name hears of it; a name that opens nothing belongs to nobody.
        let named = access.sign_in_named(&credentials.name).await?;
        access.audit(&event(named.as_ref(), "refused")).await?;
        return Err(Refusal::new(
            StatusCode::UNAUTHORIZED,
            Problem::error("server::credentials", "name and password do not open anything")
                .mend("check both; an owner of the account can set a new password"),
        ));
    };
    // A password that is right is no failure; what was counted before stays until the code fits too, so that it buys no
    // guesses at codes.
    let (proof, outcome) = if sign_in.second_factor {
        let Some(code) = &credentials.code else {
            access.take_back(attempt).await?;
            access.audit(&event(Some(&sign_in), "code wanted")).await?;
            return Err(Refusal::new(
                StatusCode::UNAUTHORIZED,
                Problem::error("server::second-factor", "the sign-in asks for a code beside the password")
                    .mend("send `code` along: six digits of the second factor, or a recovery code")
                    .at("code"),
            ));
        };
        match access.take_code(sign_in.sign_in, code, app.now()).await? {
            Taken::Fits { recovery: false } => (Proof::SecondFactor, "done"),
            Taken::Fits { recovery: true } => (Proof::SecondFactor, "done with a recovery code"),
            taken => {
                access.audit(&event(Some(&sign_in), refused(taken))).await?;
                return Err(Refusal::new(StatusCode::UNAUTHORIZED, wrong_code()));
            }
        }
    } else {
        (Proof::Password, "done")
    };
    access.forgive(attempt).await?;
    let token = access.begin_session(sign_in.sign_in, proof, app.settings().lifetime, app.now()).await?;
    access.audit(&event(Some(&sign_in), outcome)).await?;
    let caller = Caller::signed_in(sign_in, token.clone());
    let most = app.settings().lifetime.most.as_secs();
    Ok(with_cookie(&app, token.text(), most, JsonBody(Session::of(&caller, &app)).into_response()))
}

/// Who is signed in
#[utoipa::path(get, path = "/api/session", tag = "session",
    responses(
        (status = 200, description = "Who is signed in", body = Session),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
    ))]
async fn whoami(State(app): State<App>, caller: Caller) -> JsonBody<Session> {
    JsonBody(Session::of(&caller, &app))
}

/// Sign out
#[utoipa::path(delete, path = "/api/session", tag = "session",
    responses(
        (status = 204, description = "Signed out"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "The form token is missing", body = ProblemDetails),
    ))]
async fn sign_out(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
) -> Result<Response, Refusal> {
    if let Some(token) = &caller.token {
        app.access().end_session(token).await?;
    }
    app.access().audit(&event(&app, &caller, number, address, "sign out", "done")).await?;
    Ok(with_cookie(&app, "", 0, StatusCode::NO_CONTENT.into_response()))
}

/// A new password of one's own.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct PasswordChange {
    /// The password so far.
    #[schema(format = Password)]
    password: String,
    /// The new one: 12 to 128 characters that nobody guesses.
    #[schema(format = Password, min_length = 12, max_length = 128)]
    new_password: String,
}

/// Change one's own password
///
/// Every session of the sign-in ends, this one too.
#[utoipa::path(put, path = "/api/session/password", tag = "session", request_body = PasswordChange,
    responses(
        (status = 204, description = "Changed; sign in again"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "The present password is wrong, or the form token is missing", body = ProblemDetails),
        (status = 409, description = "On loopback nobody signs in", body = ProblemDetails),
        (status = 422, description = "The new password cannot be taken", body = ProblemDetails),
        (status = 429, description = "Too many attempts", body = ProblemDetails),
    ))]
async fn change_password(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    JsonBody(change): JsonBody<PasswordChange>,
) -> Result<Response, Refusal> {
    let sign_in = own_sign_in(&caller)?;
    let attempt = count_attempt(&app, &caller.name, address).await?;
    check_password(&app, &caller, number, address, &change.password, "change password").await?;
    let access = app.access();
    password_was_right(&app, &caller, attempt).await?;
    let known = known_of(&app, &caller, &caller.name).await?;
    let password = Password::choose(&change.new_password, &known.each_ref().map(String::as_str))
        .map_err(|problem| Problem { place: problem::Place::at("new_password"), ..problem })?;
    access.set_password(caller.account, sign_in, password).await?;
    access.audit(&event(&app, &caller, number, address, "change password", "done")).await?;
    Ok(with_cookie(&app, "", 0, StatusCode::NO_CONTENT.into_response()))
}

/// The caller's own sign-in.
pub(super) fn own_sign_in(caller: &Caller) -> Result<Uuid, Refusal> {
    caller.sign_in.ok_or_else(|| {
        Refusal::new(
            StatusCode::CONFLICT,
            Problem::error("server::no-sign-in", "on loopback nobody signs in, and there is no password"),
        )
    })
}

/// Counts an attempt with this name from this address, or refuses when it comes too soon.
pub(super) async fn count_attempt(app: &App, name: &str, address: IpAddr) -> Result<Attempt, Refusal> {
    match app.access().try_attempt(name, &network(address).to_string(), app.now()).await? {
        Tried::Counted(attempt) => Ok(attempt),
        Tried::Wait(wait) => Err(Refusal::wait(
            wait.as_secs() + 1,
            Problem::error("server::attempts", "too many failed attempts to sign in").mend("wait, and try again"),
        )),
    }
}

/// Takes an attempt back that brought the caller's password. Where the sign-in has a second factor, that alone forgets no
/// failure of before: it would buy guesses at codes.
pub(super) async fn password_was_right(app: &App, caller: &Caller, attempt: Attempt) -> Result<(), Refusal> {
    let access = app.access();
    let done = if caller.second_factor { access.take_back(attempt).await } else { access.forgive(attempt).await };
    Ok(done?)
}

/// Refuses when this is not the caller's password, and tells the trail so.
pub(super) async fn check_password(
    app: &App,
    caller: &Caller,
    number: RequestId,
    address: IpAddr,
    password: &str,
    what: &str,
) -> Result<(), Refusal> {
    if app.access().check(&caller.name, &Password::typed(password)).await?.is_some() {
        return Ok(());
    }
    app.access().audit(&event(app, caller, number, address, what, "refused")).await?;
    Err(Refusal::not_allowed(Problem::error("server::credentials", "the present password is wrong").at("password")))
}

/// What whoever guesses a password of this name knows: the name, and that of the caller's account.
pub(super) async fn known_of(app: &App, caller: &Caller, name: &str) -> Result<[String; 2], Refusal> {
    let accounts = app.ledger().accounts().await?;
    let account = accounts.into_iter().find(|account| account.account == caller.account);
    Ok([name.to_owned(), account.map(|account| account.name).unwrap_or_default()])
}

/// Something that a caller did, for the audit trail.
pub(super) fn event(
    app: &App,
    caller: &Caller,
    number: RequestId,
    address: IpAddr,
    what: &str,
    outcome: &str,
) -> Event {
    Event {
        at: app.now(),
        account: Some(caller.account),
        sign_in: caller.sign_in,
        name: caller.name.clone(),
        address: address.to_string(),
        event: what.to_owned(),
        outcome: outcome.to_owned(),
        request: number.to_string(),
    }
}

/// What the ledger says of a sign-in that is not of this account, as the missing thing that it is.
pub(super) fn of_sign_in(error: LedgerError) -> Refusal {
    let unknown = matches!(&error, LedgerError::Refused(problems)
        if problems.iter().any(|problem| problem.code == "access::unknown-sign-in"));
    if unknown { Refusal::nothing("sign-in") } else { error.into() }
}

fn with_cookie(app: &App, value: &str, seconds: i64, mut response: Response) -> Response {
    let secure = if app.settings().is_secure() { "; Secure" } else { "" };
    let name = app.cookie_name();
    let cookie = format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={seconds}{secure}");
    if let Ok(mut cookie) = HeaderValue::from_str(&cookie) {
        cookie.set_sensitive(true);
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    response
}
