//! One's own second factor: begun, confirmed, ended.

use super::session::{check_password, count_attempt, event, own_sign_in, password_was_right};
use crate::app::App;
use crate::http::{Caller, ClientAddress, JsonBody, Permission, ProblemDetails, Refusal, RequestId, Routes};
use axum::extract::State;
use http::StatusCode;
use ledger::LedgerError;
use ledger::access::{RecoveryCode, Taken};
use problem::Problem;
use qrcode::QrCode;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::OwnSignIn, routes!(show, begin))
        .with(Permission::OwnSignIn, routes!(confirm))
        .with(Permission::OwnSignIn, routes!(end))
}

/// What one's sign-in has of a second factor.
#[derive(Debug, Serialize, ToSchema)]
struct SecondFactor {
    /// Whether signing in asks for a code.
    confirmed: bool,
    /// When it was begun; none where there is none.
    begun_at: Option<String>,
    /// Recovery codes that were not used.
    recovery_codes: u16,
    /// Whether this server asks it of the caller, who reaches nothing else before.
    wanted: bool,
}

/// The password, once more.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct PasswordAgain {
    /// The password of the sign-in.
    #[schema(format = Password)]
    password: String,
}

/// A second factor that was begun.
#[derive(Serialize, ToSchema)]
struct Begun {
    /// What a person types into the program that makes the codes: 32 letters and digits.
    #[schema(format = Password)]
    secret: String,
    /// The same as an address, for a link or a picture that the program reads.
    #[schema(format = Password)]
    address: String,
    /// The address as a QR code (ISO/IEC 18004): its rows from the top, `#` for a dark square and `.` for a light one.
    /// Four light squares belong round it.
    #[schema(format = Password)]
    picture: Vec<String>,
}

/// A code of the second factor.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct Code {
    /// Six digits.
    code: String,
}

/// A second factor that was confirmed.
#[derive(Serialize, ToSchema)]
struct Confirmed {
    /// Each signs in once in the stead of a code. They are told this once: print them and lock them away.
    recovery_codes: Vec<String>,
}

/// What ends a second factor.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct SecondFactorEnd {
    /// The password of the sign-in.
    #[schema(format = Password)]
    password: String,
    /// A code of it, or a recovery code.
    code: String,
}

/// What one's sign-in has of a second factor
#[utoipa::path(get, path = "/api/session/second-factor", tag = "session",
    responses(
        (status = 200, description = "How it stands", body = SecondFactor),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 409, description = "On loopback nobody signs in", body = ProblemDetails),
    ))]
async fn show(State(app): State<App>, caller: Caller) -> Result<JsonBody<SecondFactor>, Refusal> {
    let found = app.access().second_factor(own_sign_in(&caller)?).await?;
    Ok(JsonBody(SecondFactor {
        confirmed: found.is_some_and(|factor| factor.confirmed),
        begun_at: found.map(|factor| factor.begun_at.to_string()),
        recovery_codes: found.map_or(0, |factor| factor.recovery_codes),
        wanted: caller.lacks_second_factor(app.settings()),
    }))
}

/// Begin a second factor
///
/// It asks for nothing until it is confirmed; one that was begun before and not confirmed is replaced.
#[utoipa::path(post, path = "/api/session/second-factor", tag = "session", request_body = PasswordAgain,
    responses(
        (status = 201, description = "Begun; confirm it with a code", body = Begun),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "The password is wrong, or the form token is missing", body = ProblemDetails),
        (status = 409, description = "There is one already, or on loopback nobody signs in", body = ProblemDetails),
        (status = 422, description = "The body cannot be used", body = ProblemDetails),
        (status = 429, description = "Too many attempts", body = ProblemDetails),
    ))]
async fn begin(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    JsonBody(again): JsonBody<PasswordAgain>,
) -> Result<(StatusCode, JsonBody<Begun>), Refusal> {
    const WHAT: &str = "begin second factor";
    let sign_in = own_sign_in(&caller)?;
    let attempt = count_attempt(&app, &caller.name, address).await?;
    check_password(&app, &caller, number, address, &again.password, WHAT).await?;
    password_was_right(&app, &caller, attempt).await?;
    let secret = app.access().begin_second_factor(sign_in, app.now()).await.map_err(of_second_factor)?;
    app.access().audit(&event(&app, &caller, number, address, WHAT, "done")).await?;
    let address = secret.address(&caller.name);
    let begun = Begun { secret: secret.text(), picture: squares(&address)?, address };
    Ok((StatusCode::CREATED, JsonBody(begun)))
}

/// A text as a QR code, row by row.
fn squares(text: &str) -> Result<Vec<String>, Refusal> {
    // A name of a hundred characters is far from filling one.
    let code = QrCode::new(text).map_err(|_| Refusal::failed())?;
    let dark = code.to_colors().into_iter().map(|color| color.select('#', '.')).collect::<Vec<char>>();
    Ok(dark.chunks(code.width()).map(|row| row.iter().collect()).collect())
}

/// Confirm a second factor with a code of it
///
/// From now on signing in asks for a code. Every other session of the sign-in ends.
#[utoipa::path(post, path = "/api/session/second-factor/confirmation", tag = "session", request_body = Code,
    responses(
        (status = 200, description = "Confirmed", body = Confirmed),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "The code does not fit, or the form token is missing", body = ProblemDetails),
        (status = 409, description = "None was begun, it was confirmed already, or on loopback nobody signs in", body = ProblemDetails),
        (status = 422, description = "The body cannot be used", body = ProblemDetails),
        (status = 429, description = "Too many attempts", body = ProblemDetails),
    ))]
async fn confirm(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    JsonBody(code): JsonBody<Code>,
) -> Result<JsonBody<Confirmed>, Refusal> {
    const WHAT: &str = "confirm second factor";
    let sign_in = own_sign_in(&caller)?;
    let Some(token) = &caller.token else { return Err(Refusal::signed_out()) };
    let attempt = count_attempt(&app, &caller.name, address).await?;
    let access = app.access();
    let codes = match access.confirm_second_factor(sign_in, &code.code, token, app.now()).await {
        Ok(codes) => codes,
        // No code was looked at, so that none was guessed.
        Err(error) => {
            access.take_back(attempt).await?;
            return Err(of_second_factor(error));
        }
    };
    let Some(codes) = codes else {
        access.audit(&event(&app, &caller, number, address, WHAT, "refused")).await?;
        return Err(Refusal::not_allowed(
            wrong_code().mend("wait for the next code; look whether the clock of the phone is right"),
        ));
    };
    access.forgive(attempt).await?;
    access.audit(&event(&app, &caller, number, address, WHAT, "done")).await?;
    Ok(JsonBody(Confirmed { recovery_codes: codes.iter().map(RecoveryCode::text).collect() }))
}

/// End one's own second factor
///
/// Its recovery codes and every session of the sign-in end with it.
#[utoipa::path(post, path = "/api/session/second-factor/end", operation_id = "second_factor_end", tag = "session", request_body = SecondFactorEnd,
    responses(
        (status = 204, description = "Ended; sign in again"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Password or code is wrong, or the form token is missing", body = ProblemDetails),
        (status = 409, description = "There is none, or on loopback nobody signs in", body = ProblemDetails),
        (status = 422, description = "The body cannot be used", body = ProblemDetails),
        (status = 429, description = "Too many attempts", body = ProblemDetails),
    ))]
async fn end(
    State(app): State<App>,
    caller: Caller,
    number: RequestId,
    ClientAddress(address): ClientAddress,
    JsonBody(end): JsonBody<SecondFactorEnd>,
) -> Result<StatusCode, Refusal> {
    const WHAT: &str = "end second factor";
    let sign_in = own_sign_in(&caller)?;
    if !caller.second_factor {
        return Err(of_second_factor(LedgerError::from(Problem::error(
            "access::no-second-factor",
            "the sign-in has no second factor",
        ))));
    }
    let attempt = count_attempt(&app, &caller.name, address).await?;
    check_password(&app, &caller, number, address, &end.password, WHAT).await?;
    let access = app.access();
    let taken = access.take_code(sign_in, &end.code, app.now()).await?;
    if !matches!(taken, Taken::Fits { .. }) {
        access.audit(&event(&app, &caller, number, address, WHAT, refused(taken))).await?;
        return Err(Refusal::not_allowed(wrong_code()));
    }
    access.forgive(attempt).await?;
    access.end_second_factor(caller.account, sign_in).await.map_err(of_second_factor)?;
    access.audit(&event(&app, &caller, number, address, WHAT, "done")).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// A code that does not fit, or was used.
pub(super) fn wrong_code() -> Problem {
    Problem::error("server::second-factor-code", "the code does not fit, or was used before")
        .expected("six digits of the second factor, or a recovery code, that were not used before")
        .mend("wait for the next code; a recovery code, or an owner of the account, helps where the phone is lost")
        .at("code")
}

/// How the trail tells a code that was refused.
pub(super) fn refused(taken: Taken) -> &'static str {
    if taken == Taken::UsedBefore { "code used before" } else { "code refused" }
}

/// What the ledger says of a second factor that is there already, or is not.
pub(super) fn of_second_factor(error: LedgerError) -> Refusal {
    let stands = matches!(&error, LedgerError::Refused(problems) if problems.iter().any(|problem| {
        matches!(problem.code, "access::no-second-factor" | "access::second-factor-present")
    }));
    if stands { Refusal::new(StatusCode::CONFLICT, error.problems()) } else { error.into() }
}
