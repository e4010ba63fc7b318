//! The sheet for those who live there, in plain words: before the work or after it.

use super::letter::Letter;
use super::plain_words::{areas, keep_off, method, moment, products, sentences, when, whole_time};
use crate::typesetting::{self, Paper};
use crate::words::{capital, place};
use crate::{MapOptions, PaperOptions, Units, svg_map};
use business::{Business, Client, Demands, LawnDate, LawnWork, Treatment, lacking};
use jurisdiction::{Known, NoticeItem};
use problem::Problems;
use treatment::{CautionSubject, Visit};

/// The client sheet as PDF bytes; the same input gives the same bytes. With `map` the map of the visit stands
/// on it.
///
/// # Errors
/// `sheet::typesetting` when the paper cannot be set, `sheet::font` for a font file that cannot be read.
pub fn client_sheet_pdf(
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    demands: &Demands<'_>,
    map: Option<&Visit>,
    options: &PaperOptions,
) -> Result<Vec<u8>, Problems> {
    typesetting::set(paper(treatment, business, client, demands, map, options), &options.fonts)
}

pub(super) fn paper(
    treatment: &Treatment,
    business: &Business,
    client: &Client,
    demands: &Demands<'_>,
    map: Option<&Visit>,
    options: &PaperOptions,
) -> Paper {
    let units = options.units;
    let done = treatment.when.is_done();
    let title = if done { "What was applied on your property" } else { "What will be applied on your property" };
    let by: Vec<String> = treatment
        .by
        .iter()
        .map(|one| match &one.certification {
            Some(number) => format!("{} ({number})", one.name),
            None => one.name.clone(),
        })
        .collect();
    let mut facts = vec![("Property", treatment.property.clone()), ("When", when(treatment, units))];
    if !by.is_empty() {
        facts.push(("Applied by", by.join(", ")));
    }
    let mut letter = Letter::new(title, business, client, (&client.name, &client.address), &facts, options);
    if !treatment.misapplied.is_empty() {
        letter.frame("Not done as the label says: please read this first", &treatment.misapplied);
    }
    letter.frame("Keep people and pets off the treated places", &keep_off_lines(treatment, client, options));
    letter.heading(if done { "What was applied, and where" } else { "What will be applied, and where" });
    let named = |name: &String| map.map_or_else(|| name.clone(), |visit| place(visit, name));
    let rows = treatment.places.iter().map(|treated| {
        let places: Vec<String> = treated.places.iter().map(named).collect();
        vec![
            capital(&places.join(", ")),
            capital(method(treated.method)),
            treated.products.join(" and "),
            areas(treated.ground, treated.wall, units),
        ]
    });
    letter.table(&["Where", "How", "Product", "How much ground"], &rows.collect::<Vec<_>>());
    let amount = if done { "Total amount" } else { "Total amount, planned" };
    letter.table(&["Insecticide", "Active ingredients", "Registration number", amount], &products(treatment, true));
    letter.heading(if done { "Why it was applied" } else { "Why it will be applied" });
    if treatment.why.is_empty() {
        letter.text("No finding is written down. Ask us why it is applied.");
    }
    letter.points(&treatment.why.iter().map(|why| format!("{}.", capital(why))).collect::<Vec<_>>());
    letter.heading(if treatment.advice.afterwards.is_empty() {
        "Watering and mowing"
    } else {
        "Watering, mowing and clippings"
    });
    letter.points(&watering(treatment, options));
    letter.heading("What to watch for");
    letter.points(&WATCH.map(str::to_owned));
    call(&mut letter, business);
    own_words(&mut letter, treatment, business, demands);
    if let Some(visit) = map {
        let colour = !options.black_and_white;
        letter.map(svg_map(visit, MapOptions { colour, units, width: 840 }));
    }
    letter.heading("What the label tells people who live here");
    let of_label = treatment.advice.cautions.iter().filter(|caution| {
        let subject = !matches!(caution.subject, CautionSubject::Law | CautionSubject::Spill);
        subject && (caution.sentence.label.is_some() || caution.subject == CautionSubject::FirstAid)
    });
    let cautions: Vec<_> = of_label.map(|caution| caution.sentence.clone()).collect();
    letter.points(&sentences(&cautions));
    letter.paper()
}

fn keep_off_lines(treatment: &Treatment, client: &Client, options: &PaperOptions) -> Vec<String> {
    let until = keep_off(treatment, options.units);
    let mut lines = vec![until.unwrap_or_else(|| "How long is not known: ask us before anyone goes back.".to_owned())];
    if let Some(who) = client.who_lives_there() {
        lines.push(format!("You told us about {who}. Please think of each of them."));
    }
    if !treatment.when.is_done() {
        lines.push(
            "Before we come: bring in toys, pet dishes, bedding and laundry, close the windows, cover or move fish bowls \
             and pools, and keep children and pets inside."
                .to_owned(),
        );
    }
    lines.extend(sentences(&treatment.advice.keep_off_sentences));
    lines
}

fn watering(treatment: &Treatment, options: &PaperOptions) -> Vec<String> {
    let units = options.units;
    let mut points = Vec::new();
    if let Some(time) = treatment.advice.no_water_for {
        let until = treatment.no_water_until().map_or_else(String::new, |until| {
            let if_latest =
                if treatment.when.is_done() { "That is" } else { "If we start at the latest time, that is" };
            format!(" {if_latest} until {}.", moment(until, units))
        });
        points.push(format!("Do not water for {} after the work.{until} Turn off sprinkler timers.", whole_time(time)));
    }
    for depth in &treatment.advice.water_in {
        points.push(format!("Water it in with {}.", units.depth(*depth)));
    }
    points.extend(sentences(&treatment.advice.water_sentences));
    if points.is_empty() {
        points.push("The labels say nothing about watering. Do not water until people may go back.".to_owned());
    }
    points.push("Do not mow, rake or play on the treated places until people may go back.".to_owned());
    points.extend(treatment.advice.lawn.iter().map(|date| lawn_date(date, units)));
    points.extend(sentences(&treatment.advice.afterwards));
    points
}

/// A date for the lawn, in plain words.
fn lawn_date(date: &LawnDate, units: Units) -> String {
    let (day, from, until) = (units.long_date(date.from.date()), units.clock(date.from), units.clock(date.until));
    match &date.work {
        LawnWork::Water { depth, zones } => {
            let runs: Vec<String> = zones
                .iter()
                .map(|(zone, cycles, minutes)| match cycles {
                    1 => format!("{zone} {minutes} minutes"),
                    _ => format!("{zone} {cycles} times {minutes} minutes"),
                })
                .collect();
            let runs = if runs.is_empty() { String::new() } else { format!(": {}", runs.join(", ")) };
            format!("Water the lawn on {day}, from {from}, with {}{runs}.", units.depth(*depth))
        }
        LawnWork::Mow { to } => format!("Mow the lawn on {day}, between {from} and {until}, to {}.", units.depth(*to)),
    }
}

/// Common practice, no source.
const WATCH: [&str; 4] = [
    "A person or an animal feels unwell after being on a treated place: call the numbers below at once.",
    "Dead or staggering bees, fish or birds; plants that wilt, curl or change colour; product on food plants or on water: \
     tell us.",
    "Rain in the first hours after the work, or somebody who watered or walked there too early: tell us.",
    "The pest is as numerous as before after two weeks: tell us what you see and where, and apply nothing yourself.",
];

fn call(letter: &mut Letter, business: &Business) {
    letter.heading("Whom to call");
    let poison = match business.poison_centre() {
        Some(number) => number.to_owned(),
        None => "________________ (ask us for the local number)".to_owned(),
    };
    // 911 is the emergency number of the North American numbering plan's larger countries only.
    let emergency = match business.place.country_code() {
        "US" | "CA" => "Call 911 if somebody is unconscious, has trouble breathing or has convulsions.",
        _ => "Call the emergency number if somebody is unconscious, has trouble breathing or has convulsions.",
    };
    letter.pairs(&[
        ("Emergency", emergency.to_owned()),
        (
            "Poison centre",
            format!("{poison}. Have this sheet at hand: the product names and registration numbers are on it."),
        ),
        ("Questions", business.who_to_call()),
    ]);
}

/// Words that rules demand on what the client is given, and what is lacking for them.
fn own_words(letter: &mut Letter, treatment: &Treatment, business: &Business, demands: &Demands<'_>) {
    let Known::Demanded(notices) = &demands.client else { return };
    let items = || notices.iter().flat_map(|notice| &notice.notice.contains);
    let words: Vec<String> = items()
        .filter_map(|item| match item {
            NoticeItem::Words(words) => Some(words.clone()),
            _ => None,
        })
        .collect();
    let missing = lacking(items(), business, treatment);
    if words.is_empty() && missing.is_empty() {
        return;
    }
    letter.heading("What local rules ask us to tell you");
    letter.points(&words);
    for item in missing {
        letter.blanks(&[capital(&item.phrase()).as_str()]);
    }
}
