//! The key of a request that changes something: sent again with the same key, it is done once.

use super::Refusal;
use axum::extract::FromRequestParts;
use http::StatusCode;
use http::request::Parts;
use ledger::RequestKey;
use problem::Problem;

/// The `Idempotency-Key` of a request, as the ledger takes it.
///
/// # Source
/// IETF draft "The Idempotency-Key HTTP Header Field": an absent key is a bad request.
#[derive(Debug, Clone)]
pub struct IdempotencyKey(pub RequestKey);

impl IdempotencyKey {
    /// The key together with what its request asks for, word for word.
    #[must_use]
    pub fn asking<'a>(self, words: impl IntoIterator<Item = &'a str>) -> Self {
        Self(self.0.asking(words))
    }
}

impl<S: Sync> FromRequestParts<S> for IdempotencyKey {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        let missing = || {
            Refusal::new(
                StatusCode::BAD_REQUEST,
                Problem::error("server::no-key", "the request has no `Idempotency-Key`, or one that is no plain text")
                    .expected("a key of its own for every change, the same when it is sent again")
                    .at("Idempotency-Key"),
            )
        };
        let text = parts.headers.get("idempotency-key").and_then(|value| value.to_str().ok()).ok_or_else(missing)?;
        // The draft writes the key as a structured string, in quotation marks; bare keys are common.
        let bare = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).unwrap_or(text);
        RequestKey::parse(bare).map(Self).map_err(|problem| Refusal::new(StatusCode::BAD_REQUEST, problem))
    }
}
