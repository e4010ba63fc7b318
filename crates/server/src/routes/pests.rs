//! The pests that the program knows, and the key that tells them apart.

use super::plan::apart;
use crate::app::App;
use crate::http::document::{IdentificationDocument, KeyDocument, PestDocument, PestsDocument};
use crate::http::{Caller, ETag, JsonBody, Permission, ProblemDetails, Refusal, Routes, WordInPath};
use axum::extract::State;
use axum::response::{IntoResponse, Response};
use exchange::identification_json::IdentificationJson;
use exchange::key_json::KeyJson;
use exchange::pest_file::{shipped_characters, shipped_profiles};
use exchange::pest_json::{PestProfileJson, PestsJson};
use http::{HeaderMap, StatusCode, header};
use pest::{Answer, Characters, Key, Meant, NAMED_FROM, Needs, Profile};
use problem::{Problem, Problems};
use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::sync::LazyLock;
use utoipa::ToSchema;
use utoipa_axum::routes;

pub(super) fn routes() -> Routes {
    Routes::new()
        .with(Permission::SeeWork, routes!(list))
        .with(Permission::SeeWork, routes!(one))
        .with(Permission::SeeWork, routes!(key))
        .with(Permission::SeeWork, routes!(identify))
}

/// More answers, or states of one, than any key has questions.
const MOST_ANSWERS: usize = 200;

/// What comes with the program, read once.
static SHIPPED: LazyLock<Option<(Characters, Vec<Profile>)>> = LazyLock::new(|| {
    let characters = shipped_characters().ok()?;
    let profiles = shipped_profiles(&characters).ok()?;
    Some((characters, profiles))
});

static KEY: LazyLock<Option<Key<'static>>> = LazyLock::new(|| {
    let (characters, profiles) = SHIPPED.as_ref()?;
    Key::new(characters, profiles).ok()
});

/// The key as it is sent, with the tag of what it says.
static DOCUMENT: LazyLock<Option<(ETag, String)>> = LazyLock::new(|| {
    let text = serde_json::to_string(&KeyJson::new(KEY.as_ref()?)).ok()?;
    let hash = Sha256::digest(&text);
    let version = hash.iter().take(8).fold(0_u64, |version, &byte| version << 8 | u64::from(byte));
    Some((ETag(version), text))
});

/// The key over the profiles that come with the program.
pub(super) fn shipped_key() -> Result<&'static Key<'static>, Refusal> {
    KEY.as_ref().ok_or_else(Refusal::failed)
}

/// The profiles that a name means: the one of that id or name, or those of the kinds of a general word.
pub(super) fn profiles_meant(name: &str) -> Result<Meant<'static>, Refusal> {
    Ok(pest::meant(shipped_key()?.profiles(), name))
}

/// The profiles that the pest of counts means, which may tell the profile by which they were judged.
pub(super) fn profiles_judged_by(name: &str, judged_by: Option<&str>) -> Result<Meant<'static>, Refusal> {
    Ok(pest::meant_by(shipped_key()?.profiles(), name, judged_by))
}

/// The pests that are known, and what is taken for them
#[utoipa::path(get, path = "/api/pests", operation_id = "pests_list", tag = "pests",
    responses(
        (status = 200, description = "Each with its group and its names", body = PestsDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn list(State(_): State<App>, _: Caller) -> Result<JsonBody<PestsJson>, Refusal> {
    let listed = apart(|| Ok::<_, Refusal>(PestsJson::new(shipped_key()?.profiles())));
    Ok(JsonBody(listed.await??))
}

/// What is known of one, each fact with its source
#[utoipa::path(get, path = "/api/pests/{profile}", operation_id = "pests_one", tag = "pests",
    params(("profile" = String, Path, description = "The id of the profile")),
    responses(
        (status = 200, description = "The profile", body = PestDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 404, description = "No such profile", body = ProblemDetails),
    ))]
async fn one(
    State(_): State<App>,
    _: Caller,
    WordInPath(id): WordInPath,
) -> Result<JsonBody<PestProfileJson>, Refusal> {
    let found = apart(move || {
        let profile = shipped_key()?.profiles().iter().find(|profile| profile.id == id);
        profile.map(PestProfileJson::new).ok_or_else(|| Refusal::nothing("profile"))
    });
    Ok(JsonBody(found.await??))
}

/// The key, to be reckoned with where there is no reception
///
/// Its questions, and of every profile all that is known with the chance of each answer. It changes with the program
/// alone: `If-None-Match` with its `ETag` asks whether it did.
#[utoipa::path(get, path = "/api/key", operation_id = "key_one", tag = "pests",
    responses(
        (status = 200, description = "The key, the hash of what it says in the `ETag`", body = KeyDocument),
        (status = 304, description = "The caller has it"),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
    ))]
async fn key(State(_): State<App>, _: Caller, headers: HeaderMap) -> Result<Response, Refusal> {
    let (tag, text) = apart(|| DOCUMENT.as_ref()).await?.ok_or_else(Refusal::failed)?;
    if tag.is_had(&headers) {
        return Ok((StatusCode::NOT_MODIFIED, [tag.header()]).into_response());
    }
    Ok(([tag.header()], [(header::CONTENT_TYPE, "application/json")], text.as_str()).into_response())
}

/// Answers to questions of the key.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct IdentificationOrder {
    /// The answers, each question once.
    answers: Vec<AnswerOrder>,
    /// What there is to answer with: `specimen`, `damage`, `place`, `time`, `trap-or-flush`. All of it when nothing is
    /// said; other questions are not asked.
    has: Option<Vec<String>>,
    /// The chance from which on something is named, above 0.5 and below 1; 0.9 when nothing is said.
    named_from: Option<f64>,
    /// How many of the next questions are told at most; all when nothing is said.
    questions: Option<u16>,
}

/// An answer.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct AnswerOrder {
    /// The question.
    character: String,
    /// One state, several where it may be any of them, none where the person does not know.
    states: Vec<String>,
}

impl IdentificationOrder {
    fn found(self) -> Result<IdentificationJson, Refusal> {
        let mut problems = Problems::new();
        let longest = self.answers.iter().map(|answer| answer.states.len()).fold(self.answers.len(), usize::max);
        if longest > MOST_ANSWERS {
            let found = format!("`{longest}` answers, or states of one");
            return Err(Refusal::unusable(
                Problem::error("server::too-many", found).expected(format!("{MOST_ANSWERS} at most")).at("answers"),
            ));
        }
        let named_from = self.named_from.unwrap_or(NAMED_FROM);
        if !(named_from > 0.5 && named_from < 1.0) {
            problems.push(
                Problem::error("pest::named-from", format!("`{named_from}` as the chance to name something by"))
                    .expected("above 0.5 and below 1, such as 0.9")
                    .at("named_from"),
            );
        }
        let mut has = Vec::new();
        for word in self.has.unwrap_or_else(|| Needs::ALL.map(|needs| needs.word().to_owned()).to_vec()) {
            match Needs::ALL.into_iter().find(|needs| needs.word() == word) {
                Some(needs) => has.push(needs),
                None => problems.push(
                    Problem::error("pest::unknown-needs", format!("nothing needs `{}`", word.escape_debug()))
                        .expected(format!("one of {}", Needs::ALL.map(Needs::word).join(", ")))
                        .at("has"),
                ),
            }
        }
        let answers: Vec<Answer> = self
            .answers
            .into_iter()
            .map(|answer| Answer { character: answer.character, states: answer.states })
            .collect();
        let found = shipped_key()?.identify(&answers, &has, named_from).map_err(|found| problems.extend(found)).ok();
        match found.filter(|_| !problems.has_errors()) {
            Some(found) => {
                let questions = self.questions.map_or(usize::MAX, usize::from);
                Ok(IdentificationJson::new(&found, &answers, named_from, questions))
            }
            None => Err(Refusal::unusable(problems)),
        }
    }
}

/// Tell what an animal or a damage is, by answers to the key
///
/// Below the chance asked for nothing is named: that is an answer, too.
#[utoipa::path(post, path = "/api/identification", operation_id = "identification", tag = "pests",
    request_body = IdentificationOrder,
    responses(
        (status = 200, description = "What the answers come to, and the next questions, best first", body = IdentificationDocument),
        (status = 401, description = "Nobody is signed in", body = ProblemDetails),
        (status = 403, description = "Not for this role", body = ProblemDetails),
        (status = 422, description = "Questions or answers that the key does not have", body = ProblemDetails),
    ))]
async fn identify(
    State(_): State<App>,
    _: Caller,
    JsonBody(order): JsonBody<IdentificationOrder>,
) -> Result<JsonBody<IdentificationJson>, Refusal> {
    Ok(JsonBody(apart(move || order.found()).await??))
}
