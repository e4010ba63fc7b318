//! `tussock completions`: completions for a shell.

use crate::care::examples_and_care;
use crate::console::say;
use crate::outcome::Outcome;
use clap::{Args, CommandFactory};
use clap_complete::Shell;

/// Print completions for a shell
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock completions bash > ~/.local/share/bash-completion/completions/tussock",
))]
pub(crate) struct CompletionsArgs {
    /// The shell
    shell: Shell,
}

/// Carries the command out.
pub(crate) fn run<C: CommandFactory>(args: &CompletionsArgs) -> Outcome {
    let mut command = C::command();
    let mut bytes = Vec::new();
    clap_complete::generate(args.shell, &mut command, "tussock", &mut bytes);
    say(&String::from_utf8_lossy(&bytes));
    Outcome::Done
}
