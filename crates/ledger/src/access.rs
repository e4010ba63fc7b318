//! Who may come in: sign-ins with their roles, sessions, failed attempts, and the audit trail.
//!
//! All of it lies in the ledger's database, so that several servers share it and a restart forgets
//! nothing. Passwords are kept as Argon2id hashes, tokens and recovery codes as their SHA-256: whoever
//! reads the database can sign in as nobody. The secrets of second factors lie there as they are, since
//! codes are checked by making them; they open nothing without the password. Times come from the caller.

mod attempt;
mod audit;
mod one_time_code;
mod password;
mod recovery_code;
mod role;
mod second_factor;
mod session;
mod sign_in;

pub use attempt::{Attempt, Tried};
pub use audit::{Audited, Event};
pub use one_time_code::Secret;
pub use password::Password;
pub use recovery_code::RecoveryCode;
pub use role::Role;
pub use second_factor::{SecondFactor, Taken};
pub use session::{Lifetime, OpenSession, Proof, Session, Token};
pub use sign_in::{NewSignIn, SignIn};

use crate::database::{Database, Dialect};
use crate::error::LedgerError;
use crate::store::Ledger;
use sqlx::{Any, Transaction};

/// The door of one ledger. Clones share the connections.
#[derive(Debug, Clone)]
pub struct Access {
    database: Database,
}

impl Ledger {
    /// The door of this ledger.
    pub fn access(&self) -> Access {
        Access { database: self.database.clone() }
    }
}

impl Access {
    /// A transaction outside every account: whose account it is, the sign-in itself tells.
    async fn write(&self) -> Result<Transaction<'static, Any>, LedgerError> {
        Ok(match self.database.dialect() {
            Dialect::Sqlite => self.database.unscoped().begin_with("begin immediate").await?,
            Dialect::Postgres => self.database.unscoped().begin().await?,
        })
    }

    /// Connections for a single look.
    fn read(&self) -> &sqlx::AnyPool {
        self.database.unscoped_readers()
    }
}
