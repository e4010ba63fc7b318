//! What `water` and `mow` share: the lawn file with its weather, and the visits that hold for it.

use super::desk::{BooksPlace, Desk};
use super::plan::{UnitsWord, files_beside, kept_name, looked_up_and_planned};
use crate::reading::read_text;
use clap::Args;
use exchange::lawn_file::{LawnFile, LawnWish, parse_lawn};
use jiff::civil::Date;
use problem::Problems;
use season::prohibition::visit_times;
use std::path::{Path, PathBuf};

/// The lawn, its weather and its visits.
#[derive(Debug, Args)]
pub(crate) struct LawnArgs {
    /// A lawn file (TOML)
    pub(super) lawn: PathBuf,
    /// A visit request that holds for the lawn beside those of the file (TOML, or `books:visit/` and a name)
    #[arg(long = "visit", value_name = "FILE")]
    visits: Vec<PathBuf>,
    /// Readings of the weather beside those of the file, in any of its forms
    #[arg(long = "weather", value_name = "FILE")]
    weather: Vec<PathBuf>,
    /// The first day to plan, such as `2026-07-07` [default: as the file says, else the first day of the readings]
    #[arg(long, value_name = "DATE")]
    from: Option<Date>,
    /// The folder to write to [default: out/ and the name of the lawn file; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    pub(super) json: bool,
    /// The units that come first in words and stand in the picture
    #[arg(long, value_enum, default_value_t = UnitsWord::Us)]
    pub(super) units: UnitsWord,
    #[command(flatten)]
    place: BooksPlace,
}

impl LawnArgs {
    /// The folder for the answers; `None` where none are written.
    pub(super) fn folder(&self) -> Option<PathBuf> {
        let usual = || (!self.json).then(|| Path::new("out").join(self.lawn.file_stem().unwrap_or_default()));
        self.out.clone().or_else(usual)
    }

    /// The file as its user named it.
    pub(super) fn file(&self) -> String {
        self.lawn.display().to_string()
    }
}

/// Reads the lawn and plans its visits; with it come the warnings.
///
/// # Errors
/// Everything wrong in the lawn file, in what it names and in the visits.
pub(super) fn read_lawn(args: &LawnArgs) -> Result<(LawnFile, Problems), Problems> {
    let desk = args.place.open_if_named().map_err(|failure| failure.0)?;
    let mut problems = Problems::new();
    let mut wish = LawnWish { plan_from: args.from, ..LawnWish::default() };
    for path in &args.weather {
        match read_text(path, "readings of the weather") {
            Ok(text) => wish.readings.push((path.display().to_string(), text)),
            Err(problem) => problems.push(problem),
        }
    }
    let text = read_text(&args.lawn, "a lawn file (TOML)")?;
    let shelf = desk.as_ref().map(|desk| desk.ask(desk.book.shelf(&text))).transpose()?;
    let mut beside = files_beside(&args.lawn);
    let mut fetch = |name: &str| {
        let kept = shelf.as_ref().and_then(|shelf| shelf.text(name));
        kept.unwrap_or_else(|| beside(name))
    };
    let read = parse_lawn(&args.file(), &text, &wish, &mut fetch);
    let (mut lawn, warnings) = match read {
        Ok(read) => read,
        Err(found) => {
            problems.extend(found);
            return Err(problems);
        }
    };
    problems.extend(warnings);
    let folder = args.lawn.parent().unwrap_or_else(|| Path::new(""));
    let of_file = lawn.visits.iter().map(|name| {
        let path = PathBuf::from(name);
        if kept_name(&path).is_some() { path } else { folder.join(path) }
    });
    let paths: Vec<PathBuf> = of_file.chain(args.visits.iter().cloned()).collect();
    let mut times = Vec::new();
    for path in paths {
        match planned_times(&path, desk.as_ref(), &lawn) {
            Ok((found, warnings)) => {
                times.push(found);
                problems.extend(warnings.in_file(&path.display().to_string()));
            }
            Err(found) => problems.extend(found),
        }
    }
    lawn.heed(times);
    problems.unless_errors(lawn)
}

/// What one visit forbids and demands. What its own files are warned of is told where it is planned.
fn planned_times(
    path: &Path,
    desk: Option<&Desk>,
    lawn: &LawnFile,
) -> Result<(season::prohibition::VisitTimes, Problems), Problems> {
    let looked = looked_up_and_planned(path, desk)?;
    Ok(visit_times(&looked.visit, lawn.rest_after_treatment))
}
