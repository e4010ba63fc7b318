//! Every refusal, as problem details that carry the same problems as the command line.

use axum::response::{IntoResponse, Response};
use exchange::problems_json::{ProblemJson, ProblemsJson, SeverityJson};
use http::{HeaderName, HeaderValue, StatusCode, header};
use ledger::LedgerError;
use problem::{Problem, Problems};
use serde::Serialize;
use utoipa::ToSchema;

/// A refusal: its status, the problems, and what the client is told in headers.
#[derive(Debug, Clone)]
pub struct Refusal {
    status: StatusCode,
    problems: Problems,
    headers: Vec<(HeaderName, HeaderValue)>,
}

/// Problem details after RFC 9457, with the problems of the command line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProblemDetails {
    /// `about:blank`: the status says the kind, and each problem has its own code.
    #[serde(rename = "type")]
    pub kind: &'static str,
    /// The words of the status.
    pub title: &'static str,
    /// The status.
    pub status: u16,
    /// The first problem in words.
    pub detail: String,
    /// `tussock.problems/1`.
    pub format: &'static str,
    /// How many of the problems refuse the request.
    pub errors: usize,
    /// How many are told beside.
    pub warnings: usize,
    /// Every problem found.
    pub problems: Vec<ProblemEntry>,
}

/// One problem, as the command line tells it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProblemEntry {
    /// Stable code, such as `label::rate-range`.
    pub code: &'static str,
    /// `error` or `warning`.
    pub severity: &'static str,
    /// What was found.
    pub found: String,
    /// What was expected in its stead.
    pub expected: Option<String>,
    /// How to mend it.
    pub mend: Option<String>,
    /// The file as its user named it.
    pub file: Option<String>,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column in characters, from 1.
    pub column: Option<usize>,
    /// The field or feature.
    pub path: Option<String>,
    /// Degrees east of Greenwich, of what lies on a map; left out elsewhere.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longitude_deg: Option<f64>,
    /// Degrees north of the equator, likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub latitude_deg: Option<f64>,
}

impl From<ProblemJson> for ProblemEntry {
    fn from(problem: ProblemJson) -> Self {
        Self {
            code: problem.code,
            severity: match problem.severity {
                SeverityJson::Error => "error",
                SeverityJson::Warning => "warning",
            },
            found: problem.found,
            expected: problem.expected,
            mend: problem.mend,
            file: problem.file,
            line: problem.line,
            column: problem.column,
            path: problem.path,
            longitude_deg: problem.longitude_deg,
            latitude_deg: problem.latitude_deg,
        }
    }
}

impl Refusal {
    /// A refusal with this status.
    pub fn new(status: StatusCode, problems: impl Into<Problems>) -> Self {
        Self { status, problems: problems.into(), headers: Vec::new() }
    }

    /// What was sent can be read and not be used: status 422.
    pub fn unusable(problems: impl Into<Problems>) -> Self {
        Self::new(StatusCode::UNPROCESSABLE_ENTITY, problems)
    }

    /// There is nothing of this name, or nothing that the caller may know of: status 404.
    pub fn nothing(what: &str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            Problem::error("server::nothing-there", format!("there is no {what} of this name that you may see")),
        )
    }

    /// Nobody is signed in: status 401.
    pub fn signed_out() -> Self {
        Self::new(
            StatusCode::UNAUTHORIZED,
            Problem::error("server::signed-out", "nobody is signed in, or the session is over").mend("sign in"),
        )
    }

    /// The caller's role does not reach so far: status 403.
    pub fn not_allowed(problem: Problem) -> Self {
        Self::new(StatusCode::FORBIDDEN, problem)
    }

    /// The server failed; what is told to the client says no more than that. Status 500.
    pub fn failed() -> Self {
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            Problem::error("server::failed", "the server failed at this request")
                .mend("try again; if it stays so, look for the request's number in the server's log"),
        )
    }

    /// Too much at once: status 429, with the seconds to wait.
    pub fn wait(seconds: i64, problem: Problem) -> Self {
        Self::new(StatusCode::TOO_MANY_REQUESTS, problem).with(header::RETRY_AFTER, &seconds.max(1).to_string())
    }

    /// Adds a header.
    #[must_use]
    pub fn with(mut self, name: HeaderName, value: &str) -> Self {
        if let Ok(value) = HeaderValue::from_str(value) {
            self.headers.push((name, value));
        }
        self
    }

    /// The status.
    pub fn status(&self) -> StatusCode {
        self.status
    }

    /// The problems.
    pub fn problems(&self) -> &Problems {
        &self.problems
    }
}

impl From<LedgerError> for Refusal {
    fn from(error: LedgerError) -> Self {
        let status = match &error {
            LedgerError::Conflict { .. } | LedgerError::Discarded(_) => StatusCode::CONFLICT,
            LedgerError::KeyReused(_) | LedgerError::Refused(_) => StatusCode::UNPROCESSABLE_ENTITY,
            LedgerError::UnknownAccount(_) | LedgerError::UnknownThing { .. } => StatusCode::NOT_FOUND,
            // What the database says may tell of its inside: it goes to the log, not to the client.
            LedgerError::Newer { .. } | LedgerError::Failed(_) => {
                tracing::error!(%error, "the ledger failed");
                return Self::failed();
            }
            LedgerError::Unreachable(_) => {
                tracing::error!(%error, "the ledger does not answer");
                let told = Problem::error("server::no-ledger", "the ledger does not answer at the moment")
                    .mend("send the same request with the same key again");
                return Self::new(StatusCode::SERVICE_UNAVAILABLE, told).with(header::RETRY_AFTER, "5");
            }
        };
        Self::new(status, error.problems())
    }
}

impl From<Problems> for Refusal {
    fn from(problems: Problems) -> Self {
        Self::unusable(problems)
    }
}

impl From<Problem> for Refusal {
    fn from(problem: Problem) -> Self {
        Self::unusable(problem)
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let document = ProblemsJson::from(&self.problems);
        let details = ProblemDetails {
            kind: "about:blank",
            title: self.status.canonical_reason().unwrap_or("Refused"),
            status: self.status.as_u16(),
            detail: self.problems.iter().next().map(|problem| problem.found.clone()).unwrap_or_default(),
            format: document.format,
            errors: document.errors,
            warnings: document.warnings,
            problems: document.problems.into_iter().map(ProblemEntry::from).collect(),
        };
        let body = serde_json::to_string(&details).unwrap_or_default();
        let mut response = (self.status, body).into_response();
        let headers = response.headers_mut();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("application/problem+json"));
        for (name, value) in self.headers {
            headers.append(name, value);
        }
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_carries_every_part_of_the_command_lines_problems() {
        let problem = Problem::error("label::rate-range", "rate `9` is too high").at("use[2].rate").mend("lower it");
        let problems = Problems::from(problem);
        let entry = ProblemEntry::from(ProblemsJson::from(&problems).problems.remove(0));
        let told: serde_json::Value = serde_json::to_value(&entry).unwrap();
        let command: serde_json::Value =
            serde_json::from_str(&exchange::problems_json::write_problems(&problems)).unwrap();
        assert_eq!(told, command["problems"][0]);
    }

    #[test]
    fn what_the_database_says_stays_in_the_log() {
        let error = LedgerError::Failed(Problem::error("ledger::database", "relation `sign_in` of host db7"));
        let refusal = Refusal::from(error);
        assert_eq!(refusal.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert!(!refusal.problems().to_string().contains("db7"));
    }
}
