//! Reading a JSON text field by field, so that every problem in it is reported with its place as a
//! JSON Pointer (RFC 6901), and never just the first.
//!
//! The counterpart of [`crate::toml_source`]: a reader asks an [`Object`] for its fields; whatever
//! is missing, unknown or of the wrong kind is written down and the reading goes on. Knows no trade
//! word.

mod field;
mod object;

pub(crate) use field::Field;
pub(crate) use object::Object;

use problem::{Problem, Problems};
use serde_json::Value;
use std::cell::RefCell;

/// A JSON text under reading: its value, and what was found wrong.
pub(crate) struct Source {
    value: Value,
    problems: RefCell<Problems>,
}

/// A value that can be read from a field.
pub(crate) trait FromJson: Sized {
    /// The value of a field, or `None` after writing down why there is none.
    fn from_json(field: &Field<'_>) -> Option<Self>;

    /// What stands for a field that is not there; `None` when it must be there.
    fn absent() -> Option<Self> {
        None
    }
}

impl Source {
    /// Takes a text apart.
    ///
    /// # Errors
    /// `json::syntax` when the text is not JSON; nothing more can be said of it.
    pub(crate) fn parse(text: &str) -> Result<Self, Problems> {
        match serde_json::from_str(text) {
            Ok(value) => Ok(Self { value, problems: RefCell::default() }),
            Err(error) => {
                // The library ends its message with the place, which is told apart from the words.
                let words = error.to_string();
                let words = words.split(" at line ").next().unwrap_or_default();
                Err(Problem::error("json::syntax", format!("this is not JSON: {words}"))
                    .expected("one JSON object (RFC 8259)")
                    .at_line(error.line(), error.column())
                    .at("")
                    .into())
            }
        }
    }

    /// The whole document.
    pub(crate) fn root(&self) -> Field<'_> {
        Field::new(self, &self.value, String::new())
    }

    /// Reads a document whose field `format` must say `format`. A document that says that it is
    /// something else is not read further: whatever else would be found wrong means nothing.
    pub(crate) fn document<T: FromJson>(mut self, format: &'static str) -> Result<T, Problems> {
        if let Value::Object(members) = &mut self.value {
            match members.remove("format") {
                Some(Value::String(found)) if found == format => {}
                Some(found) => return Err(other_format(&found, format).into()),
                None => self.report(
                    Problem::error("format::missing", "the document does not say what it is")
                        .expected(format!("a field `format` that says `{format}`"))
                        .at("/format"),
                ),
            }
        }
        let read = T::from_json(&self.root());
        let problems = self.problems.into_inner();
        match read {
            Some(value) => problems.unless_errors(value).map(|(value, _)| value),
            None => Err(problems),
        }
    }

    /// Writes a problem down.
    pub(crate) fn report(&self, problem: Problem) {
        self.problems.borrow_mut().push(problem);
    }
}

fn other_format(found: &Value, format: &str) -> Problem {
    let kind = |text: &str| text.split_once('/').map(|(kind, _)| kind.to_owned());
    let shown = crate::toml_source::shown(&found.as_str().map_or_else(|| found.to_string(), str::to_owned));
    let is_version = found.as_str().and_then(kind).is_some() && found.as_str().and_then(kind) == kind(format);
    if is_version {
        Problem::error("format::version", format!("the document is of version `{shown}`"))
            .mend("use a release that reads that version")
    } else {
        Problem::error("format::other", format!("the document says that it is `{shown}`"))
    }
    .expected(format!("`{format}`"))
    .at("/format")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, PartialEq)]
    struct Pair {
        name: String,
        size: Option<f64>,
        words: Vec<String>,
    }

    impl FromJson for Pair {
        fn from_json(field: &Field<'_>) -> Option<Self> {
            let object = field.object()?;
            let (name, size, words) = (object.take("name"), object.take("size"), object.take("words"));
            object.finish();
            Some(Self { name: name?, size: size?, words: words? })
        }
    }

    fn read(text: &str) -> Result<Pair, Problems> {
        Source::parse(text)?.document("tussock.pair/1")
    }

    #[test]
    fn a_document_is_read_whole() {
        let pair = read(r#"{"format": "tussock.pair/1", "name": "a", "words": ["b"]}"#);
        assert_eq!(pair, Ok(Pair { name: "a".to_owned(), size: None, words: vec!["b".to_owned()] }));
    }

    #[test]
    fn every_problem_is_told_with_its_pointer() {
        let problems = read(r#"{"format": "tussock.pair/1", "nme": 1, "size": "x", "words": ["", 2], "a/b~": 0}"#);
        let found: Vec<_> =
            problems.unwrap_err().into_iter().map(|p| (p.code, p.place.path.unwrap_or_default())).collect();
        let expected = [
            ("json::missing-field", "/name"),
            ("json::wrong-type", "/size"),
            ("json::empty-text", "/words/0"),
            ("json::wrong-type", "/words/1"),
            ("json::unknown-field", "/a~1b~0"),
            ("json::unknown-field", "/nme"),
        ];
        assert_eq!(found.iter().map(|(code, path)| (*code, path.as_str())).collect::<Vec<_>>(), expected);
    }

    #[test]
    fn what_says_that_it_is_something_else_is_not_read() {
        for (text, code) in [
            ("{", "json::syntax"),
            ("3", "json::wrong-type"),
            (r#"{"format": "tussock.pair/2"}"#, "format::version"),
            (r#"{"format": "tussock.other/1"}"#, "format::other"),
            (r#"{"format": 1}"#, "format::other"),
        ] {
            let problems = read(text).unwrap_err();
            assert_eq!(problems.iter().map(|p| p.code).collect::<Vec<_>>(), [code], "{text}");
        }
    }
}
