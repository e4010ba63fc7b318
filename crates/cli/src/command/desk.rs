//! The books on the desk: where they lie, whose they are, who keeps them.

use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use clap::Args;
use exchange::books_json::{KeptJson, ThingJson, ThingsJson, problems_json, write_answer};
use jiff::Timestamp;
use ledger::trade::{Keeping, OfKind};
use ledger::{
    Account, Actor, Appended, Book, Entry, Expected, Filter, Kind, Ledger, LedgerError, Location, RequestKey, ThingId,
};
use problem::{Problem, Problems};
use std::fmt::Write as _;
use std::future::Future;
use tokio::runtime::Runtime;

/// The variable that names the books where `--books` does not.
pub(crate) const BOOKS_VARIABLE: &str = "TUSSOCK_BOOKS";

/// The books as named: by the argument, or else by the variable; one that is empty names none.
pub(crate) fn named_books(argument: Option<&str>) -> Option<String> {
    let variable = || std::env::var(BOOKS_VARIABLE).ok().filter(|text| !text.is_empty());
    argument.map(str::to_owned).or_else(variable)
}

/// Where the books lie, and whose they are.
#[derive(Debug, Clone, Args)]
pub(crate) struct BooksPlace {
    /// The books: a file of SQLite, or postgres://… [default: the variable TUSSOCK_BOOKS]
    #[arg(long, value_name = "LOCATION")]
    books: Option<String>,
    /// The account in the books, where there are several
    #[arg(long, value_name = "NAME")]
    account: Option<String>,
}

impl BooksPlace {
    /// Where the books lie.
    ///
    /// # Errors
    /// `books::not-named` when nothing names them.
    fn location(&self) -> Result<String, Failure> {
        named_books(self.books.as_deref()).ok_or_else(|| {
            Problem::error("books::not-named", "nothing says which books")
                .expected(format!("`--books LOCATION`, or the variable {BOOKS_VARIABLE}"))
                .mend("name a file, such as `--books lawns.db`; it is made when there is none")
                .into()
        })
    }

    /// Opens the books for looking, where any are named.
    ///
    /// # Errors
    /// As [`Desk::open`]; `books::not-named` for an account of no books.
    pub(crate) fn open_if_named(&self) -> Result<Option<Desk>, Failure> {
        if named_books(self.books.as_deref()).is_none() && self.account.is_none() {
            return Ok(None);
        }
        Ok(Some(Desk::open_existing(&self.location()?, self.account.as_deref(), None)?))
    }
}

/// Which books.
#[derive(Debug, Clone, Args)]
pub(crate) struct BooksArgs {
    #[command(flatten)]
    place: BooksPlace,
    /// Who keeps it, as the entry will say
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
}

impl BooksArgs {
    /// Where the books lie.
    ///
    /// # Errors
    /// `books::not-named` when nothing names them.
    pub(crate) fn location(&self) -> Result<String, Failure> {
        self.place.location()
    }

    /// Who keeps it.
    pub(crate) fn by(&self) -> String {
        self.by.clone().unwrap_or_else(|| "not named".to_owned())
    }

    /// Opens the books.
    ///
    /// # Errors
    /// As [`Desk::open`].
    pub(crate) fn open(&self) -> Result<Desk, Failure> {
        Ok(Desk::open(&self.location()?, self.place.account.as_deref(), self.by.as_deref())?)
    }

    /// Opens books that are there: a slip in their name must not look like books without a record.
    ///
    /// # Errors
    /// As [`Desk::open`]; `ledger::no-ledger` and `books::no-account` where there is nothing to look at.
    pub(crate) fn open_existing(&self) -> Result<Desk, Failure> {
        Ok(Desk::open_existing(&self.location()?, self.place.account.as_deref(), self.by.as_deref())?)
    }
}

/// Open books.
pub(crate) struct Desk {
    runtime: Runtime,
    /// The account that is kept here.
    pub(crate) book: Book,
}

/// What the only account is called before anybody names it.
const FIRST_ACCOUNT: &str = "books";

/// The account that is meant: as named, or the only one there is.
///
/// # Errors
/// `books::several-accounts` where several are there and none is named; the database fails.
pub(crate) async fn account_in(ledger: &Ledger, named: Option<&str>) -> Result<String, LedgerError> {
    let accounts = ledger.accounts().await?;
    match (named, accounts.as_slice()) {
        (Some(name), _) => Ok(name.to_owned()),
        (None, []) => Ok(FIRST_ACCOUNT.to_owned()),
        (None, [only]) => Ok(only.name.clone()),
        (None, several) => Err(Problem::error("books::several-accounts", "the books have several accounts")
            .expected(names_of(several))
            .mend("name one with --account")
            .into()),
    }
}

fn names_of(accounts: &[Account]) -> String {
    let names: Vec<String> = accounts.iter().map(|account| format!("`{}`", account.name)).collect();
    if names.is_empty() { "books with an account".to_owned() } else { format!("one of {}", names.join(", ")) }
}

impl Desk {
    /// Opens books, made when there are none. Of several accounts one must be named; the first is made
    /// unasked.
    ///
    /// # Errors
    /// What is wrong with the location, the database or the name of the account.
    pub(crate) fn open(location: &str, account: Option<&str>, by: Option<&str>) -> Result<Self, Problems> {
        let runtime = runtime()?;
        let location = Location::parse(location)?;
        let actor = Actor::local(by.unwrap_or("not named"));
        let opened = async {
            let ledger = Ledger::open(&location).await?;
            let name = account_in(&ledger, account).await?;
            let account = ledger.open_account(&name).await?;
            ledger.book(account, actor).await
        };
        let book = runtime.block_on(opened).map_err(|error: LedgerError| error.problems())?;
        Ok(Self { runtime, book })
    }

    /// Opens books that are there; nothing is made.
    ///
    /// # Errors
    /// As [`Desk::open`]; `ledger::no-ledger` and `books::no-account` where there is nothing to look at.
    fn open_existing(location: &str, account: Option<&str>, by: Option<&str>) -> Result<Self, Problems> {
        let runtime = runtime()?;
        let location = Location::parse(location)?;
        let opened = async {
            let ledger = Ledger::open_existing(&location).await?;
            let name = account_in(&ledger, account).await?;
            let accounts = ledger.accounts().await?;
            let Some(found) = accounts.iter().find(|account| account.name == name) else {
                return Err(Problem::error("books::no-account", format!("the books have no account `{name}`"))
                    .expected(names_of(&accounts))
                    .into());
            };
            ledger.book(found.account, Actor::local(by.unwrap_or("not named"))).await
        };
        let book = runtime.block_on(opened).map_err(|error: LedgerError| error.problems())?;
        Ok(Self { runtime, book })
    }

    /// Waits for an answer of the books.
    ///
    /// # Errors
    /// What the books answer.
    pub(crate) fn ask<T>(&self, question: impl Future<Output = Result<T, LedgerError>>) -> Result<T, Problems> {
        self.runtime.block_on(question).map_err(|error| error.problems())
    }

    /// The thing of this title in its newest version, when there is exactly one or none.
    ///
    /// # Errors
    /// What the books answer; `trade::several` where several are called so.
    pub(crate) fn called(&self, kind: Kind, title: &str) -> Result<Option<Entry>, Problems> {
        let all = self.ask(self.book.all(&Filter::of(kind)))?;
        if all.iter().any(|entry| entry.indexed.title.eq_ignore_ascii_case(title)) {
            return self.ask(self.book.meant_entry(kind, title)).map(Some);
        }
        Ok(None)
    }

    /// Keeps a thing under its name: a new one, or a new version of the one that is called that. The same
    /// content again keeps nothing.
    ///
    /// # Errors
    /// As [`Book::keep_thing`].
    pub(crate) fn keep_called<T: OfKind>(
        &self,
        title: &str,
        document: &T,
        reason: Option<String>,
        json: bool,
    ) -> CommandResult {
        let earlier = self.called(T::KIND, title)?;
        self.keep_over(earlier.as_ref(), document, reason, json)
    }

    /// Keeps a thing: a new one, or a new version of an earlier one. The same content again keeps nothing.
    ///
    /// # Errors
    /// As [`Book::keep_thing`].
    pub(crate) fn keep_over<T: OfKind>(
        &self,
        earlier: Option<&Entry>,
        document: &T,
        reason: Option<String>,
        json: bool,
    ) -> CommandResult {
        if let Some(entry) = earlier.filter(|entry| entry.body == document.text()) {
            tell_kept(&Appended { entry: entry.clone(), replayed: true }, &Problems::new(), json);
            return Ok(Outcome::Done);
        }
        let keeping = Keeping {
            thing: earlier.as_ref().map_or_else(ThingId::fresh, |entry| entry.thing),
            expected: earlier.map_or(Expected::New, |entry| Expected::Version(entry.version)),
            reason,
            recorded_at: Timestamp::now(),
        };
        let kept = self.ask(self.book.keep_thing(document, keeping, RequestKey::fresh()))?;
        tell_kept(&kept.appended, &kept.warnings, json);
        Ok(Outcome::Done)
    }

    /// Lists the things of a kind.
    ///
    /// # Errors
    /// What the books answer.
    pub(crate) fn list(&self, kind: Kind, json: bool) -> CommandResult {
        let all = self.ask(self.book.all(&Filter::of(kind)))?;
        if json {
            say(&write_answer(&ThingsJson {
                format: ThingsJson::FORMAT,
                things: all.iter().map(thing_json).collect(),
            }));
            return Ok(Outcome::Done);
        }
        let mut out = String::new();
        for entry in &all {
            let date = entry.indexed.date.map(|date| format!("{date}  ")).unwrap_or_default();
            let _ = writeln!(out, "{}  {date}{} (version {})", entry.thing, entry.indexed.title, entry.version);
        }
        if all.is_empty() {
            let _ = writeln!(out, "the books keep no {kind}");
        }
        say(&out);
        Ok(Outcome::Done)
    }

    /// Prints the document of a thing.
    ///
    /// # Errors
    /// As [`Book::meant_entry`].
    pub(crate) fn show(&self, kind: Kind, name: &str) -> CommandResult {
        say(&self.ask(self.book.meant_entry(kind, name))?.body);
        Ok(Outcome::Done)
    }
}

/// What waits for the database.
///
/// # Errors
/// `books::no-runtime` when the machine has no room for it.
pub(crate) fn runtime() -> Result<Runtime, Problem> {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| Problem::error("books::no-runtime", format!("the books cannot be waited for: {error}")))
}

fn thing_json(entry: &Entry) -> ThingJson {
    ThingJson {
        thing: entry.thing.to_string(),
        kind: entry.kind.to_string(),
        version: entry.version,
        title: entry.indexed.title.clone(),
        date: entry.indexed.date.map(|date| date.to_string()),
        client: entry.indexed.client.map(|client| client.to_string()),
        property: entry.indexed.property.map(|property| property.to_string()),
    }
}

/// Says what was kept.
pub(crate) fn tell_kept(appended: &Appended, problems: &Problems, json: bool) {
    let entry = &appended.entry;
    complain(problems);
    if json {
        say(&write_answer(&KeptJson {
            format: KeptJson::FORMAT,
            thing: entry.thing.to_string(),
            kind: entry.kind.to_string(),
            version: entry.version,
            title: entry.indexed.title.clone(),
            replayed: appended.replayed,
            hash: entry.hash.to_string(),
            problems: problems_json(problems),
        }));
        return;
    }
    let how = if appended.replayed { "kept already" } else { "kept" };
    say(&format!(
        "{how}: {} `{}`, version {}, entry {} ({})\n",
        entry.kind, entry.indexed.title, entry.version, entry.sequence, entry.thing
    ));
}
