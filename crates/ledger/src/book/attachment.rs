//! Photos and papers, named by the hash of their bytes.

use problem::Problem;
use sqlx::Row as _;

use super::Book;
use crate::digest::Digest;
use crate::error::LedgerError;

/// A photo or paper as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Attachment {
    /// The SHA-256 of its bytes, by which it is named.
    pub sha256: Digest,
    /// What kind of file it is, such as `image/jpeg`.
    pub media_type: String,
    /// The file itself.
    pub bytes: Vec<u8>,
}

impl Book {
    /// The most bytes that one attachment may have.
    pub const LARGEST_ATTACHMENT: usize = 64 * 1024 * 1024;

    /// Keeps a file. The same bytes are kept once, under the media type they first came with. An entry
    /// then says what the file is, and names it in [`crate::NewEntry::attachment`].
    ///
    /// # Errors
    /// The file is empty or too large; the media type is no such word; the database fails.
    pub async fn attach(&self, bytes: Vec<u8>, media_type: &str) -> Result<Digest, LedgerError> {
        check(&bytes, media_type)?;
        let sha256 = Digest::of(&bytes);
        let mut turn = self.ledger.database.turn(self.account).await?;
        let attachment = Attachment { sha256, media_type: media_type.to_owned(), bytes };
        write(turn.connection()?, self.account, &attachment).await?;
        turn.end().await?;
        Ok(sha256)
    }

    /// An attachment by its hash. Its bytes are held against the hash.
    ///
    /// # Errors
    /// It is not in this account; its bytes have changed; the database fails.
    pub async fn attachment(&self, sha256: Digest) -> Result<Attachment, LedgerError> {
        let mut look = self.look().await?;
        let row = sqlx::query("select media_type, bytes from attachment where account = $1 and sha256 = $2")
            .bind(self.account.to_string())
            .bind(sha256.to_string())
            .fetch_optional(&mut *look)
            .await?
            .ok_or_else(|| unknown(sha256))?;
        let bytes: Vec<u8> = row.try_get("bytes")?;
        if Digest::of(&bytes) != sha256 {
            return Err(LedgerError::Failed(
                Problem::error(
                    "ledger::attachment-changed",
                    format!("the bytes of attachment `{sha256}` have changed"),
                )
                .mend("restore the ledger from its last backup"),
            ));
        }
        Ok(Attachment { sha256, media_type: row.try_get("media_type")?, bytes })
    }
}

/// All that keeps a file from being kept.
pub(crate) fn check(bytes: &[u8], media_type: &str) -> Result<(), Problem> {
    if bytes.is_empty() || bytes.len() > Book::LARGEST_ATTACHMENT {
        return Err(Problem::error("ledger::attachment-size", format!("the file has `{}` bytes", bytes.len()))
            .expected(format!("1 to {} bytes", Book::LARGEST_ATTACHMENT))
            .at("file"));
    }
    let word = |part: &str| {
        (1..=127).contains(&part.len())
            && part.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"!#$&-^_.+".contains(&byte))
    };
    if !media_type.split_once('/').is_some_and(|(kind, rest)| word(kind) && word(rest)) {
        return Err(Problem::error("ledger::media-type", format!("`{}` is no media type", media_type.escape_debug()))
            .expected("a type and a subtype, such as `image/jpeg`")
            .at("media_type"));
    }
    Ok(())
}

/// Writes an attachment unless it is there.
pub(crate) async fn write(
    connection: &mut sqlx::AnyConnection,
    account: crate::identity::AccountId,
    attachment: &Attachment,
) -> Result<(), LedgerError> {
    sqlx::query(
        "insert into attachment (account, sha256, media_type, bytes) values ($1, $2, $3, $4) \
         on conflict (account, sha256) do nothing",
    )
    .bind(account.to_string())
    .bind(attachment.sha256.to_string())
    .bind(&attachment.media_type)
    .bind(attachment.bytes.as_slice())
    .execute(connection)
    .await?;
    Ok(())
}

/// The problem of an attachment that is not there.
pub(crate) fn unknown(sha256: Digest) -> LedgerError {
    Problem::error("ledger::unknown-attachment", format!("the attachment `{sha256}` is not in this account"))
        .mend("keep the file first")
        .at("attachment")
        .into()
}
