//! Sessions: from signing in until signing out, a rest too long, or the end of the day's work.

use super::sign_in::{COLUMNS, end_all, from_row, unknown};
use super::{Access, Role, SignIn};
use crate::error::LedgerError;
use crate::identity::AccountId;
use jiff::{SignedDuration, Timestamp};
use problem::Problem;
use sha2::{Digest as _, Sha256};
use sqlx::Row as _;
use sqlx::any::AnyRow;
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

/// A session that is open, as whoever looks after sign-ins sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenSession {
    /// Whose it is.
    pub sign_in: Uuid,
    /// When it began.
    pub began_at: Timestamp,
    /// When it was used last, to the minute.
    pub seen_at: Timestamp,
    token_sha256: String,
}

impl OpenSession {
    /// Whether it is the one of this token.
    pub fn is_of(&self, token: &Token) -> bool {
        self.token_sha256 == token.sha256()
    }
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
        let Some((began_at, seen_at)) = alive(&row, &sign_in, lifetime, at)? else { return Ok(None) };
        let now = at.as_millisecond();
        if seen_at < at - STEP {
            sqlx::query("update session set seen_at_ms = $1 where token_sha256 = $2 and seen_at_ms < $1")
                .bind(now)
                .bind(token.sha256())
                .execute(self.database.unscoped())
                .await?;
        }
        Ok(Some(Session { sign_in, began_at }))
    }

    /// The open sessions of every sign-in of an account, the first begun first.
    ///
    /// # Errors
    /// The database fails.
    pub async fn open_sessions(
        &self,
        account: AccountId,
        lifetime: Lifetime,
        at: Timestamp,
    ) -> Result<Vec<OpenSession>, LedgerError> {
        let rows = sqlx::query(sqlx::AssertSqlSafe(format!(
            "select session.token_sha256, session.began_at_ms, session.seen_at_ms, session.second_factor as proven, \
             {COLUMNS} from session join sign_in on sign_in.sign_in = session.sign_in where sign_in.account = $1 \
             order by session.began_at_ms"
        )))
        .bind(account.to_string())
        .fetch_all(self.read())
        .await?;
        let mut open = Vec::new();
        for row in &rows {
            let sign_in = from_row(row)?;
            if let Some((began_at, seen_at)) = alive(row, &sign_in, lifetime, at)? {
                let token_sha256 = row.try_get("token_sha256")?;
                open.push(OpenSession { sign_in: sign_in.sign_in, began_at, seen_at, token_sha256 });
            }
        }
        Ok(open)
    }

    /// Ends every session of a sign-in.
    ///
    /// # Errors
    /// It is not of this account; the database fails.
    pub async fn end_sessions(&self, account: AccountId, sign_in: Uuid) -> Result<(), LedgerError> {
        if self.sign_in(account, sign_in).await?.is_none() {
            return Err(unknown(sign_in));
        }
        let mut transaction = self.write().await?;
        end_all(&mut transaction, sign_in).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Ends every session of a sign-in but the one of this token.
    ///
    /// # Errors
    /// The database fails.
    pub async fn end_other_sessions(&self, sign_in: Uuid, token: &Token) -> Result<(), LedgerError> {
        sqlx::query("delete from session where sign_in = $1 and token_sha256 <> $2")
            .bind(sign_in.to_string())
            .bind(token.sha256())
            .execute(self.database.unscoped())
            .await?;
        Ok(())
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

/// When the session of a row began and was used last; none where it is over, or its sign-in opens nothing by it.
fn alive(
    row: &AnyRow,
    sign_in: &SignIn,
    lifetime: Lifetime,
    at: Timestamp,
) -> Result<Option<(Timestamp, Timestamp)>, LedgerError> {
    let moment = |column: &str| -> Result<Timestamp, LedgerError> {
        let damaged = |_| Problem::error("access::damaged", "a session in the database has no beginning");
        Ok(Timestamp::from_millisecond(row.try_get(column)?).map_err(damaged)?)
    };
    let (began_at, seen_at) = (moment("began_at_ms")?, moment("seen_at_ms")?);
    let over = began_at < at - lifetime.most || seen_at < at - lifetime.rest_of(sign_in.role);
    let unproven = sign_in.second_factor && row.try_get::<i64, _>("proven")? == 0;
    Ok((!over && !unproven && !sign_in.disabled).then_some((began_at, seen_at)))
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
