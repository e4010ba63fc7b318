//! One account seen by one person.

mod append;
pub(crate) mod attachment;
mod list;
mod read;
pub(crate) mod row;
mod verify;

pub(crate) use append::BookTurn;
pub use attachment::Attachment;
pub(crate) use list::Called;
pub use list::{Cursor, Filter, Listing, Order, Page};
pub use verify::{Finding, Progress, Verification};

use crate::actor::Actor;
use crate::database::{Intent, Look, Scope};
use crate::digest::Digest;
use crate::error::LedgerError;
use crate::identity::AccountId;
use crate::store::Ledger;

/// The end of a book at some moment. Kept elsewhere, it tells later whether the tail is still there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Head {
    /// How many entries the book has.
    pub sequence: u64,
    /// The hash of the last of them; [`Digest::NONE`] for an empty book.
    pub hash: Digest,
}

/// The book of one account, in the hands of one person. Clones share the connections.
#[derive(Debug, Clone)]
pub struct Book {
    ledger: Ledger,
    account: AccountId,
    actor: Actor,
}

impl Book {
    pub(crate) fn new(ledger: Ledger, account: AccountId, actor: Actor) -> Self {
        Self { ledger, account, actor }
    }

    /// Whose book it is.
    pub fn account(&self) -> AccountId {
        self.account
    }

    /// Who holds it.
    pub fn actor(&self) -> &Actor {
        &self.actor
    }

    /// The ledger it stands in.
    pub fn ledger(&self) -> &Ledger {
        &self.ledger
    }

    /// For one statement that looks.
    pub(crate) async fn look(&self) -> Result<Look, LedgerError> {
        self.ledger.database.look(Scope::Account(self.account)).await
    }

    pub(crate) async fn begin(&self, intent: Intent) -> Result<sqlx::Transaction<'static, sqlx::Any>, LedgerError> {
        self.ledger.database.begin(Scope::Account(self.account), intent).await
    }
}
