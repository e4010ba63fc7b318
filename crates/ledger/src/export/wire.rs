//! The texts of an export and the entries they stand for.

use problem::{Problem, Problems};
use serde::{Deserialize, Serialize};

use crate::actor::Actor;
use crate::digest::Digest;
use crate::entry::{Entry, Indexed, Labels};
use crate::identity::{AccountId, ThingId};
use crate::kind::Kind;
use crate::request_key::RequestKey;
use geometry::GeoExtent;

/// The format that the manifest names.
pub(super) const FORMAT: &str = "tussock.ledger-export/1";
/// What every edition of the format begins with.
pub(super) const FORMAT_FAMILY: &str = "tussock.ledger-export/";
pub(super) const MANIFEST: &str = "manifest.json";
pub(super) const ENTRIES: &str = "entries.jsonl";
pub(super) const ATTACHMENTS: &str = "attachments";
pub(super) const README: &str = "README.txt";

/// Only what tells whether the rest can be read.
#[derive(Deserialize)]
pub(super) struct Named {
    pub(super) format: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Manifest {
    pub(super) format: String,
    pub(super) account: String,
    pub(super) name: String,
    pub(super) entries: u64,
    pub(super) head_hash: String,
    pub(super) entries_sha256: String,
    pub(super) attachments: Vec<AttachmentLine>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AttachmentLine {
    pub(super) sha256: String,
    pub(super) media_type: String,
    pub(super) size_bytes: u64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EntryLine {
    sequence: u64,
    kind: String,
    thing: String,
    version: u64,
    recorded_at: String,
    actor_name: String,
    actor_sign_in: Option<String>,
    body: String,
    reason: Option<String>,
    client: Option<String>,
    property: Option<String>,
    date: Option<String>,
    title: String,
    /// The bounds of its ground in ten-millionths of a degree: south, west, north, east.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    ground: Option<[i64; 4]>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    labels: Option<String>,
    attachment: Option<String>,
    discards: bool,
    request: String,
    previous_hash: String,
    hash: String,
}

impl EntryLine {
    pub(super) fn of(entry: &Entry) -> Self {
        let Indexed { client, property, date, title, ground, labels } = &entry.indexed;
        Self {
            sequence: entry.sequence,
            kind: entry.kind.word().to_owned(),
            thing: entry.thing.to_string(),
            version: entry.version,
            recorded_at: entry.recorded_at.to_string(),
            actor_name: entry.actor.name.clone(),
            actor_sign_in: entry.actor.sign_in.clone(),
            body: entry.body.clone(),
            reason: entry.reason.clone(),
            client: client.map(|client| client.to_string()),
            property: property.map(|property| property.to_string()),
            date: date.map(|date| date.to_string()),
            title: title.clone(),
            ground: ground.map(GeoExtent::bounds),
            labels: labels.as_ref().map(Labels::text),
            attachment: entry.attachment.map(|attachment| attachment.to_string()),
            discards: entry.discards,
            request: entry.request.to_string(),
            previous_hash: entry.previous.to_string(),
            hash: entry.hash.to_string(),
        }
    }

    /// The entry, or every field that says nothing.
    pub(super) fn entry(self, account: AccountId) -> Result<Entry, Problems> {
        let mut problems = Problems::new();
        let kind = Kind::of_word(&self.kind).ok_or_else(|| {
            let words: Vec<_> = Kind::ALL.iter().map(|kind| format!("`{kind}`")).collect();
            Problem::error("ledger::export-line", format!("`{}` is no kind of thing", self.kind.escape_debug()))
                .expected(words.join(", "))
        });
        let kind = field(&mut problems, "kind", kind);
        let thing = field(&mut problems, "thing", ThingId::parse(&self.thing));
        let recorded_at = field(&mut problems, "recorded_at", exact(&self.recorded_at, "moment"));
        let client = field(&mut problems, "client", self.client.as_deref().map(ThingId::parse).transpose());
        let property = field(&mut problems, "property", self.property.as_deref().map(ThingId::parse).transpose());
        let date = self.date.as_deref().map(|date| exact(date, "day")).transpose();
        let date = field(&mut problems, "date", date);
        let ground = self.ground.map(|bounds| {
            GeoExtent::of_bounds(bounds).ok_or_else(|| {
                Problem::error("ledger::export-line", format!("`{bounds:?}` is no ground"))
                    .expected("south, west, north and east in ten-millionths of a degree")
            })
        });
        let ground = field(&mut problems, "ground", ground.transpose());
        let labels = self.labels.as_deref().map(|text| {
            Labels::parse(text).ok_or_else(|| {
                Problem::error("ledger::export-line", format!("`{}` is no list of labels", text.escape_debug()))
                    .expected("labels, each on a line of its own, in order, as an export writes them")
            })
        });
        let labels = field(&mut problems, "labels", labels.transpose());
        let attachment = self.attachment.as_deref().map(Digest::parse).transpose();
        let attachment = field(&mut problems, "attachment", attachment);
        let request = field(&mut problems, "request", RequestKey::parse(&self.request));
        let previous = field(&mut problems, "previous_hash", Digest::parse(&self.previous_hash));
        let hash = field(&mut problems, "hash", Digest::parse(&self.hash));
        let entry = || {
            Some(Entry {
                account,
                sequence: self.sequence,
                kind: kind?,
                thing: thing?,
                version: self.version,
                recorded_at: recorded_at?,
                actor: Actor { name: self.actor_name, sign_in: self.actor_sign_in },
                body: self.body,
                reason: self.reason,
                indexed: Indexed {
                    client: client?,
                    property: property?,
                    date: date?,
                    title: self.title,
                    ground: ground?,
                    labels: labels?,
                },
                attachment: attachment?,
                discards: self.discards,
                request: request?,
                previous: previous?,
                hash: hash?,
            })
        };
        entry().ok_or(problems)
    }
}

fn field<T>(problems: &mut Problems, name: &str, value: Result<T, Problem>) -> Option<T> {
    value.map_err(|problem| problems.push(problem.at(name))).ok()
}

/// A value whose text is the one that this crate would print: entries are hashed as text.
fn exact<T: std::str::FromStr + ToString>(text: &str, what: &str) -> Result<T, Problem> {
    text.parse::<T>().ok().filter(|value| value.to_string() == text).ok_or_else(|| {
        Problem::error("ledger::export-line", format!("`{}` is no {what}", text.escape_debug()))
            .expected(format!("a {what} as an export writes it"))
    })
}
