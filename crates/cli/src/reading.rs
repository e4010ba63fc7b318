//! Reading files, the only place where it is done.

use problem::Problem;
use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::Path;

/// The largest file read: far above any map or forecast of one visit, far below what fills a
/// machine's memory.
const LARGEST: u64 = 64 * 1024 * 1024;

/// The text of a file of the kind named by `kind` (`a visit request`), without a byte-order mark.
///
/// # Errors
/// One problem that says why the file cannot be used: `file::missing`, `file::folder`,
/// `file::unreadable`, `file::too-large`, `file::empty`, `file::wrong-kind`, `file::not-text`.
pub(crate) fn read_text(path: &Path, kind: &str) -> Result<String, Problem> {
    let shown = path.display().to_string();
    let fail = |code, found: String| Err(Problem::error(code, found).in_file(shown.clone()));
    let metadata = match fs::metadata(path) {
        Ok(metadata) => metadata,
        Err(error) => return Err(cannot_open(path, kind, &error)),
    };
    if metadata.is_dir() {
        return fail("file::folder", format!("`{shown}` is a folder"))
            .map_err(|problem| problem.expected(format!("a file: {kind}")));
    }
    if metadata.len() > LARGEST {
        return fail("file::too-large", format!("`{shown}` has {} bytes", metadata.len()))
            .map_err(|problem| problem.expected(format!("{kind} of at most {LARGEST} bytes")));
    }
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|file| file.take(LARGEST).read_to_end(&mut bytes));
    if let Err(error) = read {
        return Err(cannot_open(path, kind, &error));
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return fail("file::empty", format!("`{shown}` is empty"))
            .map_err(|problem| problem.expected(kind.to_owned()).mend("fill it in, or name another file"));
    }
    if let Some(what) = recognised(&bytes) {
        return fail("file::wrong-kind", format!("`{shown}` is {what}")).map_err(|problem| {
            problem
                .expected(format!("{kind}, a text file"))
                .mend("name the text file, or export the data as text first")
        });
    }
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let before = &error.as_bytes()[..at];
            let line = before.split(|&byte| byte == b'\n').count();
            let start = before.iter().rposition(|&byte| byte == b'\n').map_or(0, |newline| newline + 1);
            let column = String::from_utf8_lossy(&before[start..]).chars().count() + 1;
            return fail("file::not-text", format!("byte {} of `{shown}` is not UTF-8 text", at + 1)).map_err(
                |problem| {
                    problem.at_line(line, column).expected(format!("{kind}, in UTF-8")).mend("save the file in UTF-8")
                },
            );
        }
    };
    Ok(match text.strip_prefix('\u{feff}') {
        Some(rest) => rest.to_owned(),
        None => text,
    })
}

fn cannot_open(path: &Path, kind: &str, error: &std::io::Error) -> Problem {
    let shown = path.display().to_string();
    let problem = match error.kind() {
        ErrorKind::NotFound => {
            let problem = Problem::error("file::missing", format!("there is no `{shown}`")).expected(kind.to_owned());
            match deepest_folder(path) {
                Some(folder) => problem.mend(format!("look for the name in `{folder}`")),
                None => problem,
            }
        }
        ErrorKind::PermissionDenied => {
            Problem::error("file::unreadable", format!("`{shown}` may not be read by this user"))
                .expected(kind.to_owned())
        }
        _ => Problem::error("file::unreadable", format!("`{shown}` cannot be read: {error}")).expected(kind.to_owned()),
    };
    problem.in_file(shown)
}

/// The deepest folder on the way to a path that is there, so that a person can look into it.
fn deepest_folder(path: &Path) -> Option<String> {
    let folder = path.ancestors().skip(1).find(|folder| folder.as_os_str().is_empty() || folder.is_dir())?;
    Some(if folder.as_os_str().is_empty() { ".".to_owned() } else { folder.display().to_string() })
}

/// What a file that is no text is, by its first bytes.
///
/// # Source
/// ISO 32000-2, section 7.5.2 (`%PDF-`); APPNOTE.TXT 6.3.10, section 4.3.7 (`PK\x03\x04`);
/// W3C PNG specification, section 5.2; ITU-T T.81 annex B (`FF D8 FF`).
fn recognised(bytes: &[u8]) -> Option<&'static str> {
    const KINDS: &[(&[u8], &str)] = &[
        (b"%PDF-", "a PDF document"),
        (b"PK\x03\x04", "an archive or an office document"),
        (b"\x89PNG\r\n\x1a\n", "a picture (PNG)"),
        (b"\xff\xd8\xff", "a picture (JPEG)"),
        (b"GIF8", "a picture (GIF)"),
        (b"\x1f\x8b", "a compressed file (gzip)"),
        (b"\xff\xfe", "text in UTF-16"),
        (b"\xfe\xff", "text in UTF-16"),
    ];
    KINDS.iter().find(|(start, _)| bytes.starts_with(start)).map(|(_, what)| *what)
}
