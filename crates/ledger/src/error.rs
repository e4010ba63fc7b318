//! Why the ledger did not do as asked.

use std::fmt;

use problem::{Problem, Problems};

use crate::entry::Expected;
use crate::identity::{AccountId, ThingId};
use crate::request_key::RequestKey;

/// Why the ledger did not do as asked. Nothing was kept, unless [`LedgerError::Unreachable`]: then
/// the same request with the same key tells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LedgerError {
    /// Someone else kept another version meanwhile.
    Conflict {
        /// The thing.
        thing: ThingId,
        /// What the caller expected.
        expected: Expected,
        /// The version that is there; none when the thing is not kept.
        present: Option<u64>,
    },
    /// The key of the request was used for another request.
    KeyReused(RequestKey),
    /// The account is not in this ledger.
    UnknownAccount(AccountId),
    /// The thing, or the version of it that was asked for, is not in this account.
    UnknownThing {
        /// The thing.
        thing: ThingId,
        /// The version that was asked for; none for the newest.
        version: Option<u64>,
    },
    /// The thing was discarded and takes no more versions.
    Discarded(ThingId),
    /// The database was last used by a newer tussock.
    Newer {
        /// The newest step of the schema that this tussock knows.
        known: u64,
        /// The step that the database has reached.
        found: u64,
    },
    /// What was given cannot be kept.
    Refused(Problems),
    /// The database does not answer, or broke off.
    Unreachable(Problem),
    /// The database answered with a failure.
    Failed(Problem),
}

impl LedgerError {
    /// What is wrong, as the command line and the pages tell it.
    pub fn problems(&self) -> Problems {
        match self {
            Self::Conflict { thing, expected, present } => conflict(*thing, *expected, *present).into(),
            Self::KeyReused(key) => {
                Problem::error("ledger::key-reused", format!("the key `{key}` came before with another request"))
                    .expected("a key of its own for every request")
                    .mend("send the request with a new key")
                    .into()
            }
            Self::UnknownAccount(account) => {
                Problem::error("ledger::unknown-account", format!("the account `{account}` is not in this ledger"))
                    .into()
            }
            Self::UnknownThing { thing, version } => {
                let what = version.map_or_else(String::new, |version| format!("version {version} of "));
                Problem::error("ledger::unknown-thing", format!("{what}`{thing}` is not in this account")).into()
            }
            Self::Discarded(thing) => {
                Problem::error("ledger::discarded", format!("`{thing}` was discarded and takes no more versions"))
                    .mend("begin a new one")
                    .into()
            }
            Self::Newer { known, found } => Problem::error(
                "ledger::newer",
                format!("the ledger has reached step {found} of its schema, and this tussock knows {known}"),
            )
            .expected("a ledger of this tussock or an earlier one")
            .mend("use the newer tussock that last opened this ledger")
            .into(),
            Self::Refused(problems) => problems.clone(),
            Self::Unreachable(problem) | Self::Failed(problem) => problem.clone().into(),
        }
    }
}

fn conflict(thing: ThingId, expected: Expected, present: Option<u64>) -> Problem {
    let found = match present {
        Some(version) => format!("`{thing}` stands at version {version}"),
        None => format!("`{thing}` is not kept yet"),
    };
    let expected = match expected {
        Expected::New => "a thing not kept yet".to_owned(),
        Expected::Version(version) => format!("version {version}"),
    };
    Problem::error("ledger::conflict", found)
        .expected(expected)
        .mend("look at the version that is there, and make the change on top of it")
}

impl From<Problem> for LedgerError {
    fn from(problem: Problem) -> Self {
        Self::Refused(problem.into())
    }
}

impl From<Problems> for LedgerError {
    fn from(problems: Problems) -> Self {
        Self::Refused(problems)
    }
}

impl fmt::Display for LedgerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.problems().fmt(f)
    }
}

impl std::error::Error for LedgerError {}

impl From<sqlx::Error> for LedgerError {
    fn from(error: sqlx::Error) -> Self {
        match &error {
            sqlx::Error::Database(database) => of_database(database.as_ref()),
            sqlx::Error::Io(_)
            | sqlx::Error::Tls(_)
            | sqlx::Error::Protocol(_)
            | sqlx::Error::PoolTimedOut
            | sqlx::Error::PoolClosed
            | sqlx::Error::WorkerCrashed => unreachable(&error.to_string()),
            _ => Self::Failed(Problem::error(
                "ledger::unreadable",
                format!("the database gave what no ledger holds: {error}"),
            )),
        }
    }
}

fn unreachable(message: &str) -> LedgerError {
    LedgerError::Unreachable(
        Problem::error("ledger::unreachable", format!("the database does not answer: {message}"))
            .mend("see that the database runs, and send the same request with the same key again"),
    )
}

/// SQLite answers with its extended result code, whose low byte is the kind; PostgreSQL with the five
/// characters of an SQLSTATE.
///
/// # Source
/// SQLite, "Result and Error Codes"; PostgreSQL 15 documentation, appendix A.
fn of_database(error: &dyn sqlx::error::DatabaseError) -> LedgerError {
    let code = error.code().unwrap_or_default();
    let message = error.message();
    let problem = |code, mend: &str| {
        LedgerError::Failed(Problem::error(code, format!("the database refused: {message}")).mend(mend))
    };
    if code.len() == 5 && code.bytes().any(|byte| byte.is_ascii_uppercase() || byte == b'0') {
        return match &*code {
            // Class 08 is the connection, 57P0x a server that stops or starts.
            "57P01" | "57P02" | "57P03" => unreachable(message),
            connection if connection.starts_with("08") => unreachable(message),
            "28000" | "28P01" => problem("ledger::sign-in", "correct the user or the password in the address"),
            "3D000" => problem("ledger::no-database", "create the database on the server"),
            "42501" => problem(
                "ledger::not-allowed",
                "let the user create tables and the role `tussock_books`, or create that role and grant it to the user",
            ),
            "53100" => problem("ledger::full", "make room on the disk of the database"),
            _ => problem("ledger::database", "see the log of the database"),
        };
    }
    match code.parse::<i32>().map(|code| code & 0xff) {
        Ok(5 | 6) => problem("ledger::busy", "try again when the other program has ended its work"),
        Ok(8) => problem("ledger::read-only", "make the file and its folder writable"),
        Ok(10) => problem("ledger::disk", "see that the disk is sound"),
        Ok(11) => problem("ledger::damaged", "restore the ledger from its last backup"),
        Ok(13) => problem("ledger::full", "make room on the disk"),
        Ok(14) => problem("ledger::cannot-open", "see that the folder exists and may be written"),
        Ok(26) => problem("ledger::not-a-ledger", "name the file of a ledger"),
        _ => problem("ledger::database", "see that the file is a ledger and sound"),
    }
}
