//! Backup, restore, and the database's own check of itself.

use std::fs::File;
use std::path::Path;

use problem::Problem;
use sqlx::Row as _;

use crate::database::Dialect;
use crate::error::LedgerError;
use crate::location::Location;
use crate::private;
use crate::schema::Empty;
use crate::store::Ledger;

/// What the database says of its own pages and indexes. Whether the entries are as they were kept is
/// said by [`crate::Book::verify`].
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Integrity {
    /// Nothing is wrong.
    Intact,
    /// What is wrong, in the database's words.
    Damaged(Vec<String>),
    /// A PostgreSQL server checks itself: its administrator runs `pg_amcheck` on the database.
    LeftToServer,
}

impl Ledger {
    /// Asks the database to check itself. A large file takes a while.
    ///
    /// # Errors
    /// The database fails.
    pub async fn integrity(&self) -> Result<Integrity, LedgerError> {
        if self.database.dialect() == Dialect::Postgres {
            return Ok(Integrity::LeftToServer);
        }
        let mut words: Vec<String> =
            sqlx::query_scalar("pragma integrity_check").fetch_all(self.database.unscoped()).await?;
        words.retain(|word| word != "ok");
        for row in sqlx::query("pragma foreign_key_check").fetch_all(self.database.unscoped()).await? {
            let table: String = row.try_get(0)?;
            words.push(format!("a row of `{table}` belongs to nothing"));
        }
        Ok(if words.is_empty() { Integrity::Intact } else { Integrity::Damaged(words) })
    }

    /// Copies the ledger into one new file while it is in use. The copy holds one state of it, is
    /// checked, and stands under its name only when it is whole.
    ///
    /// # Errors
    /// The ledger is PostgreSQL's (the problem says how to back it up); the file exists or cannot be
    /// written; the copy is damaged.
    pub async fn back_up(&self, to: &Path) -> Result<(), LedgerError> {
        if self.database.dialect() == Dialect::Postgres {
            return Err(Problem::error("ledger::backup", "a ledger in PostgreSQL is backed up by its server")
                .mend("run `pg_dump --format=custom`, or export the accounts")
                .into());
        }
        refuse_existing(to)?;
        let unfinished = unfinished(to);
        let text = unfinished.to_str().ok_or_else(|| not_written(to, "the path is not written in UTF-8"))?;
        remove(&unfinished)?;
        private::create_file(&unfinished).map_err(|error| not_written(to, &error.to_string()))?;
        sqlx::query("vacuum into $1").bind(text).execute(self.database.unscoped()).await?;
        finish(&unfinished, to).await
    }

    /// Makes a ledger out of a backup. The backup is checked first and stays as it is.
    ///
    /// # Errors
    /// The new ledger is to lie in PostgreSQL (the problem says how to restore there), or its file
    /// exists or cannot be written; the backup is no sound ledger.
    pub async fn restore(backup: &Path, to: &Location) -> Result<Self, LedgerError> {
        let Some(path) = to.path() else {
            return Err(Problem::error("ledger::restore", "a ledger in PostgreSQL is restored by its server")
                .mend("run `pg_restore`, or import the exported accounts")
                .into());
        };
        refuse_existing(path)?;
        let unfinished = unfinished(path);
        remove(&unfinished)?;
        std::fs::copy(backup, &unfinished).map_err(|error| {
            Problem::error("ledger::restore", format!("the backup cannot be copied: {error}"))
                .in_file(backup.display().to_string())
        })?;
        finish(&unfinished, path).await.map_err(|error| match error {
            LedgerError::Failed(problem) => LedgerError::Failed(problem.in_file(backup.display().to_string())),
            other => other,
        })?;
        Self::open(to).await
    }
}

/// Opens the copy (taking the steps of the schema it lacks), lets it check itself, and gives it its
/// name.
async fn finish(unfinished: &Path, to: &Path) -> Result<(), LedgerError> {
    let checked = async {
        let copy = Ledger::open_or(&Location::file(unfinished)?, Empty::Refuse).await?;
        let integrity = copy.integrity().await;
        copy.close().await;
        match integrity? {
            Integrity::Damaged(words) => Err(LedgerError::Failed(
                Problem::error("ledger::damaged", format!("the copy is damaged: {}", words.join("; ")))
                    .mend("take another backup"),
            )),
            Integrity::Intact | Integrity::LeftToServer => Ok(()),
        }
    };
    let checked = checked.await;
    if checked.is_err() {
        remove(unfinished)?;
        return checked;
    }
    let settle = || {
        File::open(unfinished)?.sync_all()?;
        // Linking refuses a name that came up meanwhile; renaming would overwrite it.
        std::fs::hard_link(unfinished, to)?;
        std::fs::remove_file(unfinished)?;
        File::open(folder(to))?.sync_all()
    };
    settle().map_err(|error: std::io::Error| not_written(to, &error.to_string()))
}

fn folder(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Where a copy lies until it is whole.
fn unfinished(path: &Path) -> std::path::PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".unfinished");
    path.with_file_name(name)
}

fn refuse_existing(path: &Path) -> Result<(), Problem> {
    if path.exists() {
        return Err(Problem::error("ledger::exists", "the file exists")
            .expected("a new file")
            .mend("give another name, or move the file away")
            .in_file(path.display().to_string()));
    }
    // What a crash left beside a file that is gone would be played into the new one.
    for beside in ["-wal", "-shm", "-journal"] {
        let mut name = path.as_os_str().to_owned();
        name.push(beside);
        let name = Path::new(&name);
        if name.exists() {
            return Err(Problem::error("ledger::exists", "a file of an earlier ledger lies beside the new one")
                .expected("a name beside which nothing of an earlier ledger lies")
                .mend("move it to the ledger that it belongs to, or give another name")
                .in_file(name.display().to_string()));
        }
    }
    Ok(())
}

fn remove(path: &Path) -> Result<(), LedgerError> {
    for beside in ["", "-wal", "-shm"] {
        let mut name = path.as_os_str().to_owned();
        name.push(beside);
        match std::fs::remove_file(&name) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(not_written(path, &error.to_string()));
            }
            _ => {}
        }
    }
    Ok(())
}

fn not_written(path: &Path, why: &str) -> LedgerError {
    LedgerError::Failed(
        Problem::error("ledger::not-written", format!("the file cannot be written: {why}"))
            .mend("see that the folder exists and may be written")
            .in_file(path.display().to_string()),
    )
}
