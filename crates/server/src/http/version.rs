//! Versions of a thing as entity tags, so that nobody overwrites what they have not seen.

use super::Refusal;
use axum::extract::FromRequestParts;
use http::request::Parts;
use http::{HeaderValue, StatusCode, header};
use ledger::Expected;
use problem::Problem;

/// The tag of a version of a thing: `"3"`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ETag(pub u64);

impl ETag {
    /// The tag as a header.
    pub fn header(self) -> (http::HeaderName, HeaderValue) {
        let text = format!("\"{}\"", self.0);
        (header::ETAG, HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static("\"\"")))
    }

    /// Whether the client has this version already, by its `If-None-Match`.
    pub fn is_had(self, headers: &http::HeaderMap) -> bool {
        let tags = headers.get_all(header::IF_NONE_MATCH).iter().filter_map(|value| value.to_str().ok());
        tags.flat_map(|value| value.split(',')).any(|tag| version(tag.trim().trim_start_matches("W/")) == Some(self.0))
    }
}

/// The version that a change is made on top of, by `If-Match`; a new thing comes with `If-None-Match: *`.
///
/// # Source
/// RFC 9110, sections 13.1.1 and 13.1.2; RFC 6585, section 3 (428 where neither is sent).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IfMatch(pub Expected);

impl<S: Sync> FromRequestParts<S> for IfMatch {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Refusal> {
        let text = |name| parts.headers.get(name).map(|value: &HeaderValue| value.to_str().unwrap_or_default().trim());
        match (text(header::IF_MATCH), text(header::IF_NONE_MATCH)) {
            (None, Some("*")) => Ok(Self(Expected::New)),
            (Some(tag), None) => match version(tag) {
                Some(number) => Ok(Self(Expected::Version(number))),
                None => Err(Refusal::new(
                    StatusCode::BAD_REQUEST,
                    Problem::error("server::tag", "the `If-Match` names no version")
                        .expected("the `ETag` of the version that was seen, such as `\"3\"`")
                        .at("If-Match"),
                )),
            },
            _ => Err(Refusal::new(
                StatusCode::PRECONDITION_REQUIRED,
                Problem::error("server::unseen", "the request does not say which version it changes")
                    .expected("`If-Match` with the `ETag` that was seen, or `If-None-Match: *` for a new thing")
                    .mend("read the thing first, and make the change on top of it"),
            )),
        }
    }
}

impl IfMatch {
    /// A conflict that the ledger found, as the failed condition that it is; other errors as ever.
    pub fn refused(error: ledger::LedgerError) -> Refusal {
        match &error {
            ledger::LedgerError::Conflict { present, .. } => {
                let refusal = Refusal::new(StatusCode::PRECONDITION_FAILED, error.problems());
                match present {
                    Some(version) => refusal.with(header::ETAG, &format!("\"{version}\"")),
                    None => refusal,
                }
            }
            _ => error.into(),
        }
    }
}

fn version(tag: &str) -> Option<u64> {
    let digits = tag.strip_prefix('"')?.strip_suffix('"')?;
    digits.bytes().all(|byte| byte.is_ascii_digit()).then(|| digits.parse().ok())?
}

#[cfg(test)]
mod tests {
    use super::*;
    use http::Request;

    async fn read(headers: &[(&str, &str)]) -> Result<Expected, StatusCode> {
        let request = headers.iter().fold(Request::builder(), |builder, (name, value)| builder.header(*name, *value));
        let (mut parts, ()) = request.body(()).unwrap().into_parts();
        IfMatch::from_request_parts(&mut parts, &()).await.map(|read| read.0).map_err(|refusal| refusal.status())
    }

    #[tokio::test]
    async fn a_change_says_what_it_is_made_on() {
        assert_eq!(read(&[("if-match", "\"3\"")]).await, Ok(Expected::Version(3)));
        assert_eq!(read(&[("if-none-match", "*")]).await, Ok(Expected::New));
        assert_eq!(read(&[]).await, Err(StatusCode::PRECONDITION_REQUIRED));
        for wrong in ["3", "*", "\"\"", "\"-1\"", "W/\"3\"", "\"99999999999999999999\""] {
            assert_eq!(read(&[("if-match", wrong)]).await, Err(StatusCode::BAD_REQUEST), "{wrong}");
        }
    }

    #[test]
    fn a_version_that_is_had_is_known_by_its_tag() {
        let mut headers = http::HeaderMap::new();
        headers.insert(header::IF_NONE_MATCH, HeaderValue::from_static("\"2\", W/\"3\""));
        assert!(ETag(3).is_had(&headers) && !ETag(4).is_had(&headers));
        assert_eq!(ETag(7).header().1, "\"7\"");
    }
}
