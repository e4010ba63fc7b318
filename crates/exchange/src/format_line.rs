//! The line `format = "…"` with which every file of the project begins.

use crate::toml_source::{Source, Table, shown};
use problem::{Problem, Problems};

/// Reports a file that does not say that it is what it is read as. `false` when it says that it is
/// something else: whatever else its reader would find wrong means nothing.
#[must_use]
pub(crate) fn check(root: &Table<'_>, format: &'static str) -> bool {
    let Some(field) = root.optional("format") else {
        root.report(
            Problem::error("format::missing", "the file does not say what it is")
                .expected(format!("a first line `format = \"{format}\"`"))
                .mend("add the line, once you are sure that this is the file meant")
                .at("format"),
        );
        return true;
    };
    let Some(found) = field.text() else { return true };
    if found == format {
        return true;
    }
    let (kind, _) = format.split_once('/').unwrap_or((format, ""));
    let problem = match found.split_once('/') {
        Some((found_kind, version)) if found_kind == kind => {
            Problem::error("format::version", format!("the file is of version `{}`", shown(version)))
                .expected(format!("`{format}`"))
                .mend("use a release that reads that version, or bring the file up to this one")
        }
        _ => Problem::error("format::other", format!("the file says that it is `{}`", shown(found)))
            .expected(format!("`{format}`"))
            .mend("name another file here, or correct the line"),
    };
    field.report(problem);
    false
}

/// What a TOML file says that it is; `None` when it states no format.
///
/// # Errors
/// The text is no TOML, or its `format` is no text.
pub fn format_stated(file: &str, text: &str) -> Result<Option<String>, Problems> {
    let source = Source::parse(file, text)?;
    let stated = source.root().optional("format").and_then(|field| field.text()).map(str::to_owned);
    source.into_problems().unless_errors(stated).map(|(stated, _)| stated)
}

/// Whether a format is one of the project's files.
pub fn is_known_format(format: &str) -> bool {
    [crate::visit_file::FORMAT, crate::label_file::FORMAT, crate::equipment_file::FORMAT, crate::history_file::FORMAT]
        .contains(&format)
}
