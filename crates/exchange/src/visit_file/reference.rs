//! Files that a visit request names, and what was found wrong in them.

use crate::toml_source::{Field, shown};
use problem::{Problem, Problems};

/// Where the texts of named files come from, and where their problems go.
pub(crate) struct Shelf<'f> {
    file: &'f str,
    text: &'f str,
    fetch: &'f mut dyn FnMut(&str) -> Result<String, String>,
    pub(crate) problems: Problems,
}

impl<'f> Shelf<'f> {
    pub(crate) fn new(file: &'f str, text: &'f str, fetch: &'f mut dyn FnMut(&str) -> Result<String, String>) -> Self {
        Self { file, text, fetch, problems: Problems::new() }
    }

    /// The text of the file that a field names, and the name under which its problems are reported.
    pub(crate) fn fetch(&mut self, field: &Field<'_>) -> Option<(String, String)> {
        let name = field.text()?;
        match (self.fetch)(name) {
            Ok(text) => Some((beside(self.file, name), text)),
            Err(why) if name.starts_with("books:") => {
                // What the books keep instead is told whole.
                let why: String = why.chars().filter(|letter| !letter.is_control()).collect();
                field.report(
                    Problem::error("visit::unread-file", format!("`{}` is not in the books", shown(name)))
                        .expected(why)
                        .mend("correct the name, or keep it first"),
                );
                None
            }
            Err(why) => {
                field.report(
                    Problem::error("visit::unread-file", format!("`{}` cannot be read: {}", shown(name), shown(&why)))
                        .expected("the name of a file, relative to this one")
                        .mend("correct the name, or put the file there"),
                );
                None
            }
        }
    }

    /// Takes a value out of a reading, and its problems along.
    pub(crate) fn keep<T>(&mut self, reading: Result<(T, Problems), Problems>) -> Option<T> {
        match reading {
            Ok((value, warnings)) => {
                self.problems.extend(warnings);
                Some(value)
            }
            Err(problems) => {
                self.problems.extend(problems);
                None
            }
        }
    }

    /// As [`Self::keep`] for a text that stands inline in the request: lines that its reader counted
    /// become lines of the request. They can be told when the text stands there once as it is.
    pub(super) fn keep_inline<T>(
        &mut self,
        field: &Field<'_>,
        inline: &str,
        reading: Result<(T, Problems), Problems>,
    ) -> Option<T> {
        let (value, problems) = match reading {
            Ok((value, problems)) => (Some(value), problems),
            Err(problems) => (None, problems),
        };
        let before = self.text.find(inline).map(|at| &self.text[..at]);
        for mut problem in problems {
            problem.place.path = Some(
                problem.place.path.map_or_else(|| field.path().to_owned(), |path| format!("{}.{path}", field.path())),
            );
            problem.place.file = Some(self.file.to_owned());
            let (Some(before), Some(line)) = (before, problem.place.line) else {
                problem.place.line = None;
                problem.place.column = None;
                field.report(problem);
                continue;
            };
            if line == 1 {
                let start = before.rfind('\n').map_or(0, |end| end + 1);
                problem.place.column = problem.place.column.map(|column| column + before[start..].chars().count());
            }
            problem.place.line = Some(line + before.matches('\n').count());
            self.problems.push(problem);
        }
        value
    }
}

/// The name of a file beside another: `demo/visit.toml` and `../map.geojson` give `map.geojson`.
fn beside(file: &str, name: &str) -> String {
    let is_absolute = name.starts_with(['/', '\\']) || name.as_bytes().get(1) == Some(&b':');
    let Some((folder, _)) = file.rsplit_once(['/', '\\']).filter(|_| !is_absolute) else { return name.to_owned() };
    let mut parts: Vec<&str> = folder.split('/').collect();
    let mut rest = name;
    loop {
        if let Some(next) = rest.strip_prefix("./") {
            rest = next;
        } else if let Some(next) = rest.strip_prefix("../")
            && parts.last().is_some_and(|last| !["", "..", "."].contains(last))
        {
            parts.pop();
            rest = next;
        } else {
            break;
        }
    }
    parts.push(rest);
    parts.join("/")
}

#[cfg(test)]
mod tests {
    use super::beside;

    #[test]
    fn names_are_told_as_their_user_would() {
        assert_eq!(beside("visit.toml", "map.geojson"), "map.geojson");
        assert_eq!(beside("demo/a/visit.toml", "map.geojson"), "demo/a/map.geojson");
        assert_eq!(beside("demo/a/visit.toml", "../labels/x.toml"), "demo/labels/x.toml");
        assert_eq!(beside("a/visit.toml", "../../x.toml"), "../x.toml");
        assert_eq!(beside("/a/visit.toml", "../x.toml"), "/x.toml");
        assert_eq!(beside("../visit.toml", "../x.toml"), "../../x.toml");
        assert_eq!(beside("a/visit.toml", "/b/x.toml"), "/b/x.toml");
    }
}
