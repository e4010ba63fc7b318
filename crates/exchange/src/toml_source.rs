//! Reading a TOML text field by field, so that every problem in it is reported with file, line,
//! column and field, and never just the first.
//!
//! A reader asks a [`Table`] for its fields; whatever is missing, unknown or of the wrong kind is
//! written down and the reading goes on. Knows no trade word.
//!
//! Entries of lists are counted from 1: `use[1]` is the first use row.
//!
//! # Example
//! ```
//! use exchange::toml_source::Source;
//!
//! let source = Source::parse("visit.toml", "name = \"Alder Bend\"\nsise = 3\n").unwrap();
//! let root = source.root();
//! let name = root.required("name").and_then(|field| field.text());
//! let size = root.required("size").and_then(|field| field.number());
//! root.finish();
//! assert_eq!((name, size), (Some("Alder Bend"), None));
//! let problems = source.into_problems();
//! assert_eq!(problems.len(), 2); // `size` is missing, `sise` is unknown: did you mean `size`?
//! ```

mod field;
mod json;
mod nearest;
mod table;

pub use field::Field;
pub use nearest::nearest;
pub use table::Table;
pub(crate) use table::shown;

use problem::{Problem, Problems};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use toml_edit::Document;

/// A TOML text under reading: its document, where its fields stand, and what was found wrong.
pub struct Source<'t> {
    file: &'t str,
    text: &'t str,
    line_starts: Vec<usize>,
    document: Document<&'t str>,
    problems: RefCell<Vec<Problem>>,
    fields: RefCell<BTreeMap<String, usize>>,
    asked: RefCell<BTreeSet<String>>,
}

impl<'t> Source<'t> {
    /// Takes a text apart. `file` is the name that its user gave it and only serves messages.
    ///
    /// # Errors
    /// `toml::syntax` when the text is not TOML; nothing more can be said of such a file.
    pub fn parse(file: &'t str, text: &'t str) -> Result<Self, Problems> {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect::<Vec<_>>();
        let document = Document::parse(text).map_err(|error| {
            let (line, column) = position(text, &line_starts, error.span().map_or(0, |span| span.start));
            Problem::error("toml::syntax", format!("this is not TOML: {}", error.message()))
                .expected(
                    "lines such as `name = \"text\"`, `number = 1.5`, and headings such as `[table]` or `[[list]]`",
                )
                .mend("mend the line shown; the rest of the file is read once the whole of it is TOML")
                .in_file(file)
                .at_line(line, column)
        })?;
        Ok(Self {
            file,
            text,
            line_starts,
            document,
            problems: RefCell::default(),
            fields: RefCell::default(),
            asked: RefCell::default(),
        })
    }

    /// The whole document as a table.
    pub fn root(&self) -> Table<'_> {
        Table::new(self, self.document.as_table(), String::new(), 0)
    }

    /// The whole document as JSON; dates and times become texts.
    pub(crate) fn json(&self) -> serde_json::Value {
        json::of_table(self.document.as_table())
    }

    /// Writes a problem down. The file is added, and line and column from the field that its
    /// place names, or from the nearest field round it that was read.
    pub fn report(&self, problem: Problem) {
        let problem = self.placed(problem);
        self.problems.borrow_mut().push(problem);
    }

    /// Adds file, line and column to a problem that names a field read from this text.
    #[must_use]
    pub fn placed(&self, problem: Problem) -> Problem {
        let at = problem.place.path.as_deref().and_then(|path| self.offset_of(path)).unwrap_or(0);
        let (line, column) = self.position(at);
        problem.in_file(self.file).at_line(line, column)
    }

    /// Whether an error was written down so far.
    pub fn has_errors(&self) -> bool {
        self.problems.borrow().iter().any(|problem| problem.severity == problem::Severity::Error)
    }

    /// The errors written down so far, in the order found.
    pub fn errors_so_far(&self) -> Vec<Problem> {
        let problems = self.problems.borrow();
        problems.iter().filter(|problem| problem.severity == problem::Severity::Error).cloned().collect()
    }

    /// Everything that was found wrong, from the top of the file to its end.
    pub fn into_problems(self) -> Problems {
        let mut problems = self.problems.into_inner();
        problems.sort_by_key(|problem| (problem.place.line, problem.place.column));
        problems.into_iter().collect()
    }

    /// Every field that a reader asked for, whether it was there or not, without the numbers of
    /// list entries: `use[].rate.highest`. A test compares them with the file's schema.
    pub fn asked(&self) -> BTreeSet<String> {
        self.asked.borrow().clone()
    }

    fn note_field(&self, path: &str, at: usize) {
        self.fields.borrow_mut().insert(path.to_owned(), at);
    }

    fn note_asked(&self, path: &str) {
        let mut plain = String::with_capacity(path.len());
        let mut inside = false;
        for c in path.chars() {
            if c == ']' {
                inside = false;
            }
            if !inside {
                plain.push(c);
            }
            if c == '[' {
                inside = true;
            }
        }
        self.asked.borrow_mut().insert(plain);
    }

    fn offset_of(&self, path: &str) -> Option<usize> {
        let fields = self.fields.borrow();
        let mut path = path;
        loop {
            if let Some(at) = fields.get(path) {
                return Some(*at);
            }
            let end = path.rfind(['.', '['])?;
            path = &path[..end];
        }
    }

    fn position(&self, at: usize) -> (usize, usize) {
        position(self.text, &self.line_starts, at)
    }
}

/// Line and column, in characters from 1, of a byte of the text.
fn position(text: &str, line_starts: &[usize], at: usize) -> (usize, usize) {
    let at = text.floor_char_boundary(at);
    let line = line_starts.partition_point(|&start| start <= at);
    let start = line_starts[line - 1];
    (line, text[start..at].chars().count() + 1)
}

#[cfg(test)]
mod tests;
