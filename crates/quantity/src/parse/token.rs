//! The words and signs of a text, one after another, each with its place.

use super::error::{ParseError, piece};
use super::number::{self, Position};
use std::ops::Range;

/// A word: its key for looking up, and how and where it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    /// Lower case, without stops; a power stands behind it as a digit: `ft2`.
    pub(super) key: String,
    /// As written.
    pub(super) place: Range<usize>,
    /// Whether it carries a power below nothing, as `ha⁻¹`, and so means `per ha`.
    pub(super) inverse: bool,
}

/// How "per" was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Per {
    /// A stroke or the word.
    Sign,
    /// A power below nothing on the unit that follows.
    Power,
}

/// White space of any kind, also what keeps a number and its unit on one line.
pub(super) fn is_space(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{200b}' | '\u{2060}' | '\u{feff}')
}

fn is_stroke(c: char) -> bool {
    matches!(c, '/' | '⁄' | '∕' | '÷')
}

fn is_middle_dot(c: char) -> bool {
    matches!(c, '·' | '⋅' | '∙' | '•' | '*')
}

/// A place in a text that moves on.
#[derive(Debug, Clone)]
pub(super) struct Scanner<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Scanner<'a> {
    /// At the start of a text whose brackets are matched.
    pub(super) fn new(text: &'a str) -> Result<Self, ParseError> {
        let mut open = Vec::new();
        for (at, c) in text.char_indices() {
            let unmatched = match c {
                '(' => {
                    open.push(at);
                    false
                }
                ')' => open.pop().is_none(),
                _ => false,
            };
            if unmatched {
                return Err(ParseError::new(text, at..at + 1, "`)` without `(` before it"));
            }
        }
        if let Some(at) = open.pop() {
            return Err(ParseError::new(text, at..at + 1, "`(` without `)` after it"));
        }
        Ok(Self { text, at: 0 })
    }

    pub(super) fn text(&self) -> &'a str {
        self.text
    }

    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// Passes white space, brackets, middle dots between units, and hyphens within words.
    fn skip(&mut self) {
        let letters_meet = |before: &str, after: &str| {
            before.ends_with(char::is_alphabetic)
                && after.strip_prefix('-').is_some_and(|s| s.starts_with(char::is_alphabetic))
        };
        if letters_meet(self.text.get(..self.at).unwrap_or_default(), self.rest()) {
            self.at += 1;
        }
        let passed = |c: &char| is_space(*c) || matches!(c, '(' | ')');
        self.at += self.rest().chars().take_while(passed).map(char::len_utf8).sum::<usize>();
        if let Some(dot) = self.rest().chars().next().filter(|&c| self.at > 0 && is_middle_dot(c)) {
            self.at += dot.len_utf8();
            self.at += self.rest().chars().take_while(passed).map(char::len_utf8).sum::<usize>();
        }
    }

    pub(super) fn at_end(&mut self) -> bool {
        self.skip();
        self.rest().is_empty()
    }

    /// Where the next sign begins.
    pub(super) fn here(&mut self) -> usize {
        self.skip();
        self.at
    }

    pub(super) fn number_ahead(&mut self) -> bool {
        let before = self.at;
        self.skip();
        // A middle dot that belongs to a number is not passed.
        let ahead = number::begins(self.rest());
        if !ahead {
            self.at = before;
        }
        ahead
    }

    pub(super) fn number(&mut self, position: Position) -> Result<(f64, Range<usize>), ParseError> {
        self.skip();
        let (value, place) = number::read(self.text, self.at, position)?;
        self.at = place.end;
        Ok((value, place))
    }

    /// Takes a minus sign: whether there was one.
    pub(super) fn minus(&mut self) -> bool {
        self.skip();
        let Some(sign) = self.rest().chars().next().filter(|c| matches!(c, '-' | '−' | '–')) else {
            return false;
        };
        self.at += sign.len_utf8();
        true
    }

    /// Takes a per cent sign or word: whether there was one.
    pub(super) fn percent(&mut self) -> bool {
        self.skip();
        if self.rest().starts_with('%') {
            self.at += 1;
            return true;
        }
        self.take_keys(&["percent"]) || self.take_keys(&["per", "cent"]) || self.take_keys(&["pct"])
    }

    /// Takes `/`, `per`, or sees that the next unit carries a power below nothing.
    pub(super) fn per(&mut self) -> Option<Per> {
        self.skip();
        if let Some(stroke) = self.rest().chars().next().filter(|&c| is_stroke(c)) {
            self.at += stroke.len_utf8();
            return Some(Per::Sign);
        }
        if self.take_keys(&["per"]) {
            return Some(Per::Sign);
        }
        self.clone().word().filter(|word| word.inverse).map(|_| Per::Power)
    }

    /// Takes these words in a row, or none of them.
    pub(super) fn take_keys(&mut self, keys: &[&str]) -> bool {
        let mut ahead = self.clone();
        let all = keys.iter().all(|key| ahead.word().is_some_and(|word| word.key == **key && !word.inverse));
        if all {
            *self = ahead;
        }
        all
    }

    /// Takes the first of these rows of words that is there.
    pub(super) fn take_any(&mut self, rows: &[&[&str]]) -> bool {
        rows.iter().any(|row| self.take_keys(row))
    }

    /// Up to `count` words from here, not past a stroke, a number or `per`.
    pub(super) fn words_ahead(&self, count: usize) -> Vec<Word> {
        let mut ahead = self.clone();
        std::iter::from_fn(|| ahead.word()).take_while(|word| word.key != "per").take(count).collect()
    }

    pub(super) fn move_past(&mut self, word: &Word) {
        self.at = word.place.end;
    }

    /// Takes a word.
    pub(super) fn word(&mut self) -> Option<Word> {
        self.skip();
        let start = self.at;
        let mut key = String::new();
        let mut chars = self.rest().char_indices().peekable();
        let mut length = 0;
        while let Some((at, c)) = chars.next() {
            let next = at + c.len_utf8();
            let alone = match c {
                '°' | 'º' => Some("deg"),
                '\'' | '′' | '’' => Some("ft"),
                '"' | '″' | '”' => Some("in"),
                '℃' => Some("c"),
                '℉' => Some("f"),
                _ => None,
            };
            if let Some(alone) = alone {
                if key.is_empty() {
                    key.push_str(alone);
                    length = next;
                }
                break;
            }
            match c {
                'µ' | 'μ' => key.push('u'),
                'ℓ' => key.push('l'),
                // Fraction signs and powers are not letters; every letter of any script is.
                _ if c.is_alphabetic() => key.extend(c.to_lowercase()),
                '.' if !key.is_empty() => {
                    length = next;
                    if chars.peek().is_some_and(|(_, c)| c.is_alphabetic()) {
                        continue;
                    }
                    break;
                }
                _ => break,
            }
            length = next;
        }
        if key.is_empty() {
            return None;
        }
        let (power, inverse, taken) = power(&self.rest()[length..]);
        key.push_str(power);
        self.at = start + length + taken;
        Some(Word { key, place: start..self.at, inverse })
    }

    /// Whether nothing is left.
    pub(super) fn end(&mut self) -> Result<(), ParseError> {
        if self.at_end() {
            return Ok(());
        }
        let span = self.at..self.text.trim_end().len().max(self.at);
        Err(ParseError::new(self.text, span.clone(), format!("{} after the end", piece(&self.text[span]))))
    }
}

/// A power behind a unit: `2`, `²`, `^2`, `⁻¹`, `-1`, `^-2`; its digit unless 1, whether it is
/// below nothing, and its length.
fn power(text: &str) -> (&'static str, bool, usize) {
    const POWERS: &[(&str, &str, bool)] = &[
        ("^-1", "", true),
        ("^-2", "2", true),
        ("^-3", "3", true),
        ("⁻¹", "", true),
        ("⁻²", "2", true),
        ("⁻³", "3", true),
        ("-1", "", true),
        ("-2", "2", true),
        ("-3", "3", true),
        ("−1", "", true),
        ("−2", "2", true),
        ("−3", "3", true),
        ("^2", "2", false),
        ("^3", "3", false),
        ("²", "2", false),
        ("³", "3", false),
        ("2", "2", false),
        ("3", "3", false),
    ];
    for (written, digit, inverse) in POWERS {
        if let Some(after) = text.strip_prefix(written)
            && !after.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/'))
        {
            return (digit, *inverse, written.len());
        }
        // `m2/…` and `m2.` are powers; `ha-1/…` is not.
        if !inverse && text.starts_with(written) {
            let after = &text[written.len()..];
            let decimal = after.starts_with('.') && after[1..].starts_with(|c: char| c.is_ascii_digit());
            if after.starts_with(['.', '/']) && !decimal {
                return (digit, *inverse, written.len());
            }
        }
    }
    ("", false, 0)
}
