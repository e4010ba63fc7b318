//! The sign-ins of an account, kept by its owners.

use super::documents::book;
use super::second_factor::of_second_factor;
use super::session::{event, known_of, of_sign_in};
use crate::app::App;
use crate::http::{
    Caller, ClientAddress, JsonBody, NameInPath, Permission, ProblemDetails, Refusal, RequestId, Routes,
};
use axum::extract::State;
use http::StatusCode;
use ledger::access::{self, NewSignIn, OpenSession, Password, Role};
use ledger::{Kind, LedgerError, ThingId};
use problem::{Problem, Problems};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::Manage, routes!(list, make))
        .with(Permission::Manage, routes!(one, change))
        .with(Permission::Manage, routes!(set_role))
        .with(Permission::Manage, routes!(set_password))
        .with(Permission::Manage, routes!(end_sessions))
        .with(Permission::Manage, routes!(end_second_factor))
}

/// One person's way in.
#[allow(clippy::struct_field_names)] // One word everywhere: the path names it so too.
#[derive(Debug, Serialize, ToSchema)]
struct SignIn {
    /// Its own name.
    #[schema(format = Uuid)]
    sign_in: String,
    /// What the person types.
    name: String,
    /// `owner`, `planner`, `technician` or `client`.
    role: &'static str,
    /// The client whom a client's sign-in stands for.
    client: Option<String>,
    /// Whether it opens nothing any more.
    disabled: bool,
    /// Whether it asks for a code beside the password.
    second_factor: bool,
    /// When it was made.
    made_at: String,
    /// How many sessions of it are open.
    sessions: usize,
    /// When one of them was used last, to the minute; none where none is open.
    seen_at: Option<String>,
}

impl SignIn {
    fn of(sign_in: access::SignIn, open: &[OpenSession]) -> Self {
        let own = || open.iter().filter(|session| session.sign_in == sign_in.sign_in);
        Self {
            sessions: own().count(),
            seen_at: own().map(|session| session.seen_at).max().map(|at| at.to_string()),
            sign_in: sign_in.sign_in.to_string(),
            name: sign_in.name,
            role: sign_in.role.word(),
            client: sign_in.client.map(|client| client.to_string()),
            disabled: sign_in.disabled,
            second_factor: sign_in.second_factor,
            made_at: sign_in.made_at.to_string(),
        }
    }
}

/// A sign-in to be made.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct SignInOrder {
    /// What the person will type.
    name: String,
    /// `owner`, `planner`, `technician` or `client`.
    role: String,
    /// The client whom a client's sign-in stands for.
    #[schema(format = Uuid)]
    client: Option<String>,
    /// The first password: 12 to 128 characters that nobody guesses.
    #[schema(format = Password, min_length = 12, max_length = 128)]
    password: String,
}

/// Another role for somebody.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct NewRole {
    /// `owner`, `planner`, `technician` or `client`.
    role: String,
    /// The client whom a client's sign-in stands for.
    #[schema(format = Uuid)]
    client: Option<String>,
}

/// Whether a sign-in opens the account.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct SignInChange {
    /// Whether it opens nothing any more.
    disabled: bool,
}

/// A new password for somebody.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct NewPassword {
    /// 12 to 128 characters that nobody guesses.
    #[schema(format = Password, min_length = 12, max_length = 128)]
    password: String,
}

/// Every sign-in of the account, by name
#[utoipa::path(get, path = "/api/sign-ins", operation_id = "sign_ins_list", tag = "sign-ins",
    responses(
        (status = 200, description = "The sign-ins", body = Vec<SignIn>),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn list(State(app): State<App>, caller: Caller) -> Result<JsonBody<Vec<SignIn>>, Refusal> {
    let sign_ins = app.access().sign_ins(caller.account).await?;
    let open = app.access().open_sessions(caller.account, app.settings().lifetime, app.now()).await?;
    Ok(JsonBody(sign_ins.into_iter().map(|sign_in| SignIn::of(sign_in, &open)).collect()))
}

/// Make a sign-in
#[utoipa::path(post, path = "/api/sign-ins", tag = "sign-ins", request_body = SignInOrder,
    responses(
        (status = 201, description = "Made", body = SignIn),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "It cannot be made so", body = ProblemDetails),
    ))]
async fn make(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    JsonBody(order): JsonBody<SignInOrder>,
) -> Result<(StatusCode, JsonBody<SignIn>), Refusal> {
    let mut problems = Problems::new();
    let (role, client) = linked(&app, &caller, &order.role, order.client.as_deref(), &mut problems).await?;
    let known = known_of(&app, &caller, &order.name).await?;
    let password = Password::choose(&order.password, &known.each_ref().map(String::as_str));
    let password = password.map_err(|problem| problems.push(problem)).ok();
    let (Some(role), Some(password), false) = (role, password, problems.has_errors()) else {
        return Err(problems.into());
    };
    let new = NewSignIn { name: order.name, account: caller.account, role, client, password };
    let made = app.access().make_sign_in(new, app.now()).await?;
    let what = format!("make sign-in {} as {}", made.sign_in, role_of(role, client));
    app.access().audit(&event(&app, &caller, number, address, &what, "done")).await?;
    Ok((StatusCode::CREATED, JsonBody(SignIn::of(made, &[]))))
}

/// One sign-in
#[utoipa::path(get, path = "/api/sign-ins/{sign_in}", tag = "sign-ins", params(("sign_in" = Uuid, Path, description = "Its own name")),
    responses(
        (status = 200, description = "The sign-in", body = SignIn),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "None of this account", body = ProblemDetails),
    ))]
async fn one(
    State(app): State<App>,
    caller: Caller,
    NameInPath(sign_in): NameInPath,
) -> Result<JsonBody<SignIn>, Refusal> {
    let found = app.access().sign_in(caller.account, sign_in).await?;
    let found = found.ok_or_else(|| Refusal::nothing("sign-in"))?;
    let open = app.access().open_sessions(caller.account, app.settings().lifetime, app.now()).await?;
    Ok(JsonBody(SignIn::of(found, &open)))
}

/// The role and the client of an order, or what is wrong with them among the problems.
async fn linked(
    app: &App,
    caller: &Caller,
    role: &str,
    client: Option<&str>,
    problems: &mut Problems,
) -> Result<(Option<Role>, Option<ThingId>), Refusal> {
    let role = Role::parse(role).map_err(|problem| problems.push(problem)).ok();
    let read = client.map(ThingId::parse).transpose();
    let client = read.map_err(|problem| problems.push(problem.at("client"))).unwrap_or_default();
    if let Some(client) = client {
        match book(app, caller).await?.newest(client).await {
            Ok(entry) if entry.kind == Kind::Client && !entry.discards => {}
            Ok(_) | Err(LedgerError::UnknownThing { .. }) => problems.push(
                Problem::error("server::unknown-client", format!("the books keep no client `{client}`"))
                    .expected("the client whom the sign-in stands for")
                    .mend("keep the client first")
                    .at("client"),
            ),
            Err(error) => return Err(error.into()),
        }
    }
    Ok((role, client))
}

/// A role as the trail tells it, with the client whom a client's sign-in stands for.
fn role_of(role: Role, client: Option<ThingId>) -> String {
    client.map_or_else(|| role.word().to_owned(), |client| format!("{} of {client}", role.word()))
}

/// Give somebody another role
///
/// Every session of the sign-in ends.
#[utoipa::path(put, path = "/api/sign-ins/{sign_in}/role", tag = "sign-ins", params(("sign_in" = Uuid, Path, description = "Its own name")),
    request_body = NewRole,
    responses(
        (status = 204, description = "Given"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "None of this account", body = ProblemDetails),
        (status = 422, description = "It cannot have that role, or it is the last owner's", body = ProblemDetails),
    ))]
async fn set_role(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    NameInPath(sign_in): NameInPath,
    JsonBody(new): JsonBody<NewRole>,
) -> Result<StatusCode, Refusal> {
    let found = app.access().sign_in(caller.account, sign_in).await?;
    found.ok_or_else(|| Refusal::nothing("sign-in"))?;
    let mut problems = Problems::new();
    let (role, client) = linked(&app, &caller, &new.role, new.client.as_deref(), &mut problems).await?;
    let (Some(role), false) = (role, problems.has_errors()) else { return Err(problems.into()) };
    let told = |before: &access::SignIn| {
        let (before, now) = (role_of(before.role, before.client), role_of(role, client));
        let what = format!("give sign-in {sign_in} the role {now} in the stead of {before}");
        event(&app, &caller, number, address, &what, "done")
    };
    app.access().set_role(caller.account, sign_in, role, client, told).await.map_err(of_sign_in)?;
    Ok(StatusCode::NO_CONTENT)
}

/// Let a sign-in open the account, or nothing
#[utoipa::path(patch, path = "/api/sign-ins/{sign_in}", tag = "sign-ins", params(("sign_in" = Uuid, Path, description = "Its own name")),
    request_body = SignInChange,
    responses(
        (status = 204, description = "Done; a closed sign-in has no session any more"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "None of this account", body = ProblemDetails),
        (status = 422, description = "It is the last owner's", body = ProblemDetails),
    ))]
async fn change(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    NameInPath(sign_in): NameInPath,
    JsonBody(change): JsonBody<SignInChange>,
) -> Result<StatusCode, Refusal> {
    app.access().set_disabled(caller.account, sign_in, change.disabled).await.map_err(of_sign_in)?;
    let what = format!("{} sign-in {sign_in}", if change.disabled { "close" } else { "open" });
    app.access().audit(&event(&app, &caller, number, address, &what, "done")).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Give somebody a new password
///
/// Every session of the sign-in ends.
#[utoipa::path(put, path = "/api/sign-ins/{sign_in}/password", tag = "sign-ins", params(("sign_in" = Uuid, Path, description = "Its own name")),
    request_body = NewPassword,
    responses(
        (status = 204, description = "Set"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "None of this account", body = ProblemDetails),
        (status = 409, description = "It is one's own, which changes with the present password", body = ProblemDetails),
        (status = 422, description = "The password cannot be taken", body = ProblemDetails),
    ))]
async fn set_password(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    NameInPath(sign_in): NameInPath,
    JsonBody(new): JsonBody<NewPassword>,
) -> Result<StatusCode, Refusal> {
    if caller.sign_in == Some(sign_in) {
        return Err(Refusal::new(
            StatusCode::CONFLICT,
            Problem::error("server::own-password", "one's own password changes with the present one")
                .mend("change it at `/api/session/password`, or ask another owner"),
        ));
    }
    let found = app.access().sign_in(caller.account, sign_in).await?;
    let found = found.ok_or_else(|| Refusal::nothing("sign-in"))?;
    let known = known_of(&app, &caller, &found.name).await?;
    let password = Password::choose(&new.password, &known.each_ref().map(String::as_str))?;
    app.access().set_password(caller.account, sign_in, password).await.map_err(of_sign_in)?;
    let what = format!("set the password of sign-in {sign_in}");
    app.access().audit(&event(&app, &caller, number, address, &what, "done")).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// End every session of somebody
#[utoipa::path(delete, path = "/api/sign-ins/{sign_in}/sessions", tag = "sign-ins", params(("sign_in" = Uuid, Path, description = "Its own name")),
    responses(
        (status = 204, description = "Ended"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "None of this account", body = ProblemDetails),
    ))]
async fn end_sessions(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    NameInPath(sign_in): NameInPath,
) -> Result<StatusCode, Refusal> {
    app.access().end_sessions(caller.account, sign_in).await.map_err(of_sign_in)?;
    let what = format!("end the sessions of sign-in {sign_in}");
    app.access().audit(&event(&app, &caller, number, address, &what, "done")).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// End somebody's second factor
///
/// For who lost the phone and the recovery codes: know for certain who asks. Every session of the sign-in ends.
#[utoipa::path(delete, path = "/api/sign-ins/{sign_in}/second-factor", tag = "sign-ins", params(("sign_in" = Uuid, Path, description = "Its own name")),
    responses(
        (status = 204, description = "Ended"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "None of this account", body = ProblemDetails),
        (status = 409, description = "It has none, or it is one's own, which ends with password and code", body = ProblemDetails),
    ))]
async fn end_second_factor(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    NameInPath(sign_in): NameInPath,
) -> Result<StatusCode, Refusal> {
    if caller.sign_in == Some(sign_in) {
        return Err(Refusal::new(
            StatusCode::CONFLICT,
            Problem::error("server::own-second-factor", "one's own second factor ends with password and code")
                .mend("end it at `/api/session/second-factor/end`, or ask another owner"),
        ));
    }
    let found = app.access().sign_in(caller.account, sign_in).await?;
    found.ok_or_else(|| Refusal::nothing("sign-in"))?;
    app.access().end_second_factor(caller.account, sign_in).await.map_err(of_second_factor)?;
    let what = format!("end the second factor of sign-in {sign_in}");
    app.access().audit(&event(&app, &caller, number, address, &what, "done")).await?;
    Ok(StatusCode::NO_CONTENT)
}
