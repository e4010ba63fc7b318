//! What stands on the sheet, as words: the template only sets it.

mod facts;
mod label;
mod record;
mod task;
mod verdict;
mod weather;

use crate::work_sheet::WorkSheetOptions;
use crate::work_sheet::world::BREAK;
use serde_json::{Value, json};
use treatment::{Figure, Status, Visit};

/// The content of one sheet.
#[derive(serde::Serialize)]
#[serde(transparent)]
pub(super) struct Content(Value);

/// The content for a visit. A refused one has no amount, no hour and no form in it: it is no recipe.
pub(super) fn of(visit: &Visit, options: &WorkSheetOptions) -> Content {
    let units = options.units;
    let mut content = json!({
        "paper": options.paper.word(),
        "colour": !options.black_and_white,
        "name": visit.name,
        "property": visit.property.name(),
        "date": units.long_date(visit.date),
        "iso_date": visit.date.to_string(),
        "banner": verdict::banner(visit),
        "facts": facts::of(visit, units),
        "cautions": label::cautions(visit),
        "missing": Value::Null,
    });
    if visit.verdict() != Status::Refused {
        content["work"] = json!({
            "product": task::common_product(visit),
            "tasks": task::tasks(visit, units),
            "ppe": label::ppe(visit),
            "hours": weather::reasons(visit, units),
            "posting": label::sentences(visit, &visit.posting),
            "keep_off": label::sentences(visit, &visit.keep_off.sentences),
            "irrigation": label::sentences(visit, &visit.irrigation.sentences),
            "directions": label::directions(visit),
            "tightest": verdict::tightest(visit),
            "remaining": task::remaining(visit, units),
            "record": record::of(visit, units),
        });
    }
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

/// The number of a figure to three digits.
fn number(figure: &Figure) -> String {
    quantity::significant(figure.value, 3)
}

/// The verbatim sentence with its page.
fn clause(text: Option<&str>, page: Option<u32>) -> Option<String> {
    let text = text?;
    Some(page.map_or_else(|| format!("“{text}”"), |page| format!("“{text}” (page {page})")))
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
