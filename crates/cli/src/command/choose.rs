//! `tussock choose`: the labels on the shelf, ranked for each task.

use super::plan::{one_verdict, read_request, wrapped};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use clap::Args;
use exchange::choice_json::write_choices;
use std::fmt::Write;
use std::path::PathBuf;
use treatment::{Choice, Status};

/// Rank the labels on the shelf for each task of a visit
///
/// Lawful ones come first: by the pest named, another mode-of-action group than last time, the milder
/// signal word. Each rejected label stands with the sentence that rejects it. The exit code is 3 when
/// some task has no lawful label.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock choose demo/alder-bend/visit.toml",
    "tussock choose demo/alder-bend/visit.toml --json",
))]
pub(crate) struct ChooseArgs {
    /// A visit request (TOML)
    visit: PathBuf,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

impl ChooseArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &ChooseArgs) -> CommandResult {
    let (request, warnings) = read_request(&args.visit)?;
    let choices =
        treatment::choose(&request).map_err(|problems| problems.in_file(&args.visit.display().to_string()))?;
    complain(&warnings);
    if args.json {
        say(&write_choices(&choices, &warnings));
    } else {
        say(&words(&choices));
    }
    let lawful = |task: &str| choices.iter().any(|choice| choice.task == task && choice.status != Status::Refused);
    let all = request.tasks.iter().all(|task| lawful(&task.id));
    Ok(if all { Outcome::Done } else { Outcome::Refused })
}

fn words(choices: &[Choice]) -> String {
    let mut out = String::new();
    for of_task in choices.chunk_by(|a, b| a.task == b.task) {
        let Some(first) = of_task.first() else { continue };
        let gap = if out.is_empty() { "" } else { "\n" };
        let _ = writeln!(out, "{gap}Task {}", first.task);
        let mut rank = 0;
        for choice in of_task {
            if choice.status == Status::Refused {
                let _ = writeln!(out, "  -  {} ({}): rejected", choice.product, choice.label);
            } else {
                rank += 1;
                let status = match choice.status {
                    Status::Allowed => "within the stated limits",
                    _ => "within the stated limits, with cautions",
                };
                let rate =
                    choice.planned.as_ref().map(|task| format!(", at {}", task.product.rate)).unwrap_or_default();
                let _ = writeln!(out, "  {rank}. {} ({}): {status}{rate}", choice.product, choice.label);
            }
            for reason in choice.reasons.iter().filter(|_| choice.status != Status::Refused) {
                out.push_str(&wrapped("     ", reason));
            }
            for verdict in &choice.rejections {
                one_verdict(&mut out, "     ", verdict);
            }
        }
    }
    out.push('\n');
    out.push_str(&wrapped("", REMINDER));
    out
}
