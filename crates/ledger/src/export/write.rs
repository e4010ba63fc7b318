//! Writing an export.

use std::path::{Path, PathBuf};

use problem::Problem;
use sha2::{Digest as _, Sha256};
use sqlx::Row as _;
use tokio::fs::{self, File};
use tokio::io::{AsyncWriteExt as _, BufWriter};

use super::wire::{ATTACHMENTS, AttachmentLine, ENTRIES, EntryLine, FORMAT, MANIFEST, Manifest, README};
use crate::book::Book;
use crate::digest::Digest;
use crate::error::LedgerError;
use crate::export::NOT_EXPORTED;
use crate::private;

/// Entries written in one go.
const STRIDE: u32 = 500;

fn readme() -> String {
    format!(
        "\
This folder holds the whole book of one business, as kept by tussock, in open formats.

manifest.json    whose book it is, how much there is, and the SHA-256 of each file
entries.jsonl    one entry a line, oldest first, every field as it is kept (UTF-8, JSON)
attachments/     photos and papers, each under the SHA-256 of its bytes

Every version of everything kept is there: an entry is a version of a thing, `body` is what was kept
of it, `hash` covers all other fields and the hash of the entry before. An import takes the folder
whole or not at all; do not edit it.

Not in it: {NOT_EXPORTED}.
They are not of the book; a backup of the ledger holds them.
"
    )
}

impl Book {
    /// Writes the whole account into a new folder, while it is in use: one state of it. The folder
    /// stands under its name only when it is whole.
    ///
    /// # Errors
    /// The folder exists or cannot be written; the database fails.
    pub async fn export(&self, folder: &Path) -> Result<(), LedgerError> {
        let failed = |error: std::io::Error| not_written(folder, &error);
        if fs::try_exists(folder).await.map_err(failed)? {
            return Err(Problem::error("ledger::exists", "the folder exists")
                .expected("a new folder")
                .mend("give another name, or move the folder away")
                .in_file(folder.display().to_string())
                .into());
        }
        let unfinished = unfinished(folder);
        if fs::try_exists(&unfinished).await.map_err(failed)? {
            fs::remove_dir_all(&unfinished).await.map_err(failed)?;
        }
        let written = self.write_into(&unfinished).await;
        if written.is_err() {
            let _ = fs::remove_dir_all(&unfinished).await;
        }
        written?;
        fs::rename(&unfinished, folder).await.map_err(failed)?;
        let parent = folder.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
        File::open(parent).await.map_err(failed)?.sync_all().await.map_err(failed)
    }

    async fn write_into(&self, folder: &Path) -> Result<(), LedgerError> {
        let failed = |error: std::io::Error| not_written(folder, &error);
        private::create_folder(&folder.join(ATTACHMENTS)).map_err(failed)?;
        let mut transaction = self.begin(crate::database::Intent::Read).await?;
        let head = self.head_in(&mut transaction).await?;
        let name = sqlx::query_scalar("select name from account where account = $1")
            .bind(self.account().to_string())
            .fetch_one(&mut *transaction)
            .await?;

        let mut file = BufWriter::new(File::create(folder.join(ENTRIES)).await.map_err(failed)?);
        let (mut hash, mut last) = (Sha256::new(), 0);
        loop {
            let entries = self.entries_in(&mut transaction, last, STRIDE).await?;
            let Some(newest) = entries.last() else { break };
            last = newest.sequence;
            for entry in &entries {
                let line = json(&EntryLine::of(entry), false)?;
                hash.update(line.as_bytes());
                file.write_all(line.as_bytes()).await.map_err(failed)?;
            }
        }
        file.flush().await.map_err(failed)?;
        file.get_ref().sync_all().await.map_err(failed)?;

        let mut attachments: Vec<AttachmentLine> = Vec::new();
        while let Some(row) = sqlx::query(
            "select sha256, media_type, bytes from attachment where account = $1 and sha256 > $2 order by sha256 limit 1",
        )
        .bind(self.account().to_string())
        .bind(attachments.last().map_or("", |attachment| &attachment.sha256))
        .fetch_optional(&mut *transaction)
        .await?
        {
            let bytes: Vec<u8> = row.try_get("bytes")?;
            let sha256 = Digest::parse(row.try_get("sha256")?)?.to_string();
            write_file(&folder.join(ATTACHMENTS).join(&sha256), &bytes).await.map_err(failed)?;
            let media_type = row.try_get("media_type")?;
            attachments.push(AttachmentLine { sha256, media_type, size_bytes: bytes.len() as u64 });
        }
        let manifest = Manifest {
            format: FORMAT.to_owned(),
            account: self.account().to_string(),
            name,
            entries: head.sequence,
            head_hash: head.hash.to_string(),
            entries_sha256: Digest::of_hasher(hash).to_string(),
            attachments,
        };
        write_file(&folder.join(README), readme().as_bytes()).await.map_err(failed)?;
        write_file(&folder.join(MANIFEST), json(&manifest, true)?.as_bytes()).await.map_err(failed)
    }
}

/// One JSON text and its line end.
fn json(value: &impl serde::Serialize, spread: bool) -> Result<String, LedgerError> {
    let text = if spread { serde_json::to_string_pretty(value) } else { serde_json::to_string(value) };
    let mut text = text.map_err(|error| Problem::error("ledger::export-line", format!("{error}")))?;
    text.push('\n');
    Ok(text)
}

async fn write_file(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create(path).await?;
    file.write_all(bytes).await?;
    file.sync_all().await
}

/// Where an export lies until it is whole.
fn unfinished(folder: &Path) -> PathBuf {
    let mut name = folder.file_name().unwrap_or_default().to_owned();
    name.push(".unfinished");
    folder.with_file_name(name)
}

fn not_written(folder: &Path, error: &std::io::Error) -> LedgerError {
    LedgerError::Failed(
        Problem::error("ledger::not-written", format!("the export cannot be written: {error}"))
            .mend("see that the folder above exists and may be written")
            .in_file(folder.display().to_string()),
    )
}
