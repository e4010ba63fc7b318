//! A table of a TOML text.

use super::{Field, Source, nearest};
use problem::Problem;
use std::cell::RefCell;
use toml_edit::TableLike;

/// A table under reading. Ask for each field, then [`Table::finish`].
pub struct Table<'a> {
    source: &'a Source<'a>,
    entries: &'a dyn TableLike,
    path: String,
    at: usize,
    known: RefCell<Vec<&'static str>>,
}

impl<'a> Table<'a> {
    pub(super) fn new(source: &'a Source<'a>, entries: &'a dyn TableLike, path: String, at: usize) -> Self {
        Self { source, entries, path, at, known: RefCell::default() }
    }

    /// The field's name in messages, such as `use[2].rate`; empty for the whole document.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// The path of one of its fields.
    pub fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// The field of this name, when there is one. The name counts as known from here on.
    pub fn optional(&self, key: &'static str) -> Option<Field<'a>> {
        self.know(key);
        let (name, item) = self.entries.get_key_value(key)?;
        Field::of_item(self.source, item, self.path_of(key), name.span().map_or(self.at, |span| span.start))
    }

    /// The field of this name; reports `toml::missing-field` when there is none.
    pub fn required(&self, key: &'static str) -> Option<Field<'a>> {
        let field = self.optional(key);
        if field.is_none() {
            self.report_missing(key, "");
        }
        field
    }

    /// As [`Self::required`], telling in the message what the field is for.
    pub fn required_as(&self, key: &'static str, meaning: &str) -> Option<Field<'a>> {
        let field = self.optional(key);
        if field.is_none() {
            self.report_missing(key, meaning);
        }
        field
    }

    fn report_missing(&self, key: &str, meaning: &str) {
        let meaning = if meaning.is_empty() { String::new() } else { format!(", {meaning}") };
        let place = if self.path.is_empty() { "the file".to_owned() } else { format!("`{}`", self.path) };
        self.report(
            Problem::error("toml::missing-field", format!("`{key}` is missing in {place}"))
                .expected(format!("a field `{key}`{meaning}"))
                .mend(format!("add a line `{key} = …`")),
        );
    }

    /// The tables of a list of tables (`[[key]]`); none when there is no such field.
    pub fn tables(&self, key: &'static str) -> Vec<Table<'a>> {
        self.optional(key).map(|field| field.tables()).unwrap_or_default()
    }

    /// The table of this name (`[key]`), when there is one.
    pub fn table(&self, key: &'static str) -> Option<Table<'a>> {
        self.optional(key).and_then(|field| field.table())
    }

    /// Whether a field of this name is there. Does not make the name known.
    pub fn has(&self, key: &str) -> bool {
        self.entries.get(key).is_some_and(|item| !item.is_none())
    }

    /// The names of its fields as written.
    pub fn keys(&self) -> impl Iterator<Item = &'a str> {
        self.entries.iter().filter(|(_, item)| !item.is_none()).map(|(key, _)| key)
    }

    /// The field of a name that the file chose itself. Does not make the name known.
    pub fn entry(&self, key: &str) -> Option<Field<'a>> {
        let (name, item) = self.entries.get_key_value(key)?;
        Field::of_item(self.source, item, self.path_of(key), name.span().map_or(self.at, |span| span.start))
    }

    /// Makes a name known without reading the field.
    pub fn know(&self, key: &'static str) {
        let mut known = self.known.borrow_mut();
        if !known.contains(&key) {
            known.push(key);
            self.source.note_asked(&self.path_of(key));
        }
    }

    /// Writes down a problem of this table; a place that the problem names stands.
    pub fn report(&self, problem: Problem) {
        let (line, column) = self.source.position(self.at);
        let problem = match (&problem.place.path, self.path.is_empty()) {
            (Some(_), _) => problem,
            (None, false) => problem.at(self.path.clone()).at_line(line, column),
            (None, true) => problem.at_line(line, column),
        };
        self.source.report(problem);
    }

    /// Reports every field whose name nobody asked for (`toml::unknown-field`).
    pub fn finish(self) {
        let known = self.known.borrow();
        for (key, item) in self.entries.iter() {
            if known.contains(&key) || item.is_none() {
                continue;
            }
            let at = self.entries.key(key).and_then(toml_edit::Key::span).map_or(self.at, |span| span.start);
            let (line, column) = self.source.position(at);
            let mut words: Vec<&str> = known.to_vec();
            words.sort_unstable();
            let mut problem = Problem::error("toml::unknown-field", format!("`{}` is no field known here", shown(key)));
            if words.is_empty() {
                problem = problem.expected("no field at all");
            } else {
                problem = problem.expected(format!("one of {}", listed(&words)));
            }
            problem = match nearest(key, words.iter().copied()) {
                Some(word) if self.has(word) => {
                    problem.mend(format!("`{word}` is there already: delete one of the two"))
                }
                Some(word) => problem.mend(format!("did you mean `{word}`?")),
                None => problem.mend("delete the line, or make it a comment with `#`"),
            };
            self.source.report(problem.at(self.path_of(&shown(key))).at_line(line, column));
        }
    }
}

/// Words in backticks, joined by commas.
pub(super) fn listed(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// A piece of outside text fit for a message: no control characters, not too long.
pub(crate) fn shown(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut out: String =
        text.chars().take(LONGEST).map(|c| if c.is_control() || c == '`' { '·' } else { c }).collect();
    if text.chars().nth(LONGEST).is_some() {
        out.push('…');
    }
    out
}
