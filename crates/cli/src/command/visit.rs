//! `tussock visit`: planned visits, kept with their requests and every file that these name.

use super::plan::planned_with_people;
use super::thing::{Common, Look};
use crate::care::examples_and_care;
use crate::console::{complain, remark};
use crate::outcome::{CommandResult, Outcome};
use clap::{Args, Subcommand};
use exchange::kept::Visit;
use ledger::{Filter, Kind};
use std::path::{Path, PathBuf};
use treatment::Status;

/// Keep, list and show planned visits
///
/// Exit codes: 0 done and lawful, 1 bad input, 2 wrong use of the command, 3 refused by a verdict.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock visit keep demo/alder-bend/visit.toml --books lawns.db",
    "tussock visit list --books lawns.db",
    "tussock visit show \"Alder Bend\" --books lawns.db",
))]
pub(crate) struct VisitArgs {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Plan a visit with the books and keep it, or a newer version of the one of the same name and day
    ///
    /// Its request is kept with every file that it names, so that it can be planned again from what is kept. A
    /// visit that is refused is kept, too, and says so; the exit code is then 3.
    #[command(after_long_help = examples_and_care!("tussock visit keep demo/alder-bend/visit.toml --books lawns.db"))]
    Keep {
        /// A visit request (TOML)
        visit: PathBuf,
        #[command(flatten)]
        common: Common,
    },
    #[command(flatten)]
    Look(Look),
}

impl VisitArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        match &self.what {
            What::Keep { common, .. } => common.json,
            What::Look(look) => look.json(),
        }
    }
}

/// Carries the command out.
pub(crate) fn run(args: &VisitArgs) -> CommandResult {
    match &args.what {
        What::Look(look) => look.run(Kind::Visit),
        What::Keep { visit, common } => keep(visit, common),
    }
}

fn keep(file: &Path, common: &Common) -> CommandResult {
    let desk = common.books.open()?;
    let (planned, parties, people) = planned_with_people(file, &desk)?;
    complain(&planned.warnings);
    complain(&people);
    let document: Visit = planned.document(&parties)?;
    let date = planned.visit.date;
    let day = Filter { from: Some(date), until: Some(date), ..Filter::of(Kind::Visit) };
    let all = desk.ask(desk.book.all(&day))?;
    let earlier = all.into_iter().find(|entry| entry.indexed.title.eq_ignore_ascii_case(&document.name));
    desk.keep_over(earlier.as_ref(), &document, None, common.json)?;
    if planned.visit.verdict() == Status::Refused {
        remark("the plan of this visit is refused; it is kept, and says so");
    }
    Ok(Outcome::from(planned.visit.verdict()))
}
