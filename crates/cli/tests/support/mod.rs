//! Running the built command in a folder of its own.

// Not every file of tests has use for all of this.
#![allow(dead_code)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

/// A folder that is cleared away, in which the command runs.
pub(crate) struct Yard {
    folder: TempDir,
}

/// What a run left.
pub(crate) struct Ran {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Ran {
    /// Exit code, answers and complaints as one text for a snapshot.
    pub(crate) fn told(&self) -> String {
        format!("exit code: {}\n----- stdout\n{}----- stderr\n{}", self.code, self.stdout, self.stderr)
    }

    /// Standard output as the one JSON document that it must be.
    pub(crate) fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("{error} in {}", self.told()))
    }
}

impl Yard {
    /// An empty folder.
    pub(crate) fn empty() -> Self {
        Self { folder: tempfile::tempdir().expect("a temporary folder") }
    }

    /// A folder with a copy of the demo's files.
    pub(crate) fn with_demo() -> Self {
        let yard = Self::empty();
        copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo"), &yard.path("demo"));
        yard
    }

    /// A place in the folder.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file, and the folders on its way.
    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, bytes).expect("a file");
    }

    /// The text of a file.
    pub(crate) fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// Changes one text in a file into another; it must be there.
    pub(crate) fn change(&self, name: &str, from: &str, to: &str) {
        let text = self.read(name);
        assert!(text.contains(from), "`{from}` does not stand in {name}");
        self.write(name, text.replace(from, to));
    }

    /// Runs the command in the folder, where no variable names any books.
    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        self.run_where("", arguments)
    }

    /// Runs the command in the folder, where the variable names these books.
    pub(crate) fn run_where(&self, books: &str, arguments: &[&str]) -> Ran {
        let output = Command::new(env!("CARGO_BIN_EXE_tussock"))
            .args(arguments)
            .current_dir(self.folder.path())
            // The width to which help is wrapped.
            .env("COLUMNS", "100")
            .env("TUSSOCK_BOOKS", books)
            .output()
            .expect("the command runs");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
        Ran {
            code: output.status.code().expect("an exit code"),
            stdout: text(output.stdout),
            stderr: text(output.stderr),
        }
    }
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).expect("a copy");
        }
    }
}
