//! Reading a request's parts, refusing with problem details.

use super::Refusal;
use axum::extract::rejection::{JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts, Json, Path, Query, Request};
use axum::response::{IntoResponse, Response};
use http::StatusCode;
use http::request::Parts;
use problem::Problem;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fmt;
use std::net::IpAddr;
use uuid::Uuid;

/// A body of JSON, read or to be sent.
#[derive(Debug, Clone)]
pub struct JsonBody<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequest<S> for JsonBody<T> {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        match Json::<T>::from_request(request, state).await {
            Ok(Json(value)) => Ok(Self(value)),
            Err(rejection) => Err(unread(&rejection)),
        }
    }
}

impl<T: Serialize> IntoResponse for JsonBody<T> {
    fn into_response(self) -> Response {
        Json(self.0).into_response()
    }
}

fn unread(rejection: &JsonRejection) -> Refusal {
    let code = match rejection.status() {
        StatusCode::PAYLOAD_TOO_LARGE => "server::body-size",
        StatusCode::UNSUPPORTED_MEDIA_TYPE => "server::media-type",
        _ => "server::body",
    };
    // The reader's words name the field and the place, and repeat texts of the body: these may be
    // passwords, so that only the place is told.
    let words = rejection.body_text();
    let place = words.rfind(" at line ").map_or("", |at| &words[at..]);
    let found = match rejection {
        JsonRejection::JsonDataError(_) => {
            format!("the body does not have the fields that this route reads{place}")
        }
        JsonRejection::JsonSyntaxError(_) => format!("the body is not JSON{place}"),
        JsonRejection::MissingJsonContentType(_) => "the body does not say that it is JSON".to_owned(),
        _ if code == "server::body-size" => "the body is larger than this route reads".to_owned(),
        _ => "the body could not be read to its end".to_owned(),
    };
    let problem = Problem::error(code, found)
        .expected("a body as `/api/openapi.json` describes it, with `content-type: application/json`")
        .at("body");
    Refusal::new(rejection.status(), problem)
}

/// A body of text, whose route reads it itself.
#[derive(Debug, Clone)]
pub struct TextBody(pub String);

impl<S: Send + Sync> FromRequest<S> for TextBody {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        let refuse = |status, code, found: &str| {
            let problem = Problem::error(code, found.to_owned())
                .expected("a text as `/api/openapi.json` describes it, in UTF-8")
                .at("body");
            Refusal::new(status, problem)
        };
        let bytes = axum::body::Bytes::from_request(request, state).await.map_err(|rejection| {
            let code =
                if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE { "server::body-size" } else { "server::body" };
            refuse(rejection.status(), code, "the body is larger than this route reads, or ends too early")
        })?;
        let text = String::from_utf8(bytes.into());
        text.map(Self).map_err(|_| refuse(StatusCode::BAD_REQUEST, "server::body", "the body is no text in UTF-8"))
    }
}

/// The one name in the path: of a thing, a sign-in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NameInPath(pub Uuid);

impl<S: Send + Sync> FromRequestParts<S> for NameInPath {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let read: Result<Path<String>, PathRejection> = Path::from_request_parts(parts, state).await;
        let name = read.ok().and_then(|Path(text)| ledger::ThingId::parse(&text).ok());
        // A name that cannot be one is the name of nothing.
        name.map(|name| Self(name.number())).ok_or_else(|| Refusal::nothing("thing"))
    }
}

/// The one word in the path: the id of something that comes with the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WordInPath(pub String);

impl<S: Send + Sync> FromRequestParts<S> for WordInPath {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let read: Result<Path<String>, PathRejection> = Path::from_request_parts(parts, state).await;
        read.map(|Path(word)| Self(word)).map_err(|_| Refusal::nothing("thing"))
    }
}

/// The fields after the question mark.
#[derive(Debug, Clone)]
pub struct QueryOf<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for QueryOf<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        let read: Result<Query<T>, QueryRejection> = Query::from_request_parts(parts, state).await;
        match read {
            Ok(Query(value)) => Ok(Self(value)),
            Err(rejection) => Err(Refusal::new(
                StatusCode::BAD_REQUEST,
                Problem::error(
                    "server::query",
                    format!("the fields of the address cannot be read: {}", rejection.body_text().to_lowercase()),
                )
                .expected("fields as `/api/openapi.json` describes them")
                .at("query"),
            )),
        }
    }
}

/// The number of a request, in its answer, in the log and in the audit trail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RequestId(Uuid);

impl RequestId {
    /// A number that no request had before. One that a client sends is not taken: it could hide itself
    /// behind another's.
    pub fn fresh() -> Self {
        Self(Uuid::now_v7())
    }
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// The client's address.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClientAddress(pub IpAddr);

impl<S: Sync> FromRequestParts<S> for RequestId {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        parts.extensions.get().copied().ok_or_else(Refusal::failed)
    }
}

impl<S: Sync> FromRequestParts<S> for ClientAddress {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        parts.extensions.get().copied().ok_or_else(Refusal::failed)
    }
}
