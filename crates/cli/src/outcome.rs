//! How a command ended.

use problem::{Problem, Problems};
use std::process::ExitCode;
use treatment::Status;

/// How a command ended, from best to worst: of many visits the worst counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// Done, and lawful as far as the inputs tell.
    Done,
    /// Refused by a verdict.
    Refused,
    /// An input could not be used.
    BadInput,
}

impl Outcome {
    /// The exit code. Code 2, wrong use of the command, is given by the reader of the arguments.
    pub(crate) fn code(self) -> ExitCode {
        ExitCode::from(match self {
            Self::Done => 0,
            Self::BadInput => 1,
            Self::Refused => 3,
        })
    }
}

impl From<Status> for Outcome {
    fn from(status: Status) -> Self {
        match status {
            Status::Allowed | Status::Caution => Self::Done,
            Status::Refused => Self::Refused,
        }
    }
}

/// Why a command could not go on: the problems of its input. They are not yet shown.
#[derive(Debug)]
pub(crate) struct Failure(pub(crate) Problems);

impl From<Problems> for Failure {
    fn from(problems: Problems) -> Self {
        Self(problems)
    }
}

impl From<Problem> for Failure {
    fn from(problem: Problem) -> Self {
        Self(problem.into())
    }
}

/// What a command gives back.
pub(crate) type CommandResult = Result<Outcome, Failure>;
