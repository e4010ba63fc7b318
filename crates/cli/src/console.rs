//! Standard output and standard error. Answers go to the one, problems and progress to the other.

use problem::Problems;
use std::io::{self, Write};

/// Writes an answer to standard output. A reader that closed its end early (`| head`) is no fault
/// of the command.
pub(crate) fn say(text: &str) {
    let mut out = io::stdout().lock();
    let _ = out.write_all(text.as_bytes());
    let _ = out.flush();
}

/// Writes problems to standard error.
pub(crate) fn complain(problems: &Problems) {
    if !problems.is_empty() {
        let _ = writeln!(io::stderr().lock(), "{problems}");
    }
}

/// Writes a remark to standard error.
pub(crate) fn remark(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}
