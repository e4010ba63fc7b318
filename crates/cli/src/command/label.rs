//! `tussock label check`: what is missing, contradictory or implausible in a label file.

use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::Outcome;
use crate::reading::read_text;
use clap::{Args, Subcommand};
use exchange::label_file::check_label;
use exchange::problems_json::write_problems;
use problem::Problems;
use std::path::{Path, PathBuf};

/// Work with label files
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock label check demo/labels/brackwater-sc.toml"))]
pub(crate) struct LabelArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Say what is missing, contradictory or implausible in label files
    #[command(after_long_help = examples_and_care!(
        "tussock label check demo/labels/brackwater-sc.toml",
        "tussock label check demo/broken/label-wrong.toml --json",
    ))]
    Check {
        /// Label files (TOML)
        #[arg(required = true)]
        files: Vec<PathBuf>,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
}

/// Carries the command out.
pub(crate) fn run(args: &LabelArgs) -> Outcome {
    let What::Check { files, json } = &args.what;
    let mut all = Problems::new();
    let mut out = String::new();
    for file in files {
        let problems = check(file);
        let warnings = problems.iter().filter(|problem| problem.severity == problem::Severity::Warning).count();
        out.push_str(&verdict(file, problems.len() - warnings, warnings));
        all.extend(problems);
    }
    complain(&all);
    say(&if *json { write_problems(&all) } else { out });
    if all.has_errors() { Outcome::BadInput } else { Outcome::Done }
}

fn check(file: &Path) -> Problems {
    match read_text(file, "a label file (TOML)") {
        Ok(text) => check_label(&file.display().to_string(), &text).1,
        Err(problem) => problem.into(),
    }
}

fn verdict(file: &Path, errors: usize, warnings: usize) -> String {
    let counted = |count: usize, what: &str| format!("{count} {what}{}", if count == 1 { "" } else { "s" });
    let words = match (errors, warnings) {
        (0, 0) => "nothing found wrong; the printed label governs".to_owned(),
        (0, _) => format!("{}; the printed label governs", counted(warnings, "warning")),
        (_, 0) => counted(errors, "error"),
        _ => format!("{}, {}", counted(errors, "error"), counted(warnings, "warning")),
    };
    format!("{}: {words}\n", file.display())
}
