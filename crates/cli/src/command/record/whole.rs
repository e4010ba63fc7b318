//! The books as a whole: verification, giving up, export and import, backup and restore.

use super::Common;
use super::place::{place_of, rules};
use crate::command::desk::{runtime, tell_kept};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use exchange::books_json::{VerificationJson, problems_json, write_answer};
use exchange::kept::JurisdictionText;
use indicatif::{ProgressBar, ProgressStyle};
use jiff::Timestamp;
use jiff::tz::Offset;
use ledger::{Appended, Digest, Finding, Head, Ledger, LedgerError, Location, NOT_EXPORTED};
use problem::{Problem, Problems};
use quantity::counted;
use std::path::Path;

/// Carries `verify` out.
pub(super) fn verify(noted: Option<&str>, common: &Common) -> CommandResult {
    let noted = noted.map(head).transpose()?;
    let desk = common.books.open_existing()?;
    let bar = ProgressBar::new(0);
    if let Ok(style) = ProgressStyle::with_template("{bar:40} {pos} of {len} entries") {
        bar.set_style(style);
    }
    let mut progress = |seen: ledger::Progress| {
        bar.set_length(seen.of);
        bar.set_position(seen.done);
    };
    let found = desk.ask(desk.book.verify(noted, &mut progress))?;
    bar.finish_and_clear();
    let problems: Problems = found.findings.iter().map(Finding::problem).collect();
    complain(&problems);
    if common.json {
        say(&write_answer(&VerificationJson {
            format: VerificationJson::FORMAT,
            entries: found.entries,
            attachments: found.attachments,
            head_sequence: found.head.sequence,
            head_hash: found.head.hash.to_string(),
            findings: problems_json(&problems),
        }));
    } else {
        let word = if found.is_sound() {
            "as they were kept".to_owned()
        } else {
            counted(problems.len(), "finding", "findings")
        };
        say(&format!(
            "{}, {}: {word}\nhead {}:{}\n",
            counted(found.entries, "entry", "entries"),
            counted(found.attachments, "attachment", "attachments"),
            found.head.sequence,
            found.head.hash
        ));
    }
    Ok(if found.is_sound() { Outcome::Done } else { Outcome::Refused })
}

fn head(text: &str) -> Result<Head, Problem> {
    let expected = || {
        Problem::error("record::head", format!("`{text}` is no head of a book"))
            .expected("SEQUENCE:HASH, as an earlier verification printed it")
    };
    let (sequence, hash) = text.split_once(':').ok_or_else(expected)?;
    Ok(Head { sequence: sequence.parse().map_err(|_| expected())?, hash: Digest::parse(hash).map_err(|_| expected())? })
}

/// Carries `discard` out.
pub(super) fn discard(name: &str, reason: &str, said: Option<&JurisdictionText>, common: &Common) -> CommandResult {
    let desk = common.books.open_existing()?;
    let held = desk.ask(desk.book.meant_record(name))?;
    let Some(place) = place_of(&desk, &held, said)? else {
        return Err(Problem::error("record::no-place", "nothing says where the property lies")
            .expected("the state or province whose rules keep the record")
            .mend("keep the property with --jurisdiction, or name it with --place")
            .into());
    };
    let now = Timestamp::now();
    let today = Offset::UTC.to_datetime(now).date();
    let rules = rules()?;
    let circumstances = held.circumstances(&place);
    let entry = desk.ask(desk.book.discard_record(&held, &circumstances, &rules, reason, (today, now)))?;
    tell_kept(&Appended { entry, replayed: false }, &Problems::new(), common.json);
    Ok(Outcome::Done)
}

/// Carries `export` out.
pub(super) fn export(folder: &Path, common: &Common) -> CommandResult {
    let desk = common.books.open_existing()?;
    desk.ask(desk.book.export(folder))?;
    let left_out = Problem::warning("record::not-exported", format!("not in the export: {NOT_EXPORTED}"))
        .expected("everything that the account keeps, in every version, and nothing of who may sign in")
        .mend("back the ledger up beside it: `tussock record backup`, or `pg_dump` where it lies in PostgreSQL");
    if common.json {
        say(&exchange::problems_json::write_problems(&left_out.into()));
    } else {
        say(&format!(
            "exported to {}: everything that the account keeps\nnot in it: {NOT_EXPORTED}; a backup holds them\n",
            folder.display()
        ));
    }
    Ok(Outcome::Done)
}

/// Carries `import` out.
pub(super) fn import(folder: &Path, named: Option<&str>, common: &Common) -> CommandResult {
    let location = Location::parse(&common.books.location()?)?;
    // Books that this command makes and that take nothing in are not left behind.
    let is_new = location.path().is_some_and(|path| !path.exists());
    let imported = runtime()?.block_on(async {
        let ledger = Ledger::open(&location).await?;
        let imported = ledger.import_books(folder, named).await;
        let is_empty = imported.is_err() && ledger.accounts().await.is_ok_and(|accounts| accounts.is_empty());
        ledger.close().await;
        if let Some(path) = location.path().filter(|_| is_new && is_empty) {
            let _ = std::fs::remove_file(path);
        }
        imported
    });
    let account = imported.map_err(|error: LedgerError| error.problems())?;
    let called = named.map_or_else(String::new, |name| format!(" as `{name}`"));
    say_done(&format!("imported the account {account}{called} from {}", folder.display()), common);
    Ok(Outcome::Done)
}

/// Carries `backup` out.
pub(super) fn backup(file: &Path, common: &Common) -> CommandResult {
    let location = Location::parse(&common.books.location()?)?;
    let copied = runtime()?.block_on(async { Ledger::open_existing(&location).await?.back_up(file).await });
    copied.map_err(|error: LedgerError| error.problems())?;
    say_done(&format!("backed up to {}", file.display()), common);
    Ok(Outcome::Done)
}

/// Carries `restore` out.
pub(super) fn restore(file: &Path, common: &Common) -> CommandResult {
    let location = Location::parse(&common.books.location()?)?;
    let restored = runtime()?.block_on(async { Ledger::restore(file, &location).await });
    restored.map_err(|error: LedgerError| error.problems())?;
    say_done(&format!("restored from {}", file.display()), common);
    Ok(Outcome::Done)
}

fn say_done(words: &str, common: &Common) {
    if common.json {
        say(&exchange::problems_json::write_problems(&Problems::new()));
    } else {
        say(&format!("{words}\n"));
    }
}
