//! The line `format = "…"` with which every file of the project begins.

use crate::toml_source::{Source, Table, nearest, shown};
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

/// Whether a TOML file is a visit request; `false` when it is another of the project's files, such as
/// those that requests name.
///
/// # Errors
/// The text is no TOML, or says of itself nothing that is known: a request that was meant as one could
/// be passed over.
pub fn is_visit_request(file: &str, text: &str) -> Result<bool, Problems> {
    let source = Source::parse(file, text)?;
    let is_request = stated(&source.root()).is_some_and(|format| format == crate::visit_file::FORMAT);
    source.into_problems().unless_errors(is_request).map(|(is_request, _)| is_request)
}

/// The format that a file states, when it is one of the project's; any other is reported.
fn stated(root: &Table<'_>) -> Option<&'static str> {
    const KNOWN: [&str; 12] = [
        crate::visit_file::FORMAT,
        crate::label_file::FORMAT,
        crate::equipment_file::FORMAT,
        crate::history_file::FORMAT,
        crate::rule_file::FORMAT,
        crate::business_file::FORMAT,
        crate::client_file::FORMAT,
        crate::as_applied_file::FORMAT,
        crate::survey_file::FORMAT,
        crate::lawn_file::FORMAT,
        crate::development_file::FORMAT,
        crate::season_file::FORMAT,
    ];
    const MEND: &str = "if it is no file for tussock, take it out of the folder";
    let expected = format!("`format = \"{}\"` for a visit request", crate::visit_file::FORMAT);
    let Some(field) = root.optional("format") else {
        root.report(
            Problem::error("format::missing", "the file does not say what it is")
                .expected(format!("a first line {expected}"))
                .mend(format!("add the line; {MEND}"))
                .at("format"),
        );
        return None;
    };
    let found = field.text()?;
    let known = KNOWN.into_iter().find(|known| *known == found);
    if known.is_none() {
        let meant = nearest(found, KNOWN).map(|known| format!("did you mean `{known}`? ")).unwrap_or_default();
        field.report(
            Problem::error("format::unknown", format!("the file says that it is `{}`", shown(found)))
                .expected(expected)
                .mend(format!("{meant}correct the line; {MEND}")),
        );
    }
    known
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_files_of_the_project_are_told_apart() {
        for (format, is_request) in [
            ("tussock.visit-request/1", true),
            ("tussock.label/1", false),
            ("tussock.equipment/1", false),
            ("tussock.history/1", false),
            ("tussock.rules/1", false),
            ("tussock.business/1", false),
            ("tussock.client/1", false),
            ("tussock.as-applied/1", false),
            ("tussock.survey/1", false),
            ("tussock.lawn/1", false),
            ("tussock.development/1", false),
        ] {
            for key in ["format", "\"format\"", "'format'"] {
                let text = format!("# a file\n{key} = \"{format}\"\nname = \"x\"\n");
                assert_eq!(is_visit_request("x.toml", &text), Ok(is_request), "{text}");
            }
        }
    }

    #[test]
    fn what_is_none_of_them_is_never_passed_over() {
        for (text, code) in [
            ("name = \"x\"\n", "format::missing"),
            ("fromat = \"tussock.visit-request/1\"\n", "format::missing"),
            ("format = \"tussock.visit-reqest/1\"\n", "format::unknown"),
            ("format = \"tusock.visit-request/1\"\n", "format::unknown"),
            ("format = \"tussock.visit-request/2\"\n", "format::unknown"),
            ("format = \"visit-request\"\n", "format::unknown"),
            ("format = 1\n", "toml::wrong-type"),
            ("format = \n", "toml::syntax"),
        ] {
            let problems = is_visit_request("x.toml", text).expect_err(text);
            let found: Vec<_> = problems.iter().map(|problem| (problem.code, problem.place.line)).collect();
            assert_eq!(found, [(code, Some(1))], "{text}");
        }
        let near = is_visit_request("x.toml", "format = \"tussock.visit-reqest/1\"\n").expect_err("a slip");
        assert!(near.to_string().contains("did you mean `tussock.visit-request/1`?"), "{near}");
    }
}
