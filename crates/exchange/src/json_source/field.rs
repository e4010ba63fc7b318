//! A field of a JSON text.

use super::{FromJson, Object, Source};
use crate::toml_source::{nearest, shown};
use problem::Problem;
use serde_json::Value;

/// The longest text of words: a note, not a file.
const LONGEST_WORDS: usize = 10_000;

/// A field that is there. Each reading method gives `None` after writing down why it cannot.
pub(crate) struct Field<'a> {
    source: &'a Source,
    value: &'a Value,
    pointer: String,
}

impl<'a> Field<'a> {
    pub(super) fn new(source: &'a Source, value: &'a Value, pointer: String) -> Self {
        Self { source, value, pointer }
    }

    /// Writes down a problem of this field; a place that the problem names stands.
    pub(crate) fn report(&self, problem: Problem) {
        self.source.report(problem.at(self.pointer.clone()));
    }

    /// Writes down that something of another kind stands here.
    fn report_kind(&self, expected: &str) {
        let found = match self.value {
            Value::Null => "nothing (`null`)".to_owned(),
            Value::Bool(flag) => format!("the value `{flag}`"),
            Value::Number(number) => format!("the number `{number}`"),
            Value::String(text) => format!("the text `{}`", shown(text)),
            Value::Array(_) => "a list".to_owned(),
            Value::Object(_) => "an object".to_owned(),
        };
        self.report(
            Problem::error("json::wrong-type", format!("{found} stands where {expected} belongs")).expected(expected),
        );
    }

    /// An object.
    pub(crate) fn object(&self) -> Option<Object<'a>> {
        if let Value::Object(members) = self.value {
            return Some(Object::new(self.source, members, self.pointer.clone()));
        }
        self.report_kind("an object");
        None
    }

    /// Any text, also an empty one: the text of a file.
    pub(crate) fn file_text(&self) -> Option<&'a str> {
        if let Value::String(text) = self.value {
            return Some(text);
        }
        self.report_kind("a text");
        None
    }

    /// Words: some text, of a length that people write, without blanks at its ends and without
    /// control characters other than new lines.
    pub(crate) fn words(&self) -> Option<&'a str> {
        let text = self.file_text()?;
        let problem = if text.trim().is_empty() {
            Problem::error("json::empty-text", "the text is empty").mend("fill it in, or leave the field out")
        } else if text.trim() != text {
            Problem::error("json::blank-ends", format!("blanks stand at an end of `{}`", shown(text)))
                .mend("take the blanks off")
        } else if text.chars().any(|c| c.is_control() && c != '\n') {
            Problem::error("json::control-character", format!("a control character stands in `{}`", shown(text)))
                .mend("take it out")
        } else if text.chars().count() > LONGEST_WORDS {
            Problem::error("json::long-text", format!("the text has {} characters", text.chars().count()))
                .expected(format!("at most {LONGEST_WORDS}"))
                .mend("shorten it, or keep it as a file")
        } else {
            return Some(text);
        };
        self.report(problem);
        None
    }

    /// Any finite number.
    pub(crate) fn number(&self) -> Option<f64> {
        let number = self.value.as_f64().filter(|number| number.is_finite());
        if number.is_none() {
            self.report_kind("a number");
        }
        number
    }

    /// A whole number, nothing or more.
    pub(crate) fn whole(&self) -> Option<u64> {
        let whole = self.value.as_u64();
        if whole.is_none() {
            self.report_kind("a whole number, 0 or more,");
        }
        whole
    }

    /// `true` or `false`.
    pub(crate) fn flag(&self) -> Option<bool> {
        let flag = self.value.as_bool();
        if flag.is_none() {
            self.report_kind("`true` or `false`");
        }
        flag
    }

    /// A day: `2026-07-07`.
    pub(crate) fn date(&self) -> Option<jiff::civil::Date> {
        let text = self.file_text()?;
        let is_plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        let date = if is_plain { text.parse::<jiff::civil::Date>().ok() } else { None };
        if date.is_none() {
            self.report(
                Problem::error("json::bad-date", format!("`{}` is no date", shown(text)))
                    .expected("a day of the calendar as year-month-day, such as `2026-07-07`"),
            );
        }
        date
    }

    /// One of the words of a list; `word` gives the word of each entry.
    pub(crate) fn word<T: Copy>(&self, all: &[T], word: impl Fn(T) -> &'static str) -> Option<T> {
        let text = self.file_text()?;
        let found = all.iter().copied().find(|entry| word(*entry) == text);
        if found.is_none() {
            let words: Vec<String> = all.iter().map(|entry| format!("`{}`", word(*entry))).collect();
            let mut problem = Problem::error("json::unknown-word", format!("`{}` is no word known here", shown(text)))
                .expected(format!("one of {}", words.join(", ")));
            if let Some(near) = nearest(text, all.iter().map(|entry| word(*entry))) {
                problem = problem.mend(format!("did you mean `{near}`?"));
            }
            self.report(problem);
        }
        found
    }

    /// The entries of a list, each read even when one before it cannot be.
    pub(crate) fn each<T>(&self, read: impl Fn(&Field<'a>) -> Option<T>) -> Option<Vec<T>> {
        let Value::Array(values) = self.value else {
            self.report_kind("a list");
            return None;
        };
        let entries: Vec<Option<T>> = values
            .iter()
            .enumerate()
            .map(|(index, value)| read(&Field::new(self.source, value, format!("{}/{index}", self.pointer))))
            .collect();
        entries.into_iter().collect()
    }
}

impl FromJson for String {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.words().map(str::to_owned)
    }
}

impl FromJson for f64 {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.number()
    }
}

impl FromJson for u64 {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.whole()
    }
}

impl FromJson for bool {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.flag()
    }
}

impl<T: FromJson> FromJson for Option<T> {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        if field.value.is_null() { Some(None) } else { T::from_json(field).map(Some) }
    }

    fn absent() -> Option<Self> {
        Some(None)
    }
}

impl<T: FromJson> FromJson for Vec<T> {
    fn from_json(field: &Field<'_>) -> Option<Self> {
        field.each(T::from_json)
    }

    fn absent() -> Option<Self> {
        Some(Self::new())
    }
}
