//! `tussock record show`: all that one record holds, for an inspector.

use super::Common;
use super::keep::told as as_warnings;
use super::place::{place_of, rules, standing_of, today};
use super::sheet::map_of;
use crate::care::REMINDER;
use crate::command::desk::Desk;
use crate::command::papers::points;
use crate::command::plan::{PaperWord, wrapped};
use crate::console::{remark, say};
use crate::outcome::{CommandResult, Outcome};
use crate::writing::write_file;
use exchange::kept::{Business, JurisdictionText};
use exchange::record_json::parse_record;
use jiff::civil::Date;
use jiff::{RoundMode, Timestamp, TimestampRound, Unit};
use jurisdiction::CONFIRM_LOCAL_LAW;
use ledger::Entry;
use ledger::trade::{HeldRecord, place_name};
use problem::Problems;
use record::{ApplicationRecord, Part, Section};
use sheet::{PaperOptions, RecordPaper};
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
    let held = HeldRecord {
        thing: entry.thing,
        version: entry.version,
        indexed: entry.indexed.clone(),
        record: parse_record("record", &entry.body)?,
    };
    if !common.json || asked.pdf.is_some() {
        let versions = desk.ask(desk.book.versions(held.thing))?;
        let sections = sections(&desk, &held, &versions, asked)?;
        if let Some(file) = asked.pdf {
            let options = PaperOptions { paper: asked.paper.size(), ..PaperOptions::default() };
            let paper = paper(&desk, &held.record, &entry, sections.clone())?;
            write_file(file, &sheet::application_record_pdf(&paper, &options)?)?;
            remark(&format!("written {}", file.display()));
        }
        if !common.json {
            let mut out =
                format!("{} on {} ({}), version {}\n", held.record.name, held.record.date, held.thing, held.version);
            out.push_str(&words(&sections));
            out.push('\n');
            out.push_str(&wrapped("", CONFIRM_LOCAL_LAW));
            out.push_str(&wrapped("", REMINDER));
            say(&out);
        }
    }
    if common.json {
        say(&entry.body);
    }
    Ok(Outcome::Done)
}

/// All that the record holds, then what the books and the rules say of it.
fn sections(desk: &Desk, held: &HeldRecord, versions: &[Entry], asked: &Asked<'_>) -> Result<Vec<Section>, Problems> {
    let map = map_of(desk, held)?;
    let mut all = record::told(&held.record, &|zone| place_name(map.as_ref(), zone));
    let place = place_of(desk, held, asked.place)?;
    if let Some(place) = &place {
        let people = as_warnings(desk.ask(desk.book.authority_of(&held.record, place))?);
        let mut lines: Vec<String> = people.iter().map(|problem| format!("{}.", problem.found)).collect();
        if lines.is_empty() {
            lines.push("The books hold nothing against those who did it.".to_owned());
        }
        all.push(Section::points("People, as the books know them", lines));
    }
    let standing = standing_of(held, place.as_ref(), &rules()?, asked.on.unwrap_or_else(today));
    let mut lines = vec![format!("{}.", capital(&standing.words))];
    lines.extend(standing.lacking.iter().map(|lack| format!("It lacks {lack}.")));
    lines.extend(standing.kept.map(|kept| format!("It is {kept}.")));
    all.push(Section::points("Standing", lines));
    let of_versions = versions.iter().map(|entry| {
        let reason = entry.reason.as_ref().map(|reason| format!("; reason: {reason}")).unwrap_or_default();
        let shown = if entry.version == held.version { ", shown here" } else { "" };
        let kept = format!("kept {} by {}{reason}{shown}", second(entry.recorded_at), entry.actor.name);
        (format!("Version {}", entry.version), format!("{kept}; {}", found_by(entry)))
    });
    all.push(Section { heading: "Versions in the books".to_owned(), parts: vec![Part::Facts(of_versions.collect())] });
    Ok(all)
}

/// By what an entry is found again.
fn found_by(entry: &Entry) -> String {
    format!("entry {}, hash {}", entry.sequence, entry.hash)
}

/// With a capital first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn second(time: Timestamp) -> Timestamp {
    let down = TimestampRound::new().smallest(Unit::Second).mode(RoundMode::Trunc);
    time.round(down).unwrap_or(time)
}

/// The paper of a record: whose it is, what is asked first, by what it is found again.
fn paper(
    desk: &Desk,
    record: &ApplicationRecord,
    entry: &Entry,
    sections: Vec<Section>,
) -> Result<RecordPaper, Problems> {
    let business = desk.ask(desk.book.things::<Business>())?.into_iter().next().map(|held| held.document);
    let mut lines = Vec::new();
    if let Some(business) = &business {
        lines.extend(business.address.as_ref().map(|address| address.lines().collect::<Vec<_>>().join(", ")));
        lines.extend(business.licence_number.as_ref().map(|number| format!("Licence {number}")));
        lines.extend(business.contacts.first().map(|contact| contact.reach.clone()));
    }
    let said = |fact: &record::Fact<String>| fact.value().cloned().unwrap_or_else(|| "not recorded".to_owned());
    Ok(RecordPaper {
        kept_by: business.map(|business| business.name),
        kept_by_lines: lines,
        name: record.name.clone(),
        client: record.client.value().cloned().unwrap_or_else(|| "Client not recorded".to_owned()),
        client_address: record.client_address.value().into_iter().cloned().collect(),
        facts: vec![
            ("Day", record.date.to_string()),
            ("Property", record.property.name.clone()),
            ("Applied by", said(&record.applicator)),
            ("Certificate", said(&record.certification_number)),
            ("Version", entry.version.to_string()),
        ],
        found_by: format!("Record {}, version {}, {}", entry.thing, entry.version, found_by(entry)),
        sections,
    })
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
