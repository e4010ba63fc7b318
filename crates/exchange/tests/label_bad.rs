//! Broken label files and what is said of each. Every file of `bad/label` has its snapshot.

use exchange::label_file::{check_label, parse_label};
use std::path::Path;

#[test]
fn every_broken_label_file_is_explained() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad/label");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path()).collect();
    files.sort();
    assert!(files.len() >= 14, "only {} files", files.len());
    for path in files {
        let name = path.file_stem().and_then(|stem| stem.to_str()).expect("a name").to_owned();
        let text = std::fs::read_to_string(&path).expect("a text");
        let (_, problems) = check_label(&format!("{name}.toml"), &text);
        assert!(!problems.is_empty(), "{name}: nothing found");
        for problem in &problems {
            assert!(problem.place.line.is_some() && problem.place.file.is_some(), "{name}: {problem}");
            assert!(!problem.found.ends_with('.'), "{name}: {problem}");
        }
        // Reading alone refuses a file exactly when one of its own errors stands in it.
        let read_errors = problems.iter().any(|problem| {
            problem.severity == problem::Severity::Error && parse_label("x", &text).is_err_and(|p| p.has_errors())
        });
        assert_eq!(parse_label(&name, &text).is_err(), read_errors, "{name}");
        insta::assert_snapshot!(name, problems.to_string());
    }
}
