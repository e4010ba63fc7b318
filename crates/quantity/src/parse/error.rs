//! What a parser refuses, and where in the text.

use problem::Problem;
use std::fmt;
use std::ops::Range;

/// Why a text is not the quantity that was asked for, with the place in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParseError {
    /// The whole text as it was given.
    pub text: String,
    /// The place, in bytes of the text; both ends stand between characters. Empty at the end of
    /// the text when something is missing.
    pub span: Range<usize>,
    /// What was found, lower case, values in backticks, no final stop.
    pub found: String,
    /// What was expected in its stead.
    pub expected: Option<String>,
    /// How to mend it.
    pub mend: Option<String>,
}

/// How many characters of a long text are shown on either side of the place.
const SHOWN: usize = 40;

impl ParseError {
    pub(crate) fn new(text: &str, span: Range<usize>, found: impl Into<String>) -> Self {
        Self { text: text.to_owned(), span, found: found.into(), expected: None, mend: None }
    }

    pub(crate) fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = Some(expected.into());
        self
    }

    pub(crate) fn mend(mut self, mend: impl Into<String>) -> Self {
        self.mend = Some(mend.into());
        self
    }

    /// The same as a problem under the code of the room that read the text; the reader adds the
    /// place in its file.
    pub fn into_problem(self, code: &'static str) -> Problem {
        let found = if self.span == (0..self.text.len()) || self.text.is_empty() {
            self.found
        } else {
            let (line, _, _) = self.line_with_place();
            format!("{} in `{line}`", self.found)
        };
        let mut problem = Problem::error(code, found);
        problem.expected = self.expected;
        problem.mend = self.mend;
        problem
    }

    /// The text on one line, cut short around the place; how many characters stand before the
    /// place, and how many it covers.
    fn line_with_place(&self) -> (String, usize, usize) {
        let shown = |part: &str| part.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<Vec<char>>();
        let before = shown(self.text.get(..self.span.start).unwrap_or_default());
        let place = shown(self.text.get(self.span.clone()).unwrap_or_default());
        let after = shown(self.text.get(self.span.end..).unwrap_or_default());
        let mut line = String::new();
        let mut ahead = before.len();
        if before.len() > SHOWN {
            line.push('…');
            line.extend(&before[before.len() - SHOWN..]);
            ahead = SHOWN + 1;
        } else {
            line.extend(&before);
        }
        line.extend(place.iter().take(SHOWN));
        let room = if place.len() > SHOWN { 0 } else { SHOWN };
        line.extend(after.iter().take(room));
        if place.len() > SHOWN || after.len() > room {
            line.push('…');
        }
        (line, ahead, place.len().min(SHOWN))
    }
}

impl fmt::Display for ParseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, ahead, width) = self.line_with_place();
        write!(f, "{}\n  | {line}\n  | {}{}", self.found, " ".repeat(ahead), "^".repeat(width.max(1)))?;
        if let Some(expected) = &self.expected {
            write!(f, "\n  expected: {expected}")?;
        }
        if let Some(mend) = &self.mend {
            write!(f, "\n  mend: {mend}")?;
        }
        Ok(())
    }
}

impl std::error::Error for ParseError {}

/// A piece of a text for a message, cut short when it is long.
pub(crate) fn piece(text: &str) -> String {
    let clean: String = text.chars().take(SHOWN).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(SHOWN).is_some() { format!("`{clean}…`") } else { format!("`{clean}`") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_caret_stands_under_the_place() {
        let error = ParseError::new("2 blik per gal", 2..6, "unknown unit `blik`").expected("a unit").mend("write it");
        assert_eq!(
            error.to_string(),
            "unknown unit `blik`\n  | 2 blik per gal\n  |   ^^^^\n  expected: a unit\n  mend: write it"
        );
    }

    #[test]
    fn the_caret_counts_characters_not_bytes() {
        let error = ParseError::new("½ ärm", 3..7, "unknown unit `ärm`");
        assert_eq!(error.to_string(), "unknown unit `ärm`\n  | ½ ärm\n  |   ^^^");
    }

    #[test]
    fn a_long_text_is_cut_around_the_place() {
        let text = format!("{}X{}", "a".repeat(100), "b".repeat(100));
        let shown = ParseError::new(&text, 100..101, "found").to_string();
        let lines: Vec<&str> = shown.lines().collect();
        assert_eq!(lines[1].chars().count(), 4 + 1 + 40 + 1 + 40 + 1);
        assert_eq!(lines[1].chars().position(|c| c == 'X'), lines[2].chars().position(|c| c == '^'));
    }

    #[test]
    fn a_problem_names_the_whole_text() {
        let problem = ParseError::new("2 blik per gal", 2..6, "unknown unit `blik`").into_problem("label::rate");
        assert_eq!(problem.code, "label::rate");
        assert_eq!(problem.found, "unknown unit `blik` in `2 blik per gal`");
    }
}
