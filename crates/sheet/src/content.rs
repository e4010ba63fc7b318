//! What stands on a paper, as words for its template.

use serde_json::{Value, json};

/// The content of one paper.
#[derive(serde::Serialize)]
#[serde(transparent)]
pub(crate) struct Content(Value);

/// Where a long word may be broken; no font needs a picture of it.
pub(crate) const BREAK: char = '\u{200b}';

impl Content {
    /// Content for a template: every text in it becomes settable.
    pub(crate) fn new(mut value: Value) -> Self {
        let mut longest = 0;
        each_text(&mut value, &mut |text| {
            *text = settable(text);
            longest = longest.max(text.chars().count());
        });
        // A row is kept whole unless it may not fit a page.
        value["rows_whole"] = json!(longest < 1200);
        value["missing"] = Value::Null;
        Self(value)
    }

    /// Every text of the paper, one after another.
    pub(crate) fn all_text(&mut self) -> String {
        let mut all = String::new();
        each_text(&mut self.0, &mut |text| all.push_str(text));
        all
    }

    /// Tells on the paper which letters cannot be printed.
    pub(crate) fn note_missing(&mut self, letters: &[char]) {
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
