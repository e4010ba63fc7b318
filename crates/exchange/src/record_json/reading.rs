//! Reading a JSON document whose values must still be found sound, each problem with its field and line.

use crate::json_place;
use crate::toml_source::{nearest, shown};
use jiff::civil::Date;
use problem::{Problem, Problems};
use record::Moment;
use serde::de::DeserializeOwned;

/// What was found wrong so far.
#[derive(Default)]
pub(super) struct Reading {
    problems: Vec<Problem>,
}

/// Takes a document apart into its wire form, once it says that it is what it is read as.
pub(super) fn document<T: DeserializeOwned>(file: &str, text: &str, format: &str) -> Result<T, Problems> {
    let syntax = |error: &serde_json::Error, code| {
        Problem::error(code, format!("the document cannot be read: {}", plain_words(error)))
            .in_file(file)
            .at_line(error.line().max(1), error.column().max(1))
    };
    let value: serde_json::Value = serde_json::from_str(text).map_err(|error| {
        syntax(&error, "json::syntax")
            .expected("JSON, as it was written")
            .mend("take the document from where it came once more: it was cut off or changed on the way")
    })?;
    let said = value.get("format").and_then(serde_json::Value::as_str);
    if said != Some(format) {
        return Err(other_format(said, format).at("format").in_file(file).at_line(1, 1).into());
    }
    serde_json::from_str(text).map_err(|error| {
        syntax(&error, "json::shape")
            .expected(format!("the fields of `{format}`, as its schema tells them"))
            .mend("mend the field shown, or take the document from where it came once more")
            .into()
    })
}

/// The words of the library without the place, which stands beside them.
fn plain_words(error: &serde_json::Error) -> String {
    let words = error.to_string();
    let end = words.rfind(" at line ").unwrap_or(words.len());
    shown(&words[..end].replace('`', "'"))
}

fn other_format(said: Option<&str>, format: &str) -> Problem {
    let (kind, _) = format.split_once('/').unwrap_or((format, ""));
    let Some(said) = said else {
        return Problem::error("format::missing", "the document does not say what it is")
            .expected(format!("a field `format` that says `{format}`"))
            .mend("name another file here");
    };
    if said.split_once('/').is_some_and(|(found, _)| found == kind) {
        Problem::error("format::version", format!("the document says that it is `{}`", shown(said)))
            .expected(format!("`{format}`"))
            .mend("use a release that reads that version")
    } else {
        Problem::error("format::other", format!("the document says that it is `{}`", shown(said)))
            .expected(format!("`{format}`"))
            .mend("name another file here")
    }
}

impl Reading {
    /// Writes a problem down.
    pub(super) fn report(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Whether nothing was found wrong.
    pub(super) fn is_sound(&self) -> bool {
        self.problems.is_empty()
    }

    /// Everything found, each with file, line and column of its field.
    pub(super) fn into_problems(self, file: &str, text: &str) -> Problems {
        let placed = |problem: Problem| {
            let at = problem.place.path.as_deref().map_or(0, |path| json_place::place_of(text, path));
            let (line, column) = json_place::line_and_column(text, at);
            problem.in_file(file).at_line(line, column)
        };
        let mut problems: Vec<Problem> = self.problems.into_iter().map(placed).collect();
        problems.sort_by_key(|problem| (problem.place.line, problem.place.column));
        problems.into_iter().collect()
    }

    /// A day of the calendar.
    pub(super) fn date(&mut self, path: &str, text: &str) -> Option<Date> {
        let is_plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        let date = text.parse().ok().filter(|_| is_plain);
        if date.is_none() {
            self.report(
                Problem::error("record::date", format!("`{}` is no date", shown(text)))
                    .expected("a day of the calendar as year-month-day, such as `2026-07-07`")
                    .at(path),
            );
        }
        date
    }

    /// A time with its offset.
    pub(super) fn moment(&mut self, path: &str, text: &str) -> Option<Moment> {
        let moment = super::moment::parse(text);
        if moment.is_none() {
            self.report(
                Problem::error("record::time", format!("`{}` is no time", shown(text)))
                    .expected("date, time and offset, such as `2026-07-07T07:05:00-05:00`")
                    .at(path),
            );
        }
        moment
    }

    /// A number that is not below nothing.
    pub(super) fn not_below_nothing(&mut self, path: &str, value: f64) -> Option<f64> {
        if value >= 0.0 && value.is_finite() {
            return Some(value);
        }
        self.report(
            Problem::error("record::number", format!("`{value}` is out of range"))
                .expected("a number, 0 or more")
                .at(path),
        );
        None
    }

    /// One of the words of a list.
    pub(super) fn word<T: Copy>(
        &mut self,
        path: &str,
        text: &str,
        all: &[T],
        word: impl Fn(T) -> &'static str,
    ) -> Option<T> {
        let found = all.iter().copied().find(|entry| word(*entry) == text);
        if found.is_none() {
            let words: Vec<&str> = all.iter().map(|entry| word(*entry)).collect();
            let listed: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
            let mut problem = Problem::error("record::word", format!("`{}` is no word known here", shown(text)))
                .expected(format!("one of {}", listed.join(", ")));
            if let Some(near) = nearest(text, words) {
                problem = problem.mend(format!("did you mean `{near}`?"));
            }
            self.report(problem.at(path));
        }
        found
    }
}
