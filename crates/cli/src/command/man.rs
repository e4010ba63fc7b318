//! `tussock man`: manual pages.

use crate::care::examples_and_care;
use crate::console::say;
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::writing::write_file;
use clap::{Args, CommandFactory};
use problem::Problem;
use std::path::{Path, PathBuf};

/// Print the manual page, or write one for every command
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock man | man -l -", "tussock man ~/.local/share/man/man1"))]
pub(crate) struct ManArgs {
    /// The folder for a page of every command; without it the main page is printed
    dir: Option<PathBuf>,
}

/// Carries the command out.
pub(crate) fn run<C: CommandFactory>(args: &ManArgs) -> CommandResult {
    let mut command = C::command();
    command.build();
    match &args.dir {
        None => say(&String::from_utf8_lossy(&page(&command)?)),
        Some(dir) => write_all(&command, dir)?,
    }
    Ok(Outcome::Done)
}

fn page(command: &clap::Command) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    clap_mangen::Man::new(command.clone()).render(&mut bytes).map_err(|error| {
        let name = command.get_name();
        Failure(Problem::error("man::rendering", format!("the page of `{name}` cannot be made: {error}")).into())
    })?;
    Ok(bytes)
}

/// A page is named after the whole path of its command, `tussock-label-check.1`.
fn write_all(command: &clap::Command, dir: &Path) -> Result<(), Failure> {
    let name = command.get_display_name().unwrap_or_else(|| command.get_name());
    write_file(&dir.join(format!("{name}.1")), &page(command)?)?;
    for sub in command.get_subcommands().filter(|sub| sub.get_name() != "help") {
        write_all(sub, dir)?;
    }
    Ok(())
}
