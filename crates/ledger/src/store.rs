//! A ledger: one database with its accounts.

use problem::Problem;
use sqlx::Row as _;

use crate::actor::Actor;
use crate::book::Book;
use crate::database::{Database, Intent, Scope};
use crate::digest::Digest;
use crate::error::LedgerError;
use crate::identity::AccountId;
use crate::location::Location;
use crate::schema::{self, Empty};

/// One business with its books.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Account {
    /// Its name in the ledger.
    pub account: AccountId,
    /// Its name among people; no two accounts of one ledger share it.
    pub name: String,
}

/// One database that keeps books. Clones share the connections.
#[derive(Debug, Clone)]
pub struct Ledger {
    pub(crate) database: Database,
    location: Location,
}

impl Ledger {
    /// Opens a ledger, making it where there is none and taking the steps that its schema lacks.
    ///
    /// # Errors
    /// The database cannot be reached or written, holds something else, or was last used by a newer
    /// tussock.
    pub async fn open(location: &Location) -> Result<Self, LedgerError> {
        Self::open_or(location, Empty::Fill).await
    }

    /// Opens a ledger that is there already, taking the steps that its schema lacks; nothing is made.
    ///
    /// # Errors
    /// As [`Ledger::open`]; `ledger::no-ledger` where there is none.
    pub async fn open_existing(location: &Location) -> Result<Self, LedgerError> {
        if location.path().is_some_and(|path| !path.exists()) {
            return Err(Problem::error("ledger::no-ledger", format!("`{location}` is not there"))
                .expected("books that were kept before")
                .mend("name the books that you keep, or keep something in them first")
                .into());
        }
        Self::open_or(location, Empty::Refuse).await
    }

    pub(crate) async fn open_or(location: &Location, empty: Empty) -> Result<Self, LedgerError> {
        let database = Database::connect(location).await?;
        schema::migrate(&database, empty).await?;
        Ok(Self { database, location: location.clone() })
    }

    /// Where it lies.
    pub fn location(&self) -> &Location {
        &self.location
    }

    /// The account of this name, made when there is none.
    ///
    /// # Errors
    /// The name is empty or holds the character zero; the database fails.
    pub async fn open_account(&self, name: &str) -> Result<AccountId, LedgerError> {
        if name.trim().is_empty() || name.contains('\0') {
            return Err(Problem::error(
                "ledger::account-title",
                "the account's name is empty or holds the character zero",
            )
            .expected("the name of a business")
            .at("name")
            .into());
        }
        let mut transaction = self.database.begin(Scope::Accounts, Intent::Write).await?;
        sqlx::query(
            "insert into account (account, name, head_sequence, head_hash) values ($1, $2, 0, $3) \
             on conflict (name) do nothing",
        )
        .bind(AccountId::fresh().to_string())
        .bind(name)
        .bind(Digest::NONE.to_string())
        .execute(&mut *transaction)
        .await?;
        let account: String = sqlx::query_scalar("select account from account where name = $1")
            .bind(name)
            .fetch_one(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(AccountId::parse(&account)?)
    }

    /// Every account, by name.
    ///
    /// # Errors
    /// The database fails.
    pub async fn accounts(&self) -> Result<Vec<Account>, LedgerError> {
        let mut look = self.database.look(Scope::Accounts).await?;
        let rows = sqlx::query("select account, name from account order by name").fetch_all(&mut *look).await?;
        rows.iter()
            .map(|row| Ok(Account { account: AccountId::parse(row.try_get("account")?)?, name: row.try_get("name")? }))
            .collect()
    }

    /// The book of one account, in the hands of one person.
    ///
    /// # Errors
    /// The account is not in this ledger; the actor's name holds the character zero; the database fails.
    pub async fn book(&self, account: AccountId, actor: Actor) -> Result<Book, LedgerError> {
        let texts = [Some(&actor.name), actor.sign_in.as_ref()];
        if texts.into_iter().flatten().any(|text| text.contains('\0')) {
            return Err(Problem::error(
                "ledger::zero-character",
                "the name of who keeps the book holds the character zero",
            )
            .at("actor")
            .into());
        }
        let mut look = self.database.look(Scope::Account(account)).await?;
        sqlx::query("select account from account where account = $1")
            .bind(account.to_string())
            .fetch_optional(&mut *look)
            .await?
            .ok_or(LedgerError::UnknownAccount(account))?;
        Ok(Book::new(self.clone(), account, actor))
    }

    /// Closes every connection, after the work under way.
    pub async fn close(&self) {
        self.database.close().await;
    }
}
