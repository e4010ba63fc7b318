//! `tussock demo`: the invented demo property, which the command carries along.

use super::papers::facts;
use super::plan::{Look, planned, summary, write_files};
use super::{notice, quote};
use crate::care::examples_and_care;
use crate::console::{complain, say};
use crate::outcome::{CommandResult, Failure, Outcome};
use crate::writing::OutFolder;
use business::{Occasion, QuotationHead, Treatment, cost, demands};
use clap::Args;
use exchange::business_file::parse_business;
use exchange::client_file::parse_client;
use exchange::demo;
use exchange::rule_file::{parse_rules, shipped};
use std::collections::BTreeMap;
use std::num::NonZeroU16;
use std::path::PathBuf;
use treatment::{Visit, VisitRequest};

/// Plan the invented demo property, and say where to look
///
/// Nothing is read: the map, the labels, the sprayer, the forecast, the history, the business and its client
/// come with the command. The quotation and the notices are written too.
#[derive(Debug, Args)]
#[command(after_long_help = examples_and_care!("tussock demo", "tussock demo --out /tmp/demo --no-pdf"))]
pub(crate) struct DemoArgs {
    /// The folder to write to
    #[arg(long, value_name = "DIR", default_value = "out/demo")]
    out: PathBuf,
    /// Print visit.json on standard output, and nothing else there
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    look: Look,
}

impl DemoArgs {
    /// Whether one JSON document is asked for.
    pub(crate) fn json(&self) -> bool {
        self.json
    }
}

/// Carries the command out.
pub(crate) fn run(args: &DemoArgs) -> CommandResult {
    let (file, text) = demo::VISIT;
    let (request, visit, warnings) = planned(file, text, &mut |name| {
        let found = demo::NAMED.iter().find(|(known, _)| *known == name);
        found.map(|(_, text)| (*text).to_owned()).ok_or_else(|| "it does not come with the demo".to_owned())
    })?;
    complain(&warnings);
    let mut written = write_files(&visit, &args.out, args.look)?;
    write_papers(&mut written, &request, &visit, args.look)?;
    if args.json {
        say(&exchange::visit_json::write_visit(&visit));
    } else {
        say(&summary(&visit, args.look));
        say(&super::plan::listed(&written));
        say(&look_at(&args.out, args.look));
    }
    Ok(Outcome::from(visit.verdict()))
}

/// Writes the quotation, given a week before the visit, and the notices.
fn write_papers(out: &mut OutFolder, request: &VisitRequest, visit: &Visit, look: Look) -> Result<(), Failure> {
    let (file, _) = parse_business(demo::BUSINESS.0, demo::BUSINESS.1)?;
    let (client, _) = parse_client(demo::CLIENT.0, demo::CLIENT.1)?;
    let (rules, _) = parse_rules(shipped().iter().copied().chain([demo::RULES]))?;
    let business = &file.business;
    let occasion =
        Occasion { people: NonZeroU16::MIN, journey: client.journey, lots: BTreeMap::new(), stock: Vec::new() };
    let found = cost(visit, &business.tariff, &occasion)?;
    let issued = visit.date.checked_sub(jiff::Span::new().days(7)).unwrap_or(visit.date);
    let head = QuotationHead { number: quote::number_of(visit), issued };
    if let Ok(quotation) = business::quote(visit, business, &client, &found, head) {
        quote::write_files(out, &quotation, business, &client, look)?;
    }
    let treatment = Treatment::planned(visit);
    let held = demands(&rules, &treatment, business, &client, facts(request, visit));
    notice::Papers { visit, treatment: &treatment, business, client: &client }.write(out, &held, look)?;
    Ok(())
}

fn look_at(out: &std::path::Path, look: Look) -> String {
    let first = if look.has_pdf() { "work-sheet.pdf" } else { "map.svg" };
    format!(
        "\nLook at {} first. The property, its products, the business, its client and its rules are invented.\n",
        out.join(first).display()
    )
}
