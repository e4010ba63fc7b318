//! What the books answer, as data: the answers of the commands around records and stock.

use crate::problems_json::ProblemJson;
use crate::record_json::AmountJson;
use problem::Problems;
use schemars::JsonSchema;
use serde::Serialize;

/// Something that was kept.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeptJson {
    /// `tussock.kept/1`.
    pub format: &'static str,
    /// The thing.
    pub thing: String,
    /// What it is: `record`, `property`, `lot` …
    pub kind: String,
    /// Its version, from 1.
    pub version: u64,
    /// What it is called.
    pub title: String,
    /// Whether the same request had kept it before.
    pub replayed: bool,
    /// The hash of its entry.
    pub hash: String,
    /// What should be looked at, such as stock below nothing.
    pub problems: Vec<ProblemJson>,
}

impl KeptJson {
    /// The format.
    pub const FORMAT: &'static str = "tussock.kept/1";
}

/// Kept things in a list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ThingsJson {
    /// `tussock.things/1`.
    pub format: &'static str,
    /// The things.
    pub things: Vec<ThingJson>,
}

impl ThingsJson {
    /// The format.
    pub const FORMAT: &'static str = "tussock.things/1";
}

/// One kept thing in a list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ThingJson {
    /// The thing.
    pub thing: String,
    /// What it is.
    pub kind: String,
    /// Its newest version.
    pub version: u64,
    /// What it is called.
    pub title: String,
    /// Its day, ISO 8601.
    pub date: Option<String>,
    /// The client it belongs to.
    pub client: Option<String>,
    /// The property it belongs to.
    pub property: Option<String>,
}

/// Stock, lot by lot.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StockJson {
    /// `tussock.stock/1`.
    pub format: &'static str,
    /// Lot by lot, in the order received.
    pub lots: Vec<LotStockJson>,
    /// What does not add up.
    pub problems: Vec<ProblemJson>,
}

impl StockJson {
    /// The format.
    pub const FORMAT: &'static str = "tussock.stock/1";
}

/// The stock of one lot.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LotStockJson {
    /// The lot.
    pub lot: String,
    /// The label on its container.
    pub label: String,
    /// The lot number on the container.
    pub number: String,
    /// What was received.
    pub received: AmountJson,
    /// What was used.
    pub used: AmountJson,
    /// What was adjusted; below nothing when there was less.
    pub adjusted: AmountJson,
    /// What is left; below nothing when more was used than there was.
    pub left: AmountJson,
}

/// How the going over a book ended.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VerificationJson {
    /// `tussock.verification/1`.
    pub format: &'static str,
    /// Entries looked at.
    pub entries: u64,
    /// Attachments looked at.
    pub attachments: u64,
    /// How many entries the book has.
    pub head_sequence: u64,
    /// The hash of the last of them, worth noting elsewhere.
    pub head_hash: String,
    /// All that is wrong.
    pub findings: Vec<ProblemJson>,
}

impl VerificationJson {
    /// The format.
    pub const FORMAT: &'static str = "tussock.verification/1";
}

/// Problems as data.
pub fn problems_json(problems: &Problems) -> Vec<ProblemJson> {
    problems.iter().map(ProblemJson::from).collect()
}

/// An answer as text, ended by a new line.
pub fn write_answer<T: Serialize>(answer: &T) -> String {
    crate::json_text::pretty(answer)
}
