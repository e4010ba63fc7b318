//! `tussock record show`: all that one record holds, for an inspector.

use super::Common;
use super::place::{rules, today};
use crate::care::REMINDER;
use crate::command::papers::points;
use crate::command::plan::{PaperWord, wrapped};
use crate::console::{remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::write_file;
use exchange::kept::JurisdictionText;
use exchange::record_json::{parse_record, write_record};
use jiff::civil::Date;
use jurisdiction::CONFIRM_LOCAL_LAW;
use record::{Part, Section};
use sheet::PaperOptions;
use std::fmt::Write as _;
use std::path::Path;

/// What is asked of a record.
pub(super) struct Asked<'a> {
    /// The version, from 1; the newest where nothing is said.
    pub(super) version: Option<u64>,
    /// Where it lies, where no kept property says so.
    pub(super) place: Option<&'a JurisdictionText>,
    /// The day on which it is asked what is overdue.
    pub(super) on: Option<Date>,
    /// Where the paper is written.
    pub(super) pdf: Option<&'a Path>,
    /// Its size.
    pub(super) paper: PaperWord,
}

/// Carries the command out.
pub(super) fn run(name: &str, asked: &Asked<'_>, common: &Common) -> CommandResult {
    let desk = common.books.open_existing()?;
    let newest = desk.ask(desk.book.meant_record(name))?;
    let entry = match asked.version {
        None => desk.ask(desk.book.newest(newest.thing))?,
        Some(version) => desk.ask(desk.book.version(newest.thing, version))?,
    };
    if !common.json || asked.pdf.is_some() {
        let (said, on) = (asked.place.map(JurisdictionText::place), asked.on.unwrap_or_else(today));
        let paper = desk.ask(desk.book.record_paper(&entry, said, &rules()?, on))?;
        if let Some(file) = asked.pdf {
            let options = PaperOptions { paper: asked.paper.size(), ..PaperOptions::default() };
            write_file(file, &sheet::application_record_pdf(&paper, &options)?)?;
            remark(&format!("written {}", file.display()));
        }
        if !common.json {
            let day = entry.indexed.date.unwrap_or(newest.record.date);
            let mut out = format!("{} on {day} ({}), version {}\n", paper.name, entry.thing, entry.version);
            out.push_str(&words(&paper.sections));
            out.push('\n');
            out.push_str(&wrapped("", CONFIRM_LOCAL_LAW));
            out.push_str(&wrapped("", REMINDER));
            say(&out);
        }
    }
    if common.json {
        // Kept without blanks; shown as a person reads it, and may change it for `amend --document`.
        say(&write_record(&parse_record("", &entry.body)?));
    }
    Ok(Outcome::Done)
}

/// The sections as a terminal shows them.
fn words(sections: &[Section]) -> String {
    let mut out = String::new();
    for section in sections {
        let _ = writeln!(out, "\n{}", section.heading);
        for (index, part) in section.parts.iter().enumerate() {
            if index > 0 {
                out.push('\n');
            }
            match part {
                Part::Facts(facts) => out.push_str(&facts_words(facts)),
                Part::Table { head, rows } => out.push_str(&table_words(head, rows)),
                Part::Points(lines) => out.push_str(&points(lines.iter().cloned())),
            }
        }
    }
    out
}

fn facts_words(facts: &[(String, String)]) -> String {
    let width = facts.iter().map(|(asked, _)| asked.chars().count()).max().unwrap_or(0);
    facts.iter().map(|(asked, said)| wrapped(&format!("  {asked:width$}  "), said)).collect()
}

fn table_words(head: &[String], rows: &[Vec<String>]) -> String {
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column)).chain(head.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let mut out = String::new();
    for row in std::iter::once(head).chain(rows.iter().map(Vec::as_slice)) {
        let mut line = String::new();
        for (column, cell) in row.iter().enumerate() {
            let _ = write!(line, "  {cell:width$}", width = width(column));
        }
        let _ = writeln!(out, "{}", line.trim_end());
    }
    out
}
