//! A quotation as data, or why there is none. Amounts of money are decimal texts.

use crate::cost_json::CostKindJson;
use crate::visit_json::{FindingJson, VerdictJson};
use business::{Business, Client, Quotation, WorkLine};
use quantity::AreaUnit;
use schemars::JsonSchema;
use serde::Serialize;
use treatment::Verdict;

/// The format of the document on a quotation.
pub const FORMAT: &str = "tussock.quotation/1";

/// The format of the document on a quotation that may not be given.
pub const REFUSED_FORMAT: &str = "tussock.quotation-refused/1";

/// A quotation.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuotationJson {
    /// `tussock.quotation/1`.
    pub format: &'static str,
    /// Its number.
    pub number: String,
    /// The day on which it is given, ISO 8601.
    pub issued: String,
    /// The last day on which it may be accepted.
    pub valid_until: String,
    /// Who quotes.
    pub business: String,
    /// To whom.
    pub client: String,
    /// What the visit is called.
    pub visit: String,
    /// The day planned for the work.
    pub planned: String,
    /// What was identified first of all: the first of `findings`.
    pub finding: Option<FindingJson>,
    /// All that was identified.
    pub findings: Vec<FindingJson>,
    /// What would be done, in the order of the work.
    pub work: Vec<QuotedWorkJson>,
    /// Currency of every amount, ISO 4217.
    pub currency: String,
    /// The lines of the price.
    pub lines: Vec<PriceLineJson>,
    /// What is added so that the least charge is reached.
    pub to_minimum: Option<String>,
    /// Lines and addition together, before tax.
    pub net: String,
    /// The taxes.
    pub taxes: Vec<TaxLineJson>,
    /// What is to be paid.
    pub total: String,
    /// On what it depends.
    pub conditions: Vec<String>,
}

/// A piece of the work.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuotedWorkJson {
    /// The task's name.
    pub task: String,
    /// How.
    pub method: String,
    /// The products.
    pub products: Vec<String>,
    /// Against which pests.
    pub pests: Vec<String>,
    /// Treated ground, square metres.
    pub ground_m2: f64,
    /// Treated wall, square metres.
    pub wall_m2: f64,
}

/// A line of a price.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PriceLineJson {
    /// What for.
    pub kind: CostKindJson,
    /// In words.
    pub what: String,
    /// The price.
    pub amount: String,
}

/// A tax.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TaxLineJson {
    /// What it is called.
    pub name: String,
    /// How much, as printed: `7.25 %`.
    pub share: String,
    /// What it is reckoned on.
    pub on: String,
    /// The tax.
    pub amount: String,
}

/// Why a visit may not be quoted.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct QuotationRefusedJson {
    /// `tussock.quotation-refused/1`.
    pub format: &'static str,
    /// What the visit is called.
    pub visit: String,
    /// The verdicts that refuse it.
    pub verdicts: Vec<VerdictJson>,
}

impl From<&WorkLine> for QuotedWorkJson {
    fn from(line: &WorkLine) -> Self {
        Self {
            task: line.task.clone(),
            method: line.method.word().to_owned(),
            products: line.products.clone(),
            pests: line.pests.clone(),
            ground_m2: line.ground.to(AreaUnit::SquareMetre),
            wall_m2: line.wall.to(AreaUnit::SquareMetre),
        }
    }
}

impl QuotationJson {
    /// A quotation of a business to a client.
    pub fn new(quotation: &Quotation, business: &Business, client: &Client) -> Self {
        let price = &quotation.price;
        Self {
            format: FORMAT,
            number: quotation.head.number.clone(),
            issued: quotation.head.issued.to_string(),
            valid_until: quotation.valid_until.to_string(),
            business: business.name.clone(),
            client: client.name.clone(),
            visit: quotation.visit.clone(),
            planned: quotation.planned.to_string(),
            finding: quotation.findings.first().map(FindingJson::from),
            findings: quotation.findings.iter().map(FindingJson::from).collect(),
            work: quotation.work.iter().map(QuotedWorkJson::from).collect(),
            currency: price.total.currency().to_string(),
            lines: price
                .lines
                .iter()
                .map(|line| PriceLineJson {
                    kind: line.kind.into(),
                    what: line.what.clone(),
                    amount: line.amount.figures(),
                })
                .collect(),
            to_minimum: price.to_minimum.map(business::Money::figures),
            net: price.net.figures(),
            taxes: price
                .taxes
                .iter()
                .map(|tax| TaxLineJson {
                    name: tax.name.clone(),
                    share: tax.share.to_string(),
                    on: tax.on.figures(),
                    amount: tax.amount.figures(),
                })
                .collect(),
            total: price.total.figures(),
            conditions: quotation.conditions.clone(),
        }
    }
}

/// The document on a quotation as text, ended by a new line.
pub fn write_quotation(quotation: &Quotation, business: &Business, client: &Client) -> String {
    crate::json_text::pretty(&QuotationJson::new(quotation, business, client))
}

/// The document on a visit that may not be quoted.
pub fn write_quotation_refused(visit: &str, verdicts: &[Verdict]) -> String {
    crate::json_text::pretty(&QuotationRefusedJson {
        format: REFUSED_FORMAT,
        visit: visit.to_owned(),
        verdicts: verdicts.iter().map(VerdictJson::from).collect(),
    })
}
