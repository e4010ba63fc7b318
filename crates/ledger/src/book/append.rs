//! Keeping entries: all of a request or none of it, once.

use jiff::Timestamp;
use problem::{Problem, Problems};
use sqlx::{AnyConnection, Row as _};

use super::row::{self, select_entries};
use super::{Book, Head};
use crate::database::Dialect;
use crate::digest::{Canonical, Digest};
use crate::entry::{Appended, Entry, Expected, NewEntry};
use crate::error::LedgerError;
use crate::identity::ThingId;
use crate::request_key::RequestKey;
use crate::turn::Turn;

/// What a request has kept.
const OF_REQUEST: &str = select_entries!("where e.account = $1 and e.request = $2 order by e.sequence");

/// The body of an entry that gives a thing up.
const DISCARDED: &str = "null";

impl Book {
    /// Keeps one entry. The same request sent again gives the first answer, whoever sends it: the entry says who kept it.
    ///
    /// # Errors
    /// The entry cannot be kept as it is; the thing stands at another version than expected, was
    /// discarded or is of another kind; its attachment is not kept; the key came with another request;
    /// the database fails.
    pub async fn append(&self, entry: NewEntry, key: RequestKey) -> Result<Appended, LedgerError> {
        let mut kept = self.append_all(vec![entry], key).await?;
        kept.pop().ok_or_else(nothing_to_keep)
    }

    /// Keeps entries one after another, all or none of them.
    ///
    /// # Errors
    /// As [`Book::append`], for any of them; there are none.
    pub async fn append_all(&self, entries: Vec<NewEntry>, key: RequestKey) -> Result<Vec<Appended>, LedgerError> {
        if entries.is_empty() {
            return Err(nothing_to_keep());
        }
        let mut problems = Problems::new();
        for (index, entry) in entries.iter().enumerate() {
            let mut found = Problems::new();
            entry.check(&mut found);
            problems.extend(found.into_iter().map(|mut problem| {
                problem.place.path = problem.place.path.map(|path| format!("entry[{}].{path}", index + 1));
                problem
            }));
        }
        if problems.has_errors() {
            return Err(problems.into());
        }
        let turn = self.turn().await?;
        let wanted = entries.into_iter().map(|entry| self.candidate(entry, &key)).collect();
        self.keep(turn, wanted, &key).await
    }

    /// Waits for the turn to write: until it ends, nobody else keeps anything in this book.
    pub(crate) async fn turn(&self) -> Result<BookTurn, LedgerError> {
        let mut turn = self.ledger.database.turn(self.account).await?;
        let head = self.lock_head(turn.connection()?).await?;
        Ok(BookTurn { turn, head })
    }

    /// As [`Book::append`], by who has looked in this turn at what the book holds.
    pub(crate) async fn append_in(
        &self,
        turn: BookTurn,
        entry: NewEntry,
        key: &RequestKey,
    ) -> Result<Appended, LedgerError> {
        let mut problems = Problems::new();
        entry.check(&mut problems);
        if problems.has_errors() {
            return Err(problems.into());
        }
        let wanted = self.candidate(entry, key);
        self.keep(turn, vec![wanted], key).await?.pop().ok_or_else(nothing_to_keep)
    }

    /// Gives a thing up: an entry says so, the versions stay. Whether the thing may be given up is
    /// the caller's to judge.
    ///
    /// # Errors
    /// As [`Book::append`]; the thing is not kept; the reason holds the character zero.
    pub async fn discard(
        &self,
        thing: ThingId,
        expected_version: u64,
        reason: &str,
        recorded_at: Timestamp,
        key: RequestKey,
    ) -> Result<Appended, LedgerError> {
        let mut turn = self.turn().await?;
        let newest = match self.newest_in(turn.connection()?, thing).await {
            Ok(newest) => newest,
            Err(why) => return Err(turn.refuse(why).await),
        };
        let entry = NewEntry {
            kind: newest.kind,
            thing,
            expected: Expected::Version(expected_version),
            body: DISCARDED.to_owned(),
            reason: Some(reason.to_owned()),
            recorded_at,
            indexed: newest.indexed,
            attachment: None,
        };
        let mut problems = Problems::new();
        entry.check(&mut problems);
        if problems.has_errors() {
            return Err(problems.into());
        }
        let wanted = Entry { discards: true, ..self.candidate(entry, &key) };
        self.keep(turn, vec![wanted], &key).await?.pop().ok_or_else(nothing_to_keep)
    }

    /// Takes the head of the book and lets no other writer have it before this transaction ends.
    async fn lock_head(&self, connection: &mut AnyConnection) -> Result<Head, LedgerError> {
        let query = match self.ledger.database.dialect() {
            // The transaction holds the only lock for writing since it began.
            Dialect::Sqlite => "select head_sequence, head_hash from account where account = $1",
            Dialect::Postgres => "select head_sequence, head_hash from account where account = $1 for update",
        };
        let row = sqlx::query(query)
            .bind(self.account.to_string())
            .fetch_optional(connection)
            .await?
            .ok_or(LedgerError::UnknownAccount(self.account))?;
        Ok(Head { sequence: row::count(&row, "head_sequence")?, hash: Digest::parse(row.try_get("head_hash")?)? })
    }

    /// The entry that is wanted, before it has its place in the chain.
    fn candidate(&self, entry: NewEntry, key: &RequestKey) -> Entry {
        Entry {
            account: self.account,
            sequence: 0,
            kind: entry.kind,
            thing: entry.thing,
            version: entry.expected.next(),
            recorded_at: entry.recorded_at,
            actor: self.actor.clone(),
            body: entry.body,
            reason: entry.reason,
            indexed: entry.indexed,
            attachment: entry.attachment,
            discards: false,
            request: key.bare(),
            previous: Digest::NONE,
            hash: Digest::NONE,
        }
    }

    /// Keeps what is wanted, and ends the turn.
    async fn keep(&self, turn: BookTurn, wanted: Vec<Entry>, key: &RequestKey) -> Result<Vec<Appended>, LedgerError> {
        let BookTurn { mut turn, head } = turn;
        match self.keep_in(turn.connection()?, head, wanted, key).await {
            Ok(kept) => {
                // What was kept before may be of somebody whose commit is still to come.
                turn.end().await?;
                Ok(kept)
            }
            Err(why) => Err(turn.refuse(why).await),
        }
    }

    async fn keep_in(
        &self,
        connection: &mut AnyConnection,
        mut head: Head,
        wanted: Vec<Entry>,
        key: &RequestKey,
    ) -> Result<Vec<Appended>, LedgerError> {
        let known = self.known(connection, wanted.first().map(|entry| entry.thing), key).await?;
        if known.has_asked
            && let Some(earlier) = self.answered_in(connection, key).await?
        {
            return Ok(replayed(earlier));
        }
        if known.has_kept {
            let earlier = self.of_request(connection, key).await?;
            let same = earlier.iter().map(Entry::asked).eq(wanted.iter().map(Entry::asked));
            return if same { Ok(replayed(earlier)) } else { Err(LedgerError::KeyReused(key.clone())) };
        }
        let mut kept = Vec::with_capacity(wanted.len());
        let mut first = Some(known.thing);
        for mut entry in wanted {
            let present = match first.take() {
                Some(known) => known,
                None => self.known(connection, Some(entry.thing), key).await?.thing,
            };
            may_follow(present.as_ref(), &entry)?;
            self.check_attachment(connection, &entry).await?;
            entry.sequence = head.sequence + 1;
            entry.previous = head.hash;
            entry.hash = entry.computed_hash();
            row::write(connection, &entry).await?;
            head = Head { sequence: entry.sequence, hash: entry.hash };
            kept.push(Appended { entry, replayed: false });
        }
        if let Some(asked) = asked_by(key) {
            sqlx::query("insert into request (account, request, asked) values ($1, $2, $3)")
                .bind(self.account.to_string())
                .bind(key.as_str())
                .bind(asked.to_string())
                .execute(connection)
                .await?;
        }
        Ok(kept)
    }

    /// What a request that says what it asks for ([`RequestKey::asking`]) has kept when it came before; `None` for
    /// one that is new. Whoever works long on a request asks this first: what came of it then is its answer,
    /// whatever the book has become since.
    ///
    /// # Errors
    /// The key came with another request; the database fails.
    pub async fn answered(&self, key: &RequestKey) -> Result<Option<Vec<Entry>>, LedgerError> {
        let mut look = self.look().await?;
        self.answered_in(&mut look, key).await
    }

    async fn answered_in(
        &self,
        connection: &mut AnyConnection,
        key: &RequestKey,
    ) -> Result<Option<Vec<Entry>>, LedgerError> {
        let Some(asked) = asked_by(key) else { return Ok(None) };
        let before: Option<String> =
            sqlx::query_scalar("select asked from request where account = $1 and request = $2")
                .bind(self.account.to_string())
                .bind(key.as_str())
                .fetch_optional(&mut *connection)
                .await?;
        match before {
            None => Ok(None),
            Some(before) if before == asked.to_string() || self.is_own_of_before(key, &before) => {
                self.of_request(connection, key).await.map(Some)
            }
            Some(_) => Err(LedgerError::KeyReused(key.clone())),
        }
    }

    /// Whether that was kept of the same request when the hand that sent it still counted, and it was this one.
    fn is_own_of_before(&self, key: &RequestKey, kept: &str) -> bool {
        key.asked().is_some_and(|asked| {
            let hashed = Canonical::new("tussock.request/1").text(&self.actor.name);
            hashed.optional(self.actor.sign_in.as_deref()).text(&asked.to_string()).digest().to_string() == kept
        })
    }

    /// Whether a request with this key has kept something.
    ///
    /// # Errors
    /// The database fails.
    pub async fn has_kept(&self, key: &RequestKey) -> Result<bool, LedgerError> {
        Ok(!self.kept_by(key).await?.is_empty())
    }

    /// What a request with this key has kept.
    ///
    /// # Errors
    /// The database fails.
    pub async fn kept_by(&self, key: &RequestKey) -> Result<Vec<Entry>, LedgerError> {
        let mut look = self.look().await?;
        self.of_request(&mut look, key).await
    }

    async fn of_request(&self, connection: &mut AnyConnection, key: &RequestKey) -> Result<Vec<Entry>, LedgerError> {
        let rows =
            sqlx::query(OF_REQUEST).bind(self.account.to_string()).bind(key.as_str()).fetch_all(connection).await?;
        rows.iter().map(row::entry).collect()
    }

    /// Whether the entry may follow what the book holds.
    pub(crate) async fn check_place(&self, connection: &mut AnyConnection, entry: &Entry) -> Result<(), LedgerError> {
        may_follow(self.known(connection, Some(entry.thing), &entry.request).await?.thing.as_ref(), entry)?;
        self.check_attachment(connection, entry).await
    }

    /// What the book knows of a request and of a thing, in one look: a writer has the only turn, and others wait.
    async fn known(
        &self,
        connection: &mut AnyConnection,
        thing: Option<ThingId>,
        key: &RequestKey,
    ) -> Result<Known, LedgerError> {
        let row = sqlx::query(
            "select (select count(*) from request where account = $1 and request = $2) as asked, \
             (select count(*) from entry where account = $1 and request = $2) as kept, t.kind, t.version, t.discarded \
             from account a left join thing t on t.account = a.account and t.thing = $3 where a.account = $1",
        )
        .bind(self.account.to_string())
        .bind(key.as_str())
        .bind(thing.map(|thing| thing.to_string()))
        .fetch_one(connection)
        .await?;
        let thing = match row.try_get::<Option<&str>, _>("kind")? {
            None => None,
            Some(kind) => Some(Present {
                kind: kind.to_owned(),
                version: row::count(&row, "version")?,
                is_discarded: row.try_get::<i64, _>("discarded")? != 0,
            }),
        };
        Ok(Known { has_asked: row::count(&row, "asked")? > 0, has_kept: row::count(&row, "kept")? > 0, thing })
    }

    async fn check_attachment(&self, connection: &mut AnyConnection, entry: &Entry) -> Result<(), LedgerError> {
        let Some(attachment) = entry.attachment else { return Ok(()) };
        let found = sqlx::query("select sha256 from attachment where account = $1 and sha256 = $2")
            .bind(self.account.to_string())
            .bind(attachment.to_string())
            .fetch_optional(connection)
            .await?;
        match found {
            Some(_) => Ok(()),
            None => Err(super::attachment::unknown(attachment)),
        }
    }
}

/// What a request asks for, whoever sends it.
fn asked_by(key: &RequestKey) -> Option<Digest> {
    Some(Canonical::new("tussock.request/2").text(&key.asked()?.to_string()).digest())
}

/// What the book knows before an entry follows.
struct Known {
    has_asked: bool,
    has_kept: bool,
    thing: Option<Present>,
}

/// A thing as it stands.
struct Present {
    kind: String,
    version: u64,
    is_discarded: bool,
}

/// Whether the entry may follow what stands there.
fn may_follow(present: Option<&Present>, entry: &Entry) -> Result<(), LedgerError> {
    if let Some(present) = present {
        if present.is_discarded {
            return Err(LedgerError::Discarded(entry.thing));
        }
        if present.kind != entry.kind.word() {
            return Err(Problem::error("ledger::kind", format!("`{}` is kept as a {}", entry.thing, present.kind))
                .expected("the same kind in every version")
                .at("kind")
                .into());
        }
    }
    let version = present.map(|present| present.version);
    if version.unwrap_or(0).saturating_add(1) == entry.version {
        return Ok(());
    }
    let expected = match entry.version {
        1 => Expected::New,
        version => Expected::Version(version - 1),
    };
    Err(LedgerError::Conflict { thing: entry.thing, expected, present: version })
}

/// A writer's turn in a book, whose end is here meanwhile.
pub(crate) struct BookTurn {
    turn: Turn,
    head: Head,
}

impl BookTurn {
    /// What the turn looks at and writes.
    ///
    /// # Errors
    /// As [`Turn::connection`].
    pub(crate) fn connection(&mut self) -> Result<&mut AnyConnection, LedgerError> {
        self.turn.connection()
    }

    /// As [`Turn::refuse`].
    pub(crate) async fn refuse(self, why: LedgerError) -> LedgerError {
        self.turn.refuse(why).await
    }

    /// As [`Turn::end`].
    pub(crate) async fn end(self) -> Result<(), LedgerError> {
        self.turn.end().await
    }
}

fn replayed(earlier: Vec<Entry>) -> Vec<Appended> {
    earlier.into_iter().map(|entry| Appended { entry, replayed: true }).collect()
}

fn nothing_to_keep() -> LedgerError {
    Problem::error("ledger::nothing-to-keep", "the request holds no entry").expected("at least one").into()
}

#[cfg(test)]
mod tests {
    use sqlx::{AssertSqlSafe, Row as _};

    use super::OF_REQUEST;
    use crate::location::Location;
    use crate::store::Ledger;

    /// Every append asks for it: in a long book it must not cost more than in a short one.
    #[tokio::test]
    async fn a_request_is_found_by_its_key_and_not_by_going_over_the_book() {
        let folder = tempfile::tempdir().unwrap();
        let ledger = Ledger::open(&Location::file(&folder.path().join("books.db")).unwrap()).await.unwrap();
        let plan = format!("explain query plan {OF_REQUEST}");
        let rows = sqlx::query(AssertSqlSafe(plan)).fetch_all(ledger.database.unscoped()).await.unwrap();
        let plan: Vec<String> = rows.iter().map(|row| row.try_get("detail").unwrap()).collect();
        assert_eq!(plan, ["SEARCH e USING INDEX entry_request (account=? AND request=?)"]);
    }
}
