//! Standard output and standard error. Answers go to the one, problems and progress to the other.

use problem::Problems;
use std::io::{self, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether some answer could not be written.
static LOST: AtomicBool = AtomicBool::new(false);

/// Writes an answer to standard output. A reader that closed its end early (`| head`) is no fault
/// of the command; any other answer that is lost is told, and spoils the exit code.
pub(crate) fn say(text: &str) {
    let mut out = io::stdout().lock();
    let written = out.write_all(text.as_bytes()).and_then(|()| out.flush());
    if let Err(error) = written
        && error.kind() != io::ErrorKind::BrokenPipe
        && !LOST.swap(true, Ordering::Relaxed)
    {
        remark(&format!("error: the answer could not be written: {error}"));
    }
}

/// Whether some answer could not be written.
pub(crate) fn is_lost() -> bool {
    LOST.load(Ordering::Relaxed)
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
