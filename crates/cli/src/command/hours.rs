//! `tussock hours`: the hours of the forecast for each task, the best start, and what to look at on the spot.

use super::desk::BooksPlace;
use super::plan::{UnitsWord, looked_up_and_planned, name_of, wrapped};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::OutFolder;
use clap::Args;
use exchange::work_hours_json::write_work_hours;
use sheet::{HoursOptions, work_hours_svg};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use treatment::{Status, TaskHours, WorkHours};

/// Show when each task of a visit may lawfully and well be done, hour by hour over the whole forecast
///
/// Each hour is held against what the labels of the task say, the map (wind toward hives, water, places of play) and good
/// practice: air in layers, dew, drops that shrink, drying, bees, the dark. Of the starts from which the whole task ends
/// within the limits the best of each day stands with its reasons; and what no forecast knows, as a list for the spot.
/// Writes hours.json and a picture for each task (SVG).
///
/// A forecast is no measurement: wind and temperature are measured at the height of the nozzle before starting.
///
/// Exit codes: 0 every task has a start, 1 bad input, 2 wrong use of the command, 3 some task has none.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock hours demo/alder-bend/visit.toml",
    "tussock hours demo/alder-bend/visit.toml --json > hours.json",
    "tussock hours \"books:visit/Alder Bend\" --books lawns.db",
))]
pub(crate) struct HoursArgs {
    /// A visit request (TOML), or `books:visit/` and the name of a kept visit
    visit: PathBuf,
    /// The folder to write to [default: out/ and the name of the visit; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    /// The units of the pictures
    #[arg(long, value_enum, default_value_t = UnitsWord::Us)]
    units: UnitsWord,
    /// Draw in black and white only
    #[arg(long)]
    black_and_white: bool,
    #[command(flatten)]
    place: BooksPlace,
}

impl HoursArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &HoursArgs) -> CommandResult {
    let desk = args.place.open_if_named()?;
    let looked = looked_up_and_planned(&args.visit, desk.as_ref())?;
    let hours = treatment::work_hours(&looked.request)
        .map_err(|problems| problems.in_file(&args.visit.display().to_string()))?;
    complain(&looked.warnings);
    let out = args.out.clone().or_else(|| (!args.json).then(|| Path::new("out").join(name_of(&args.visit))));
    let text = write_work_hours(&hours, &looked.warnings);
    let mut written = String::new();
    if let Some(folder) = out {
        let mut folder = OutFolder::new(folder);
        folder.write("hours.json", "the hours as data", text.as_bytes())?;
        for task in &hours.tasks {
            let options =
                HoursOptions { colour: !args.black_and_white, units: args.units.units(), ..Default::default() };
            let svg = work_hours_svg(&hours, task, options);
            folder.write(
                &format!("hours-{}.svg", file_safe(&task.task)),
                "the hours of a task, drawn",
                svg.as_bytes(),
            )?;
        }
        for (path, what) in folder.written() {
            let _ = writeln!(written, "  {} ({what})", path.display());
        }
    }
    if args.json {
        say(&text);
    } else {
        say(&words(&hours));
        say(&format!("Written:\n{written}"));
    }
    let all = hours.tasks.iter().all(|task| !task.starts.is_empty());
    Ok(if all { Outcome::Done } else { Outcome::Refused })
}

/// A time of the day.
fn clock(time: jiff::civil::DateTime) -> String {
    time.strftime("%H:%M").to_string()
}

/// The name of a task as part of a file's name.
fn file_safe(task: &str) -> String {
    task.chars().map(|c| if c.is_alphanumeric() || "-_".contains(c) { c } else { '-' }).collect()
}

fn words(hours: &WorkHours) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}, planned for {}", hours.name, hours.date);
    for task in &hours.tasks {
        of_task(&mut out, hours, task);
    }
    out.push('\n');
    out.push_str(&wrapped("", REMINDER));
    out
}

fn of_task(out: &mut String, hours: &WorkHours, task: &TaskHours) {
    let minutes = task.duration.to(quantity::DurationUnit::Minute).ceil();
    let _ = writeln!(out, "\nTask {} ({}): {minutes} minutes with setting up", task.task, task.products.join(" with "));
    match task.best() {
        None => out.push_str(&wrapped(
            "  ",
            "No start from which it ends within the limits. Take another day, or split the work.",
        )),
        Some(best) => {
            let dry =
                best.dry_from.map(|dry| format!(", likely dry in the shade from {}", clock(dry))).unwrap_or_default();
            let (on, from, to) = (best.start.date(), clock(best.start), clock(best.finish));
            out.push_str(&wrapped("  ", &format!("Best start: {on} at {from}, done by {to}{dry}")));
            for reason in &best.reasons {
                out.push_str(&wrapped("    + ", reason));
            }
            for caution in &best.cautions {
                out.push_str(&wrapped("    ! ", caution));
            }
        }
    }
    for (date, _) in &hours.days {
        let of_day = |time: jiff::civil::DateTime| time.date() == *date;
        let windows: Vec<String> = task
            .windows
            .iter()
            .filter(|window| of_day(window.first))
            .map(|window| format!("{} to {}", clock(window.first), clock(window.last)))
            .collect();
        let day = if windows.is_empty() {
            let mut reasons: Vec<&str> = task
                .hours
                .iter()
                .filter(|hour| of_day(hour.hour.start) && hour.hour.status == Status::Refused)
                .filter_map(|hour| hour.strongest().map(|reason| reason.text.as_str()))
                .collect();
            reasons.sort_unstable();
            reasons.dedup();
            let why = if reasons.is_empty() { "too few hours".to_owned() } else { reasons.join(", ") };
            format!("{date}: no start ({why})")
        } else {
            format!("{date}: start {}", windows.join(", or "))
        };
        out.push_str(&wrapped("  ", &day));
    }
    out.push_str("  Before starting, on the spot:\n");
    for check in &task.checks {
        let limit = check.limit.as_ref().map(|limit| format!(": {limit}")).unwrap_or_default();
        let page = check.page.map(|page| format!(", page {page}")).unwrap_or_default();
        let by = check.clause.as_ref().map(|clause| format!(" (label{page}: “{clause}”)")).unwrap_or_default();
        out.push_str(&wrapped("    [ ] ", &format!("{}{limit}{by}", check.what)));
    }
}
