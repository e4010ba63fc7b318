//! `tussock plan`: one visit, or every visit of a folder.

mod files;
mod folder;
mod summary;
mod words;

use crate::care::examples_and_care;
use crate::command::desk::{BOOKS_VARIABLE, BooksPlace, Desk};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use business::{Tariff, with_cost_of_ways};
use clap::{Args, ValueEnum};
use exchange::aftercare_file::parse_aftercare;
use exchange::business_file::parse_business;
use exchange::visit_file::parse_visit;
use exchange::visit_json::write_visit;
use ledger::trade::{KEPT_VISIT, PlannedVisit, ReadVisit, VisitParties};
use problem::{Problem, Problems};
use std::path::{Path, PathBuf};
use treatment::{Visit, VisitRequest};

pub(crate) use files::{listed, write_files};
pub(crate) use summary::{one_verdict, summary};
pub(crate) use words::{both_depths, wrapped};

/// Plan a visit, or every visit request in a folder
///
/// Says whether the visit is lawful, where to treat, how much of what in which tanks, when to start,
/// what to wear, whom to keep off until when, and the next lawful date. Writes a work sheet (PDF), a
/// map and the hours (SVG), visit.json, zones.geojson and calendar.ics.
///
/// With books, what was applied before comes from their records, and names such as `books:property/Alder Bend`
/// in the request lead there; the visits of a folder do not see each other. `books:visit/Alder Bend` is a visit that
/// the books keep, with the files kept with it; where several are called so, the day stands behind the name.
///
/// Exit codes: 0 done and lawful, 1 bad input, 2 wrong use of the command, 3 refused by a verdict.
/// Of a folder, the worst counts; one bad visit does not stop the others. A TOML file in it that says
/// nothing known of itself is bad input, so that no visit is passed over.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock plan demo/alder-bend/visit.toml",
    "tussock plan demo/alder-bend/visit.toml --json > visit.json",
    "tussock plan demo/alder-bend/spots.visit.toml --business demo/business.toml",
    "tussock plan visits/ --out out/today --no-pdf",
    "tussock plan demo/alder-bend/visit.toml --books lawns.db",
    "tussock plan visits/ --books lawns.db --no-pdf",
    "tussock plan \"books:visit/Alder Bend\" --books lawns.db",
))]
pub(crate) struct PlanArgs {
    /// A visit request (TOML), a folder of them, or `books:visit/` and the name of a kept visit
    visit: PathBuf,
    /// The folder to write to [default: out/ and the name of the visit; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The business file (TOML), for what broadcast and spots cost where both stand side by side; with books, the kept
    /// one when nothing is said
    #[arg(long, value_name = "FILE")]
    business: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    look: Look,
    #[command(flatten)]
    place: BooksPlace,
}

/// How papers and words look.
#[derive(Debug, Clone, Copy, Args)]
pub(crate) struct Look {
    /// Write no PDF
    #[arg(long)]
    no_pdf: bool,
    /// The units that come first in words and on paper
    #[arg(long, value_enum, default_value_t = UnitsWord::Us)]
    units: UnitsWord,
    /// The paper of the work sheet
    #[arg(long, value_enum, default_value_t = PaperWord::Letter)]
    paper: PaperWord,
    /// Draw in black and white only
    #[arg(long)]
    black_and_white: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsWord {
    /// Feet, US gallons, degrees Fahrenheit
    Us,
    /// Metres, litres, degrees Celsius
    Metric,
}

impl UnitsWord {
    /// The units.
    pub(crate) fn units(self) -> sheet::Units {
        match self {
            Self::Us => sheet::Units::UsCustomary,
            Self::Metric => sheet::Units::Metric,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperWord {
    /// 8.5 by 11 inches
    Letter,
    /// 210 by 297 millimetres
    A4,
}

impl PaperWord {
    /// The size of the paper.
    pub(crate) fn size(self) -> sheet::PaperSize {
        match self {
            Self::Letter => sheet::PaperSize::Letter,
            Self::A4 => sheet::PaperSize::A4,
        }
    }
}

impl Look {
    /// Whether a work sheet is written.
    pub(crate) fn has_pdf(self) -> bool {
        !self.no_pdf
    }

    /// How its papers are made.
    pub(crate) fn options(self) -> sheet::PaperOptions {
        sheet::PaperOptions {
            paper: self.paper(),
            units: self.units(),
            black_and_white: self.black_and_white,
            fonts: Vec::new(),
        }
    }

    fn units(self) -> sheet::Units {
        self.units.units()
    }

    fn paper(self) -> sheet::PaperSize {
        self.paper.size()
    }
}

impl PlanArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &PlanArgs) -> CommandResult {
    let desk = args.place.open_if_named()?;
    let tariff = args.business.as_deref().map(tariff).transpose()?;
    if args.visit.is_dir() {
        let with = folder::With { desk: desk.as_ref(), tariff: tariff.as_ref() };
        return folder::run(&args.visit, with, args.out.as_deref(), args.json, args.look);
    }
    let Looked { visit, people, warnings, .. } = looked_up_and_planned(&args.visit, desk.as_ref())?;
    let visit = with_cost(visit, tariff.as_ref())?;
    complain(&people);
    complain(&warnings);
    let out = args.out.clone().or_else(|| (!args.json).then(|| Path::new("out").join(name_of(&args.visit))));
    let written = out.map(|folder| write_files(&visit, &folder, args.look)).transpose()?;
    if args.json {
        say(&write_visit(&visit));
    } else {
        say(&summary(&visit, args.look));
        if let Some(written) = written {
            say(&listed(&written));
        }
    }
    Ok(Outcome::from(visit.verdict()))
}

/// The tariff of a business file.
fn tariff(path: &Path) -> Result<Tariff, Problems> {
    let text = read_text(path, "a business file (TOML)")?;
    let (business, warnings) = parse_business(&path.display().to_string(), &text)?;
    complain(&warnings);
    Ok(business.business.tariff)
}

/// A visit with what ways that stand side by side cost, where a tariff is at hand.
fn with_cost(visit: Visit, tariff: Option<&Tariff>) -> Result<Visit, Problems> {
    match tariff {
        Some(tariff) => with_cost_of_ways(visit, tariff),
        None => Ok(visit),
    }
}

/// A visit planned with the books, where there are any.
pub(super) struct Looked {
    pub(super) request: VisitRequest,
    /// What the books hold against its people is among its verdicts.
    pub(super) visit: Visit,
    /// The same as problems.
    pub(super) people: Problems,
    pub(super) warnings: Problems,
}

/// Plans a visit: with the past and the people of the books, or from its own files alone.
///
/// # Errors
/// As [`planned_with_people`], or [`planned_request`].
pub(super) fn looked_up_and_planned(path: &Path, desk: Option<&Desk>) -> Result<Looked, Problems> {
    let Some(desk) = desk else {
        let (request, visit, warnings) = planned_request(path)?;
        return Ok(Looked { request, visit, people: Problems::new(), warnings });
    };
    let (PlannedVisit { request, visit, warnings, .. }, _, people) = planned_with_people(path, desk)?;
    Ok(Looked { request, visit, people, warnings })
}

/// Plans a visit with the past and the people of the books.
///
/// # Errors
/// As [`read_and_plan_from`].
pub(super) fn planned_with_people(
    path: &Path,
    desk: &Desk,
) -> Result<(PlannedVisit, VisitParties, Problems), Problems> {
    let planned = read_and_plan_from(path, desk, false)?;
    let parties = desk.ask(desk.book.parties_of(&planned))?;
    let (planned, people) = desk.ask(desk.book.with_people(planned, &parties))?;
    let planned = desk.ask(desk.book.with_costs(planned))?;
    Ok((planned, parties, people))
}

/// Reads a visit request with all it names, and plans it; the request along.
///
/// # Errors
/// Everything wrong in those files, or that keeps the request from being planned.
pub(super) fn planned_request(path: &Path) -> Result<(VisitRequest, Visit, Problems), Problems> {
    not_kept(path)?;
    let text = read_text(path, "a visit request (TOML)")?;
    planned(&path.display().to_string(), &text, &mut files_beside(path))
}

/// Plans a visit request; `fetch` has the texts of the files that it names.
///
/// # Errors
/// As [`planned_request`].
pub(crate) fn planned(file: &str, text: &str, fetch: Fetch<'_>) -> Result<(VisitRequest, Visit, Problems), Problems> {
    let (request, warnings) = parse_visit(file, text, fetch)?;
    let visit = planned_visit(file, text, &request)?;
    Ok((request, visit, warnings))
}

/// Plans a request that was read from a text.
fn planned_visit(file: &str, text: &str, request: &VisitRequest) -> Result<Visit, Problems> {
    let mut visit = treatment::plan(request).map_err(|problems| problems.in_file(file))?;
    let care = parse_aftercare(file, text)?;
    visit.measures.extend(season::aftercare::figures(&care).map_err(|problems| problems.in_file(file))?);
    Ok(visit)
}

/// Reads and plans a visit with the books: they have the texts of what it names as `books:…`, and what
/// was applied before. A visit that is to be recorded is not its own past.
///
/// # Errors
/// As [`planned_request`], and what the books answer.
pub(crate) fn read_and_plan_from(path: &Path, desk: &Desk, is_recorded: bool) -> Result<PlannedVisit, Problems> {
    let read = if let Some(name) = kept_name(path) {
        read_kept(name, path, desk)?
    } else {
        let text = read_text(path, "a visit request (TOML)")?;
        let shelf = desk.ask(desk.book.shelf(&text))?;
        ReadVisit::read(&path.display().to_string(), text, &shelf, files_beside(path))?
    };
    let past = desk.ask(desk.book.history_of(read.request(), is_recorded))?;
    read.plan(past)
}

/// The name of a visit that the books keep, where that is what is asked for.
pub(super) fn kept_name(path: &Path) -> Option<&str> {
    path.to_str()?.strip_prefix(KEPT_VISIT)
}

/// Reads a visit out of the books: what it names in the books as it is now, its other files as they were kept with it.
///
/// # Errors
/// As [`ledger::Book::meant_visit`]; everything wrong in those texts.
fn read_kept(name: &str, path: &Path, desk: &Desk) -> Result<ReadVisit, Problems> {
    let kept = desk.ask(desk.book.meant_visit(name))?;
    let text = kept.document.request.0;
    let shelf = desk.ask(desk.book.shelf(&text))?;
    let things = desk.ask(desk.book.things_named_in(&text))?;
    let files = kept.document.files;
    let fetch = |name: &str| match (things.get(name), files.get(name)) {
        (Some(text), _) => text.clone(),
        (None, Some(text)) => Ok(text.0.clone()),
        (None, None) => Err("it is not among the files kept with the visit".to_owned()),
    };
    let read = ReadVisit::read(&path.display().to_string(), text, &shelf, fetch)?;
    Ok(read.kept_as(kept.thing))
}

/// Refuses the name of a kept visit where no books are open.
fn not_kept(path: &Path) -> Result<(), Problem> {
    match kept_name(path) {
        None => Ok(()),
        Some(name) => {
            Err(Problem::error("books::not-named", format!("nothing says which books keep the visit `{name}`"))
                .expected(format!("`--books LOCATION`, or the variable {BOOKS_VARIABLE}"))
                .mend("name the books, or a file of a visit request"))
        }
    }
}

/// Reads a visit request with all it names.
///
/// # Errors
/// Everything wrong in those files.
pub(super) fn read_request(path: &Path) -> Result<(VisitRequest, Problems), Problems> {
    not_kept(path)?;
    let text = read_text(path, "a visit request (TOML)")?;
    parse_visit(&path.display().to_string(), &text, &mut files_beside(path))
}

/// The text of a file named by a request, or why there is none.
pub(crate) type Fetch<'f> = &'f mut dyn FnMut(&str) -> Result<String, String>;

pub(super) fn files_beside(path: &Path) -> impl FnMut(&str) -> Result<String, String> {
    let folder = path.parent().unwrap_or_else(|| Path::new("")).to_owned();
    // The reader sets the whole reason in a sentence of its own, where marks within marks do not read.
    move |name| {
        read_text(&folder.join(name), "a file named by the visit request")
            .map_err(|problem| problem.found.replace('`', ""))
    }
}

/// What the answers of a visit request are called: its own name, or that of its folder when it is
/// only called `visit.toml`.
pub(super) fn name_of(path: &Path) -> PathBuf {
    if let Some(name) = kept_name(path) {
        let safe = |c: char| if c.is_alphanumeric() || " -_".contains(c) { c } else { '-' };
        return PathBuf::from(name.chars().map(safe).collect::<String>());
    }
    let stem = path.file_stem().unwrap_or_default();
    let folder = || std::path::absolute(path).ok()?.parent()?.file_name().map(PathBuf::from);
    if stem == "visit" { folder().unwrap_or_else(|| PathBuf::from(stem)) } else { PathBuf::from(stem) }
}
