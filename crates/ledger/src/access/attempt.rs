//! Failed attempts to sign in: each makes the next one wait longer, whichever server is asked.

use super::Access;
use super::session::hexadecimal;
use crate::error::LedgerError;
use jiff::{SignedDuration, Timestamp};
use sha2::{Digest as _, Sha256};
use sqlx::{Any, Row as _, Transaction};

/// Failures that cost nothing: fingers slip.
const FREE: i64 = 5;
/// The longest wait. A name is never locked for good: that would let anybody lock anybody out.
const LONGEST_S: i64 = 15 * 60;
/// After this rest the failures are forgotten.
const FORGOTTEN: SignedDuration = SignedDuration::from_hours(24);
/// Addresses are shared by a household or a company: they may fail more often.
const FREE_OF_ADDRESS: i64 = 20;

/// How long somebody must wait after so many failures: 1, 2, 4 … seconds, at most a quarter of an hour.
///
/// # Source
/// OWASP Application Security Verification Standard 4.0.3, 2.2.1 (no more than 100 failures an hour).
fn wait(failures: i64, free: i64) -> SignedDuration {
    let beyond = failures - free;
    if beyond < 0 {
        return SignedDuration::ZERO;
    }
    SignedDuration::from_secs(
        1_i64.checked_shl(u32::try_from(beyond).unwrap_or(u32::MAX).min(20)).unwrap_or(LONGEST_S).min(LONGEST_S),
    )
}

/// Names are kept as hashes: people type passwords into the field of the name.
fn subjects(name: &str, address: &str) -> [(String, i64); 2] {
    let name = hexadecimal(&Sha256::digest(name.trim().as_bytes()));
    [(format!("name {name}"), FREE), (format!("address {address}"), FREE_OF_ADDRESS)]
}

/// What came of asking whether an attempt may be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tried {
    /// It may, and is counted: it stays a failure until somebody says that it was none.
    Counted(Attempt),
    /// It comes too soon: this long it has to wait first.
    Wait(SignedDuration),
}

/// An attempt that was counted, with what stood there before it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[must_use = "it stays a failure until it is forgiven or taken back"]
pub struct Attempt {
    at_ms: i64,
    /// Name and address, each with the moment of the last attempt before this one.
    subjects: [(String, i64); 2],
}

impl Access {
    /// Counts an attempt to sign in before it is looked at, or says how long to wait first. Counting comes first so
    /// that attempts made at once do not slip through; [`Access::forgive`] and [`Access::take_back`] take a good one
    /// back.
    ///
    /// # Errors
    /// The database fails.
    pub async fn try_attempt(&self, name: &str, address: &str, at: Timestamp) -> Result<Tried, LedgerError> {
        let now = at.as_millisecond();
        let mut transaction = self.write().await?;
        sqlx::query("delete from attempt where last_at_ms < $1")
            .bind((at - FORGOTTEN).as_millisecond())
            .execute(&mut *transaction)
            .await?;
        let mut longest = SignedDuration::ZERO;
        let subjects = subjects(name, address);
        let mut before = [now; 2];
        for ((subject, free), before) in subjects.iter().zip(&mut before) {
            let row = sqlx::query(
                "insert into attempt (subject, failures, last_at_ms) values ($1, 0, $2) \
                 on conflict (subject) do update set failures = attempt.failures \
                 returning failures, last_at_ms",
            )
            .bind(subject.as_str())
            .bind(now)
            .fetch_one(&mut *transaction)
            .await?;
            let failures: i64 = row.try_get("failures")?;
            *before = row.try_get("last_at_ms")?;
            longest = longest.max(wait(failures, *free) - SignedDuration::from_millis(now - *before));
        }
        if longest > SignedDuration::ZERO {
            transaction.commit().await?;
            return Ok(Tried::Wait(longest));
        }
        for (subject, _) in &subjects {
            sqlx::query("update attempt set failures = failures + 1, last_at_ms = $1 where subject = $2")
                .bind(now)
                .bind(subject.as_str())
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        let [(name, _), (address, _)] = subjects;
        let [of_name, of_address] = before;
        Ok(Tried::Counted(Attempt { at_ms: now, subjects: [(name, of_name), (address, of_address)] }))
    }

    /// Forgets the failures of a name that proved itself with all that is asked of it, and takes this attempt back from
    /// its address.
    ///
    /// # Errors
    /// The database fails.
    pub async fn forgive(&self, attempt: Attempt) -> Result<(), LedgerError> {
        let [(name, _), address] = &attempt.subjects;
        let mut transaction = self.write().await?;
        sqlx::query("delete from attempt where subject = $1").bind(name.as_str()).execute(&mut *transaction).await?;
        uncount(&mut transaction, address, attempt.at_ms).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Takes this attempt alone back: it was no failure, and proves too little to forget those of before.
    ///
    /// # Errors
    /// The database fails.
    pub async fn take_back(&self, attempt: Attempt) -> Result<(), LedgerError> {
        let mut transaction = self.write().await?;
        for subject in &attempt.subjects {
            uncount(&mut transaction, subject, attempt.at_ms).await?;
        }
        transaction.commit().await?;
        Ok(())
    }
}

/// Leaves a subject as it was before an attempt; where others came since, their moment stays.
async fn uncount(
    transaction: &mut Transaction<'static, Any>,
    (subject, before): &(String, i64),
    at_ms: i64,
) -> Result<(), LedgerError> {
    sqlx::query(
        "update attempt set failures = failures - 1, \
         last_at_ms = case when last_at_ms = $1 then $2 else last_at_ms end where subject = $3 and failures > 0",
    )
    .bind(at_ms)
    .bind(*before)
    .bind(subject.as_str())
    .execute(&mut **transaction)
    .await?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wait_doubles_to_a_quarter_of_an_hour() {
        let waits: Vec<i64> = [0, 4, 5, 6, 7, 14, 15, 400].map(|failures| wait(failures, 5).as_secs()).to_vec();
        assert_eq!(waits, [0, 0, 1, 2, 4, 512, 900, 900]);
        // 5 free, then the waits: fewer than a hundred in the first hour.
        let mut seconds = 0;
        let mut failures = 0;
        while seconds < 3600 {
            seconds += wait(failures, FREE).as_secs();
            failures += 1;
        }
        assert!(failures < 100, "{failures}");
    }
}
