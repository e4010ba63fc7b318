//! The quotation.

use super::letter::Letter;
use super::plain_words::{areas, method};
use crate::PaperOptions;
use crate::typesetting::{self, Paper};
use crate::words::capital;
use business::{Business, Client, CostKind, PriceLine, Quotation};
use problem::Problems;

/// The quotation as PDF bytes; the same input gives the same bytes.
///
/// # Errors
/// `sheet::typesetting` when the paper cannot be set, `sheet::font` for a font file that cannot be read.
pub fn quotation_pdf(
    quotation: &Quotation,
    business: &Business,
    client: &Client,
    options: &PaperOptions,
) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(quotation, business, client, options), &options.fonts)
}

pub(super) fn paper(quotation: &Quotation, business: &Business, client: &Client, options: &PaperOptions) -> Paper {
    let units = options.units;
    let facts = [
        ("Number", quotation.head.number.clone()),
        ("Date", units.date(quotation.head.issued)),
        ("Valid until", units.date(quotation.valid_until)),
        ("Day planned", units.date(quotation.planned)),
    ];
    let title = format!("Quotation: {}", quotation.visit);
    let mut letter = Letter::new(&title, business, client, (&client.name, &client.address), &facts, options);
    letter.heading("What we found");
    for finding in &quotation.findings {
        let stage = finding.stage.as_ref().map_or_else(String::new, |stage| format!(", {stage}"));
        let who = finding.identified_by.as_ref().map_or_else(String::new, |who| format!(" by {who}"));
        letter.text(format!("{}{stage}, identified{who}: {}.", capital(&finding.pest), finding.basis));
    }
    letter.heading("What we would do");
    let rows = quotation.work.iter().map(|line| {
        vec![
            capital(&line.task),
            capital(method(line.method)),
            line.products.join(" and "),
            line.pests.join(", "),
            areas(line.ground, line.wall, units),
        ]
    });
    letter.table(&["Where", "How", "Product", "Against", "How much ground"], &rows.collect::<Vec<_>>());
    letter.heading("Price");
    let price = &quotation.price;
    let mut rows: Vec<Vec<String>> =
        price.lines.iter().map(|line| vec![words(line), line.amount.to_string()]).collect();
    rows.extend(
        price
            .to_minimum
            .map(|added| vec!["Added to reach our minimum charge for a visit".to_owned(), added.to_string()]),
    );
    let mut totals = vec![rows.len()];
    rows.push(vec!["Subtotal before tax".to_owned(), price.net.to_string()]);
    for tax in &price.taxes {
        rows.push(vec![format!("{}, {} of {}", tax.name, tax.share, tax.on), tax.amount.to_string()]);
    }
    totals.push(rows.len());
    rows.push(vec!["Total".to_owned(), price.total.to_string()]);
    letter.sums(&["For", "Amount"], &rows, &totals);
    letter.heading("Conditions");
    letter.points(&quotation.conditions);
    letter.text(format!("Questions: {}.", business.who_to_call()));
    letter.blanks(&["Accepted: name and signature", "Date"]);
    letter.paper()
}

/// A line of the price in plain words.
fn words(line: &PriceLine) -> String {
    match line.kind {
        CostKind::Product => format!("Product: {}", line.what),
        CostKind::Work => "Work on the property".to_owned(),
        CostKind::Way => "Travel to the property and back".to_owned(),
        CostKind::WayTime => "Travel time".to_owned(),
        CostKind::Equipment => format!("Equipment: {}", line.what.replace('-', " ")),
    }
}
