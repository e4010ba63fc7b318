//! A writer's turn: what it looks at stays as it is until what it keeps is kept.
//!
//! SQLite has one writer at a time, and a commit waits for the disk. Those who come meanwhile write into one
//! transaction, each behind a savepoint of its own, and one commit keeps what all of them wrote. Nobody is answered
//! before it, and where it fails nobody's is kept. PostgreSQL gathers commits by itself.

use std::sync::Arc;

use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, AnyPool, Transaction};
use tokio::sync::{Mutex, OwnedMutexGuard, oneshot};

use std::time::Duration;

use crate::database::PATIENCE;
use crate::error::LedgerError;
use problem::Problem;

/// How long the file is free after a commit that several shared: another program that waits for it looks now and then.
const GAP: Duration = Duration::from_millis(1);

/// The writers of one SQLite file.
pub(crate) type Writers = Arc<Mutex<Group>>;

/// What writers have written together and is not kept yet.
#[derive(Debug, Default)]
pub(crate) struct Group {
    /// The connection, in a transaction.
    connection: Option<PoolConnection<Any>>,
    /// Whether a savepoint stands that nobody has released: whoever set it is writing, or left without an end.
    has_savepoint: bool,
    /// What went wrong with the database in the turn that is given up.
    cause: Option<LedgerError>,
    /// Those who wait for the commit.
    waiting: Vec<oneshot::Sender<Result<(), LedgerError>>>,
}

impl Group {
    /// Undoes what somebody wrote who left in the middle of a turn.
    async fn tidy(&mut self) {
        let Some(connection) = self.connection.as_mut().filter(|_| self.has_savepoint) else { return };
        // After some failures SQLite has undone everything, and knows no savepoint any more.
        let undone = match execute(connection, "rollback to turn").await {
            Ok(()) => execute(connection, "release turn").await,
            failed => failed,
        };
        match undone {
            Ok(()) => self.has_savepoint = false,
            Err(error) => {
                let cause = self.cause.take().unwrap_or(error);
                self.break_off(&cause);
            }
        }
    }

    /// Keeps what was written, and answers everybody.
    async fn commit(&mut self) {
        self.tidy().await;
        let Some(connection) = self.connection.as_mut() else { return };
        if let Err(error) = execute(connection, "commit").await {
            return self.break_off(&error);
        }
        let is_shared = self.waiting.len() > 1;
        self.connection = None;
        self.answer(&Ok(()));
        if is_shared {
            tokio::time::sleep(GAP).await;
        }
    }

    /// Whether anything is kept is not known, and the same request sent again tells. A connection in an unknown state
    /// is not used again.
    fn break_off(&mut self, cause: &LedgerError) {
        self.has_savepoint = false;
        self.cause = None;
        if let Some(mut connection) = self.connection.take() {
            connection.close_on_drop();
        }
        self.answer(&Err(LedgerError::Unreachable(broken_off(&format!("the database broke off: {cause}")))));
    }

    fn answer(&mut self, done: &Result<(), LedgerError>) {
        for waiting in self.waiting.drain(..) {
            // Who went away meanwhile hears nothing.
            let _ = waiting.send(done.clone());
        }
    }
}

async fn execute(connection: &mut AnyConnection, statement: &'static str) -> Result<(), LedgerError> {
    sqlx::query(statement).execute(connection).await?;
    Ok(())
}

/// A writer's turn. Dropped without an end, nothing of it is kept.
pub(crate) enum Turn {
    /// With a transaction of its own.
    Alone(Transaction<'static, Any>),
    /// In a transaction that others may share.
    Shared(SharedTurn),
}

/// A turn in a transaction that others may share.
pub(crate) struct SharedTurn {
    group: OwnedMutexGuard<Group>,
    writers: Writers,
}

impl Turn {
    /// Waits for a turn among the writers of a SQLite file.
    pub(crate) async fn shared(writers: &Writers, pool: &AnyPool) -> Result<Self, LedgerError> {
        // In a task of its own: who goes away in the middle leaves nothing half begun, and its drop undoes the rest.
        let begun = tokio::spawn(SharedTurn::begin(Arc::clone(writers), pool.clone())).await;
        begun.unwrap_or_else(|_| Err(LedgerError::Unreachable(broken_off("the work ended")))).map(Self::Shared)
    }

    /// What the turn looks at and writes.
    ///
    /// # Errors
    /// The transaction has ended; nothing ends it before the turn.
    pub(crate) fn connection(&mut self) -> Result<&mut AnyConnection, LedgerError> {
        match self {
            Self::Alone(transaction) => Ok(transaction),
            Self::Shared(turn) => turn.connection(),
        }
    }

    /// Ends the turn: what it wrote, and what it saw that others wrote, is on the disk when this answers.
    pub(crate) async fn end(self) -> Result<(), LedgerError> {
        match self {
            Self::Alone(transaction) => Ok(transaction.commit().await?),
            Self::Shared(turn) => turn.settle(None).await,
        }
    }

    /// Gives the turn up, and answers why. What was refused because of what others wrote is told when that is on the
    /// disk, and not before.
    pub(crate) async fn refuse(self, why: LedgerError) -> LedgerError {
        match self {
            Self::Shared(turn) if turn.group.has_savepoint => match turn.settle(Some(why.clone())).await {
                Ok(()) => why,
                Err(broken) => broken,
            },
            _ => why,
        }
    }
}

impl SharedTurn {
    async fn begin(writers: Writers, pool: AnyPool) -> Result<Self, LedgerError> {
        let waited = tokio::time::timeout(PATIENCE, Arc::clone(&writers).lock_owned()).await;
        let mut group = waited.map_err(|_| LedgerError::from(sqlx::Error::PoolTimedOut))?;
        group.tidy().await;
        let mut turn = Self { group, writers };
        let begun = if turn.group.connection.is_some() {
            // What others wrote stays if this turn is given up.
            turn.group.has_savepoint = true;
            execute(turn.connection()?, "savepoint turn").await
        } else {
            turn.group.connection = Some(pool.acquire().await?);
            execute(turn.connection()?, "begin immediate").await
        };
        if let Err(error) = begun {
            turn.group.break_off(&error);
            return Err(error);
        }
        Ok(turn)
    }

    /// Waits for the commit that keeps what this turn and others wrote; of one that is refused, what others wrote alone.
    async fn settle(self, refused: Option<LedgerError>) -> Result<(), LedgerError> {
        let (told, mut heard) = oneshot::channel();
        let writers = Arc::clone(&self.writers);
        // It goes on when who asked goes away.
        tokio::spawn(self.settle_and_tell(refused, told));
        let answer = if let Ok(answer) = tokio::time::timeout(PATIENCE, &mut heard).await {
            answer.ok()
        } else {
            // Whoever should have kept it is gone.
            writers.lock_owned().await.commit().await;
            heard.try_recv().ok()
        };
        answer.unwrap_or_else(|| Err(LedgerError::Unreachable(broken_off("the work ended"))))
    }

    async fn settle_and_tell(mut self, refused: Option<LedgerError>, told: oneshot::Sender<Result<(), LedgerError>>) {
        self.group.waiting.push(told);
        let is_first = self.group.waiting.len() == 1;
        if let Some(why) = refused {
            self.group.cause =
                Some(why).filter(|why| matches!(why, LedgerError::Failed(_) | LedgerError::Unreachable(_)));
            self.group.tidy().await;
            self.group.cause = None;
        } else if self.group.has_savepoint {
            let released = match self.connection() {
                Ok(connection) => execute(connection, "release turn").await,
                Err(error) => Err(error),
            };
            match released {
                Ok(()) => self.group.has_savepoint = false,
                Err(error) => self.group.break_off(&error),
            }
        }
        let writers = Arc::clone(&self.writers);
        drop(self);
        if is_first {
            // It waits behind those who wait for their turn now, so that it keeps what they write as well.
            writers.lock_owned().await.commit().await;
        }
    }

    fn connection(&mut self) -> Result<&mut AnyConnection, LedgerError> {
        self.group.connection.as_deref_mut().ok_or_else(|| LedgerError::Unreachable(broken_off("the work ended")))
    }
}

impl Drop for SharedTurn {
    fn drop(&mut self) {
        // Where others wait, whoever comes next undoes this turn alone.
        if !self.group.waiting.is_empty() {
            return;
        }
        self.group.has_savepoint = false;
        let Some(mut connection) = self.group.connection.take() else { return };
        let Ok(runtime) = tokio::runtime::Handle::try_current() else { return drop(connection.leak()) };
        runtime.spawn(async move {
            if execute(&mut connection, "rollback").await.is_err() {
                connection.close_on_drop();
            }
        });
    }
}

fn broken_off(found: &str) -> Problem {
    Problem::error("ledger::broken-off", format!("{found}, before the entry was surely on the disk"))
        .mend("send the same request with the same key again")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::identity::AccountId;
    use crate::location::Location;
    use crate::store::Ledger;

    async fn write(turn: &mut Turn, subject: &str) {
        let insert = sqlx::query("insert into attempt (subject, failures, last_at_ms) values ($1, 1, 1)");
        insert.bind(subject).execute(turn.connection().unwrap()).await.unwrap();
    }

    async fn written(ledger: &Ledger) -> Vec<String> {
        let all = sqlx::query_scalar("select subject from attempt order by subject");
        all.fetch_all(ledger.database.unscoped_readers()).await.unwrap()
    }

    async fn fresh() -> (tempfile::TempDir, Ledger) {
        let folder = tempfile::tempdir().unwrap();
        let ledger = Ledger::open(&Location::file(&folder.path().join("books.db")).unwrap()).await.unwrap();
        (folder, ledger)
    }

    /// One runtime thread: the second waits for its turn when the first ends, so that both share a commit.
    #[tokio::test]
    async fn who_leaves_in_the_middle_takes_nothing_of_others_along() {
        let (_folder, ledger) = fresh().await;
        let account = AccountId::fresh();
        let mut first = ledger.database.turn(account).await.unwrap();
        write(&mut first, "first").await;
        let of_others = ledger.clone();
        let leaves = tokio::spawn(async move {
            let mut second = of_others.database.turn(account).await.unwrap();
            write(&mut second, "second").await;
            let Turn::Shared(turn) = &second else { panic!("SQLite shares") };
            assert!(turn.group.has_savepoint && turn.group.waiting.len() == 1, "it shares with the first");
        });
        let of_third = ledger.clone();
        let stays = tokio::spawn(async move {
            let mut third = of_third.database.turn(account).await.unwrap();
            write(&mut third, "third").await;
            assert_eq!(written(&of_third).await, [""; 0], "nothing is kept before the commit");
            third.end().await
        });
        tokio::task::yield_now().await;
        first.end().await.unwrap();
        leaves.await.unwrap();
        stays.await.unwrap().unwrap();
        assert_eq!(written(&ledger).await, ["first", "third"]);
        // Alone, too, it leaves nothing, and nobody waits for it.
        write(&mut ledger.database.turn(account).await.unwrap(), "fourth").await;
        ledger.database.turn(account).await.unwrap().end().await.unwrap();
        assert_eq!(written(&ledger).await, ["first", "third"]);
    }

    #[tokio::test]
    async fn where_the_transaction_broke_off_nobody_is_told_that_it_was_kept() {
        let (_folder, ledger) = fresh().await;
        let account = AccountId::fresh();
        let mut first = ledger.database.turn(account).await.unwrap();
        write(&mut first, "first").await;
        let of_second = ledger.clone();
        let breaks = tokio::spawn(async move {
            let mut second = of_second.database.turn(account).await.unwrap();
            // As SQLite does by itself where the disk is full.
            sqlx::raw_sql("rollback").execute(second.connection().unwrap()).await.unwrap();
        });
        tokio::task::yield_now().await;
        let told = first.end().await.unwrap_err();
        assert!(matches!(told, LedgerError::Unreachable(_)), "the same request with the same key tells: {told}");
        breaks.await.unwrap();
        let mut after = ledger.database.turn(account).await.unwrap();
        write(&mut after, "after").await;
        after.end().await.unwrap();
        assert_eq!(written(&ledger).await, ["after"]);
    }

    /// What a refusal rests on is on the disk before it is told; where it never comes there, the refusal is no answer.
    #[tokio::test]
    async fn a_refusal_waits_for_what_it_rests_on() {
        for breaks in [false, true] {
            let (_folder, ledger) = fresh().await;
            let account = AccountId::fresh();
            let mut first = ledger.database.turn(account).await.unwrap();
            write(&mut first, "first").await;
            let of_second = ledger.clone();
            let refused = tokio::spawn(async move {
                let mut second = of_second.database.turn(account).await.unwrap();
                write(&mut second, "second").await;
                let why = second.refuse(LedgerError::Discarded(crate::ThingId::fresh())).await;
                (why, written(&of_second).await)
            });
            let of_third = ledger.clone();
            let third = tokio::spawn(async move {
                let mut third = of_third.database.turn(account).await.unwrap();
                if breaks {
                    sqlx::raw_sql("rollback").execute(third.connection().unwrap()).await.unwrap();
                }
            });
            tokio::task::yield_now().await;
            tokio::task::yield_now().await;
            assert_eq!(first.end().await.is_err(), breaks);
            third.await.unwrap();
            let (why, seen) = refused.await.unwrap();
            assert_eq!(matches!(why, LedgerError::Discarded(_)), !breaks, "{why}");
            assert_eq!(seen, if breaks { vec![] } else { vec!["first"] });
        }
    }

    #[tokio::test]
    async fn who_goes_away_while_a_turn_begins_or_ends_harms_nobody() {
        let (_folder, ledger) = fresh().await;
        let account = AccountId::fresh();
        for number in 0..200_u64 {
            let of_leaver = ledger.clone();
            let leaves = tokio::spawn(async move {
                let mut turn = of_leaver.database.turn(account).await.unwrap();
                write(&mut turn, &format!("leaver {number}")).await;
                let _ = turn.end().await;
            });
            let of_other = ledger.clone();
            let stays = tokio::spawn(async move {
                let mut turn = of_other.database.turn(account).await.unwrap();
                write(&mut turn, &format!("stays {number:03}")).await;
                turn.end().await
            });
            for _ in 0..number % 40 {
                tokio::task::yield_now().await;
            }
            if number % 3 == 0 {
                tokio::time::sleep(Duration::from_micros(number * 7)).await;
            }
            leaves.abort();
            stays.await.unwrap().unwrap();
        }
        let stayed = written(&ledger).await.into_iter().filter(|name| name.starts_with("stays")).count();
        assert_eq!(stayed, 200);
    }
}
