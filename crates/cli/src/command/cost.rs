//! `tussock cost`: what a visit costs the business.

use super::papers::{OccasionArgs, VisitAndBusiness, of_business, points, read, read_client, refusals, told_refused};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Outcome};
use business::{Cost, cost};
use clap::Args;
use std::fmt::Write;
use std::path::PathBuf;

/// Reckon what a visit costs: product by lot, working time, travel
///
/// Every line shows from what it was reckoned. What is used and has no price is told and is in no total.
/// A refused visit has no cost, since it is not carried out. With books, what was applied before and who applies
/// count, as for `tussock plan`, and product has the price that was paid for the lot: the one that --lot names, or the
/// only one that is left within its last day; of several the first to run out, with a warning. Each line says where its
/// price comes from.
///
/// Exit codes: 0 done, 1 bad input, 2 wrong use of the command, 3 refused by a verdict.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock cost demo/alder-bend/visit.toml --business demo/business.toml --client demo/alder-bend/client.toml",
    "tussock cost demo/alder-bend/visit.toml --business demo/business.toml --lot brackwater-sc=B-2601 --json",
    "tussock cost demo/alder-bend/visit.toml --business demo/business.toml --books lawns.db",
))]
pub(crate) struct CostArgs {
    #[command(flatten)]
    files: VisitAndBusiness,
    /// The client file (TOML), for travel there and back
    #[arg(long, value_name = "FILE")]
    client: Option<PathBuf>,
    #[command(flatten)]
    occasion: OccasionArgs,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
}

impl CostArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &CostArgs) -> CommandResult {
    let read = read(&args.files)?;
    let client = args.client.as_deref().map(read_client).transpose()?;
    complain(&read.warnings);
    if let Some((_, warnings)) = &client {
        complain(warnings);
    }
    let refused = refusals(&read.visit);
    if !refused.is_empty() {
        say(&if args.json {
            exchange::quotation_json::write_quotation_refused(&read.visit.name, &refused)
        } else {
            told_refused(&format!("{}: REFUSED; it is not carried out and has no cost", read.visit.name), &refused)
        });
        return Ok(Outcome::Refused);
    }
    let occasion = args.occasion.occasion(client.as_ref().map(|(client, _)| client), &read.stock);
    let found = cost(&read.visit, &read.business.tariff, &occasion)
        .map_err(|problems| of_business(problems, &args.files.business))?;
    complain(&found.warnings);
    if args.json {
        say(&exchange::cost_json::write_cost(&read.visit, &found));
    } else {
        say(&format!("{}, {}: cost\n{}\n", read.visit.name, read.visit.date, words(&found)));
        say(&super::plan::wrapped("", REMINDER));
    }
    Ok(Outcome::Done)
}

/// The lines with their working, what has no price, the total.
fn words(cost: &Cost) -> String {
    let mut text = String::new();
    let width = cost.lines.iter().map(|line| line.amount.to_string().chars().count()).max().unwrap_or(0);
    let width = width.max(cost.total.to_string().chars().count());
    for line in &cost.lines {
        let _ = writeln!(text, "  {:>width$}  {}", line.amount.to_string(), line.what);
        let inputs: Vec<String> = line
            .inputs
            .iter()
            .map(|input| format!("{} {} ({})", input.name, input.value, input.origin.word()))
            .collect();
        let indent = " ".repeat(width + 4);
        text.push_str(&super::plan::wrapped(&indent, &format!("{}: {}", line.formula, inputs.join(", "))));
        if let Some(note) = &line.note {
            text.push_str(&super::plan::wrapped(&indent, note));
        }
    }
    let whole = if cost.without_price.is_empty() { "in all" } else { "in all, WITHOUT what has no price" };
    let _ = writeln!(text, "  {:>width$}  {whole}", cost.total.to_string());
    if !cost.without_price.is_empty() {
        text.push_str("\nWithout a price\n");
        text.push_str(&points(cost.without_price.iter().map(|one| format!("{}: {}; {}", one.what, one.why, one.mend))));
    }
    text
}
