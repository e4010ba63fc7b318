//! Sign-ins: who may come in, as what, to which account.

use super::audit::append;
use super::{Access, Event, Password, Role};
use crate::error::LedgerError;
use crate::identity::{AccountId, ThingId};
use jiff::Timestamp;
use problem::{Problem, Problems};
use sqlx::any::AnyRow;
use sqlx::{Any, Row as _, Transaction};
use uuid::Uuid;

/// Most characters of a name.
const LONGEST_NAME: usize = 100;

/// One person's way in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignIn {
    /// Its own name, the same for good.
    pub sign_in: Uuid,
    /// What the person types; no two sign-ins of one ledger share it.
    pub name: String,
    /// The account that it opens.
    pub account: AccountId,
    /// What the person is there.
    pub role: Role,
    /// The client that a client's sign-in stands for.
    pub client: Option<ThingId>,
    /// Whether it opens nothing any more.
    pub disabled: bool,
    /// Whether it asks for a code beside the password.
    pub second_factor: bool,
    /// When it was made.
    pub made_at: Timestamp,
}

/// A sign-in to be made.
#[derive(Debug, Clone)]
pub struct NewSignIn {
    /// What the person will type.
    pub name: String,
    /// The account that it opens.
    pub account: AccountId,
    /// What the person is there.
    pub role: Role,
    /// The client whom a client's sign-in stands for.
    pub client: Option<ThingId>,
    /// The password, chosen.
    pub password: Password,
}

/// The columns of a sign-in, of a row of `sign_in`.
pub(super) const COLUMNS: &str = "sign_in.sign_in, sign_in.name, sign_in.account, sign_in.role, sign_in.client, \
     sign_in.disabled, sign_in.made_at_ms, (select count(*) from second_factor \
     where second_factor.sign_in = sign_in.sign_in and second_factor.confirmed = 1) as second_factor";

impl Access {
    /// Makes a sign-in.
    ///
    /// # Errors
    /// The name is empty, too long, holds what cannot be typed, or is taken; a client's sign-in without
    /// the client, or another's with one; the database fails.
    pub async fn make_sign_in(&self, new: NewSignIn, at: Timestamp) -> Result<SignIn, LedgerError> {
        let name = new.name.trim().to_owned();
        let mut problems = Problems::new();
        if name.is_empty() || name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) {
            problems.push(
                Problem::error("access::name", "the name of the sign-in is empty, too long, or cannot be typed")
                    .expected("1 to 100 characters")
                    .at("name"),
            );
        }
        problems.extend(wrong_link(new.role, new.client));
        if problems.has_errors() {
            return Err(problems.into());
        }
        let hash = hashed(new.password).await?;
        let sign_in = Uuid::now_v7();
        let mut transaction = self.write().await?;
        let made = sqlx::query(
            "insert into sign_in (sign_in, name, account, role, client, password_hash, disabled, made_at_ms) \
             values ($1, $2, $3, $4, $5, $6, 0, $7) on conflict (name) do nothing",
        )
        .bind(sign_in.to_string())
        .bind(name.as_str())
        .bind(new.account.to_string())
        .bind(new.role.word())
        .bind(new.client.map(|client| client.to_string()))
        .bind(hash)
        .bind(at.as_millisecond())
        .execute(&mut *transaction)
        .await?
        .rows_affected();
        if made == 0 {
            return Err(Problem::error("access::name-taken", format!("`{name}` is taken"))
                .mend("take another name")
                .at("name")
                .into());
        }
        transaction.commit().await?;
        Ok(SignIn {
            sign_in,
            name,
            account: new.account,
            role: new.role,
            client: new.client,
            disabled: false,
            second_factor: false,
            made_at: at,
        })
    }

    /// Every sign-in of an account, by name.
    ///
    /// # Errors
    /// The database fails.
    pub async fn sign_ins(&self, account: AccountId) -> Result<Vec<SignIn>, LedgerError> {
        let rows =
            sqlx::query(sqlx::AssertSqlSafe(format!("select {COLUMNS} from sign_in where account = $1 order by name")))
                .bind(account.to_string())
                .fetch_all(self.read())
                .await?;
        rows.iter().map(from_row).collect()
    }

    /// One sign-in of an account.
    ///
    /// # Errors
    /// The database fails.
    pub async fn sign_in(&self, account: AccountId, sign_in: Uuid) -> Result<Option<SignIn>, LedgerError> {
        let row = sqlx::query(sqlx::AssertSqlSafe(format!(
            "select {COLUMNS} from sign_in where account = $1 and sign_in = $2"
        )))
        .bind(account.to_string())
        .bind(sign_in.to_string())
        .fetch_optional(self.read())
        .await?;
        row.as_ref().map(from_row).transpose()
    }

    /// Whether some account has an owner who may come in.
    ///
    /// # Errors
    /// The database fails.
    pub async fn has_owner(&self) -> Result<bool, LedgerError> {
        let owner = sqlx::query("select sign_in from sign_in where role = 'owner' and disabled = 0 limit 1")
            .fetch_optional(self.read())
            .await?;
        Ok(owner.is_some())
    }

    /// Lets a sign-in open its account, or nothing. Closing it ends its sessions.
    ///
    /// # Errors
    /// It is not of this account; it is the last owner's, who would lock everybody out; the database fails.
    pub async fn set_disabled(&self, account: AccountId, sign_in: Uuid, disabled: bool) -> Result<(), LedgerError> {
        let mut transaction = self.write().await?;
        if self.is_last_owner(&mut transaction, account, sign_in).await? && disabled {
            return Err(last_owner());
        }
        let changed = sqlx::query("update sign_in set disabled = $1 where account = $2 and sign_in = $3")
            .bind(i64::from(disabled))
            .bind(account.to_string())
            .bind(sign_in.to_string())
            .execute(&mut *transaction)
            .await?
            .rows_affected();
        if changed == 0 {
            return Err(unknown(sign_in));
        }
        if disabled {
            end_all(&mut transaction, sign_in).await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// Gives a sign-in another role, and ends all its sessions, which reached what the old one may. What is told of it,
    /// by the sign-in as it was, stands in the audit trail exactly when the role is another.
    ///
    /// # Errors
    /// It is not of this account; it is the last owner's, who would lock everybody out; a client without the client, or
    /// another with one; the database fails.
    pub async fn set_role(
        &self,
        account: AccountId,
        sign_in: Uuid,
        role: Role,
        client: Option<ThingId>,
        told: impl FnOnce(&SignIn) -> Event + Send,
    ) -> Result<(), LedgerError> {
        if let Some(problem) = wrong_link(role, client) {
            return Err(problem.into());
        }
        let mut transaction = self.write().await?;
        if self.is_last_owner(&mut transaction, account, sign_in).await? && role != Role::Owner {
            return Err(last_owner());
        }
        // After the owners, whom everybody locks first.
        let row = sqlx::query(sqlx::AssertSqlSafe(format!(
            "select {COLUMNS} from sign_in where account = $1 and sign_in = $2{}",
            self.database.dialect().for_update()
        )))
        .bind(account.to_string())
        .bind(sign_in.to_string())
        .fetch_optional(&mut *transaction)
        .await?
        .ok_or_else(|| unknown(sign_in))?;
        let event = told(&from_row(&row)?);
        sqlx::query("update sign_in set role = $1, client = $2 where account = $3 and sign_in = $4")
            .bind(role.word())
            .bind(client.map(|client| client.to_string()))
            .bind(account.to_string())
            .bind(sign_in.to_string())
            .execute(&mut *transaction)
            .await?;
        end_all(&mut transaction, sign_in).await?;
        append(&mut transaction, &event).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Whether nobody else could answer for the account. Two owners who shut each other out at once would leave none: the
    /// second waits for the first.
    async fn is_last_owner(
        &self,
        transaction: &mut Transaction<'static, Any>,
        account: AccountId,
        sign_in: Uuid,
    ) -> Result<bool, LedgerError> {
        let owners: Vec<String> = sqlx::query_scalar(sqlx::AssertSqlSafe(format!(
            "select sign_in from sign_in where account = $1 and role = 'owner' and disabled = 0{}",
            self.database.dialect().for_update()
        )))
        .bind(account.to_string())
        .fetch_all(&mut **transaction)
        .await?;
        Ok(owners == [sign_in.to_string()])
    }

    /// Gives a sign-in a new password, and ends all its sessions.
    ///
    /// # Errors
    /// It is not of this account; the database fails.
    pub async fn set_password(&self, account: AccountId, sign_in: Uuid, password: Password) -> Result<(), LedgerError> {
        let hash = hashed(password).await?;
        let mut transaction = self.write().await?;
        let changed = sqlx::query("update sign_in set password_hash = $1 where account = $2 and sign_in = $3")
            .bind(hash)
            .bind(account.to_string())
            .bind(sign_in.to_string())
            .execute(&mut *transaction)
            .await?
            .rows_affected();
        if changed == 0 {
            return Err(unknown(sign_in));
        }
        end_all(&mut transaction, sign_in).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// The sign-in of a name, when there is one.
    ///
    /// # Errors
    /// The database fails.
    pub async fn sign_in_named(&self, name: &str) -> Result<Option<SignIn>, LedgerError> {
        let row = sqlx::query(sqlx::AssertSqlSafe(format!("select {COLUMNS} from sign_in where name = $1")))
            .bind(name.trim().replace('\0', ""))
            .fetch_optional(self.read())
            .await?;
        row.as_ref().map(from_row).transpose()
    }

    /// The sign-in that a name and a password open, if they do. An unknown name takes as long as a wrong
    /// password.
    ///
    /// # Errors
    /// The database fails.
    pub async fn check(&self, name: &str, password: &Password) -> Result<Option<SignIn>, LedgerError> {
        let row =
            sqlx::query(sqlx::AssertSqlSafe(format!("select {COLUMNS}, password_hash from sign_in where name = $1")))
                .bind(name.trim().replace('\0', ""))
                .fetch_optional(self.read())
                .await?;
        let hash = match &row {
            Some(row) => row.try_get::<String, _>("password_hash")?,
            None => NOBODY.to_owned(),
        };
        let password = password.clone();
        let fits = tokio::task::spawn_blocking(move || password.fits(&hash)).await.unwrap_or(false);
        let Some(row) = row.filter(|_| fits) else { return Ok(None) };
        Ok(Some(from_row(&row)?).filter(|sign_in| !sign_in.disabled))
    }
}

/// A hash of the cited parameters that no password is known for.
const NOBODY: &str =
    "$argon2id$v=19$m=19456,t=2,p=1$AAAAAAAAAAAAAAAAAAAAAA$AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA";

async fn hashed(password: Password) -> Result<String, LedgerError> {
    let hash = tokio::task::spawn_blocking(move || password.hash()).await;
    let stopped = || Problem::error("access::hashing", "the hashing of the password was broken off");
    Ok(hash.unwrap_or_else(|_| Err(stopped()))?)
}

fn wrong_link(role: Role, client: Option<ThingId>) -> Option<Problem> {
    let wrong = (role == Role::Client) != client.is_some();
    wrong.then(|| {
        Problem::error("access::client-link", "a client's sign-in names its client, and no other does").at("client")
    })
}

fn last_owner() -> LedgerError {
    Problem::error("access::last-owner", "this is the last owner's sign-in").mend("make another owner first").into()
}

pub(super) async fn end_all(transaction: &mut Transaction<'static, Any>, sign_in: Uuid) -> Result<(), LedgerError> {
    sqlx::query("delete from session where sign_in = $1").bind(sign_in.to_string()).execute(&mut **transaction).await?;
    Ok(())
}

pub(super) fn unknown(sign_in: Uuid) -> LedgerError {
    Problem::error("access::unknown-sign-in", format!("`{sign_in}` is no sign-in of this account")).into()
}

/// The sign-in of a row that holds the columns of one.
pub(super) fn from_row(row: &AnyRow) -> Result<SignIn, LedgerError> {
    let damaged = |what: &str| Problem::error("access::damaged", format!("a sign-in in the database has no {what}"));
    let client: Option<String> = row.try_get("client")?;
    Ok(SignIn {
        sign_in: Uuid::try_parse(row.try_get("sign_in")?).map_err(|_| damaged("name"))?,
        name: row.try_get("name")?,
        account: AccountId::parse(row.try_get("account")?)?,
        role: Role::parse(row.try_get("role")?)?,
        client: client.as_deref().map(ThingId::parse).transpose()?,
        disabled: row.try_get::<i64, _>("disabled")? != 0,
        second_factor: row.try_get::<i64, _>("second_factor")? != 0,
        made_at: Timestamp::from_millisecond(row.try_get("made_at_ms")?).map_err(|_| damaged("date"))?,
    })
}
