//! `tussock survey`: counts of a pest, kept with their places.

use super::thing::{Common, Look, is_json};
use crate::care::examples_and_care;
use crate::console::complain;
use crate::outcome::{CommandResult, Failure};
use crate::reading::read_text;
use clap::{Args, Subcommand};
use exchange::kept::{Kept, Property, Survey};
use exchange::survey_file::parse_survey;
use ledger::trade::reference;
use ledger::{Filter, Kind};
use problem::Problem;
use std::path::{Path, PathBuf};

/// Keep, list and show what was counted
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock survey keep demo/alder-bend/survey.toml --books lawns.db",
    "tussock survey list --books lawns.db",
))]
pub(crate) struct SurveyArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Keep a survey, or a newer version of the one of the same property, day, pest and method
    #[command(after_long_help = examples_and_care!("tussock survey keep demo/alder-bend/survey.toml --books lawns.db"))]
    Keep {
        /// The survey file (TOML), or the document (JSON) whose schema stands in schema/kept
        file: PathBuf,
        #[command(flatten)]
        common: Common,
    },
    #[command(flatten)]
    Look(Look),
}

impl SurveyArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        match &self.what {
            What::Keep { common, .. } => common.json,
            What::Look(look) => look.json(),
        }
    }
}

/// Carries the command out.
pub(crate) fn run(args: &SurveyArgs) -> CommandResult {
    match &args.what {
        What::Look(look) => look.run(Kind::Survey),
        What::Keep { file, common } => keep(file, common),
    }
}

fn keep(file: &Path, common: &Common) -> CommandResult {
    let shown = file.display().to_string();
    let text = read_text(file, "a survey file (TOML), or its document (JSON)")?;
    let (desk, survey) = if is_json(&text) {
        let survey = Survey::read(&text).map_err(|problems| problems.in_file(&shown))?;
        let desk = common.books.open()?;
        // A document names its property by identifier; one that leads nowhere would never be found again.
        let property = desk.ask(desk.book.meant::<Property>(survey.property.as_str()));
        property.map_err(|problems| placed(problems, &shown, "/property"))?;
        (desk, survey)
    } else {
        let (read, warnings) = parse_survey(&shown, &text)?;
        complain(&warnings);
        let desk = common.books.open()?;
        let property = desk.ask(desk.book.meant::<Property>(&read.property));
        let property = property.map_err(|problems| placed(problems, &shown, "property"))?;
        (desk, read.kept(reference(property.thing)?))
    };
    let day = Filter { from: Some(survey.date.date()), until: Some(survey.date.date()), ..Filter::of(Kind::Survey) };
    let is_same = |other: &Survey| {
        other.property == survey.property && other.pest == survey.pest && other.method == survey.method
    };
    let mut earlier = None;
    for entry in desk.ask(desk.book.all(&day))? {
        if is_same(&Survey::read(&entry.body)?) {
            earlier = Some(entry);
        }
    }
    desk.keep_over(earlier.as_ref(), &survey, None, common.json)
}

/// What the books know nothing of, where the file names it, and how it comes into the books.
fn placed(problems: problem::Problems, file: &str, path: &str) -> Failure {
    let keep_first = |problem: Problem| {
        problem.mend("correct the name, or keep the property first: `tussock property keep`").at(path).in_file(file)
    };
    Failure(problems.into_iter().map(keep_first).collect())
}
