//! What `water` and `mow` share: the lawn file with its weather, and the visits that hold for it.

use super::desk::{BooksPlace, Desk};
use super::plan::{UnitsWord, files_beside, kept_name, looked_up_and_planned};
use crate::reading::read_text;
use business::{LawnDate, LawnWork};
use clap::Args;
use exchange::lawn_file::{LawnFile, LawnWish, parse_lawn};
use jiff::civil::Date;
use problem::Problems;
use season::mow_plan::plan_mowing;
use season::prohibition::visit_times;
use season::water_plan::plan_water;
use std::path::{Path, PathBuf};
use treatment::Visit;

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
    let mut lawn = match parsed(&args.lawn, &wish, desk.as_ref()) {
        Ok((lawn, warnings)) => {
            problems.extend(warnings);
            lawn
        }
        Err(found) => {
            problems.extend(found);
            return Err(problems);
        }
    };
    let mut times = Vec::new();
    for path in visits_of(&args.lawn, &lawn).into_iter().chain(args.visits.iter().cloned()) {
        match looked_up_and_planned(&path, desk.as_ref()) {
            // What its own files are warned of is told where it is planned.
            Ok(looked) => {
                let (found, warnings) = visit_times(&looked.visit, lawn.rest_after_treatment);
                times.push(found);
                problems.extend(warnings.in_file(&path.display().to_string()));
            }
            Err(found) => problems.extend(found),
        }
    }
    lawn.heed(times);
    problems.unless_errors(lawn)
}

/// The lawn file with its weather.
fn parsed(path: &Path, wish: &LawnWish, desk: Option<&Desk>) -> Result<(LawnFile, Problems), Problems> {
    let text = read_text(path, "a lawn file (TOML)")?;
    let shelf = desk.map(|desk| desk.ask(desk.book.shelf(&text))).transpose()?;
    let mut beside = files_beside(path);
    let mut fetch = |name: &str| {
        let kept = shelf.as_ref().and_then(|shelf| shelf.text(name));
        kept.unwrap_or_else(|| beside(name))
    };
    parse_lawn(&path.display().to_string(), &text, wish, &mut fetch)
}

/// The visits that a lawn file names, from where the command runs.
fn visits_of(path: &Path, lawn: &LawnFile) -> Vec<PathBuf> {
    let folder = path.parent().unwrap_or_else(|| Path::new(""));
    let beside = |name: &String| {
        let named = PathBuf::from(name);
        if kept_name(&named).is_some() { named } else { folder.join(named) }
    };
    lawn.visits.iter().map(beside).collect()
}

/// When a lawn is watered and mown around a visit, for those who live there. The visit holds whether the file names it or not.
///
/// # Errors
/// Everything wrong in the lawn file, in what it names and in its other visits.
pub(super) fn dates_around(path: &Path, visit: &Visit) -> Result<(Vec<LawnDate>, Problems), Problems> {
    let (mut lawn, mut problems) = parsed(path, &LawnWish::default(), None)?;
    let mut times = vec![visit_times(visit, lawn.rest_after_treatment).0];
    for other in visits_of(path, &lawn) {
        let other = looked_up_and_planned(&other, None)?.visit;
        if (&other.name, other.date) != (&visit.name, visit.date) {
            let (found, warnings) = visit_times(&other, lawn.rest_after_treatment);
            times.push(found);
            problems.extend(warnings);
        }
    }
    lawn.heed(times);
    let file = path.display().to_string();
    let mut dates = Vec::new();
    if let Some(request) = lawn.water {
        let plan = plan_water(request).map_err(|problems| problems.in_file(&file))?;
        let zones = plan.request.controller.zones();
        dates.extend(plan.programs().map(|program| {
            LawnDate {
                from: program.start,
                until: program.end,
                work: LawnWork::Water {
                    depth: program.depth,
                    zones: zones
                        .iter()
                        .map(|zone| {
                            let runs = zone.runs_for(program.depth);
                            (zone.name().to_owned(), runs.cycles, runs.minutes)
                        })
                        .collect(),
                },
            }
        }));
    }
    if let Some(request) = lawn.mowing {
        let plan = plan_mowing(request).map_err(|problems| problems.in_file(&file))?;
        dates.extend(plan.mowings().map(|(_, mowing)| LawnDate {
            from: mowing.within.from,
            until: mowing.within.until,
            work: LawnWork::Mow { to: mowing.cut_to },
        }));
    }
    dates.sort_by_key(|date| date.from);
    problems.unless_errors(dates)
}
