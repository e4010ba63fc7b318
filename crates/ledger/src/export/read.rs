//! Taking an export in: whole, or not at all.

use std::path::Path;

use problem::{Problem, Problems};
use sha2::{Digest as _, Sha256};
use sqlx::AnyConnection;
use tokio::fs::{self, File};
use tokio::io::{AsyncBufReadExt as _, BufReader};

use super::wire::{ATTACHMENTS, ENTRIES, EntryLine, FORMAT, FORMAT_FAMILY, MANIFEST, Manifest, Named};
use crate::actor::Actor;
use crate::book::{Attachment, Book, Finding, attachment, row};
use crate::database::{Intent, Scope};
use crate::digest::Digest;
use crate::entry::{Entry, check_texts};
use crate::error::LedgerError;
use crate::identity::AccountId;
use crate::kind::Kind;
use crate::store::Ledger;

/// The most problems told of one export: a foreign file has one for every line.
const MOST_PROBLEMS: usize = 100;

impl Ledger {
    /// Takes in a folder that [`Book::export`] wrote, as an account of this ledger, with every entry
    /// as it was kept. The account is called as it was, or `named` otherwise: its name is under no hash.
    ///
    /// # Errors
    /// The folder is no export, or of a newer tussock; anything in it is missing, broken or changed
    /// (every problem with its file and line); the account, or another of its name, is in this
    /// ledger; the database fails. Then nothing was taken in.
    pub async fn import(&self, folder: &Path, named: Option<&str>) -> Result<AccountId, LedgerError> {
        self.import_checked(folder, named, |_, _| Ok(())).await
    }

    /// As [`Ledger::import`], with a check of every body by its kind: anybody can write a sound chain of entries
    /// that say nothing.
    ///
    /// # Errors
    /// As [`Ledger::import`], and what the check finds, with its line.
    pub(crate) async fn import_checked(
        &self,
        folder: &Path,
        named: Option<&str>,
        check: fn(Kind, &str) -> Result<(), Problems>,
    ) -> Result<AccountId, LedgerError> {
        let mut import = Import { folder, check, problems: Problems::new() };
        let manifest = import.manifest().await?;
        let account = AccountId::parse(&manifest.account).map_err(|problem| import.of_manifest(problem, "account"))?;
        let mut transaction = self.database.begin(Scope::Account(account), Intent::Write).await?;
        import.begin_account(&mut transaction, account, named.unwrap_or(&manifest.name), named.is_some()).await?;
        import.attachments(&mut transaction, account, &manifest).await?;
        let book = Book::new(self.clone(), account, Actor::local("import"));
        import.entries(&mut transaction, &book, &manifest).await?;
        if import.problems.has_errors() {
            return Err(import.problems.into());
        }
        transaction.commit().await?;
        Ok(account)
    }
}

struct Import<'a> {
    folder: &'a Path,
    check: fn(Kind, &str) -> Result<(), Problems>,
    problems: Problems,
}

impl Import<'_> {
    /// The manifest, which says what the rest must be.
    async fn manifest(&self) -> Result<Manifest, LedgerError> {
        let no_export = |found: String| {
            Problem::error("ledger::no-export", found)
                .expected(format!("a folder that an export wrote, with `{MANIFEST}` in it"))
                .in_file(self.name(MANIFEST))
        };
        let text = fs::read_to_string(self.folder.join(MANIFEST))
            .await
            .map_err(|error| no_export(format!("the manifest cannot be read: {error}")))?;
        let named: Named = serde_json::from_str(&text).map_err(|error| {
            no_export(format!("the manifest is none of an export: {error}")).at_line(error.line(), error.column())
        })?;
        if named.format != FORMAT {
            let problem = if named.format.starts_with(FORMAT_FAMILY) {
                no_export(format!("the export is of the format `{}`", named.format.escape_debug()))
                    .expected(format!("`{FORMAT}`"))
                    .mend("import it with the tussock that wrote it, or a newer one")
            } else {
                no_export(format!("`{}` is no export of a ledger", named.format.escape_debug()))
            };
            return Err(problem.at("format").into());
        }
        serde_json::from_str(&text).map_err(|error| {
            no_export(format!("the manifest is broken: {error}")).at_line(error.line(), error.column()).into()
        })
    }

    async fn begin_account(
        &self,
        connection: &mut AnyConnection,
        account: AccountId,
        name: &str,
        is_given: bool,
    ) -> Result<(), LedgerError> {
        // A name that was given is none of the folder's.
        let placed = |problem: Problem, field: &str| {
            if is_given { problem.into() } else { self.of_manifest(problem, field) }
        };
        if name.trim().is_empty() || name.contains('\0') {
            let problem =
                Problem::error("ledger::account-title", "the account's name is empty or holds the character zero");
            return Err(placed(problem, "name"));
        }
        let made = sqlx::query(
            "insert into account (account, name, head_sequence, head_hash) values ($1, $2, 0, $3) on conflict do nothing",
        )
        .bind(account.to_string())
        .bind(name)
        .bind(Digest::NONE.to_string())
        .execute(&mut *connection)
        .await?;
        if made.rows_affected() == 1 {
            return Ok(());
        }
        let entries: Option<i64> = sqlx::query_scalar("select head_sequence from account where account = $1")
            .bind(account.to_string())
            .fetch_optional(connection)
            .await?;
        let taken = |found: String| Problem::error("ledger::account-exists", found);
        match entries {
            Some(0) => Ok(()),
            Some(_) => {
                let problem = taken(format!("the account `{account}` is in this ledger and has entries"))
                    .expected("a ledger without this account")
                    .mend("it is taken in already; a second copy goes into another ledger");
                Err(self.of_manifest(problem, "account"))
            }
            None => {
                let problem = taken(format!("another account of this ledger has the name `{name}`"))
                    .expected("a name that no account of this ledger has")
                    .mend("import it under another name, with `--as NAME`");
                Err(placed(problem, "name"))
            }
        }
    }

    /// Takes the attachments in, each held against its hash.
    async fn attachments(
        &mut self,
        connection: &mut AnyConnection,
        account: AccountId,
        manifest: &Manifest,
    ) -> Result<(), LedgerError> {
        for (index, line) in manifest.attachments.iter().enumerate() {
            let sha256 = match Digest::parse(&line.sha256) {
                Ok(sha256) => sha256,
                Err(problem) => {
                    let field = format!("attachments[{}].sha256", index + 1);
                    self.tell(problem.at(field).in_file(self.name(MANIFEST)));
                    continue;
                }
            };
            let file = format!("{ATTACHMENTS}/{sha256}");
            let bytes = match fs::read(self.folder.join(ATTACHMENTS).join(sha256.to_string())).await {
                Ok(bytes) => bytes,
                Err(error) => {
                    let found = format!("the attachment cannot be read: {error}");
                    self.tell(Problem::error("ledger::attachment-missing", found).in_file(self.name(&file)));
                    continue;
                }
            };
            if Digest::of(&bytes) != sha256 || bytes.len() as u64 != line.size_bytes {
                let found = "the bytes of the attachment are not what was exported";
                self.tell(Problem::error("ledger::attachment-changed", found).in_file(self.name(&file)));
                continue;
            }
            if let Err(problem) = attachment::check(&bytes, &line.media_type) {
                self.tell(problem.in_file(self.name(&file)));
                continue;
            }
            let attachment = Attachment { sha256, media_type: line.media_type.clone(), bytes };
            attachment::write(connection, account, &attachment).await?;
        }
        Ok(())
    }

    /// Takes the entries in, each held against the one before, all against the manifest.
    async fn entries(
        &mut self,
        connection: &mut AnyConnection,
        book: &Book,
        manifest: &Manifest,
    ) -> Result<(), LedgerError> {
        let unreadable = |import: &Self, error: std::io::Error| {
            Problem::error("ledger::no-export", format!("the entries cannot be read: {error}"))
                .in_file(import.name(ENTRIES))
        };
        let file = match File::open(self.folder.join(ENTRIES)).await {
            Ok(file) => file,
            Err(error) => {
                self.tell(unreadable(self, error));
                return Ok(());
            }
        };
        let mut reader = BufReader::new(file);
        let (mut line, mut number, mut hash) = (Vec::new(), 0_u64, Sha256::new());
        let mut previous = Some(Digest::NONE);
        loop {
            line.clear();
            match reader.read_until(b'\n', &mut line).await {
                Ok(0) => break,
                Ok(_) => {}
                Err(error) => {
                    self.tell(unreadable(self, error));
                    return Ok(());
                }
            }
            number += 1;
            hash.update(&line);
            previous = match entry_of(&line, number, previous, book).and_then(|entry| self.checked(entry)) {
                Ok(entry) => {
                    if !self.problems.has_errors() {
                        self.write(connection, book, &entry, number).await?;
                    }
                    Some(entry.hash)
                }
                Err(problems) => {
                    for problem in problems {
                        self.tell(self.of_line(problem, number));
                    }
                    None
                }
            };
        }
        let wrong = |found: String, expected: String, field: &str| {
            Problem::error("ledger::export-differs", found).expected(expected).at(field)
        };
        let name = self.name(MANIFEST);
        if number != manifest.entries {
            let found = format!("`{ENTRIES}` holds `{number}` entries");
            self.tell(wrong(found, format!("`{}`", manifest.entries), "entries").in_file(&name));
        }
        let hash = Digest::of_hasher(hash).to_string();
        if hash != manifest.entries_sha256 {
            let found = format!("`{ENTRIES}` has the SHA-256 `{hash}`");
            self.tell(wrong(found, format!("`{}`", manifest.entries_sha256), "entries_sha256").in_file(&name));
        }
        if let Some(last) = previous.map(|hash| hash.to_string()).filter(|last| *last != manifest.head_hash) {
            let found = format!("the last entry has the hash `{last}`");
            self.tell(wrong(found, format!("`{}`", manifest.head_hash), "head_hash").in_file(&name));
        }
        Ok(())
    }

    async fn write(
        &mut self,
        connection: &mut AnyConnection,
        book: &Book,
        entry: &Entry,
        number: u64,
    ) -> Result<(), LedgerError> {
        match book.check_place(connection, entry).await {
            Ok(()) => row::write(connection, entry).await,
            Err(error @ (LedgerError::Unreachable(_) | LedgerError::Failed(_))) => Err(error),
            Err(error) => {
                for problem in error.problems() {
                    self.tell(self.of_line(problem, number));
                }
                Ok(())
            }
        }
    }

    fn tell(&mut self, problem: Problem) {
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(problem);
        }
    }

    fn of_line(&self, problem: Problem, number: u64) -> Problem {
        problem.at_line(number as usize, 1).in_file(self.name(ENTRIES))
    }

    fn checked(&self, entry: Entry) -> Result<Entry, Problems> {
        if !entry.discards {
            (self.check)(entry.kind, &entry.body)?;
        }
        Ok(entry)
    }

    fn of_manifest(&self, problem: Problem, field: &str) -> LedgerError {
        problem.at(field).in_file(self.name(MANIFEST)).into()
    }

    fn name(&self, file: &str) -> String {
        self.folder.join(file).display().to_string()
    }
}

/// The entry of a line, when it is sound and follows the one before.
fn entry_of(line: &[u8], number: u64, previous: Option<Digest>, book: &Book) -> Result<Entry, Problems> {
    let read: EntryLine = serde_json::from_slice(line).map_err(|error| {
        Problem::error("ledger::export-line", format!("the line is no entry: {error}"))
            .at_line(number as usize, error.column())
    })?;
    let entry = read.entry(book.account())?;
    let mut problems = Problems::new();
    check_texts(&entry.body, entry.reason.as_deref(), &entry.indexed.title, &mut problems);
    let names = [Some(&entry.actor.name), entry.actor.sign_in.as_ref()];
    if names.into_iter().flatten().any(|name| name.contains('\0')) {
        problems.push(Problem::error("ledger::zero-character", "the name holds the character zero").at("actor_name"));
    }
    if entry.sequence != number {
        problems.push(
            Problem::error("ledger::out-of-order", format!("entry `{}` stands on line `{number}`", entry.sequence))
                .expected("the entries one a line, in order, without a gap")
                .at("sequence"),
        );
    } else if entry.hash != entry.computed_hash() {
        problems.push(Finding::Changed { sequence: number }.problem());
    } else if previous.is_some_and(|previous| previous != entry.previous) {
        problems.push(Finding::OutOfOrder { sequence: number }.problem());
    }
    if problems.has_errors() { Err(problems) } else { Ok(entry) }
}
