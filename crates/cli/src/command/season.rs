//! `tussock season`: the programme of a season, its proof, what it leaves and what binds.

mod words;

use super::plan::{PaperWord, UnitsWord, name_of};
use crate::argument::percent;
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use crate::writing::OutFolder;
use clap::Args;
use exchange::season_calendar::write_season_calendar;
use exchange::season_file::{SeasonFile, parse_season};
use exchange::season_json::write_season;
use problem::Problems;
use season::programme::{Answer, Change, Effort, Programme, WhatIf, solve, what_if};
use sheet::{PaperOptions, SeasonPicture, season_pdf, season_svg};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use words::words;

/// Find the lawful sequence of dates and products that holds the pests of a season down, with a proof
///
/// From the ground, the labels and their use rows, the pests expected week by week, money, and what was applied before
/// comes a programme: on which day to scout which ground, and with what to treat if counts call for it. It keeps the
/// numbers, intervals and caps of every label over their own window and across products, rotates mode-of-action
/// groups, and gains the most: damage prevented, at the worth that the file states, less money spent. The answer says
/// whether it is proven best or how much a better one could gain, what is left on each ground, what binds, and what
/// more money or one label fewer would change. Where pins and demands leave no programme it names rules that stand
/// against each other.
///
/// A planned date is a date to scout. Write what was counted and applied into the file, and solve again.
///
/// Exit codes: 0 there is a programme, 1 bad input, 2 wrong use of the command, 3 the rules leave none.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock season demo/alder-bend/season.toml",
    "tussock season demo/alder-bend/season.toml --json > season.json",
    "tussock season demo/alder-bend/season.toml --no-what-if",
))]
pub(crate) struct SeasonArgs {
    /// A season file (TOML)
    season: PathBuf,
    /// The folder to write to [default: out/ and the name of the season; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    /// Do not solve again with more money and without each label
    #[arg(long)]
    no_what_if: bool,
    /// A proof within so many percent of the best is good enough; 0 asks for the best itself
    #[arg(long, value_name = "PERCENT", value_parser = percent, default_value = "0.5")]
    gap: f64,
    /// How hard to try for it: parts of the search at the most
    #[arg(long, value_name = "PARTS", default_value_t = Effort::default().parts)]
    parts: u64,
    /// The units of the picture and the page
    #[arg(long, value_enum, default_value_t = UnitsWord::Us)]
    units: UnitsWord,
    /// The paper of the page
    #[arg(long, value_enum, default_value_t = PaperWord::Letter)]
    paper: PaperWord,
    /// Draw in black and white only
    #[arg(long)]
    black_and_white: bool,
}

impl SeasonArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &SeasonArgs) -> CommandResult {
    let (file, warnings) = read(&args.season)?;
    complain(&warnings);
    let effort = Effort { gap: args.gap, parts: args.parts, ..Effort::default() };
    let answer =
        solve(&file.request, effort).map_err(|problems| problems.in_file(&args.season.display().to_string()))?;
    let changes = match &answer {
        Answer::Programme(programme) if !args.no_what_if => changes(&file, programme, effort),
        _ => Vec::new(),
    };
    let text = write_season(&file, &answer, &changes, &warnings);
    let out = args.out.clone().or_else(|| (!args.json).then(|| Path::new("out").join(name_of(&args.season))));
    let written = match (out, &answer) {
        (Some(folder), Answer::Programme(programme)) => write_files(args, &file, programme, &text, folder)?,
        _ => String::new(),
    };
    if args.json {
        say(&text);
    } else {
        say(&words(&file, &answer, &changes));
        if !written.is_empty() {
            say(&format!("Written:\n{written}"));
        }
    }
    Ok(match answer {
        Answer::Programme(_) => Outcome::Done,
        Answer::Conflict(_) => Outcome::Refused,
    })
}

/// Reads a season file with the labels that it names.
fn read(path: &Path) -> Result<(SeasonFile, Problems), Problems> {
    let text = read_text(path, "a season file (TOML)")?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let mut fetch = |name: &str| read_text(&folder.join(name), "a label file (TOML)").map_err(|problem| problem.found);
    parse_season(&path.display().to_string(), &text, &mut fetch)
}

/// More money, and one label fewer for each that is used.
fn changes(file: &SeasonFile, programme: &Programme, effort: Effort) -> Vec<WhatIf> {
    use rayon::prelude::*;
    let request = &file.request;
    let mut labels: Vec<String> =
        programme.planned.iter().map(|one| request.uses[one.product_use].label.clone()).collect();
    labels.sort();
    labels.dedup();
    let budget = file.budget_step.filter(|_| request.budget.is_some()).map(Change::MoreBudget);
    let changes: Vec<Change> = budget.into_iter().chain(labels.into_iter().map(Change::WithoutLabel)).collect();
    changes.into_par_iter().filter_map(|change| what_if(request, &programme.planned, change, effort)).collect()
}

/// Writes every file of a programme; the list of them in words.
fn write_files(
    args: &SeasonArgs,
    file: &SeasonFile,
    programme: &Programme,
    json: &str,
    folder: PathBuf,
) -> Result<String, Problems> {
    let (request, units, colour) = (&file.request, args.units.units(), !args.black_and_white);
    let picture = SeasonPicture { request, planned: &programme.planned, colour, units, width: 960 };
    let options =
        PaperOptions { paper: args.paper.size(), units, black_and_white: args.black_and_white, fonts: Vec::new() };
    let money = words::Money(file.currency);
    let pdf = season_pdf(&picture, programme, &|minor| money.told(minor), file.invented, &options)?;
    let files = [
        ("season.pdf", "the page for the desk", Some(pdf)),
        ("season.svg", "the programme, drawn", Some(season_svg(&picture).into_bytes())),
        ("season.json", "the programme as data", Some(json.as_bytes().to_vec())),
        (
            "season.ics",
            "the dates to scout, for any calendar",
            write_season_calendar(request, programme).map(String::into_bytes),
        ),
    ];
    let mut out = OutFolder::new(folder);
    for (name, what, bytes) in files {
        match bytes {
            Some(bytes) => out.write(name, what, &bytes)?,
            None => out.without(name)?,
        }
    }
    let mut text = String::new();
    for (path, what) in out.written() {
        let _ = writeln!(text, "  {} ({what})", path.display());
    }
    Ok(text)
}
