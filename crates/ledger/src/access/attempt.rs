//! Failed attempts to sign in: each makes the next one wait longer, whichever server is asked.

use super::Access;
use crate::error::LedgerError;
use jiff::{SignedDuration, Timestamp};
use sha2::{Digest as _, Sha256};
use sqlx::Row as _;

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
    let name = Sha256::digest(name.trim().as_bytes());
    let name: String = name.iter().map(|byte| format!("{byte:02x}")).collect();
    [(format!("name {name}"), FREE), (format!("address {address}"), FREE_OF_ADDRESS)]
}

impl Access {
    /// Counts an attempt to sign in before it is looked at, or says how long to wait first. Counting comes
    /// first so that attempts made at once do not slip through; [`Access::forgive`] takes a good one back.
    ///
    /// # Errors
    /// The database fails.
    pub async fn try_attempt(
        &self,
        name: &str,
        address: &str,
        at: Timestamp,
    ) -> Result<Option<SignedDuration>, LedgerError> {
        let now = at.as_millisecond();
        let mut transaction = self.write().await?;
        sqlx::query("delete from attempt where last_at_ms < $1")
            .bind((at - FORGOTTEN).as_millisecond())
            .execute(&mut *transaction)
            .await?;
        let mut longest = SignedDuration::ZERO;
        for (subject, free) in subjects(name, address) {
            let row = sqlx::query(
                "insert into attempt (subject, failures, last_at_ms) values ($1, 0, $2) \
                 on conflict (subject) do update set failures = attempt.failures \
                 returning failures, last_at_ms",
            )
            .bind(subject)
            .bind(now)
            .fetch_one(&mut *transaction)
            .await?;
            let failures: i64 = row.try_get("failures")?;
            let since = SignedDuration::from_millis(now - row.try_get::<i64, _>("last_at_ms")?);
            longest = longest.max(wait(failures, free) - since);
        }
        if longest > SignedDuration::ZERO {
            transaction.commit().await?;
            return Ok(Some(longest));
        }
        for (subject, _) in subjects(name, address) {
            sqlx::query("update attempt set failures = failures + 1, last_at_ms = $1 where subject = $2")
                .bind(now)
                .bind(subject)
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        Ok(None)
    }

    /// Forgets the failures of a name that signed in, and takes this attempt back from its address.
    ///
    /// # Errors
    /// The database fails.
    pub async fn forgive(&self, name: &str, address: &str) -> Result<(), LedgerError> {
        let [(name, _), (address, _)] = subjects(name, address);
        let mut transaction = self.write().await?;
        sqlx::query("delete from attempt where subject = $1").bind(name).execute(&mut *transaction).await?;
        sqlx::query("update attempt set failures = failures - 1 where subject = $1 and failures > 0")
            .bind(address)
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(())
    }
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
