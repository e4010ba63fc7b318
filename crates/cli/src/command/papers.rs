//! What the commands on money and notices read and share.

use super::desk::BooksPlace;
use super::plan::{Looked, looked_up_and_planned, wrapped};
use crate::outcome::Failure;
use crate::reading::read_text;
use business::{Business, Client, Facts, Occasion, StockedLot, ground_of};
use clap::Args;
use exchange::business_file::parse_business;
use exchange::client_file::parse_client;
use exchange::rule_file::{parse_rules, shipped};
use jurisdiction::RuleSet;
use label::UseClass;
use problem::Problems;
use std::collections::BTreeMap;
use std::num::NonZeroU16;
use std::path::{Path, PathBuf};
use treatment::{Status, Visit, VisitRequest};

/// The visit and the business.
#[derive(Debug, Args)]
pub(crate) struct VisitAndBusiness {
    /// A visit request (TOML)
    pub(crate) visit: PathBuf,
    /// The business file (TOML): rates, prices, whom to call, where the rules are asked
    #[arg(long, value_name = "FILE")]
    pub(crate) business: PathBuf,
    #[command(flatten)]
    books: BooksPlace,
}

/// What money depends on beside the plan.
#[derive(Debug, Args)]
pub(crate) struct OccasionArgs {
    /// How many people do the work together
    #[arg(long, value_name = "NUMBER", default_value_t = NonZeroU16::MIN)]
    people: NonZeroU16,
    /// The lot that is used of a label, such as `brackwater-sc=B-2604` [default: what the books have left of it, of
    /// several lots the first to run out; without one the dearest of the tariff]
    #[arg(long, value_name = "LABEL=LOT", value_parser = label_and_lot)]
    lot: Vec<(String, String)>,
}

fn label_and_lot(text: &str) -> Result<(String, String), String> {
    match text.split_once('=').map(|(label, lot)| (label.trim(), lot.trim())) {
        Some((label, lot)) if !label.is_empty() && !lot.is_empty() => Ok((label.to_owned(), lot.to_owned())),
        _ => Err("no label with its lot; expected the label's id, `=` and the lot".to_owned()),
    }
}

impl OccasionArgs {
    /// The occasion of a visit at a client, with what is in stock.
    pub(crate) fn occasion(&self, client: Option<&Client>, stock: &[StockedLot]) -> Occasion {
        Occasion {
            people: self.people,
            journey: client.map(|client| client.journey).unwrap_or_default(),
            lots: self.lot.iter().cloned().collect::<BTreeMap<_, _>>(),
            stock: stock.to_vec(),
        }
    }
}

/// Problems of a reckoning in the file that they are about: money in the business file, lots on the command line.
pub(crate) fn of_business(problems: Problems, file: &Path) -> Problems {
    let file = file.display().to_string();
    problems
        .into_iter()
        .map(|problem| if problem.code == "cost::unused-label" { problem } else { problem.in_file(file.clone()) })
        .collect()
}

/// A visit with what it was planned from, the business and its rules.
pub(crate) struct Read {
    pub(crate) visit: Visit,
    pub(crate) facts: Facts,
    pub(crate) business: Business,
    pub(crate) rules: RuleSet,
    /// The lots that the books keep, where any are named.
    pub(crate) stock: Vec<StockedLot>,
    pub(crate) warnings: Problems,
}

/// Reads and plans the visit, with the books where any are named, and reads the business with its rule files; everything wrong is told at once.
///
/// # Errors
/// Everything wrong in those files.
pub(crate) fn read(args: &VisitAndBusiness) -> Result<Read, Failure> {
    let desk = args.books.open_if_named()?;
    let visit = looked_up_and_planned(&args.visit, desk.as_ref());
    let business = read_business(&args.business);
    let mut problems = Problems::new();
    let mut keep = |found: Problems| problems.extend(found);
    match (visit, business) {
        (Ok(Looked { request, visit, people, warnings }), Ok((business, rules, business_warnings))) => {
            keep(people);
            keep(warnings);
            keep(business_warnings);
            let stock = match &desk {
                None => Vec::new(),
                Some(desk) => {
                    let (stock, unread) = desk.ask(desk.book.stocked_lots())?;
                    problems.extend(unread);
                    stock
                }
            };
            Ok(Read { facts: facts(&request, &visit), visit, business, rules, stock, warnings: problems })
        }
        (visit, business) => {
            visit.err().into_iter().chain(business.err()).for_each(keep);
            Err(Failure(problems))
        }
    }
}

/// What rules ask and only the request with its labels tells.
pub(crate) fn facts(request: &VisitRequest, visit: &Visit) -> Facts {
    let used = |id: &str| visit.products.iter().any(|product| product.label == id);
    let restricted =
        request.labels.iter().any(|label| used(&label.id) && label.product.use_class == UseClass::Restricted);
    Facts { restricted_use: restricted, ground: ground_of(visit) }
}

/// Reads a business file with the rule files that it names.
///
/// # Errors
/// Everything wrong in them.
pub(crate) fn read_business(path: &Path) -> Result<(Business, RuleSet, Problems), Problems> {
    let text = read_text(path, "a business file (TOML)")?;
    let (file, mut warnings) = parse_business(&path.display().to_string(), &text)?;
    let folder = path.parent().unwrap_or_else(|| Path::new(""));
    let mut problems = Problems::new();
    let mut own: Vec<(String, String)> = Vec::new();
    for name in &file.rules {
        let place = folder.join(name);
        match read_text(&place, "a rule file (TOML) that the business file names") {
            Ok(text) => own.push((place.display().to_string(), text)),
            Err(problem) => problems.push(problem),
        }
    }
    let all = shipped().iter().copied().chain(own.iter().map(|(name, text)| (name.as_str(), text.as_str())));
    match parse_rules(all) {
        Ok((rules, found)) if !problems.has_errors() => {
            warnings.extend(found);
            Ok((file.business, rules, warnings))
        }
        Ok(_) => Err(problems),
        Err(found) => {
            problems.extend(found);
            Err(problems)
        }
    }
}

/// Reads a client file.
///
/// # Errors
/// Everything wrong in it.
pub(crate) fn read_client(path: &Path) -> Result<(Client, Problems), Problems> {
    let text = read_text(path, "a client file (TOML)")?;
    parse_client(&path.display().to_string(), &text)
}

/// The verdicts that refuse a visit.
pub(crate) fn refusals(visit: &Visit) -> Vec<treatment::Verdict> {
    visit.all_verdicts().filter(|verdict| verdict.status == Status::Refused).cloned().collect()
}

/// Points of a list for the terminal.
pub(crate) fn points(lines: impl IntoIterator<Item = String>) -> String {
    lines.into_iter().map(|line| wrapped("  - ", &line)).collect()
}

/// Why an answer on a refused visit is not given, for the terminal.
pub(crate) fn told_refused(head: &str, verdicts: &[treatment::Verdict]) -> String {
    let mut text = format!("{head}\n");
    for verdict in verdicts {
        super::plan::one_verdict(&mut text, "  ", verdict);
    }
    text
}
