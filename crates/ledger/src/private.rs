//! Files and folders that only their owner reads: a ledger holds names, addresses and licences.

use std::fs::{DirBuilder, OpenOptions};
use std::io::Result;
use std::path::Path;

/// Makes an empty file; an existing one is an error.
pub(crate) fn create_file(path: &Path) -> Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path).map(drop)
}

/// Makes a folder, and those above it that are missing.
pub(crate) fn create_folder(path: &Path) -> Result<()> {
    let mut builder = DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path)
}
