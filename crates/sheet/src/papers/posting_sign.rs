//! The sign at the treated ground, and on a second page how it is put up.

use super::plain_words::{keep_off_briefly, moment, sentences, when};
use crate::content::Content;
use crate::typesetting::{self, Paper};
use crate::words::capital;
use crate::{PaperOptions, PaperSize};
use business::{Business, Client, Demands, Treatment};
use jurisdiction::{CONFIRM_LOCAL_LAW, Known, Sign};
use problem::Problems;
use quantity::{Length, LengthUnit};
use serde_json::json;

/// The posting sign as PDF bytes; the same input gives the same bytes. The first page is the sign, the second
/// is for who puts it up.
///
/// # Errors
/// `sheet::typesetting` when the paper cannot be set, `sheet::font` for a font file that cannot be read.
pub fn posting_sign_pdf(
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    demands: &Demands<'_>,
    options: &PaperOptions,
) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(treatment, business, client, demands, options), &options.fonts)
}

/// The words of a sign where no rule known states any. Common practice, no source.
const USUAL_WORDS: [&str; 2] = ["PESTICIDE APPLICATION", "KEEP OFF"];

/// The height of a capital letter as a part of the size of the type, measured on the font that comes along.
const CAPITAL: f64 = 0.64;

/// The size of the great words where no rule asks for more, in points.
const GREAT: f64 = 76.0;

pub(super) fn paper(
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    demands: &Demands<'_>,
    options: &PaperOptions,
) -> Paper {
    let units = options.units;
    let sign = match &demands.sign {
        Ok(Known::Demanded(sign)) => Some(sign),
        _ => None,
    };
    let mut words: Vec<String> = match &demands.postings {
        Known::Demanded(postings) => {
            let mut all: Vec<String> = Vec::new();
            for text in postings.iter().flat_map(|(_, posting)| &posting.wording) {
                if !all.contains(text) {
                    all.push(text.clone());
                }
            }
            all
        }
        Known::NoRuleKnown => Vec::new(),
    };
    if words.is_empty() {
        words.extend(USUAL_WORDS.map(str::to_owned));
    }
    let letters = sign.and_then(|sign| sign.least_letters);
    let least = letters.map_or(0.0, |height| height.to(LengthUnit::Inch) * 72.0 / CAPITAL);
    let products: Vec<&str> = treatment.products.iter().map(|product| product.name.as_str()).collect();
    let remove =
        sign.and_then(|sign| sign.remove_from).map(|from| format!("Leave this sign until {}.", moment(from, units)));
    let content = json!({
        "paper": options.paper.word(),
        "words": words,
        "size": least.clamp(GREAT, 120.0),
        "until": keep_off_briefly(treatment, units),
        "posting": sentences(&treatment.advice.posting),
        "when": capital(&when(treatment, units)),
        "products": products.join(", "),
        "business": business.name,
        "telephone": business.telephone,
        "remove": remove,
        "invented": business.invented || client.invented,
        "about": about(treatment, demands, sign, options),
        "rules": rules(demands),
        "confirm": CONFIRM_LOCAL_LAW,
    });
    Paper {
        template: ("sign.typ", include_str!("../../templates/sign.typ")),
        content: Content::new(content),
        pictures: Vec::new(),
    }
}

/// How the sign is put up, point by point.
fn about(treatment: &Treatment, demands: &Demands<'_>, sign: Option<&Sign<'_>>, options: &PaperOptions) -> Vec<String> {
    let units = options.units;
    let mut points = Vec::new();
    points.extend(demands.not_known.clone());
    if let Err(contradiction) = &demands.sign {
        points.push(format!(
            "Two rules contradict each other: {}. Ask the authority which one applies before you put up a sign.",
            contradiction.to_string().replace('`', "")
        ));
    }
    if let (Ok(Known::NoRuleKnown), None) = (&demands.sign, &demands.not_known) {
        points.push(jurisdiction::no_rule_known("signs", &demands.circumstances.place));
    }
    let Some(sign) = sign else {
        points.push(
            "Put up a sign at each entry to the treated ground before the work starts. This is common practice."
                .to_owned(),
        );
        return points;
    };
    points.push(
        "How many: at least one. No rule known here gives a number: count the places named below when you are there."
            .to_owned(),
    );
    points.extend(sign.places.iter().map(|place| format!("Where: {place}.")));
    points.push(match sign.put_up.map(jurisdiction::PutUp::word) {
        Some("before") => format!("When: before {}.", moment(demands.start, units)),
        Some(_) => format!("When: at the time of the work, from {}.", moment(demands.start, units)),
        None => format!("When: no rule known here says. Before {} is in time.", moment(demands.start, units)),
    });
    let inches = |length: Length| {
        let centimetres = length.to(LengthUnit::Centimetre);
        // A number is not parted from its unit at the end of a line.
        format!(
            "{}\u{a0}in ({}\u{a0}cm)",
            tidy(length.to(LengthUnit::Inch), 3),
            tidy(centimetres, if centimetres < 2.0 { 2 } else { 1 })
        )
    };
    match (sign.bottom_at_least, sign.bottom_at_most) {
        (Some(low), Some(high)) => {
            points.push(format!("Height: the bottom edge {} to {} above the ground.", inches(low), inches(high)));
        }
        (Some(low), None) => points.push(format!("Height: the bottom edge at least {} above the ground.", inches(low))),
        (None, Some(high)) => {
            points.push(format!("Height: the bottom edge at most {} above the ground.", inches(high)));
        }
        (None, None) => {}
    }
    if let Some(size) = sign.least_size {
        let (short, long) = match options.paper {
            PaperSize::Letter => (8.5, 11.0),
            PaperSize::A4 => (210.0 / 25.4, 297.0 / 25.4),
        };
        let fits = size.short().to(LengthUnit::Inch) <= short && size.long().to(LengthUnit::Inch) <= long;
        let verdict = if fits { "this sheet is larger" } else { "THIS SHEET IS SMALLER: print it larger" };
        points.push(format!("Size: at least {} by {}; {verdict}.", inches(size.short()), inches(size.long())));
    }
    if let Some(letters) = sign.least_letters {
        points.push(format!(
            "Letters: at least {} high. The large words on this sign are. If the rule means every word, make the others as tall.",
            inches(letters)
        ));
    }
    points.extend(sign.look.iter().map(|look| format!("Look: {look}.")));
    points.push(match sign.remove_from {
        Some(from) => format!("Take it down: not before {}, and not before people may go back.", moment(from, units)),
        None => "Take it down: no rule known here says when. Not before people may go back.".to_owned(),
    });
    if !treatment.when.is_done() {
        points.push(
            "The times are planned ones. If the work starts or ends at another time, write in the new times."
                .to_owned(),
        );
    }
    if !demands.times_known {
        points.push("No lawful hour is known yet, so the whole day is counted as the time of the work.".to_owned());
    }
    points
}

fn rules(demands: &Demands<'_>) -> Vec<String> {
    match &demands.postings {
        Known::Demanded(postings) => postings.iter().map(|(binding, _)| binding.words()).collect(),
        Known::NoRuleKnown => Vec::new(),
    }
}

/// A number without zeros behind its point.
fn tidy(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
