//! A field of a TOML text.

use super::table::{listed, shown};
use super::{Source, Table, json, nearest};
use problem::{Place, Problem};
use toml_edit::{ArrayOfTables, Item, Value};

#[derive(Clone, Copy)]
enum Node<'a> {
    Value(&'a Value),
    Table(&'a toml_edit::Table),
    Tables(&'a ArrayOfTables),
}

/// A field that is there. Each reading method gives `None` after writing down why it cannot.
#[derive(Clone)]
pub struct Field<'a> {
    source: &'a Source<'a>,
    node: Node<'a>,
    path: String,
    at: usize,
}

impl<'a> Field<'a> {
    pub(super) fn of_item(source: &'a Source<'a>, item: &'a Item, path: String, key_at: usize) -> Option<Self> {
        let node = match item {
            Item::None => return None,
            Item::Value(value) => Node::Value(value),
            Item::Table(table) => Node::Table(table),
            Item::ArrayOfTables(tables) => Node::Tables(tables),
        };
        let at = match node {
            // A table made by a dotted key has no heading of its own: its key stands for it.
            Node::Value(value) => value.span().map_or(key_at, |span| span.start),
            Node::Table(table) => table.span().map_or(key_at, |span| span.start),
            Node::Tables(_) => key_at,
        };
        Some(Self::new(source, node, path, at))
    }

    fn new(source: &'a Source<'a>, node: Node<'a>, path: String, at: usize) -> Self {
        source.note_field(&path, at);
        Self { source, node, path, at }
    }

    /// The field's name in messages, such as `use[2].rate`.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Whether it is a text.
    pub fn is_text(&self) -> bool {
        matches!(self.node, Node::Value(Value::String(_)))
    }

    /// Whether it is a table, written with a heading or in braces.
    pub fn is_table(&self) -> bool {
        matches!(self.node, Node::Table(_) | Node::Value(Value::InlineTable(_)))
    }

    /// Whether it is a list.
    pub fn is_list(&self) -> bool {
        matches!(self.node, Node::Tables(_) | Node::Value(Value::Array(_)))
    }

    /// Writes down a problem of this field; a place that the problem names stands.
    pub fn report(&self, problem: Problem) {
        self.report_at(self.at, problem);
    }

    fn report_at(&self, at: usize, problem: Problem) {
        let (line, column) = self.source.position(at);
        let problem =
            if problem.place.path.is_none() { problem.at(self.path.clone()).at_line(line, column) } else { problem };
        self.source.report(problem);
    }

    fn report_kind(&self, expected: &str, mend: Option<String>) {
        let (found, shown_value) = match self.node {
            Node::Table(_) | Node::Value(Value::InlineTable(_)) => ("a table", None),
            Node::Tables(_) => ("a list of tables", None),
            Node::Value(Value::Array(_)) => ("a list", None),
            Node::Value(Value::String(text)) => ("the text", Some(shown(text.value()))),
            Node::Value(Value::Integer(number)) => ("the number", Some(number.value().to_string())),
            Node::Value(Value::Float(number)) => ("the number", Some(number.value().to_string())),
            Node::Value(Value::Boolean(flag)) => ("the value", Some(flag.value().to_string())),
            Node::Value(Value::Datetime(date)) => ("the date or time", Some(date.value().to_string())),
        };
        let found = shown_value.map_or_else(|| found.to_owned(), |value| format!("{found} `{value}`"));
        let mut problem = Problem::error("toml::wrong-type", format!("{found} stands where {expected} belongs"))
            .expected(expected.to_owned());
        if let Some(mend) = mend {
            problem = problem.mend(mend);
        }
        self.report(problem);
    }

    /// A text with something in it, without blanks at its ends.
    pub fn text(&self) -> Option<&'a str> {
        let Node::Value(Value::String(text)) = self.node else {
            let mend = match self.node {
                Node::Value(Value::Integer(_) | Value::Float(_)) => {
                    Some("put it in quotes, with its unit if it has one")
                }
                Node::Value(Value::Boolean(_) | Value::Datetime(_)) => Some("put it in quotes"),
                _ => None,
            };
            self.report_kind("a text in quotes", mend.map(str::to_owned));
            return None;
        };
        let text = text.value().trim();
        if text.is_empty() {
            self.report(
                Problem::error("toml::empty-text", "the text is empty")
                    .expected("some words")
                    .mend("fill it in, or delete the line"),
            );
            return None;
        }
        Some(text)
    }

    /// Any finite number.
    pub fn number(&self) -> Option<f64> {
        let number = match self.node {
            Node::Value(Value::Integer(number)) => *number.value() as f64,
            Node::Value(Value::Float(number)) => *number.value(),
            Node::Value(Value::String(text)) if text.value().trim().parse::<f64>().is_ok_and(f64::is_finite) => {
                self.report_kind("a number", Some("take the quotes off".to_owned()));
                return None;
            }
            _ => {
                self.report_kind("a number", None);
                return None;
            }
        };
        if !number.is_finite() {
            self.report(
                Problem::error("toml::bad-number", format!("`{number}` is no number to calculate with"))
                    .expected("a finite number"),
            );
            return None;
        }
        Some(number)
    }

    /// A number from `least` to `most`, both allowed.
    pub fn number_between(&self, least: f64, most: f64) -> Option<f64> {
        let number = self.number()?;
        if number < least || number > most {
            self.report(
                Problem::error("toml::number-out-of-range", format!("`{number}` is out of range"))
                    .expected(format!("a number from {least} to {most}")),
            );
            return None;
        }
        Some(number)
    }

    /// A whole number, nothing or more.
    pub fn whole(&self) -> Option<u32> {
        let Node::Value(Value::Integer(number)) = self.node else {
            let mend = self.is_text().then(|| "write it in figures, without quotes".to_owned());
            self.report_kind("a whole number", mend);
            return None;
        };
        let whole = u32::try_from(*number.value()).ok();
        if whole.is_none() {
            self.report(
                Problem::error("toml::number-out-of-range", format!("`{}` is out of range", number.value()))
                    .expected("a whole number, 0 or more"),
            );
        }
        whole
    }

    /// `true` or `false`.
    pub fn flag(&self) -> Option<bool> {
        if let Node::Value(Value::Boolean(flag)) = self.node {
            return Some(*flag.value());
        }
        self.report_kind("`true` or `false`", Some("write `true` or `false` without quotes".to_owned()));
        None
    }

    /// A date: `2026-07-07`, in quotes or without.
    pub fn date(&self) -> Option<jiff::civil::Date> {
        let text = match self.node {
            Node::Value(Value::Datetime(date)) if date.value().time.is_none() => date.value().to_string(),
            Node::Value(Value::String(text)) => text.value().trim().to_owned(),
            _ => {
                self.report_kind("a date", Some("write year-month-day, such as `2026-07-07`".to_owned()));
                return None;
            }
        };
        let is_plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        let date = if is_plain { text.parse::<jiff::civil::Date>().ok() } else { None };
        if date.is_none() {
            self.report(
                Problem::error("toml::bad-date", format!("`{}` is no date", shown(&text)))
                    .expected("a day of the calendar as year-month-day, such as `2026-07-07`"),
            );
        }
        date
    }

    /// One of the words of a list; `word` gives the word of each entry.
    pub fn word<T: Copy>(&self, all: &[T], word: impl Fn(T) -> &'static str) -> Option<T> {
        let text = self.text()?;
        let found = all.iter().copied().find(|entry| word(*entry) == text);
        if found.is_none() {
            let words: Vec<&str> = all.iter().map(|entry| word(*entry)).collect();
            let mut problem = Problem::error("toml::unknown-word", format!("`{}` is no word known here", shown(text)))
                .expected(format!("one of {}", listed(&words)));
            if let Some(near) = nearest(text, words.iter().copied()) {
                problem = problem.mend(format!("did you mean `{near}`?"));
            }
            self.report(problem);
        }
        found
    }

    /// A text that another reader takes apart, such as a quantity with its unit. A column that
    /// the reader's problem names is counted from 1 inside the text and turned into a column of
    /// the file.
    pub fn parsed<T>(&self, parse: impl FnOnce(&str) -> Result<T, Problem>) -> Option<T> {
        let text = self.text()?;
        match parse(text) {
            Ok(value) => Some(value),
            Err(problem) => {
                let column = problem.place.column.unwrap_or(1);
                let at = self.at_inside(text, column);
                self.report_at(at, Problem { place: Place::default(), ..problem });
                None
            }
        }
    }

    /// A quantity with its unit, read by one of the `quantity::parse_*` functions.
    pub fn quantity<T>(&self, parse: impl FnOnce(&str) -> Result<T, quantity::ParseError>) -> Option<T> {
        let text = self.text()?;
        match parse(text) {
            Ok(value) => Some(value),
            Err(error) => {
                let column = text.get(..error.span.start).map_or(1, |before| before.chars().count() + 1);
                self.report_at(self.at_inside(text, column), error.into_problem("toml::bad-quantity"));
                None
            }
        }
    }

    /// The byte of the file at a column of a text value; the value's start when the text is
    /// written with escapes, so that its columns are not the file's.
    fn at_inside(&self, text: &str, column: usize) -> usize {
        let inside = text.char_indices().nth(column.saturating_sub(1)).map_or(text.len(), |(at, _)| at);
        let rest = &self.source.text[self.source.text.floor_char_boundary(self.at)..];
        let opening = rest.len() - rest.trim_start_matches(['"', '\'']).trim_start().len();
        if rest.get(opening..).is_some_and(|written| written.starts_with(text)) {
            self.at + opening + inside
        } else {
            self.at
        }
    }

    /// A table.
    pub fn table(&self) -> Option<Table<'a>> {
        match self.node {
            Node::Table(table) => Some(Table::new(self.source, table, self.path.clone(), self.at)),
            Node::Value(Value::InlineTable(table)) => Some(Table::new(self.source, table, self.path.clone(), self.at)),
            _ => {
                self.report_kind("a table", Some(format!("write a heading `[{}]`, or fields in braces", self.path)));
                None
            }
        }
    }

    /// The entries of a list, of values or of tables.
    pub fn items(&self) -> Vec<Field<'a>> {
        let entry = |index: usize| format!("{}[{}]", self.path, index + 1);
        match self.node {
            Node::Value(Value::Array(values)) => values
                .iter()
                .enumerate()
                .map(|(index, value)| {
                    let at = value.span().map_or(self.at, |span| span.start);
                    Self::new(self.source, Node::Value(value), entry(index), at)
                })
                .collect(),
            Node::Tables(tables) => tables
                .iter()
                .enumerate()
                .map(|(index, table)| {
                    let at = table.span().map_or(self.at, |span| span.start);
                    Self::new(self.source, Node::Table(table), entry(index), at)
                })
                .collect(),
            Node::Table(_) | Node::Value(Value::InlineTable(_)) => {
                self.report_kind("a list", Some(format!("write the heading in double brackets: `[[{}]]`", self.path)));
                Vec::new()
            }
            Node::Value(_) => {
                self.report_kind("a list", Some("put it in square brackets".to_owned()));
                Vec::new()
            }
        }
    }

    /// The tables of a list of tables.
    pub fn tables(&self) -> Vec<Table<'a>> {
        self.items().iter().filter_map(Field::table).collect()
    }

    /// The entries of a list, each read even when one before it cannot be.
    pub fn each<T>(&self, read: impl FnMut(&Self) -> Option<T>) -> Option<Vec<T>> {
        let entries: Vec<Option<T>> = self.items().iter().map(read).collect();
        if self.is_list() { entries.into_iter().collect() } else { None }
    }

    /// The field with all that is in it as JSON; dates and times become texts.
    pub fn json(&self) -> serde_json::Value {
        match self.node {
            Node::Value(value) => json::of_value(value),
            Node::Table(table) => json::of_table(table),
            Node::Tables(tables) => tables.iter().map(|table| json::of_table(table)).collect(),
        }
    }

    /// The texts of a list of texts.
    pub fn texts(&self) -> Vec<&'a str> {
        self.items().iter().filter_map(Field::text).collect()
    }
}
