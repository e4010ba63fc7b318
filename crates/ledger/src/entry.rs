//! Entries: what is given to be kept, and what is kept.

use geometry::GeoExtent;
use jiff::Timestamp;
use jiff::civil::Date;
use problem::{Problem, Problems};

use crate::actor::Actor;
use crate::digest::{Canonical, Digest};
use crate::identity::{AccountId, ThingId};
use crate::kind::Kind;
use crate::request_key::RequestKey;
use std::collections::BTreeSet;

/// What the keeper of an entry has seen of the thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Expected {
    /// Nothing: the thing is new.
    New,
    /// This version is the newest.
    Version(u64),
}

impl Expected {
    /// The version that an entry on top of this gets, from 1.
    pub(crate) fn next(self) -> u64 {
        match self {
            Self::New => 1,
            Self::Version(version) => version.saturating_add(1),
        }
    }
}

/// What a thing is listed and searched by.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Indexed {
    /// The client it belongs to.
    pub client: Option<ThingId>,
    /// The property it belongs to.
    pub property: Option<ThingId>,
    /// Its day: of the visit, of the survey, of the receipt.
    pub date: Option<Date>,
    /// What it is called in a list.
    pub title: String,
    /// The box that its ground lies in; a thing without one may lie anywhere.
    pub ground: Option<GeoExtent>,
    /// The labels of the products that it took out of stock; `None` where that is not told.
    pub labels: Option<Labels>,
}

/// Ids of labels, each once, in the order of their bytes.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Labels(BTreeSet<String>);

impl Labels {
    /// These labels. What an id cannot hold, a line's end, becomes a blank.
    pub fn new(ids: impl IntoIterator<Item = String>) -> Self {
        Self(ids.into_iter().map(|id| id.replace('\n', " ")).collect())
    }

    /// As one text, each id on a line of its own, with a line's end before the first as well.
    pub(crate) fn text(&self) -> String {
        self.0.iter().fold("\n".to_owned(), |text, id| text + id + "\n")
    }

    /// Reads what [`Self::text`] writes.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        let read = Self(text.strip_prefix('\n')?.split_terminator('\n').map(str::to_owned).collect());
        (read.text() == text).then_some(read)
    }
}

/// One version of one thing, to be kept.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct NewEntry {
    /// What the thing is.
    pub kind: Kind,
    /// The thing.
    pub thing: ThingId,
    /// What the keeper has seen of it.
    pub expected: Expected,
    /// The version itself, a JSON text kept byte for byte.
    pub body: String,
    /// Why an earlier version is amended.
    pub reason: Option<String>,
    /// When it is kept.
    pub recorded_at: Timestamp,
    /// What it is listed and searched by.
    pub indexed: Indexed,
    /// The attachment that it stands for, kept before.
    pub attachment: Option<Digest>,
}

impl Indexed {
    /// Whether it tells where the thing lies, or what it used: earlier entries do neither, and keep their hash.
    fn has_place(&self) -> bool {
        self.ground.is_some() || self.labels.is_some()
    }

    fn with_place(&self, hashed: Canonical) -> Canonical {
        if !self.has_place() {
            return hashed;
        }
        let ground = self.ground.map(|ground| ground.bounds().map(|bound| bound.to_string()).join(" "));
        hashed.optional(ground.as_deref()).optional(self.labels.as_ref().map(Labels::text).as_deref())
    }
}

impl NewEntry {
    /// A thing's first version, with a title alone to list it by.
    pub fn first(
        kind: Kind,
        thing: ThingId,
        title: impl Into<String>,
        body: impl Into<String>,
        recorded_at: Timestamp,
    ) -> Self {
        Self {
            kind,
            thing,
            expected: Expected::New,
            body: body.into(),
            reason: None,
            recorded_at,
            indexed: Indexed { title: title.into(), ..Indexed::default() },
            attachment: None,
        }
    }

    /// All that keeps it from being kept, whatever the book holds.
    pub(crate) fn check(&self, problems: &mut Problems) {
        check_texts(&self.body, self.reason.as_deref(), &self.indexed.title, problems);
        if self.expected == Expected::Version(0) {
            problems.push(
                Problem::error("ledger::version", "version `0` was expected")
                    .expected("versions from 1, or a new thing")
                    .at("expected"),
            );
        }
    }
}

/// All that keeps the texts of an entry from being kept.
pub(crate) fn check_texts(body: &str, reason: Option<&str>, title: &str, problems: &mut Problems) {
    if let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(body) {
        problems.push(
            Problem::error("ledger::body", format!("the body is no JSON text: {error}"))
                .at("body")
                .at_line(error.line(), error.column()),
        );
    }
    for (field, text) in [("body", Some(body)), ("reason", reason), ("title", Some(title))] {
        if text.is_some_and(|text| text.contains('\0')) {
            problems.push(
                Problem::error("ledger::zero-character", "the text holds the character zero")
                    .expected("text that both databases can keep")
                    .at(field),
            );
        }
    }
}

/// One version of one thing, as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Entry {
    /// Whose book it stands in.
    pub account: AccountId,
    /// Its place in the book, from 1 without a gap.
    pub sequence: u64,
    /// What the thing is.
    pub kind: Kind,
    /// The thing.
    pub thing: ThingId,
    /// Which version of the thing it is, from 1 without a gap.
    pub version: u64,
    /// When it was kept.
    pub recorded_at: Timestamp,
    /// Who kept it.
    pub actor: Actor,
    /// The version itself, a JSON text as it was given.
    pub body: String,
    /// Why an earlier version was amended.
    pub reason: Option<String>,
    /// What it is listed and searched by.
    pub indexed: Indexed,
    /// The attachment that it stands for.
    pub attachment: Option<Digest>,
    /// Whether it says that the thing is given up.
    pub discards: bool,
    /// The request that it came with.
    pub request: RequestKey,
    /// The hash of the entry before it; [`Digest::NONE`] for the first.
    pub previous: Digest,
    /// The hash of all of the above.
    pub hash: Digest,
}

impl Entry {
    /// The hash that the entry must carry.
    pub fn computed_hash(&self) -> Digest {
        let Indexed { client, property, date, title, .. } = &self.indexed;
        let hashed = Canonical::new(if self.indexed.has_place() { "tussock.entry/2" } else { "tussock.entry/1" })
            .text(&self.account.to_string())
            .count(self.sequence)
            .text(self.kind.word())
            .text(&self.thing.to_string())
            .count(self.version)
            .text(&self.recorded_at.to_string())
            .text(&self.actor.name)
            .optional(self.actor.sign_in.as_deref())
            .text(&self.body)
            .optional(self.reason.as_deref())
            .optional(client.map(|client| client.to_string()).as_deref())
            .optional(property.map(|property| property.to_string()).as_deref())
            .optional(date.map(|date| date.to_string()).as_deref())
            .text(title)
            .optional(self.attachment.map(|attachment| attachment.to_string()).as_deref())
            .count(u64::from(self.discards))
            .text(self.request.as_str())
            .text(&self.previous.to_string());
        self.indexed.with_place(hashed).digest()
    }

    /// The hash of what a request asked for. Of a new thing the name does not count, nor does the
    /// time: a request that is sent again may have been given others. Nor does the hand: what waits on a device may be
    /// carried to another, and sent by whoever is signed in there.
    pub(crate) fn asked(&self) -> Digest {
        let Indexed { client, property, date, title, .. } = &self.indexed;
        let thing = (self.version > 1).then(|| self.thing.to_string());
        Canonical::new("tussock.asked/2")
            .text(self.kind.word())
            .optional(thing.as_deref())
            .count(self.version)
            .text(&self.body)
            .optional(self.reason.as_deref())
            .optional(client.map(|client| client.to_string()).as_deref())
            .optional(property.map(|property| property.to_string()).as_deref())
            .optional(date.map(|date| date.to_string()).as_deref())
            .text(title)
            .optional(self.attachment.map(|attachment| attachment.to_string()).as_deref())
            .count(u64::from(self.discards))
            .digest()
    }
}

/// What an append gives back.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Appended {
    /// The entry as it is kept.
    pub entry: Entry,
    /// Whether it was kept before, by the same request.
    pub replayed: bool,
}
