//! `tussock notice`: what the client, the neighbours and the passers-by are told, by when.

use super::lawn::dates_around;
use super::papers::{VisitAndBusiness, points, read, read_client, refusals, told_refused};
use super::plan::{Look, listed, name_of, wrapped};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::OutFolder;
use business::{Business, Client, Demands, Neighbour, NeighbourDeadline, Treatment, demands, lacking};
use clap::Args;
use exchange::demands_json::write_demands;
use jiff::civil::DateTime;
use jurisdiction::{CONFIRM_LOCAL_LAW, Known, NoticeItem, no_rule_known};
use problem::Problems;
use std::path::{Path, PathBuf};
use treatment::Visit;

/// Make the papers for the client, the neighbours and the sign, with their deadlines
///
/// Writes the client sheet, the posting sign and a notice for each neighbour who must be told or asked to be
/// (PDF), and demands.json. Tells by when each is given, put up and taken away, as far as the rules of the place
/// are known. What is not in the set of rules is not known: confirm local law. With books, what was applied before
/// and who applies count, as for `tussock plan`; nobody is told of a visit that is refused.
///
/// Exit codes: 0 done, 1 bad input, 2 wrong use of the command, 3 refused by a verdict.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock notice demo/alder-bend/visit.toml --business demo/business.toml --client demo/alder-bend/client.toml",
    "tussock notice visit.toml --business business.toml --client client.toml --out out/papers --paper a4",
    "tussock notice visit.toml --business business.toml --client client.toml --lawn lawn.toml",
))]
pub(crate) struct NoticeArgs {
    #[command(flatten)]
    files: VisitAndBusiness,
    /// The client file (TOML), with the neighbours
    #[arg(long, value_name = "FILE")]
    client: PathBuf,
    /// The lawn file (TOML), for the dates on which to water and to mow; they stand on the client sheet
    #[arg(long, value_name = "FILE")]
    lawn: Option<PathBuf>,
    /// The folder to write to [default: out/ and the name of the visit; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    look: Look,
}

impl NoticeArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &NoticeArgs) -> CommandResult {
    let read = read(&args.files)?;
    let (client, warnings) = read_client(&args.client)?;
    complain(&read.warnings);
    complain(&warnings);
    let refused = refusals(&read.visit);
    if !refused.is_empty() {
        say(&if args.json {
            exchange::quotation_json::write_quotation_refused(&read.visit.name, &refused)
        } else {
            told_refused(&format!("{}: REFUSED; nobody is told of what is not done", read.visit.name), &refused)
        });
        return Ok(Outcome::Refused);
    }
    let mut treatment = Treatment::planned(&read.visit);
    if let Some(file) = &args.lawn {
        let (dates, warnings) = dates_around(file, &read.visit)?;
        complain(&warnings);
        treatment.advice.lawn = dates;
    }
    let held = demands(&read.rules, &treatment, &read.business, &client, read.facts);
    let default_out = || (!args.json).then(|| Path::new("out").join(name_of(&args.files.visit)));
    let out = args.out.clone().or_else(default_out);
    let written = out
        .map(|folder| {
            let mut out = OutFolder::new(folder);
            let papers =
                Papers { visit: &read.visit, treatment: &treatment, business: &read.business, client: &client };
            papers.write(&mut out, &held, args.look).map(|()| out)
        })
        .transpose()?;
    if args.json {
        say(&write_demands(&held, &treatment, &read.business, read.visit.offset));
    } else {
        say(&words(&held, &treatment, &read.business));
        if let Some(written) = written {
            say(&listed(&written));
        }
    }
    Ok(Outcome::Done)
}

/// What the papers are made from.
pub(super) struct Papers<'a> {
    pub(super) visit: &'a Visit,
    pub(super) treatment: &'a Treatment,
    pub(super) business: &'a Business,
    pub(super) client: &'a Client,
}

impl Papers<'_> {
    /// Writes the papers and the demands into a folder. All are made before the first is written, and notices
    /// of an earlier run to neighbours who are not told now are taken away.
    ///
    /// # Errors
    /// A file that cannot be written, or a paper that cannot be set.
    pub(super) fn write(&self, out: &mut OutFolder, held: &Demands<'_>, look: Look) -> Result<(), Problems> {
        let Self { visit, treatment, business, client } = *self;
        let options = look.options();
        let mut pdfs: Vec<(String, &'static str, Vec<u8>)> = Vec::new();
        if look.has_pdf() {
            let sheet = sheet::client_sheet_pdf(treatment, business, client, held, Some(visit), &options)?;
            pdfs.push(("client-sheet.pdf".to_owned(), "the sheet for those who live there", sheet));
            let sign = sheet::posting_sign_pdf(treatment, business, client, held, &options)?;
            pdfs.push(("posting-sign.pdf".to_owned(), "the sign, and how it is put up", sign));
            for (index, (neighbour, deadline)) in told(held).into_iter().enumerate() {
                let notice = sheet::neighbour_notice_pdf(treatment, business, client, neighbour, deadline, &options)?;
                pdfs.push((notice_name(index), "the notice to a neighbour", notice));
            }
        }
        for name in ["client-sheet.pdf", "posting-sign.pdf"] {
            if pdfs.is_empty() {
                out.without(name)?;
            }
        }
        let notices = pdfs.iter().filter(|(name, _, _)| name.starts_with("neighbour-notice")).count();
        // As many as an earlier run may have left for the neighbours that are in the file.
        for index in notices..client.neighbours.len() * 2 {
            out.without(&notice_name(index))?;
        }
        for (name, what, bytes) in pdfs {
            out.write(&name, what, &bytes)?;
        }
        let json = write_demands(held, treatment, business, visit.offset);
        out.write("demands.json", "what rules demand, as data", json.as_bytes())?;
        Ok(())
    }
}

fn notice_name(index: usize) -> String {
    format!("neighbour-notice-{}.pdf", index + 1)
}

/// Who is told: by rule with its deadline, each neighbour by the earliest, then by courtesy.
fn told<'d, 'r>(held: &'d Demands<'r>) -> Vec<(&'d Neighbour, Option<&'d NeighbourDeadline<'r>>)> {
    let mut all: Vec<(&Neighbour, Option<&NeighbourDeadline<'r>>)> = Vec::new();
    let deadlines = held.neighbours.as_ref().demanded().into_iter().flatten();
    for deadline in deadlines {
        for neighbour in &deadline.to {
            if !all.iter().any(|(one, _)| *one == neighbour) {
                all.push((neighbour, Some(deadline)));
            }
        }
    }
    all.extend(held.by_courtesy.iter().map(|neighbour| (neighbour, None)));
    all
}

fn moment(time: DateTime) -> String {
    time.strftime("%A %Y-%m-%d %H:%M").to_string()
}

fn words(held: &Demands<'_>, treatment: &Treatment, business: &Business) -> String {
    let place = &held.circumstances.place;
    let mut text = format!("{}: notices and signs, {place}\n", treatment.visit);
    text.push_str(&wrapped(
        "",
        &if held.times_known {
            format!(
                "For a start at {} at the earliest and an end at {} at the latest.",
                moment(held.start),
                moment(held.end)
            )
        } else {
            "No lawful start is known: the whole day is taken for the work.".to_owned()
        },
    ));
    if let Some(not_known) = &held.not_known {
        text.push_str(&wrapped("", not_known));
    }
    text.push_str("\nNeighbours\n");
    let mut lines = Vec::new();
    match &held.neighbours {
        Known::NoRuleKnown => lines.push(no_rule_known("notices before an application", place)),
        Known::Demanded(deadlines) => {
            for one in deadlines {
                let names: Vec<&str> = one.to.iter().map(|neighbour| neighbour.name.as_str()).collect();
                let whom = if names.is_empty() { "nobody of the client file".to_owned() } else { names.join(", ") };
                lines.push(format!(
                    "by {}: {} ({whom}). {}",
                    moment(one.deadline.by),
                    one.deadline.notice.to.phrase(),
                    one.deadline.binding.words()
                ));
                lines.extend(lacks(&one.deadline.notice.contains, business, treatment));
            }
        }
    }
    lines.extend(held.by_courtesy.iter().map(|one| format!("before the work: {}, who asked to be told", one.name)));
    text.push_str(&points(lines));
    text.push_str("\nClient\n");
    let mut lines = Vec::new();
    match &held.client {
        Known::NoRuleKnown => lines.push(no_rule_known("what the client is given", place)),
        Known::Demanded(notices) => {
            for one in notices {
                lines.push(format!("by {}: {}", moment(one.by), one.binding.words()));
                lines.extend(lacks(&one.notice.contains, business, treatment));
            }
        }
    }
    text.push_str(&points(lines));
    text.push_str("\nSign\n");
    text.push_str(&points(sign_lines(held)));
    if !held.duties.is_empty() {
        text.push_str("\nTo be done by a person\n");
        text.push_str(&points(held.duties.iter().map(jurisdiction::Binding::words)));
    }
    text.push('\n');
    text.push_str(&wrapped("", CONFIRM_LOCAL_LAW));
    text.push('\n');
    text.push_str(&wrapped("", REMINDER));
    text
}

fn sign_lines(held: &Demands<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    match &held.sign {
        Ok(Known::Demanded(sign)) => {
            lines.push(sign.to_string());
            lines.push("one at the least; no rule known tells a number: count the places on the spot".to_owned());
        }
        Ok(Known::NoRuleKnown) => lines.push(no_rule_known("signs", &held.circumstances.place)),
        Err(contradiction) => lines.push(format!("{contradiction}; ask the authority which one holds")),
    }
    if let Known::Demanded(postings) = &held.postings {
        lines.extend(postings.iter().map(|(binding, _)| binding.words()));
    }
    lines
}

/// What a notice must contain and nobody stated.
fn lacks(items: &[NoticeItem], business: &Business, treatment: &Treatment) -> Option<String> {
    let missing: Vec<String> = lacking(items, business, treatment).into_iter().map(NoticeItem::phrase).collect();
    (!missing.is_empty()).then(|| format!("LACKING, write it in by hand: {}", missing.join(", ")))
}
