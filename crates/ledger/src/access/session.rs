//! Sessions: from signing in until signing out, a rest too long, or the end of the day's work.

use super::sign_in::{COLUMNS, from_row};
use super::{Access, Role, SignIn};
use crate::error::LedgerError;
use jiff::{SignedDuration, Timestamp};
use problem::Problem;
use sha2::{Digest as _, Sha256};
use sqlx::Row as _;
use std::fmt;
use std::fmt::Write as _;
use uuid::Uuid;

/// How often at most the database hears that a session is in use.
const STEP: SignedDuration = SignedDuration::from_mins(1);

/// How long a session lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lifetime {
    /// Without use, but for technicians.
    pub rest: SignedDuration,
    /// Without use, for technicians.
    pub rest_in_the_yard: SignedDuration,
    /// At most, whatever the use.
    pub most: SignedDuration,
}

impl Default for Lifetime {
    /// Half an hour without use, an hour for technicians, twelve hours at most.
    ///
    /// # Source
    /// OWASP Application Security Verification Standard 4.0.3, 3.3.2 (level 2: 12 hours, or 30 minutes of
    /// rest). The hour is a stated departure: work on one property takes about that long, the phone stays in
    /// the pocket meanwhile, and a technician reaches neither sign-ins nor the business.
    fn default() -> Self {
        Self {
            rest: SignedDuration::from_mins(30),
            rest_in_the_yard: SignedDuration::from_hours(1),
            most: SignedDuration::from_hours(12),
        }
    }
}

impl Lifetime {
    /// The same rest for everybody, twelve hours at most.
    pub fn resting(rest: SignedDuration) -> Self {
        Self { rest, rest_in_the_yard: rest, ..Self::default() }
    }

    /// How long a session of this role lasts without use.
    pub fn rest_of(self, role: Role) -> SignedDuration {
        if role == Role::Technician { self.rest_in_the_yard } else { self.rest }
    }

    fn longest_rest(self) -> SignedDuration {
        self.rest.max(self.rest_in_the_yard)
    }
}

/// What a session was begun with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// The password alone.
    Password,
    /// The password and a code.
    SecondFactor,
}

/// 256 random bits that stand for a session, as 64 hexadecimal digits. It is never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(String);

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(…)")
    }
}

impl Token {
    /// A token that nobody can guess.
    ///
    /// # Errors
    /// The system gives no random numbers.
    pub fn fresh() -> Result<Self, Problem> {
        let mut bytes = [0; 32];
        getrandom::fill(&mut bytes).map_err(|error| {
            Problem::error("access::no-random", format!("the system gives no random numbers: {error}"))
        })?;
        Ok(Self(hexadecimal(&bytes)))
    }

    /// Reads a token; anything but 64 small hexadecimal digits is none.
    pub fn parse(text: &str) -> Option<Self> {
        let digit = |byte: u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte);
        (text.len() == 64 && text.bytes().all(digit)).then(|| Self(text.to_owned()))
    }

    /// The text that the person's browser keeps.
    pub fn text(&self) -> &str {
        &self.0
    }

    /// The text that a page sends along with every change, made from the token: a page of another
    /// origin cannot know it, and it opens nothing by itself.
    pub fn form_token(&self) -> String {
        hexadecimal(&Sha256::digest(format!("tussock form token {}", self.0)))
    }

    pub(super) fn sha256(&self) -> String {
        hexadecimal(&Sha256::digest(self.0.as_bytes()))
    }
}

pub(super) fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// A session that is alive.
#[derive(Debug, Clone)]
pub struct Session {
    /// Whose it is.
    pub sign_in: SignIn,
    /// When it began.
    pub began_at: Timestamp,
}

impl Access {
    /// Begins a session; what is over is cleared away.
    ///
    /// # Errors
    /// The system gives no random numbers; the database fails.
    pub async fn begin_session(
        &self,
        sign_in: Uuid,
        proof: Proof,
        lifetime: Lifetime,
        at: Timestamp,
    ) -> Result<Token, LedgerError> {
        let token = Token::fresh()?;
        let mut transaction = self.write().await?;
        sqlx::query("delete from session where began_at_ms < $1 or seen_at_ms < $2")
            .bind((at - lifetime.most).as_millisecond())
            .bind((at - lifetime.longest_rest()).as_millisecond())
            .execute(&mut *transaction)
            .await?;
        sqlx::query(
            "insert into session (token_sha256, sign_in, began_at_ms, seen_at_ms, second_factor) \
             values ($1, $2, $3, $3, $4)",
        )
        .bind(token.sha256())
        .bind(sign_in.to_string())
        .bind(at.as_millisecond())
        .bind(i64::from(proof == Proof::SecondFactor))
        .execute(&mut *transaction)
        .await?;
        transaction.commit().await?;
        Ok(token)
    }

    /// The session of a token, when it is alive and its sign-in still opens. One that was begun with the
    /// password alone ends when the sign-in has a second factor.
    ///
    /// # Errors
    /// The database fails.
    pub async fn session(
        &self,
        token: &Token,
        lifetime: Lifetime,
        at: Timestamp,
    ) -> Result<Option<Session>, LedgerError> {
        let row = sqlx::query(sqlx::AssertSqlSafe(format!(
            "select session.began_at_ms, session.seen_at_ms, session.second_factor as proven, {COLUMNS} \
             from session join sign_in on sign_in.sign_in = session.sign_in where session.token_sha256 = $1"
        )))
        .bind(token.sha256())
        .fetch_optional(self.read())
        .await?;
        let Some(row) = row else { return Ok(None) };
        let sign_in = from_row(&row)?;
        let now = at.as_millisecond();
        let began: i64 = row.try_get("began_at_ms")?;
        let seen: i64 = row.try_get("seen_at_ms")?;
        let rest = lifetime.rest_of(sign_in.role);
        let over = began < (at - lifetime.most).as_millisecond() || seen < (at - rest).as_millisecond();
        let unproven = sign_in.second_factor && row.try_get::<i64, _>("proven")? == 0;
        if over || unproven || sign_in.disabled {
            return Ok(None);
        }
        if seen < (at - STEP).as_millisecond() {
            sqlx::query("update session set seen_at_ms = $1 where token_sha256 = $2 and seen_at_ms < $1")
                .bind(now)
                .bind(token.sha256())
                .execute(self.database.unscoped())
                .await?;
        }
        let began_at = Timestamp::from_millisecond(began)
            .map_err(|_| Problem::error("access::damaged", "a session in the database has no beginning"))?;
        Ok(Some(Session { sign_in, began_at }))
    }

    /// Ends a session.
    ///
    /// # Errors
    /// The database fails.
    pub async fn end_session(&self, token: &Token) -> Result<(), LedgerError> {
        sqlx::query("delete from session where token_sha256 = $1")
            .bind(token.sha256())
            .execute(self.database.unscoped())
            .await?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_are_long_differ_and_are_never_shown() {
        let token = Token::fresh().unwrap();
        assert_eq!(token.text().len(), 64);
        assert_ne!(token, Token::fresh().unwrap());
        assert!(!format!("{token:?}").contains(token.text()));
        assert_eq!(Token::parse(token.text()), Some(token.clone()));
        assert_eq!(
            Token::parse(&token.text().to_uppercase()).is_some(),
            token.text().bytes().all(|b| b.is_ascii_digit())
        );
        assert_ne!(token.form_token(), token.text());
        assert_ne!(token.form_token(), token.sha256(), "what the database holds forges nothing");
    }
}
