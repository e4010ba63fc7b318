//! `tussock quote`: what a visit is offered at.

use super::papers::{OccasionArgs, VisitAndBusiness, of_business, points, read, read_client, told_refused};
use super::plan::{Look, listed, name_of};
use crate::care::{REMINDER, examples_and_care};
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::writing::OutFolder;
use business::{Business, Client, NoQuotation, Quotation, QuotationHead, cost, quote};
use clap::Args;
use exchange::quotation_json::{write_quotation, write_quotation_refused};
use jiff::civil::Date;
use problem::Problems;
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Quote a visit: price, tax, and on what it depends
///
/// Writes the quotation (PDF) and quotation.json. A treatment is never quoted before the pest is identified,
/// nor a visit that is refused, nor one that uses something without a price. With books, what was applied before and
/// who applies count, as for `tussock plan`, and product has the price of its lot, as for `tussock cost`.
///
/// Exit codes: 0 done, 1 bad input, 2 wrong use of the command, 3 refused by a verdict.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!(
    "tussock quote demo/alder-bend/visit.toml --business demo/business.toml --client demo/alder-bend/client.toml",
    "tussock quote visit.toml --business business.toml --client client.toml --number 2026-17 --out out/quote",
))]
pub(crate) struct QuoteArgs {
    #[command(flatten)]
    files: VisitAndBusiness,
    /// The client file (TOML)
    #[arg(long, value_name = "FILE")]
    client: PathBuf,
    #[command(flatten)]
    occasion: OccasionArgs,
    /// The quotation's number [default: the date of the visit and its name]
    #[arg(long, value_name = "TEXT")]
    number: Option<String>,
    /// The day on which it is given [default: today, by universal time]
    #[arg(long, value_name = "DATE")]
    issued: Option<Date>,
    /// The folder to write to [default: out/ and the name of the visit; with --json nothing is written]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    look: Look,
}

impl QuoteArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &QuoteArgs) -> CommandResult {
    let read = read(&args.files)?;
    let (client, warnings) = read_client(&args.client)?;
    complain(&read.warnings);
    complain(&warnings);
    let visit = &read.visit;
    let own = |problems: Problems| of_business(problems, &args.files.business);
    let found = cost(visit, &read.business.tariff, &args.occasion.occasion(Some(&client), &read.stock)).map_err(own)?;
    complain(&found.warnings);
    let head = QuotationHead {
        number: args.number.clone().unwrap_or_else(|| number_of(visit)),
        issued: args.issued.unwrap_or_else(|| jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).date()),
    };
    let quotation = match quote(visit, &read.business, &client, &found, head) {
        Ok(quotation) => quotation,
        Err(NoQuotation::Incomplete(problems)) => return Err(Failure(own(problems))),
        Err(NoQuotation::Refused(verdicts)) => {
            say(&if args.json {
                write_quotation_refused(&visit.name, &verdicts)
            } else {
                told_refused(&format!("{}: REFUSED; no quotation is given", visit.name), &verdicts)
            });
            return Ok(Outcome::Refused);
        }
    };
    let default_out = || (!args.json).then(|| Path::new("out").join(name_of(&args.files.visit)));
    let out = args.out.clone().or_else(default_out);
    let written = out
        .map(|folder| {
            let mut out = OutFolder::new(folder);
            write_files(&mut out, &quotation, &read.business, &client, args.look).map(|()| out)
        })
        .transpose()?;
    if args.json {
        say(&write_quotation(&quotation, &read.business, &client));
    } else {
        say(&words(&quotation));
        if let Some(written) = written {
            say(&listed(&written));
        }
    }
    Ok(Outcome::Done)
}

/// The number of a quotation where none is given.
pub(super) fn number_of(visit: &treatment::Visit) -> String {
    dated_name(visit.date, &visit.name)
}

/// A day and a name as one word.
pub(super) fn dated_name(date: Date, name: &str) -> String {
    let name: String = name.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    format!("{date}-{name}")
}

/// Writes the quotation into a folder.
///
/// # Errors
/// A file that cannot be written, or a paper that cannot be set.
pub(super) fn write_files(
    out: &mut OutFolder,
    quotation: &Quotation,
    business: &Business,
    client: &Client,
    look: Look,
) -> Result<(), Problems> {
    let set = || sheet::quotation_pdf(quotation, business, client, &look.options());
    match look.has_pdf().then(set).transpose()? {
        Some(pdf) => out.write("quotation.pdf", "the quotation, for the client", &pdf)?,
        None => out.without("quotation.pdf")?,
    }
    let json = write_quotation(quotation, business, client);
    out.write("quotation.json", "the quotation as data", json.as_bytes())?;
    Ok(())
}

fn words(quotation: &Quotation) -> String {
    let price = &quotation.price;
    let mut text = format!(
        "{}: quotation {}, given on {}, valid until {}\n",
        quotation.visit, quotation.head.number, quotation.head.issued, quotation.valid_until
    );
    let mut rows: Vec<(String, String)> =
        price.lines.iter().map(|line| (line.amount.to_string(), line.what.clone())).collect();
    rows.extend(price.to_minimum.map(|added| (added.to_string(), "to the minimum charge for a visit".to_owned())));
    rows.push((price.net.to_string(), "subtotal before tax".to_owned()));
    rows.extend(price.taxes.iter().map(|tax| (tax.amount.to_string(), format!("{}, {}", tax.name, tax.share))));
    rows.push((price.total.to_string(), "total".to_owned()));
    let width = rows.iter().map(|(amount, _)| amount.chars().count()).max().unwrap_or(0);
    for (amount, what) in rows {
        let _ = writeln!(text, "  {amount:>width$}  {what}");
    }
    text.push_str("\nConditions\n");
    text.push_str(&points(quotation.conditions.iter().cloned()));
    text.push('\n');
    text.push_str(&super::plan::wrapped("", REMINDER));
    text
}
