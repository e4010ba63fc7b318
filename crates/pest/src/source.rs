//! Publications, and which of them a fact is from.

use problem::{Problem, Problems};

/// A publication.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its id within the file that names it.
    pub id: String,
    /// Author, title, place, year.
    pub cite: String,
    /// Whether it was read for the file; what was not is from memory.
    pub seen: bool,
}

/// Something with the id of its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Cited<T> {
    /// What.
    pub what: T,
    /// The source's id.
    pub source: String,
}

/// A fact in words.
pub type Fact = Cited<String>;

/// What is wrong between facts and sources: a fact without a source that is named, a source without a citation, twice,
/// unused, or from memory without saying so. `facts` are the ids that the entries of each kind name; `whole` says what
/// the sources belong to.
pub fn check_sources(sources: &[Source], facts: &[(&str, Vec<&str>)], whole: &str) -> Problems {
    let mut problems = Problems::new();
    for (what, cited) in facts {
        for (number, id) in cited.iter().enumerate().filter(|(_, id)| !sources.iter().any(|own| own.id == **id)) {
            let found = if id.trim().is_empty() {
                format!("{what} {} has no source", number + 1)
            } else {
                format!("{what} {} names the source `{id}`, which is not in the {whole}", number + 1)
            };
            problems.push(
                Problem::error("pest::no-source", found)
                    .expected("a publication that says so, under `[[source]]`")
                    .mend("name it, mark it `seen = false` where it is from memory, or leave the fact out")
                    .at(format!("{what}[{}].source", number + 1)),
            );
        }
    }
    let is_used = |id: &str| facts.iter().any(|(_, cited)| cited.contains(&id));
    for (number, source) in sources.iter().enumerate() {
        let at = format!("source[{}]", number + 1);
        if source.cite.trim().is_empty() {
            problems.push(
                Problem::error("pest::no-citation", format!("source `{}` has no citation", source.id))
                    .expected("author or institution, title, year")
                    .at(format!("{at}.cite")),
            );
        }
        if sources[..number].iter().any(|earlier| earlier.id == source.id) {
            problems.push(
                Problem::error("pest::source-twice", format!("two sources are called `{}`", source.id))
                    .expected("an id of its own for each")
                    .at(format!("{at}.id")),
            );
        }
        if !is_used(&source.id) {
            problems.push(
                Problem::warning("pest::source-unused", format!("no fact names the source `{}`", source.id))
                    .mend("name it where it is meant, or leave it out")
                    .at(format!("{at}.id")),
            );
        }
        if !source.seen && !source.cite.to_lowercase().contains("from memory") {
            problems.push(
                Problem::warning(
                    "pest::from-memory",
                    format!("source `{}` was not read and does not say so", source.id),
                )
                .expected("`from memory` in its citation")
                .at(format!("{at}.cite")),
            );
        }
    }
    problems
}
