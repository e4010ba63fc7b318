//! `tussock label`: what is missing, contradictory or implausible in a label file, and what changed
//! between two versions of one label.

use crate::care::examples_and_care;
use crate::command::desk::BooksArgs;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use clap::{Args, Subcommand};
use exchange::kept::{self, FileText};
use exchange::label_file::{check_label, parse_label};
use exchange::problems_json::write_problems;
use jiff::civil::Date;
use problem::Problems;
use std::fmt::Write as _;
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
    /// Say what a newer label says otherwise than an older one
    ///
    /// The label on the container in hand governs it: an older container keeps its older text, and the
    /// two are never blended.
    #[command(after_long_help = examples_and_care!(
        "tussock label compare demo/labels/brackwater-sc.toml my-newer-label.toml",
    ))]
    Compare {
        /// The older label (TOML)
        older: PathBuf,
        /// The newer label (TOML)
        newer: PathBuf,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
    /// Keep a label in the books, or a newer version of it
    #[command(after_long_help = examples_and_care!(
        "tussock label keep demo/labels/brackwater-sc.toml --compared-on 2026-03-01 --books lawns.db",
    ))]
    Keep {
        /// The label file (TOML)
        file: PathBuf,
        /// The day on which the file was held against the container in hand
        #[arg(long, value_name = "DATE")]
        compared_on: Option<Date>,
        #[command(flatten)]
        books: BooksArgs,
        /// Print one JSON document on standard output, and nothing else there
        #[arg(long)]
        json: bool,
    },
}

impl LabelArgs {
    /// Whether a failure is told as a document; the problems of a check are its answer, which the command
    /// prints itself.
    pub(crate) fn json(&self) -> bool {
        matches!(&self.what, What::Keep { json: true, .. })
    }
}

/// Carries the command out.
pub(crate) fn run(args: &LabelArgs) -> CommandResult {
    match &args.what {
        What::Check { files, json } => Ok(check_all(files, *json)),
        What::Compare { older, newer, json } => Ok(compare(older, newer, *json)),
        What::Keep { file, compared_on, books, json } => keep(file, *compared_on, books, *json),
    }
}

/// Keeps a label, or a newer version of it.
fn keep(file: &Path, compared_on: Option<Date>, books: &BooksArgs, json: bool) -> CommandResult {
    let text = read_text(file, "a label file (TOML)")?;
    let label = parse_label(&file.display().to_string(), &text)?.0;
    let document = kept::Label {
        id: label.id,
        label: FileText(text),
        compared_on: compared_on.map(kept::Day::new),
        compared_by: compared_on.is_some().then(|| books.by()),
        note: None,
    };
    let desk = books.open()?;
    let id = document.id.clone();
    desk.keep_called(&id, &document, None, json)
}

fn compare(older: &Path, newer: &Path, json: bool) -> Outcome {
    let mut all = Problems::new();
    let mut read = |file: &Path| {
        let text = match read_text(file, "a label file (TOML)") {
            Ok(text) => text,
            Err(problem) => {
                all.push(problem);
                return None;
            }
        };
        let (label, problems) = check_label(&file.display().to_string(), &text);
        // What is missing from either is `label check`'s to say.
        let errors = problems.into_iter().filter(|problem| problem.severity == problem::Severity::Error);
        let errors: Vec<problem::Problem> = errors.collect();
        let sound = errors.is_empty();
        all.extend(errors);
        label.filter(|_| sound)
    };
    let (older, newer) = (read(older), read(newer));
    complain(&all);
    let (Some(older), Some(newer)) = (older, newer) else {
        if json {
            say(&write_problems(&all));
        }
        return Outcome::BadInput;
    };
    let differences = label::differences(&older, &newer);
    if json {
        say(&exchange::difference_json::write_differences(&older, &newer, &differences));
        return Outcome::Done;
    }
    let mut out = match differences.len() {
        0 => "the two labels say the same\n".to_owned(),
        1 => "1 difference\n".to_owned(),
        many => format!("{many} differences\n"),
    };
    for difference in &differences {
        let has_other_figure = difference.older_figure != difference.newer_figure;
        let said = |text: &Option<String>, figure: &Option<String>| {
            let words = text.as_deref().unwrap_or("says nothing");
            let figure = figure.as_deref().filter(|_| has_other_figure);
            figure.map_or_else(|| words.to_owned(), |figure| format!("{words} [{figure}]"))
        };
        let _ = writeln!(out, "\n{}", difference.subject);
        out.push_str(&super::plan::wrapped("  older: ", &said(&difference.older, &difference.older_figure)));
        out.push_str(&super::plan::wrapped("  newer: ", &said(&difference.newer, &difference.newer_figure)));
    }
    out.push_str("\nEach container is governed by its own label.\n");
    say(&out);
    Outcome::Done
}

fn check_all(files: &[PathBuf], json: bool) -> Outcome {
    let mut all = Problems::new();
    let mut out = String::new();
    for file in files {
        let problems = check(file);
        let warnings = problems.iter().filter(|problem| problem.severity == problem::Severity::Warning).count();
        out.push_str(&verdict(file, problems.len() - warnings, warnings));
        all.extend(problems);
    }
    complain(&all);
    say(&if json { write_problems(&all) } else { out });
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
