//! Writing files, the only place where it is done.

use problem::Problem;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// Numbers the files written: several runs, and several threads of one, may write one place at once.
static NUMBER: AtomicU64 = AtomicU64::new(0);

/// Writes a file and the folders on its way.
///
/// The file is written beside its place and then moved onto it, so that a stop half-way leaves the
/// earlier file whole.
///
/// # Errors
/// `file::unwritable` when the file or its folder cannot be made.
pub(crate) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let fail = |error: std::io::Error| {
        Problem::error("file::unwritable", format!("`{}` cannot be written: {error}", path.display()))
            .mend("name another place with --out, or make room")
            .in_file(path.display().to_string())
    };
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        fs::create_dir_all(folder).map_err(fail)?;
    }
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(format!(".{}-{}.part", std::process::id(), NUMBER.fetch_add(1, Ordering::Relaxed)));
    let beside = path.with_file_name(name);
    fs::write(&beside, bytes).and_then(|()| fs::rename(&beside, path)).map_err(|error| {
        let _ = fs::remove_file(&beside);
        fail(error)
    })
}

/// The files of one answer, all in one folder.
#[derive(Debug)]
pub(crate) struct OutFolder {
    folder: PathBuf,
    written: Vec<(PathBuf, &'static str)>,
}

impl OutFolder {
    /// A folder, made when the first file is written.
    pub(crate) fn new(folder: impl Into<PathBuf>) -> Self {
        Self { folder: folder.into(), written: Vec::new() }
    }

    /// Writes a file by its name, with a word on what it is.
    ///
    /// # Errors
    /// As [`write_file`].
    pub(crate) fn write(&mut self, name: &str, what: &'static str, bytes: &[u8]) -> Result<(), Problem> {
        let path = self.folder.join(name);
        write_file(&path, bytes)?;
        self.written.push((path, what));
        Ok(())
    }

    /// Takes away what an earlier run left under a name that this one does not write: it would stand
    /// beside answers that it does not belong to.
    ///
    /// # Errors
    /// `file::unwritable` when the file is there and cannot be taken away.
    pub(crate) fn without(&self, name: &str) -> Result<(), Problem> {
        let path = self.folder.join(name);
        match fs::remove_file(&path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(Problem::error(
                "file::unwritable",
                format!("`{}` is of an earlier run and cannot be taken away: {error}", path.display()),
            )
            .mend("take it away by hand, or name another place with --out")
            .in_file(path.display().to_string())),
            _ => Ok(()),
        }
    }

    /// What was written, in order.
    pub(crate) fn written(&self) -> &[(PathBuf, &'static str)] {
        &self.written
    }
}
