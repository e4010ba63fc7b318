//! Lists of things, page by page.

use std::fmt;

use geometry::{GeoExtent, GeoPosition};
use jiff::civil::Date;
use problem::Problem;
use quantity::{Length, LengthUnit};
use sqlx::{AnyConnection, AssertSqlSafe, Row as _};

use super::Book;
use super::row::{self, select_entries};
use crate::entry::Entry;
use crate::error::LedgerError;
use crate::identity::ThingId;
use crate::kind::Kind;

/// Which things a list shows. What is not given does not matter.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Filter {
    /// Things of this kind.
    pub kind: Option<Kind>,
    /// Things that belong to this client.
    pub client: Option<ThingId>,
    /// Things that belong to this property.
    pub property: Option<ThingId>,
    /// Things whose title holds each of these words, whether in capitals or not.
    pub text: Option<String>,
    /// Things whose whole title is one of these, whether in capitals or not.
    pub titled: Option<Vec<String>>,
    /// Things of this day or later.
    pub from: Option<Date>,
    /// Things of this day or earlier.
    pub until: Option<Date>,
    /// Things whose ground may share a point with this box, and those that tell no ground.
    pub near: Option<GeoExtent>,
    /// Things that used one of these labels, and those that do not tell.
    pub labels: Option<Vec<String>>,
    /// Whether things that were discarded show too.
    pub discarded: bool,
}

impl Filter {
    /// Everything of one kind that is not discarded.
    pub fn of(kind: Kind) -> Self {
        Self { kind: Some(kind), ..Self::default() }
    }

    /// The box for [`Filter::near`] round a place: what lies within the distance of it, and a metre for rounding.
    /// `None`, so that nothing is left out, where the box would cross the 180th meridian.
    pub fn around(at: GeoPosition, within: Length) -> Option<GeoExtent> {
        GeoExtent::around([at], within + Length::new(1.0, LengthUnit::Metre))
    }
}

/// The order of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Order {
    /// The newest day first, what has no day last.
    #[default]
    NewestFirst,
    /// By title, whether in capitals or not.
    Title,
}

/// How much of a list.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Page {
    /// Behind this place, which an earlier page gave; none for the beginning.
    pub after: Option<Cursor>,
    /// At most this many, and never more than [`Page::LARGEST`]; 0 asks for that many.
    pub limit: u32,
}

impl Page {
    /// The most that one page holds.
    pub const LARGEST: u32 = 500;
}

/// A place in a list, told by the last thing before it, so that things kept meanwhile move nothing.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Cursor {
    order: Order,
    thing: ThingId,
    key: String,
}

impl Cursor {
    /// Reads a cursor as it was printed.
    ///
    /// # Errors
    /// The text is no cursor.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        let read = || {
            let order = match text.as_bytes().first()? {
                b'd' => Order::NewestFirst,
                b't' => Order::Title,
                _ => return None,
            };
            let thing = ThingId::parse(text.get(1..37)?).ok()?;
            let key = text.get(37..).filter(|key| !key.contains('\0'))?.to_owned();
            Some(Self { order, thing, key })
        };
        read().ok_or_else(|| {
            Problem::error("ledger::cursor", format!("`{}` is no place in a list", text.escape_debug()))
                .expected("the place that the page before gave")
                .at("after")
        })
    }
}

impl fmt::Display for Cursor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let order = match self.order {
            Order::NewestFirst => 'd',
            Order::Title => 't',
        };
        write!(f, "{order}{}{}", self.thing, self.key)
    }
}

/// One page of a list.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Listing {
    /// The newest version of each thing.
    pub entries: Vec<Entry>,
    /// The place behind the last of them, when there are more.
    pub next: Option<Cursor>,
}

/// What a thing is called in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Called {
    pub(crate) thing: ThingId,
    pub(crate) title: String,
    /// Its day; empty without one.
    pub(crate) date: String,
}

/// Words of one search at most.
const MOST_WORDS: usize = 40;

impl Book {
    /// The newest versions of things, page by page.
    ///
    /// # Errors
    /// The cursor is of a list in another order; the database fails.
    pub async fn list(&self, filter: &Filter, order: Order, page: &Page) -> Result<Listing, LedgerError> {
        let mut look = self.look().await?;
        self.list_in(&mut look, filter, order, page).await
    }

    async fn list_in(
        &self,
        connection: &mut AnyConnection,
        filter: &Filter,
        order: Order,
        page: &Page,
    ) -> Result<Listing, LedgerError> {
        if page.after.as_ref().is_some_and(|after| after.order != order) {
            return Err(Problem::error("ledger::cursor", "the place is of a list in another order")
                .expected("the place that the page before gave")
                .at("after")
                .into());
        }
        let text = filter.text.as_deref().unwrap_or_default();
        if text.split_whitespace().count() > MOST_WORDS || text.contains('\0') {
            return Err(Problem::error("ledger::search", "the search has too many words, or holds the character zero")
                .expected(format!("at most {MOST_WORDS} words"))
                .at("text")
                .into());
        }
        let limit = if page.limit == 0 { Page::LARGEST } else { page.limit.min(Page::LARGEST) };
        let mut places = Places::from(3);
        let conditions = conditions(filter, order, page.after.as_ref(), &mut places);
        let order_by = match order {
            Order::NewestFirst => "t.date desc, t.thing desc",
            Order::Title => "t.searched, t.thing",
        };
        let sql = format!(
            "{} where {conditions} order by {order_by} limit $2",
            select_entries!("join thing t on t.account = e.account and t.thing = e.thing and t.version = e.version")
        );
        let mut query = sqlx::query(AssertSqlSafe(sql)).bind(self.account.to_string()).bind(i64::from(limit) + 1);
        for value in places.values {
            query = query.bind(value);
        }
        let rows = query.fetch_all(connection).await?;
        let mut entries = rows.iter().map(row::entry).collect::<Result<Vec<_>, _>>()?;
        let more = entries.len() > limit as usize;
        entries.truncate(limit as usize);
        let next = entries.last().filter(|_| more).map(|entry| Cursor {
            order,
            thing: entry.thing,
            key: match order {
                Order::NewestFirst => entry.indexed.date.map(|date| date.to_string()).unwrap_or_default(),
                Order::Title => entry.indexed.title.to_lowercase(),
            },
        });
        Ok(Listing { entries, next })
    }

    /// What things are called that the filter lets through, the newest day first, so many at most; without what is kept
    /// of them.
    ///
    /// # Errors
    /// The database fails.
    pub(crate) async fn called(&self, filter: &Filter, most: u32) -> Result<Vec<Called>, LedgerError> {
        let mut places = Places::from(3);
        let conditions = conditions(filter, Order::NewestFirst, None, &mut places);
        let sql = format!(
            "select t.thing, t.title, t.date from thing t where {conditions} order by t.date desc, t.thing desc limit $2"
        );
        let mut query = sqlx::query(AssertSqlSafe(sql)).bind(self.account.to_string()).bind(i64::from(most));
        for value in places.values {
            query = query.bind(value);
        }
        let mut look = self.look().await?;
        let rows = query.fetch_all(&mut *look).await?;
        let called = |row: &sqlx::any::AnyRow| -> Result<Called, LedgerError> {
            let thing: String = row.try_get("thing")?;
            Ok(Called { thing: ThingId::parse(&thing)?, title: row.try_get("title")?, date: row.try_get("date")? })
        };
        rows.iter().map(called).collect()
    }

    /// The newest versions of all things that the filter lets through, by title.
    ///
    /// # Errors
    /// The database fails.
    pub async fn all(&self, filter: &Filter) -> Result<Vec<Entry>, LedgerError> {
        let mut look = self.look().await?;
        self.all_in(&mut look, filter).await
    }

    /// The newest versions of all things that any of the filters lets through, in one look, by kind and title.
    ///
    /// # Errors
    /// The database fails.
    pub(crate) async fn all_of(&self, filters: &[Filter]) -> Result<Vec<Entry>, LedgerError> {
        let mut places = Places::from(2);
        let any: Vec<String> =
            filters.iter().map(|filter| format!("({})", conditions(filter, Order::Title, None, &mut places))).collect();
        if any.is_empty() {
            return Ok(Vec::new());
        }
        let sql = format!(
            "{} where {} order by t.kind, t.searched, t.thing",
            select_entries!("join thing t on t.account = e.account and t.thing = e.thing and t.version = e.version"),
            any.join(" or ")
        );
        let mut query = sqlx::query(AssertSqlSafe(sql)).bind(self.account.to_string());
        for value in places.values {
            query = query.bind(value);
        }
        let mut look = self.look().await?;
        query.fetch_all(&mut *look).await?.iter().map(row::entry).collect()
    }

    /// The newest versions of the things that the filter lets through whose document holds this text.
    ///
    /// # Errors
    /// The database fails.
    pub(crate) async fn all_holding(
        &self,
        connection: &mut AnyConnection,
        filter: &Filter,
        text: &str,
    ) -> Result<Vec<Entry>, LedgerError> {
        let mut places = Places::from(2);
        let conditions = conditions(filter, Order::Title, None, &mut places);
        let holds = places.place(format!("%{}%", escaped(text)));
        let sql = format!(
            "{} where {conditions} and e.body like {holds} escape '\\' order by t.thing",
            select_entries!("join thing t on t.account = e.account and t.thing = e.thing and t.version = e.version")
        );
        let mut query = sqlx::query(AssertSqlSafe(sql)).bind(self.account.to_string());
        for value in places.values {
            query = query.bind(value);
        }
        query.fetch_all(connection).await?.iter().map(row::entry).collect()
    }

    pub(crate) async fn all_in(
        &self,
        connection: &mut AnyConnection,
        filter: &Filter,
    ) -> Result<Vec<Entry>, LedgerError> {
        let mut page = Page::default();
        let mut all = Vec::new();
        loop {
            let listing = self.list_in(connection, filter, Order::Title, &page).await?;
            all.extend(listing.entries);
            match listing.next {
                Some(next) => page.after = Some(next),
                None => return Ok(all),
            }
        }
    }
}

/// The places of a statement for values, from some number on.
struct Places {
    first: usize,
    values: Vec<String>,
}

impl Places {
    fn from(first: usize) -> Self {
        Self { first, values: Vec::new() }
    }

    fn place(&mut self, value: String) -> String {
        self.values.push(value);
        format!("${}", self.first + self.values.len() - 1)
    }
}

/// A text as `like` takes it by its letters.
fn escaped(text: &str) -> String {
    text.replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_")
}

/// The conditions of a list; their values take places.
fn conditions(filter: &Filter, order: Order, after: Option<&Cursor>, places: &mut Places) -> String {
    let mut place = |value: String| places.place(value);
    let mut conditions = vec!["t.account = $1".to_owned()];
    if let Some(kind) = filter.kind {
        conditions.push(format!("t.kind = {}", place(kind.word().to_owned())));
    }
    if let Some(client) = filter.client {
        conditions.push(format!("t.client = {}", place(client.to_string())));
    }
    if let Some(property) = filter.property {
        conditions.push(format!("t.property = {}", place(property.to_string())));
    }
    for word in filter.text.iter().flat_map(|text| text.split_whitespace()) {
        let word = escaped(&word.to_lowercase());
        conditions.push(format!("t.searched like {} escape '\\'", place(format!("%{word}%"))));
    }
    if let Some(titles) = &filter.titled {
        // No text of a database holds the character zero.
        let titles = titles.iter().filter(|title| !title.contains('\0'));
        let any: Vec<String> = titles.map(|title| place(title.to_lowercase())).collect();
        conditions.push(if any.is_empty() {
            "1 = 0".to_owned()
        } else {
            format!("t.searched in ({})", any.join(", "))
        });
    }
    if let Some(from) = filter.from {
        conditions.push(format!("t.date >= {}", place(from.to_string())));
    }
    if let Some(until) = filter.until {
        // What has no day is not earlier than any.
        conditions.push(format!("t.date <> '' and t.date <= {}", place(until.to_string())));
    }
    if let Some(near) = filter.near {
        // Whole numbers of our own can stand in the statement.
        let [south, west, north, east] = near.bounds();
        conditions.push(format!(
            "t.ground_south <= {north} and t.ground_north >= {south} and t.ground_west <= {east} and t.ground_east >= {west}"
        ));
    }
    if let Some(labels) = &filter.labels {
        let mut any = vec!["t.labels is null".to_owned()];
        any.extend(labels.iter().map(|label| {
            let label = escaped(&label.replace('\n', " "));
            format!("t.labels like {} escape '\\'", place(format!("%\n{label}\n%")))
        }));
        conditions.push(format!("({})", any.join(" or ")));
    }
    if let Some(after) = after {
        let (column, sign) = match order {
            Order::NewestFirst => ("t.date", '<'),
            Order::Title => ("t.searched", '>'),
        };
        let (key, thing) = (place(after.key.clone()), place(after.thing.to_string()));
        conditions.push(format!("({column}, t.thing) {sign} ({key}, {thing})"));
    }
    if !filter.discarded {
        conditions.push("t.discarded = 0".to_owned());
    }
    conditions.join(" and ")
}
