//! The label file: what a product's label says, as text that a person writes and can compare with
//! the printed label. `docs/label-file.md` describes it, `schema/label.schema.json` is its schema.

mod clause;
mod constraints;
mod product;
mod use_row;

use crate::format_line;
use crate::toml_source::{Field, Source, Table, shown};
use clause::clause_list;
use label::{Label, Scope};
use problem::{Problem, Problems, Severity};

/// What the first line of a label file says.
pub const FORMAT: &str = "tussock.label/1";

/// Reads a label file. `file` is the name that its user gave it.
///
/// A statement without `strength` is read as mandatory, with a warning. Whether the label makes
/// sense is another question: [`check_label`].
///
/// # Errors
/// Every problem of the text, when at least one of it is an error: `toml::…` for what is missing,
/// unknown or not of the right kind, `label::…` for what a label cannot say.
pub fn parse_label(file: &str, text: &str) -> Result<(Label, Problems), Problems> {
    let source = Source::parse(file, text)?;
    let label = read(&source);
    let problems = source.into_problems();
    match label {
        Some(label) => problems.unless_errors(label),
        None => Err(problems),
    }
}

/// Reads a label file and checks what it says ([`label::check`]), each problem with its line. The
/// label is there when enough of the file could be read to make one, be it with errors.
pub fn check_label(file: &str, text: &str) -> (Option<Label>, Problems) {
    let source = match Source::parse(file, text) {
        Ok(source) => source,
        Err(problems) => return (None, problems),
    };
    let label = read(&source);
    if let Some(label) = &label {
        let read_errors = source.errors_so_far();
        for problem in label::check(label) {
            if !follows_from(&problem, &read_errors) {
                source.report(problem);
            }
        }
    }
    (label, source.into_problems())
}

/// Every field that the reader of label files asked for in this text, without the numbers of list
/// entries. For comparing with the schema.
pub fn fields_asked(text: &str) -> Vec<String> {
    Source::parse("", text).map_or_else(
        |_| Vec::new(),
        |source| {
            read(&source);
            source.asked().into_iter().collect()
        },
    )
}

/// Whether a subject only seems to be left out because its statement could not be read.
fn follows_from(problem: &Problem, read_errors: &[Problem]) -> bool {
    if problem.severity == Severity::Error && !["label::no-sites", "label::no-uses"].contains(&problem.code) {
        return false;
    }
    let Some(key) = problem.place.path.as_deref().and_then(|path| path.rsplit('.').next()) else { return false };
    let key = key.split('[').next().unwrap_or(key);
    read_errors
        .iter()
        .filter_map(|error| error.place.path.as_deref())
        .any(|path| path.split('.').any(|part| part.split('[').next() == Some(key)))
}

fn read(source: &Source<'_>) -> Option<Label> {
    let root = source.root();
    if !format_line::check(&root, FORMAT) {
        return None;
    }
    read_table(root)
}

/// Reads a label that stands in another file as a table; `format` is not asked for there.
pub(crate) fn read_table(root: Table<'_>) -> Option<Label> {
    root.know("format");
    let id =
        root.required_as("id", "the word by which visits and records name the label").and_then(|field| read_id(&field));
    let product = root
        .required_as("product", "a table with the facts of the product")
        .and_then(|field| field.table())
        .and_then(product::read);
    let precautions = clause_list(&root, "precaution", &Scope::Product);
    let first_aid = clause_list(&root, "first_aid", &Scope::Product);
    let storage_and_disposal = clause_list(&root, "storage_and_disposal", &Scope::Product);
    let restraints = root
        .table("restraints")
        .map(|table| {
            let restraints = constraints::read(&table, &Scope::Product);
            table.finish();
            restraints
        })
        .unwrap_or_default();
    let rows = root.tables("use");
    let count = rows.len();
    let uses: Vec<label::UseRow> = rows.into_iter().filter_map(use_row::read).collect();
    root.finish();
    let complete = uses.len() == count;
    let label = Label { id: id?, product: product?, precautions, first_aid, storage_and_disposal, restraints, uses };
    // With a row left out the numbers of the rows behind it would be wrong in messages.
    complete.then_some(label)
}

/// A name that can stand in records, file names and on a command line.
fn read_id(field: &Field<'_>) -> Option<String> {
    let text = field.text()?;
    let is_plain = text.len() <= 64
        && text.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
        && text.starts_with(|c: char| c != '-');
    if !is_plain {
        field.report(
            Problem::error(
                "label::id",
                format!("the name `{}` holds more than small letters, figures and `-`", shown(text)),
            )
            .expected("such as `turf-broadcast`, at most 64 letters")
            .mend("write it in small letters, with `-` between words"),
        );
        return None;
    }
    Some(text.to_owned())
}
