//! Walks through the JSON of weather services, with the place of each value.
//!
//! Services add fields as they like, so that unknown ones are passed over; a value is named by a path such as
//! `hourly.rain[3]`, entries counted from 1, and a problem gets its line and column.

use crate::json_place::{line_and_column, place_of};
use crate::toml_source::shown;
use problem::{Problem, Problems};
use serde_json::Value;
use std::collections::HashMap;

/// A text under reading.
pub(crate) struct Document<'t> {
    text: &'t str,
    value: Value,
}

/// A value and the way to it.
#[derive(Clone)]
pub(crate) struct Node<'d> {
    document: &'d Document<'d>,
    value: &'d Value,
    pub(crate) path: String,
}

impl<'t> Document<'t> {
    /// Takes a text apart.
    pub(crate) fn parse(text: &'t str, what: &str) -> Result<Self, Problem> {
        match serde_json::from_str(text) {
            Ok(value) => Ok(Self { text, value }),
            Err(error) => {
                let words = error.to_string();
                let words = words.split(" at line ").next().unwrap_or_default();
                Err(Problem::error("weather-json::syntax", format!("this is not JSON: {words}"))
                    .expected(what)
                    .mend("keep the answer of the service as it came")
                    .at_line(error.line().max(1), error.column().max(1)))
            }
        }
    }

    pub(crate) fn root(&self) -> Node<'_> {
        Node { document: self, value: &self.value, path: String::new() }
    }
}

impl<'d> Node<'d> {
    /// A field that is there and is not null.
    pub(crate) fn field(&self, name: &str) -> Option<Self> {
        let value = self.value.get(name).filter(|value| !value.is_null())?;
        let path = if self.path.is_empty() { name.to_owned() } else { format!("{}.{name}", self.path) };
        Some(Node { document: self.document, value, path })
    }

    /// The entries of a list.
    pub(crate) fn entries(&self) -> Option<Vec<Self>> {
        let entries = self.value.as_array()?;
        let entry =
            |(index, value)| Node { document: self.document, value, path: format!("{}[{}]", self.path, index + 1) };
        Some(entries.iter().enumerate().map(entry).collect())
    }

    pub(crate) fn is_null(&self) -> bool {
        self.value.is_null()
    }

    pub(crate) fn is_object(&self) -> bool {
        self.value.is_object()
    }

    pub(crate) fn number(&self) -> Option<f64> {
        // Figures far past any weather would overflow in another unit.
        self.value.as_f64().filter(|number| number.abs() < 1e12)
    }

    pub(crate) fn text(&self) -> Option<&'d str> {
        self.value.as_str()
    }

    /// Line and column.
    pub(crate) fn place(&self) -> (usize, usize) {
        line_and_column(self.document.text, place_of(self.document.text, &self.path))
    }

    /// A problem of this value.
    pub(crate) fn problem(&self, problem: Problem) -> Problem {
        let (line, column) = self.place();
        problem.at_line(line, column).at(self.path.clone())
    }

    /// Problems of this value.
    pub(crate) fn problems(&self, found: Problems) -> impl Iterator<Item = Problem> + use<'_, 'd> {
        found.into_iter().map(|problem| self.problem(problem))
    }

    /// That something else stands here than belongs.
    pub(crate) fn unreadable(&self, expected: &str) -> Problem {
        let found = shown(&self.value.to_string());
        self.problem(Problem::error("weather-json::value", format!("`{found}` cannot be read")).expected(expected))
    }

    /// That a field is missing here.
    pub(crate) fn missing(&self, name: &str, expected: &str) -> Problem {
        self.problem(
            Problem::error("weather-json::missing", format!("there is no `{name}`"))
                .expected(expected)
                .mend("ask the service for it, and keep its answer as it came"),
        )
    }
}

/// Figures, by the codes of what `weather` finds wrong with them.
pub(crate) type Figures<'d> = Vec<(&'static str, Node<'d>)>;

/// Where the readings of a series stand, by the words with which `weather` names them.
#[derive(Default)]
pub(crate) struct NodePlaces<'d> {
    by_name: HashMap<String, (Node<'d>, Figures<'d>)>,
}

impl<'d> NodePlaces<'d> {
    /// Remembers a reading with its figures, by the codes of what `weather` finds wrong with them. Of two for one hour
    /// or day the later stands.
    pub(crate) fn remember(&mut self, name: &impl ToString, at: Node<'d>, figures: Figures<'d>) {
        self.by_name.insert(name.to_string(), (at, figures));
    }

    /// The problem at its figure, or at its reading; one that names no reading stays as it is.
    pub(crate) fn place(&self, problem: Problem) -> Problem {
        let named = problem.found.split('`').skip(1).step_by(2).filter_map(|name| self.by_name.get(name)).last();
        let Some((at, figures)) = named else { return problem };
        figures.iter().find(|(code, _)| *code == problem.code).map_or(at, |(_, figure)| figure).problem(problem)
    }
}
