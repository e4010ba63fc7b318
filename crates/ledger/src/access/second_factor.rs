//! The second factor of a sign-in: a phone that makes one-time codes, and recovery codes in its stead.

use super::one_time_code::Secret;
use super::recovery_code::RecoveryCode;
use super::sign_in::{end_all, unknown};
use super::{Access, Token};
use crate::error::LedgerError;
use crate::identity::AccountId;
use jiff::Timestamp;
use problem::Problem;
use sqlx::Row as _;
use uuid::Uuid;

/// Recovery codes that a second factor comes with.
const RECOVERY_CODES: usize = 10;

/// What a sign-in has of a second factor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SecondFactor {
    /// Whether a code of it was given: before that it asks for none.
    pub confirmed: bool,
    /// When it was begun.
    pub begun_at: Timestamp,
    /// Recovery codes that were not used.
    pub recovery_codes: u16,
}

/// What came of a code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// A one-time code, or one of the recovery codes, that was not used before. It is used now.
    Fits {
        /// Whether it was a recovery code.
        recovery: bool,
    },
    /// A one-time code that was used before, or is older than one that was: somebody may have seen it.
    UsedBefore,
    /// No code of this sign-in.
    No,
}

impl Access {
    /// What a sign-in has of a second factor.
    ///
    /// # Errors
    /// The database fails.
    pub async fn second_factor(&self, sign_in: Uuid) -> Result<Option<SecondFactor>, LedgerError> {
        let row = sqlx::query(
            "select confirmed, begun_at_ms, \
             (select count(*) from recovery_code r where r.sign_in = f.sign_in) as recovery_codes \
             from second_factor f where f.sign_in = $1",
        )
        .bind(sign_in.to_string())
        .fetch_optional(self.read())
        .await?;
        let Some(row) = row else { return Ok(None) };
        let damaged = |_| Problem::error("access::damaged", "a second factor in the database has no beginning");
        Ok(Some(SecondFactor {
            confirmed: row.try_get::<i64, _>("confirmed")? != 0,
            begun_at: Timestamp::from_millisecond(row.try_get("begun_at_ms")?).map_err(damaged)?,
            recovery_codes: u16::try_from(row.try_get::<i64, _>("recovery_codes")?).unwrap_or_default(),
        }))
    }

    /// Begins a second factor. It asks for nothing until it is confirmed; one that was begun and not confirmed
    /// is replaced.
    ///
    /// # Errors
    /// There is a confirmed one; the system gives no random numbers; the database fails.
    pub async fn begin_second_factor(&self, sign_in: Uuid, at: Timestamp) -> Result<Secret, LedgerError> {
        let secret = Secret::fresh()?;
        let begun = sqlx::query(
            "insert into second_factor (sign_in, secret, confirmed, last_step, begun_at_ms) values ($1, $2, 0, 0, $3) \
             on conflict (sign_in) do update set secret = excluded.secret, last_step = 0, \
             begun_at_ms = excluded.begun_at_ms where second_factor.confirmed = 0",
        )
        .bind(sign_in.to_string())
        .bind(secret.kept())
        .bind(at.as_millisecond())
        .execute(self.database.unscoped())
        .await?
        .rows_affected();
        if begun == 0 { Err(present()) } else { Ok(secret) }
    }

    /// Confirms a second factor with a code of it: from now on every sign-in asks for one. Every session but the
    /// one of `token` ends. Gives the recovery codes, which nobody can ask for again, or nothing when the code
    /// does not fit.
    ///
    /// # Errors
    /// None was begun, or it was confirmed already; the system gives no random numbers; the database fails.
    pub async fn confirm_second_factor(
        &self,
        sign_in: Uuid,
        code: &str,
        token: &Token,
        at: Timestamp,
    ) -> Result<Option<Vec<RecoveryCode>>, LedgerError> {
        let codes = (0..RECOVERY_CODES).map(|_| RecoveryCode::fresh()).collect::<Result<Vec<_>, _>>()?;
        let name = sign_in.to_string();
        let mut transaction = self.write().await?;
        let row = sqlx::query(sqlx::AssertSqlSafe(format!(
            "select secret, confirmed from second_factor where sign_in = $1{}",
            self.database.dialect().for_update()
        )))
        .bind(name.as_str())
        .fetch_optional(&mut *transaction)
        .await?
        .ok_or_else(missing)?;
        if row.try_get::<i64, _>("confirmed")? != 0 {
            return Err(present());
        }
        let secret = Secret::of_kept(row.try_get("secret")?)?;
        let Some(step) = secret.step_of_code(code.trim(), at) else { return Ok(None) };
        sqlx::query("update second_factor set confirmed = 1, last_step = $1 where sign_in = $2")
            .bind(step)
            .bind(name.as_str())
            .execute(&mut *transaction)
            .await?;
        for code in &codes {
            sqlx::query("insert into recovery_code (sign_in, code_sha256) values ($1, $2)")
                .bind(name.as_str())
                .bind(code.sha256())
                .execute(&mut *transaction)
                .await?;
        }
        sqlx::query("delete from session where sign_in = $1 and token_sha256 <> $2")
            .bind(name.as_str())
            .bind(token.sha256())
            .execute(&mut *transaction)
            .await?;
        sqlx::query("update session set second_factor = 1 where token_sha256 = $1")
            .bind(token.sha256())
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(Some(codes))
    }

    /// Takes a code of a sign-in: one of the phone, or a recovery code. Each is taken once, whichever server is
    /// asked, and how many at once.
    ///
    /// # Errors
    /// The database fails.
    pub async fn take_code(&self, sign_in: Uuid, typed: &str, at: Timestamp) -> Result<Taken, LedgerError> {
        let typed = typed.trim();
        if let Some(code) = RecoveryCode::parse(typed) {
            // Only of a second factor that is confirmed: codes of one that ended are gone with it.
            let taken = sqlx::query("delete from recovery_code where sign_in = $1 and code_sha256 = $2")
                .bind(sign_in.to_string())
                .bind(code.sha256())
                .execute(self.database.unscoped())
                .await?
                .rows_affected();
            return Ok(if taken == 1 { Taken::Fits { recovery: true } } else { Taken::No });
        }
        let row = sqlx::query("select secret from second_factor where sign_in = $1 and confirmed = 1")
            .bind(sign_in.to_string())
            .fetch_optional(self.read())
            .await?;
        let Some(row) = row else { return Ok(Taken::No) };
        let kept: String = row.try_get("secret")?;
        let Some(step) = Secret::of_kept(&kept)?.step_of_code(typed, at) else { return Ok(Taken::No) };
        // The database decides which of several that bring one code at once is the first.
        let taken = sqlx::query(
            "update second_factor set last_step = $1 \
             where sign_in = $2 and secret = $3 and confirmed = 1 and last_step < $1",
        )
        .bind(step)
        .bind(sign_in.to_string())
        .bind(kept)
        .execute(self.database.unscoped())
        .await?
        .rows_affected();
        Ok(if taken == 1 { Taken::Fits { recovery: false } } else { Taken::UsedBefore })
    }

    /// Ends a second factor, confirmed or not, with its recovery codes, and every session of the sign-in.
    ///
    /// # Errors
    /// The sign-in is not of this account, or has none; the database fails.
    pub async fn end_second_factor(&self, account: AccountId, sign_in: Uuid) -> Result<(), LedgerError> {
        let name = sign_in.to_string();
        let mut transaction = self.write().await?;
        sqlx::query("select sign_in from sign_in where account = $1 and sign_in = $2")
            .bind(account.to_string())
            .bind(name.as_str())
            .fetch_optional(&mut *transaction)
            .await?
            .ok_or_else(|| unknown(sign_in))?;
        let ended = sqlx::query("delete from second_factor where sign_in = $1")
            .bind(name.as_str())
            .execute(&mut *transaction)
            .await?
            .rows_affected();
        if ended == 0 {
            return Err(missing());
        }
        sqlx::query("delete from recovery_code where sign_in = $1").bind(name).execute(&mut *transaction).await?;
        end_all(&mut transaction, sign_in).await?;
        transaction.commit().await?;
        Ok(())
    }
}

fn missing() -> LedgerError {
    Problem::error("access::no-second-factor", "the sign-in has no second factor, and none was begun").into()
}

fn present() -> LedgerError {
    Problem::error("access::second-factor-present", "the sign-in has a second factor already")
        .mend("end it before another is begun")
        .into()
}
