//! What a visit costs, as data: every line with its working. Amounts of money are decimal texts, so that
//! no program makes binary fractions of them.

use crate::books_json::problems_json;
use crate::problems_json::ProblemJson;
use crate::visit_json::OriginJson;
use business::{Cost, CostInput, CostKind, CostLine, Unpriced};
use schemars::JsonSchema;
use serde::Serialize;
use treatment::Visit;

/// The format of the document.
pub const FORMAT: &str = "tussock.cost/1";

/// What a visit costs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CostJson {
    /// `tussock.cost/1`.
    pub format: &'static str,
    /// What the visit is called.
    pub visit: String,
    /// The day planned, ISO 8601.
    pub date: String,
    /// Currency of every amount, ISO 4217.
    pub currency: String,
    /// One line for each thing.
    pub lines: Vec<CostLineJson>,
    /// What is used and has no price; it is not in the total.
    pub without_price: Vec<UnpricedJson>,
    /// All lines together, in units of the currency.
    pub total: String,
    /// What should be looked at: a lot that was not named, or is not enough.
    pub problems: Vec<ProblemJson>,
}

/// One line of cost.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CostLineJson {
    /// What for.
    pub kind: CostKindJson,
    /// In words.
    pub what: String,
    /// The cost, in units of the currency, rounded once to its minor unit.
    pub amount: String,
    /// The formula in words and symbols.
    pub formula: String,
    /// Every input.
    pub inputs: Vec<CostInputJson>,
    /// What was taken for want of better.
    pub note: Option<String>,
}

/// What a line is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CostKindJson {
    /// Product.
    Product,
    /// Working time.
    Work,
    /// The way, by distance.
    Way,
    /// Travel time.
    WayTime,
    /// Equipment.
    Equipment,
}

/// An input of a line.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CostInputJson {
    /// What it is.
    pub name: String,
    /// Its value with its unit, as printed.
    pub value: String,
    /// Where it comes from.
    pub origin: OriginJson,
}

/// Something that has no price.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UnpricedJson {
    /// What for.
    pub kind: CostKindJson,
    /// In words.
    pub what: String,
    /// Why it has none.
    pub why: String,
    /// What would give it one.
    pub mend: String,
}

impl From<CostKind> for CostKindJson {
    fn from(kind: CostKind) -> Self {
        match kind {
            CostKind::Product => Self::Product,
            CostKind::Work => Self::Work,
            CostKind::Way => Self::Way,
            CostKind::WayTime => Self::WayTime,
            CostKind::Equipment => Self::Equipment,
        }
    }
}

impl From<&CostInput> for CostInputJson {
    fn from(input: &CostInput) -> Self {
        Self { name: input.name.to_owned(), value: input.value.clone(), origin: input.origin.into() }
    }
}

impl From<&CostLine> for CostLineJson {
    fn from(line: &CostLine) -> Self {
        Self {
            kind: line.kind.into(),
            what: line.what.clone(),
            amount: line.amount.figures(),
            formula: line.formula.to_owned(),
            inputs: line.inputs.iter().map(CostInputJson::from).collect(),
            note: line.note.clone(),
        }
    }
}

impl From<&Unpriced> for UnpricedJson {
    fn from(unpriced: &Unpriced) -> Self {
        Self {
            kind: unpriced.kind.into(),
            what: unpriced.what.clone(),
            why: unpriced.why.clone(),
            mend: unpriced.mend.clone(),
        }
    }
}

impl CostJson {
    /// The cost of a visit.
    pub fn new(visit: &Visit, cost: &Cost) -> Self {
        Self {
            format: FORMAT,
            visit: visit.name.clone(),
            date: visit.date.to_string(),
            currency: cost.total.currency().to_string(),
            lines: cost.lines.iter().map(CostLineJson::from).collect(),
            without_price: cost.without_price.iter().map(UnpricedJson::from).collect(),
            problems: problems_json(&cost.warnings),
            total: cost.total.figures(),
        }
    }
}

/// The document as text, ended by a new line.
pub fn write_cost(visit: &Visit, cost: &Cost) -> String {
    crate::json_text::pretty(&CostJson::new(visit, cost))
}
