//! What stands on the sheet, as words: the template only sets it.

mod task;
mod weather;

use crate::number::{amount, duration};
use crate::work_sheet::WorkSheetOptions;
use crate::work_sheet::world::BREAK;
use jiff::civil::{Date, DateTime};
use label::PpeTask;
use serde_json::{Value, json};
use std::fmt::Write as _;
use treatment::{Figure, Sentence, Status, Verdict, Visit, Working};

/// The content of one sheet.
#[derive(serde::Serialize)]
#[serde(transparent)]
pub(super) struct Content(Value);

/// The content for a visit.
pub(super) fn of(visit: &Visit, options: &WorkSheetOptions) -> Content {
    let units = options.units;
    let mut content = json!({
        "paper": options.paper.word(),
        "colour": !options.black_and_white,
        "name": visit.name,
        "property": visit.property.name(),
        "date": long_date(visit.date),
        "iso_date": visit.date.to_string(),
        "banner": banner(visit),
        "facts": facts(visit, options),
        "tasks": task::tasks(visit, units),
        "ppe": ppe(visit),
        "hours": weather::reasons(visit),
        "cautions": cautions(visit),
        "posting": visit.posting.iter().map(sentence).collect::<Vec<_>>(),
        "keep_off": visit.keep_off.sentences.iter().map(sentence).collect::<Vec<_>>(),
        "irrigation": visit.irrigation.sentences.iter().map(sentence).collect::<Vec<_>>(),
        "verdicts": verdicts(visit),
        "remaining": task::remaining(visit),
        "repeats": task::repeats(visit),
        "working": working(visit),
        "measures": measures(visit),
        "missing": Value::Null,
        "applicator": visit.applicator.as_ref().map(|applicator| json!({
            "name": applicator.name,
            "certification": applicator.certification,
            "certified": applicator.certified,
        })),
    });
    let mut longest = 0;
    each_text(&mut content, &mut |text| {
        *text = settable(text);
        longest = longest.max(text.chars().count());
    });
    // A row is kept whole unless it may not fit a page.
    content["rows_whole"] = json!(longest < 1200);
    Content(content)
}

impl Content {
    /// Every text of the sheet, one after another.
    pub(super) fn all_text(&mut self) -> String {
        let mut all = String::new();
        each_text(&mut self.0, &mut |text| all.push_str(text));
        all
    }

    /// Tells on the sheet which letters cannot be printed.
    pub(super) fn note_missing(&mut self, letters: &[char]) {
        if !letters.is_empty() {
            let codes: Vec<String> = letters.iter().take(12).map(|c| format!("U+{:04X}", u32::from(*c))).collect();
            let more = if letters.len() > 12 { format!(" and {} more", letters.len() - 12) } else { String::new() };
            self.0["missing"] = json!(format!(
                "Letters that no font at hand can print stand as empty boxes on this sheet: {}{more}. \
                 Give a font that has them.",
                codes.join(", ")
            ));
        }
    }
}

fn each_text(value: &mut Value, act: &mut dyn FnMut(&mut String)) {
    match value {
        Value::String(text) => act(text),
        Value::Array(list) => list.iter_mut().for_each(|value| each_text(value, act)),
        Value::Object(map) => map.values_mut().for_each(|value| each_text(value, act)),
        _ => {}
    }
}

/// Long words get places at which they may be broken; control characters become visible signs.
fn settable(text: &str) -> String {
    const LONGEST: usize = 26;
    const PIECE: usize = 10;
    let mut out = String::new();
    for (index, word) in text.split(' ').enumerate() {
        if index > 0 {
            out.push(' ');
        }
        let is_long = word.chars().count() > LONGEST;
        for (place, c) in word.chars().enumerate() {
            if is_long && place > 0 && place % PIECE == 0 {
                out.push(BREAK);
            }
            match c {
                '\n' | '\r' | '\t' => out.push(' '),
                c if c.is_control() => out.push('\u{fffd}'),
                c => out.push(c),
            }
        }
    }
    out
}

fn long_date(date: Date) -> String {
    date.strftime("%A, %-d %B %Y").to_string()
}

/// `07:00`, with the date where it is another than the visit's.
fn time(visit: &Visit, time: DateTime) -> String {
    let clock = crate::hours::clock(time);
    if time.date() == visit.date { clock } else { format!("{clock} on {}", time.strftime("%A, %-d %B")) }
}

fn banner(visit: &Visit) -> Value {
    let status = visit.verdict();
    let of = |wanted: Status| -> Vec<Value> {
        let word = wanted.word();
        verdicts(visit).into_iter().filter(|verdict| verdict["status"] == word).collect()
    };
    let (refused, cautions) = (of(Status::Refused), of(Status::Caution));
    let points = |list: &[Value]| if list.len() == 1 { "1 point".to_owned() } else { format!("{} points", list.len()) };
    let (word, line) = match status {
        Status::Allowed => ("ALLOWED", "Within the stated limits.".to_owned()),
        Status::Caution => {
            ("CAUTION", format!("Within the stated limits, with {} to look at before starting:", points(&cautions)))
        }
        Status::Refused => ("REFUSED: DO NOT APPLY", format!("Outside the stated limits in {}.", points(&refused))),
    };
    let reasons = if status == Status::Refused { refused } else { cautions };
    json!({ "status": status.word(), "word": word, "line": line, "reasons": reasons })
}

fn facts(visit: &Visit, options: &WorkSheetOptions) -> Value {
    let mut facts: Vec<(&str, String)> = Vec::new();
    let start = if visit.start_windows.is_empty() {
        match visit.start_window {
            Some(window) => format!("{} to {}", time(visit, window.first), time(visit, window.last)),
            None => "no lawful start is known on this date".to_owned(),
        }
    } else {
        let each =
            |window: &treatment::StartWindow| format!("{} to {}", time(visit, window.first), time(visit, window.last));
        visit.start_windows.iter().map(each).collect::<Vec<_>>().join("; ")
    };
    facts.push(("Start", start));
    let end = visit.start_window.map_or_else(String::new, |window| {
        format!(" (started at {}: done at {})", time(visit, window.first), time(visit, window.finish_if_first))
    });
    facts.push(("Duration", format!("{}{end}", duration(visit.duration))));
    if let (Some(rise), Some(set)) = (visit.sun.rise, visit.sun.set) {
        facts.push(("Sun", format!("up {}, down {}", time(visit, rise), time(visit, set))));
    }
    if visit.spray.is_positive() {
        let tanks = if visit.tanks == 1 { "1 tank".to_owned() } else { format!("{} tanks", visit.tanks) };
        facts.push(("Spray", format!("{} in {tanks}", options.units.spray_both(visit.spray))));
    }
    let first = std::mem::take(&mut facts);
    for product in &visit.products {
        facts.push(("Product", format!("{}: {} in all", product.product, amount(product.measured))));
    }
    let mut until: Vec<String> = visit.keep_off.not_before.map(|at| time(visit, at)).into_iter().collect();
    until.extend(visit.keep_off.conditions.iter().cloned());
    if until.is_empty() {
        until.push("not known: ask before anyone returns".to_owned());
    }
    facts.push(("Keep off until", until.join(", and ")));
    if let Some(first) = visit.irrigation.first_permitted {
        facts.push(("First irrigation", format!("not before {}", time(visit, first))));
    }
    for (depth, by) in &visit.irrigation.water_in {
        let by = by.map_or_else(String::new, |by| format!(" by {}", time(visit, by)));
        facts.push(("Water in", format!("{}{by}", options.units.depth(*depth))));
    }
    let second = std::mem::take(&mut facts);
    if let Some(finding) = &visit.finding {
        let stage = finding.stage.as_ref().map_or_else(String::new, |stage| format!(", {stage}"));
        let who = finding.identified_by.as_ref().map_or_else(String::new, |who| format!(" by {who}"));
        let mut text = format!("{}{stage}; {}{who}", finding.pest, finding.basis);
        if let Some((mean, error)) = &finding.density {
            let _ = write!(
                text,
                "; {} ± {} per sq yd (mean and standard error of {} counts)",
                number(mean),
                number(error),
                finding.counts
            );
        }
        if let Some((threshold, source)) = &finding.threshold {
            let _ = write!(text, "; threshold {} ({source})", threshold.show());
        }
        facts.push(("Found", text));
    }
    if let Some(applicator) = &visit.applicator {
        let number = applicator.certification.as_ref().map_or_else(String::new, |number| format!(", {number}"));
        let word = if applicator.certified { "certified for this category" } else { "not certified for this category" };
        facts.push(("Applicator", format!("{}{number}, {word}", applicator.name)));
    }
    let pairs = |list: Vec<(&str, String)>| -> Vec<Value> {
        list.into_iter().map(|(head, text)| json!([head, text])).collect()
    };
    json!({ "first": pairs(first), "second": pairs(second), "below": pairs(facts) })
}

fn number(figure: &Figure) -> String {
    quantity::significant(figure.value, 3)
}

fn ppe(visit: &Visit) -> Value {
    let tasks = [
        (PpeTask::Mixing, "Mixing, loading"),
        (PpeTask::Applying, "Applying"),
        (PpeTask::CleanUp, "Clean-up, repair"),
        (PpeTask::EarlyEntry, "Early entry"),
    ];
    let used: Vec<_> =
        tasks.into_iter().filter(|(task, _)| visit.ppe.iter().any(|piece| piece.tasks.contains(task))).collect();
    let rows: Vec<Value> = visit
        .ppe
        .iter()
        .map(|piece| {
            let wear: Vec<bool> = used.iter().map(|(task, _)| piece.tasks.contains(task)).collect();
            json!({ "item": piece.item, "wear": wear, "clause": clause(piece.clause.as_deref(), piece.page) })
        })
        .collect();
    let heads: Vec<&str> = used.iter().map(|(_, head)| *head).collect();
    json!({ "tasks": heads, "rows": rows })
}

/// The verbatim sentence with its page.
fn clause(text: Option<&str>, page: Option<u32>) -> Option<String> {
    let text = text?;
    Some(page.map_or_else(|| format!("“{text}”"), |page| format!("“{text}” (page {page})")))
}

fn sentence(sentence: &Sentence) -> Value {
    let source = match (&sentence.label, sentence.page) {
        (Some(label), Some(page)) => Some(format!("{label}, page {page}")),
        (Some(label), None) => Some(label.clone()),
        (None, _) => None,
    };
    json!({ "text": sentence.text, "source": source })
}

fn cautions(visit: &Visit) -> Vec<Value> {
    let mut subjects: Vec<_> = visit.cautions.iter().map(|caution| caution.subject).collect();
    subjects.sort_unstable();
    subjects.dedup();
    subjects
        .into_iter()
        .map(|subject| {
            let own = visit.cautions.iter().filter(|caution| caution.subject == subject);
            let sentences: Vec<Value> = own.map(|caution| sentence(&caution.sentence)).collect();
            json!({ "heading": subject.heading(), "sentences": sentences })
        })
        .collect()
}

/// Every verdict, the worst first; what is held in the same words against several tasks stands once.
fn verdicts(visit: &Visit) -> Vec<Value> {
    let mut all: Vec<&Verdict> = visit.all_verdicts().collect();
    all.sort_by_key(|verdict| std::cmp::Reverse(verdict.status));
    let mut groups: Vec<(&Verdict, Vec<&str>)> = Vec::new();
    for verdict in all {
        let same = |held: &Verdict| Verdict { concerns: verdict.concerns.clone(), ..held.clone() } == *verdict;
        match groups.iter_mut().find(|(held, _)| same(held)) {
            Some((_, concerned)) => concerned.extend(verdict.concerns.as_deref()),
            None => groups.push((verdict, verdict.concerns.as_deref().into_iter().collect())),
        }
    }
    groups
        .into_iter()
        .map(|(verdict, mut concerned)| {
            concerned.dedup();
            let concerns = (!concerned.is_empty()).then(|| concerned.join(", "));
            self::verdict(&Verdict { concerns, ..verdict.clone() })
        })
        .collect()
}

fn verdict(verdict: &Verdict) -> Value {
    json!({
        "status": verdict.status.word(),
        "rule": verdict.rule,
        "concerns": verdict.concerns,
        "text": capital(&verdict.text),
        "compared": compared(verdict),
        "margin": verdict.margin.as_ref().and_then(|margin| self::margin(verdict, margin)),
        "origin": verdict.origin.word(),
        "clause": clause(verdict.clause.as_deref(), verdict.page),
        "mend": verdict.mend.as_deref().map(capital),
    })
}

/// `0.692 against 1.60 fl oz/1,000 sq ft`: a unit that both have is told once.
fn compared(verdict: &Verdict) -> Option<String> {
    match (&verdict.measured, &verdict.limit) {
        (Some(measured), Some(limit)) if measured.unit == limit.unit => {
            Some(format!("{} against {}", number(measured), limit.show()))
        }
        (Some(measured), Some(limit)) => Some(format!("{} against {}", measured.show(), limit.show())),
        (Some(measured), None) => Some(measured.show()),
        (None, Some(limit)) => Some(format!("limit {}", limit.show())),
        (None, None) => None,
    }
}

/// What is left to the limit; within the limit it is told how far from it, whichever side that is.
fn margin(verdict: &Verdict, margin: &Figure) -> Option<String> {
    let limit = verdict.limit.as_ref()?;
    let mut figure = margin.clone();
    // What the arithmetic loses is no margin.
    if figure.value.abs() <= 1e-9 * limit.value.abs() {
        figure.value = 0.0;
    }
    if verdict.status == Status::Allowed {
        figure.value = figure.value.abs();
    }
    Some(if figure.unit == limit.unit { number(&figure) } else { figure.show() })
}

/// With a capital first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn working(visit: &Visit) -> Vec<Value> {
    let group = |heading: String, list: &[Working]| {
        let figures: Vec<Value> = list
            .iter()
            .map(|working| {
                let inputs: Vec<String> = working
                    .inputs
                    .iter()
                    .map(|(name, figure, origin)| format!("{name} {} ({})", digits(figure), origin.word()))
                    .collect();
                json!({
                    "figure": working.figure,
                    "formula": working.formula,
                    "inputs": inputs.join("; "),
                    "result": digits(&working.result),
                    "rounding": working.rounding,
                })
            })
            .collect();
        json!({ "heading": heading, "figures": figures })
    };
    let mut groups = vec![group("The visit".to_owned(), &visit.working)];
    groups.extend(visit.tasks.iter().map(|task| group(format!("Task {}", task.id), &task.working)));
    groups.retain(|group| group["figures"].as_array().is_some_and(|list| !list.is_empty()));
    groups
}

/// Five significant digits: enough to follow the arithmetic with a pencil.
fn digits(figure: &Figure) -> String {
    let number = quantity::significant(figure.value, 5);
    let number = if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
    if figure.unit.is_empty() { number.to_owned() } else { format!("{number} {}", figure.unit) }
}

fn measures(visit: &Visit) -> Vec<Value> {
    let tasks = visit.tasks.iter().flat_map(|task| {
        task.products().flat_map(move |product| product.measures.iter().map(move |measure| (Some(&task.id), measure)))
    });
    visit
        .measures
        .iter()
        .map(|measure| (None, measure))
        .chain(tasks)
        .map(|(task, measure)| {
            let words = task.map_or_else(|| measure.words.clone(), |task| format!("{task}: {}", measure.words));
            json!([words, measure.figure.show(), measure.origin.word()])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_words_may_be_broken_and_short_ones_stay() {
        assert_eq!(settable("a plain sentence"), "a plain sentence");
        let long = "x".repeat(40);
        let broken = settable(&long);
        assert_eq!(broken.matches(BREAK).count(), 3);
        assert_eq!(broken.replace(BREAK, ""), long);
        assert_eq!(settable("a\u{7}b\nc"), "a\u{fffd}b c");
    }
}
