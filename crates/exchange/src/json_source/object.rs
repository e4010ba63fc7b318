//! An object of a JSON text.

use super::{Field, FromJson, Source};
use crate::toml_source::{nearest, shown};
use problem::Problem;
use serde_json::{Map, Value};
use std::cell::RefCell;

/// An object under reading. Take each field, then [`Object::finish`].
pub(crate) struct Object<'a> {
    source: &'a Source,
    members: &'a Map<String, Value>,
    pointer: String,
    known: RefCell<Vec<&'static str>>,
}

impl<'a> Object<'a> {
    pub(super) fn new(source: &'a Source, members: &'a Map<String, Value>, pointer: String) -> Self {
        Self { source, members, pointer, known: RefCell::default() }
    }

    /// The field of this name, when there is one. The name counts as known from here on.
    pub(crate) fn field(&self, key: &'static str) -> Option<Field<'a>> {
        self.known.borrow_mut().push(key);
        self.members.get(key).map(|value| Field::new(self.source, value, self.pointer_of(key)))
    }

    /// Reads the field of this name; reports `json::missing-field` when it is not there and must be.
    pub(crate) fn take<T: FromJson>(&self, key: &'static str) -> Option<T> {
        let Some(field) = self.field(key) else {
            let absent = T::absent();
            if absent.is_none() {
                self.source.report(
                    Problem::error("json::missing-field", format!("`{key}` is missing"))
                        .expected(format!("a field `{key}`"))
                        .at(self.pointer_of(key)),
                );
            }
            return absent;
        };
        T::from_json(&field)
    }

    /// The fields with names that the document chose itself, in the order of the names.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (&'a str, Field<'a>)> {
        self.members.iter().map(|(key, value)| (key.as_str(), Field::new(self.source, value, self.pointer_of(key))))
    }

    /// Reports every field whose name nobody asked for (`json::unknown-field`).
    pub(crate) fn finish(self) {
        let known = self.known.borrow();
        for key in self.members.keys().filter(|key| !known.contains(&key.as_str())) {
            let words: Vec<String> = known.iter().map(|word| format!("`{word}`")).collect();
            let mut problem = Problem::error("json::unknown-field", format!("`{}` is no field known here", shown(key)))
                .expected(format!("one of {}", words.join(", ")));
            if let Some(near) = nearest(key, known.iter().copied()) {
                problem = problem.mend(format!("did you mean `{near}`?"));
            }
            self.source.report(problem.at(self.pointer_of(key)));
        }
    }

    fn pointer_of(&self, key: &str) -> String {
        format!("{}/{}", self.pointer, key.replace('~', "~0").replace('/', "~1"))
    }
}
