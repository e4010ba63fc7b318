//! Every visit request of a folder, planned on every core.
//!
//! The folder is walked as it is planned, a bundle of requests at a time: what one visit needs is
//! let go when its files are written, so that memory does not grow with the number of properties.
//! Answers come in the order of the names, whatever core was first.

use super::{Look, Looked, looked_up_and_planned, summary::verdict_words, with_cost, write_files};
use crate::command::desk::Desk;
use crate::console::{complain, remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::reading::read_text;
use business::Tariff;
use indicatif::{ProgressBar, ProgressStyle};
use problem::{Problem, Problems};
use rayon::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};
use treatment::Status;

/// Requests planned before their answers are told: enough to keep every core busy.
const BUNDLE: usize = 256;

/// What is kept of a visit once its files are written.
struct Answer {
    path: PathBuf,
    planned: Result<Planned, Problems>,
    warnings: Problems,
}

struct Planned {
    name: String,
    status: Status,
    starts: Option<(String, String)>,
    out: Option<PathBuf>,
}

#[derive(Default)]
struct Counts {
    allowed: usize,
    caution: usize,
    refused: usize,
    bad: usize,
}

/// What the visits are planned with.
#[derive(Clone, Copy)]
pub(super) struct With<'w> {
    /// The books.
    pub(super) desk: Option<&'w Desk>,
    /// The tariff of the business.
    pub(super) tariff: Option<&'w Tariff>,
}

pub(super) fn run(root: &Path, with: With<'_>, out: Option<&Path>, json: bool, look: Look) -> CommandResult {
    let default_out = Path::new("out");
    let out = out.or_else(|| (!json).then_some(default_out));
    let mut walk = Walk::new(root)?;
    let progress = ProgressBar::new_spinner();
    if let Ok(style) = ProgressStyle::with_template("{spinner} {pos} visits, {per_sec}") {
        progress.set_style(style);
    }
    if json {
        say("{\"format\":\"tussock.visits/1\",\"visits\":[");
    }
    let mut counts = Counts::default();
    let mut first = true;
    loop {
        let bundle: Vec<PathBuf> = walk.by_ref().take(BUNDLE).collect();
        if bundle.is_empty() {
            break;
        }
        let answers: Vec<Option<Answer>> = bundle
            .into_par_iter()
            .map(|path| {
                let answer = match is_request(&path) {
                    Ok(false) => return None,
                    Ok(true) => plan_one(root, path, with, out, look),
                    Err(problems) => Answer { path, planned: Err(problems), warnings: Problems::new() },
                };
                progress.inc(1);
                Some(answer)
            })
            .collect();
        progress.suspend(|| {
            for answer in answers.into_iter().flatten() {
                tell(&answer, json, first, &mut counts);
                first = false;
            }
        });
    }
    progress.finish_and_clear();
    Ok(finish(root, json, &counts, walk.problems))
}

fn plan_one(root: &Path, path: PathBuf, with: With<'_>, out: Option<&Path>, look: Look) -> Answer {
    let mut warnings = Problems::new();
    let planned =
        looked_up_and_planned(&path, with.desk).and_then(|Looked { visit, people, warnings: found, .. }| {
            warnings = people.in_file(&path.display().to_string());
            warnings.extend(found);
            let visit = with_cost(visit, with.tariff)?;
            let folder = out.map(|out| out.join(place_of(root, &path)));
            if let Some(folder) = &folder {
                write_files(&visit, folder, look)?;
            }
            let instant = |time: jiff::civil::DateTime| time.strftime("%H:%M").to_string();
            Ok(Planned {
                name: visit.name.clone(),
                status: visit.verdict(),
                starts: visit.start_window.map(|window| (instant(window.first), instant(window.last))),
                out: folder,
            })
        });
    Answer { path, planned, warnings }
}

fn tell(answer: &Answer, json: bool, first: bool, counts: &mut Counts) {
    let shown = answer.path.display().to_string();
    complain(&answer.warnings);
    match &answer.planned {
        Ok(planned) => {
            match planned.status {
                Status::Allowed => counts.allowed += 1,
                Status::Caution => counts.caution += 1,
                Status::Refused => counts.refused += 1,
            }
            if !json {
                let starts = match &planned.starts {
                    Some((first, last)) => format!("; start from {first} to {last}"),
                    None => "; no lawful start known".to_owned(),
                };
                say(&format!("{shown}: {}: {}{starts}\n", planned.name, verdict_words(planned.status)));
            }
        }
        Err(problems) => {
            counts.bad += 1;
            complain(problems);
            if !json {
                say(&format!("{shown}: bad input\n"));
            }
        }
    }
    if json {
        let document = match &answer.planned {
            Ok(planned) => serde_json::json!({
                "file": shown,
                "name": planned.name,
                "verdict": planned.status.word(),
                "start_first": planned.starts.as_ref().map(|(first, _)| first),
                "start_last": planned.starts.as_ref().map(|(_, last)| last),
                "out": planned.out.as_ref().map(|out| out.display().to_string()),
                "problems": exchange::problems_json::ProblemsJson::from(&answer.warnings).problems,
            }),
            Err(problems) => serde_json::json!({
                "file": shown,
                "name": null,
                "verdict": null,
                "start_first": null,
                "start_last": null,
                "out": null,
                "problems": exchange::problems_json::ProblemsJson::from(problems).problems,
            }),
        };
        say(&format!("{}{document}\n", if first { "" } else { "," }));
    }
}

fn finish(root: &Path, json: bool, counts: &Counts, mut problems: Problems) -> Outcome {
    let all = counts.allowed + counts.caution + counts.refused + counts.bad;
    if all == 0 {
        let shown = root.display().to_string();
        problems.push(
            Problem::error("plan::no-visits", format!("`{shown}` holds no visit request"))
                .expected(format!(
                    "files `visit.toml`, or TOML files whose `format` is `{}`",
                    exchange::visit_file::FORMAT
                ))
                .in_file(shown),
        );
    }
    complain(&problems);
    let noun = if all == 1 { "visit" } else { "visits" };
    let line = format!(
        "{all} {noun}: {} allowed, {} with cautions, {} refused, {} with bad input",
        counts.allowed, counts.caution, counts.refused, counts.bad
    );
    if json {
        remark(&line);
        let summary = serde_json::json!({
            "visits": all,
            "allowed": counts.allowed,
            "caution": counts.caution,
            "refused": counts.refused,
            "bad_input": counts.bad,
        });
        let problems = serde_json::json!(exchange::problems_json::ProblemsJson::from(&problems).problems);
        say(&format!("],\"summary\":{summary},\"problems\":{problems}}}\n"));
    } else {
        say(&format!("{line}\n"));
    }
    if counts.bad > 0 || problems.has_errors() {
        Outcome::BadInput
    } else if counts.refused > 0 {
        Outcome::Refused
    } else {
        Outcome::Done
    }
}

/// Whether a TOML file asks for a visit: by its name, or by the format it states.
///
/// # Errors
/// A file that cannot be read, or that is none of the project's: a visit that was meant must not be
/// passed over.
fn is_request(path: &Path) -> Result<bool, Problems> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    if name == "visit.toml" || name.ends_with(".visit.toml") {
        return Ok(true);
    }
    let text = read_text(path, "a visit request (TOML)")?;
    exchange::format_line::is_visit_request(&path.display().to_string(), &text)
}

/// Where the answers of a request go, below the folder for all: the place of the request below the
/// root, named after it; a `visit.toml` is named after its folder, unless a neighbour has that name.
fn place_of(root: &Path, path: &Path) -> PathBuf {
    let below = path.strip_prefix(root).unwrap_or(path).with_extension("");
    if below.file_name().is_some_and(|name| name == "visit")
        && let Some(folder) = below.parent().filter(|folder| !folder.as_os_str().is_empty())
        && !root.join(folder).with_added_extension("toml").is_file()
    {
        return folder.to_owned();
    }
    below
}

/// The TOML files below a folder, in the order of their names. Links to folders are not followed.
struct Walk {
    folders: Vec<std::vec::IntoIter<PathBuf>>,
    problems: Problems,
}

impl Walk {
    fn new(root: &Path) -> Result<Self, Problem> {
        Ok(Self { folders: vec![entries(root)?], problems: Problems::new() })
    }
}

impl Iterator for Walk {
    type Item = PathBuf;

    fn next(&mut self) -> Option<PathBuf> {
        while let Some(folder) = self.folders.last_mut() {
            let Some(path) = folder.next() else {
                self.folders.pop();
                continue;
            };
            let metadata = match fs::symlink_metadata(&path) {
                Ok(metadata) => metadata,
                Err(error) => {
                    self.problems.push(unreadable(&path, &error));
                    continue;
                }
            };
            if metadata.is_dir() {
                match entries(&path) {
                    Ok(entries) => self.folders.push(entries),
                    Err(problem) => self.problems.push(problem),
                }
            } else if path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml")) {
                return Some(path);
            }
        }
        None
    }
}

fn entries(folder: &Path) -> Result<std::vec::IntoIter<PathBuf>, Problem> {
    let mut paths = fs::read_dir(folder)
        .and_then(|entries| entries.map(|entry| entry.map(|entry| entry.path())).collect::<Result<Vec<_>, _>>())
        .map_err(|error| unreadable(folder, &error))?;
    paths.sort();
    Ok(paths.into_iter())
}

fn unreadable(path: &Path, error: &std::io::Error) -> Problem {
    let shown = path.display().to_string();
    Problem::error("file::unreadable", format!("`{shown}` cannot be read: {error}"))
        .expected("a folder whose files and folders this user may read")
        .mend("allow it to be read, or take it out of the folder")
        .in_file(shown)
}
