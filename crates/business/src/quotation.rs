//! What the client is offered, and on what it depends.

use crate::{Business, Client, Cost, Price, price};
use jiff::civil::Date;
use label::Method;
use problem::{Problem, Problems};
use quantity::Area;
use treatment::{Finding, Status, Verdict, Visit};

/// What a person decides of a quotation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuotationHead {
    /// Its number.
    pub number: String,
    /// The day on which it is given.
    pub issued: Date,
}

/// A quotation.
#[derive(Debug, Clone, PartialEq)]
pub struct Quotation {
    /// Number and day.
    pub head: QuotationHead,
    /// The last day on which it may be accepted.
    pub valid_until: Date,
    /// What the visit is called.
    pub visit: String,
    /// The day planned for the work.
    pub planned: Date,
    /// What was identified, and on what ground; never nothing.
    pub findings: Vec<Finding>,
    /// What would be done, in the order of the work.
    pub work: Vec<WorkLine>,
    /// The price.
    pub price: Price,
    /// On what it depends, in plain sentences.
    pub conditions: Vec<String>,
}

/// One piece of the work.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkLine {
    /// The task's name.
    pub task: String,
    /// How.
    pub method: Method,
    /// The products, by name.
    pub products: Vec<String>,
    /// Against which pests.
    pub pests: Vec<String>,
    /// Treated ground.
    pub ground: Area,
    /// Treated wall.
    pub wall: Area,
}

/// Why there is no quotation.
#[derive(Debug, Clone, PartialEq)]
pub enum NoQuotation {
    /// It may not be given: nothing is identified, or the visit is refused.
    Refused(Vec<Verdict>),
    /// What it is made from is not complete.
    Incomplete(Problems),
}

/// Quotes a visit.
///
/// # Errors
/// [`NoQuotation::Refused`] for a visit without a finding (a treatment is never quoted before
/// identification) and for a refused one; [`NoQuotation::Incomplete`] with the problems of [`price`], and
/// `quotation::no-validity` when the business does not say how long a quotation holds.
pub fn quote(
    visit: &Visit,
    business: &Business,
    client: &Client,
    cost: &Cost,
    head: QuotationHead,
) -> Result<Quotation, NoQuotation> {
    let mut refused: Vec<Verdict> =
        visit.all_verdicts().filter(|verdict| verdict.status == Status::Refused).cloned().collect();
    if visit.findings.is_empty() {
        refused.insert(0, unidentified());
        return Err(NoQuotation::Refused(refused));
    }
    if !refused.is_empty() {
        return Err(NoQuotation::Refused(refused));
    }
    let priced = price(cost, &business.tariff);
    let valid_until = valid_until(business, head.issued);
    match (priced, valid_until) {
        (Ok(price), Ok(valid_until)) => Ok(Quotation {
            valid_until,
            visit: visit.name.clone(),
            planned: visit.date,
            findings: visit.findings.clone(),
            work: visit.tasks.iter().map(work_line).collect(),
            conditions: conditions(visit, business, client, &price),
            price,
            head,
        }),
        (priced, valid_until) => {
            let mut problems = priced.err().unwrap_or_default();
            problems.extend(valid_until.err());
            Err(NoQuotation::Incomplete(problems))
        }
    }
}

fn unidentified() -> Verdict {
    let words = "nothing is identified: no treatment is quoted before pest and stage are";
    Verdict::new("quotation::unidentified", Status::Refused, treatment::Origin::Business, words)
        .mend("identify the pest and its stage, and write the finding into the visit request")
}

fn valid_until(business: &Business, issued: Date) -> Result<Date, Problem> {
    let days = business.tariff.quotation_days.ok_or_else(|| {
        Problem::error("quotation::no-validity", "the business does not say for how long a quotation holds")
            .expected("`quotation_days`, a number of days")
            .mend("add it to the business file")
    })?;
    Ok(issued.checked_add(jiff::Span::new().days(i64::from(days))).unwrap_or(Date::MAX))
}

fn work_line(task: &treatment::Task) -> WorkLine {
    let mut pests: Vec<String> = Vec::new();
    for product in task.products() {
        if !pests.contains(&product.pest) {
            pests.push(product.pest.clone());
        }
    }
    WorkLine {
        task: task.id.clone(),
        method: task.method,
        products: task.products().map(|product| product.name.clone()).collect(),
        pests,
        ground: task.ground,
        wall: task.wall,
    }
}

/// On what the quotation depends. Common practice, no source.
fn conditions(visit: &Visit, business: &Business, client: &Client, price: &Price) -> Vec<String> {
    let mut all = Vec::new();
    let identified = |finding: &Finding| {
        let stage = finding.stage.as_ref().map_or_else(String::new, |stage| format!(", {stage}"));
        let who = finding.identified_by.as_ref().map_or_else(String::new, |who| format!(" by {who}"));
        format!("{}{stage}, identified{who} ({})", finding.pest, finding.basis)
    };
    all.push(format!(
        "The pest is what was identified: {}. If we find another pest or cause on the day, nothing is applied under this \
         quotation.",
        visit.findings.iter().map(identified).collect::<Vec<_>>().join("; ")
    ));
    all.push(
        "The ground is as it was mapped and measured. If more or less has to be treated, we recalculate the price and \
         tell you before we start."
            .to_owned(),
    );
    all.push(
        "We work only where, and only in weather in which, the product label and local law allow it. Wind, rain, heat, \
         plants in bloom, people or pets may delay the work, so the planned day is not guaranteed."
            .to_owned(),
    );
    if visit.all_verdicts().any(|verdict| verdict.status == Status::Caution) {
        all.push(
            "Some things can be checked only on the property before we start, such as soil, wind and plants in bloom. \
             What we find may change the work or its day."
                .to_owned(),
        );
    }
    all.push(match client.who_lives_there() {
        None => "Nobody has told us who lives there. Before the work, please tell us about children, pregnancy, \
                 allergies, pets, ponds, hives, wells and vegetable beds."
            .to_owned(),
        Some(who) => format!(
            "You told us about {who}. Please tell us about anything else that we should know: children, pregnancy, \
             allergies, pets, ponds, hives, wells, vegetable beds."
        ),
    });
    all.push(
        "Please tell us about anything else applied to the property this year, by anyone: it counts toward the yearly \
         limits of the label."
            .to_owned(),
    );
    if price.taxes.is_empty() {
        all.push(format!("No tax is added: {} charges none.", business.name));
    }
    all
}
