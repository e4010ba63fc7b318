//! How the stages of a pest follow each other by heat, as a TOML file of its own, where no profile tells it. The fields
//! are told in `docs/stages.md`.

use crate::pest_file::{development, read_sources};
use crate::toml_source::Source;
use pest::{DegreeDayModel, check_sources};
use problem::Problems;

/// The first line of the file.
pub const FORMAT: &str = "tussock.development/1";

/// A file as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct DevelopmentFile {
    /// Of which pest.
    pub name: String,
    /// Publications.
    pub sources: Vec<pest::Source>,
    /// Its stages by heat.
    pub model: DegreeDayModel,
}

/// Reads a file. `file` is the name that its user gave it and only serves messages.
///
/// # Errors
/// Everything wrong with the file, each with its line, column and field; a figure without a source among it.
pub fn parse_development(file: &str, text: &str) -> Result<(DevelopmentFile, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let Some(found) = read(&source) else { return Err(source.into_problems()) };
    for problem in check_sources(&found.sources, &found.model.sources(), "file").into_iter().chain(found.model.check())
    {
        source.report(source.placed(problem));
    }
    source.into_problems().unless_errors(found)
}

/// Every field that the reader asked for in this text, without the numbers of list entries. For comparing with what is
/// told about the file.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read(&source);
            source.asked().into_iter().collect()
        },
    )
}

fn read(source: &Source<'_>) -> Option<DevelopmentFile> {
    let root = source.root();
    if !crate::format_line::check(&root, FORMAT) {
        return None;
    }
    let name = root.required_as("name", "of which pest").and_then(|field| field.text());
    let sources = read_sources(&root);
    let model = root.required_as("development", "its stages by heat").and_then(|field| field.table());
    let model = model.and_then(development::read);
    root.finish();
    Some(DevelopmentFile { name: name?.to_owned(), sources: sources?, model: model? })
}
