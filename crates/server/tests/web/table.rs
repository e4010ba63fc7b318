//! The table of `docs/security.md`.

use std::collections::BTreeSet;
use std::path::Path;

fn gather(folder: &Path, into: &mut String) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            gather(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            into.push_str(&std::fs::read_to_string(&path).expect("a text"));
        }
    }
}

#[test]
fn every_test_that_the_table_names_exists() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let table = std::fs::read_to_string(top.join("docs/security.md")).expect("the table");
    let mut code = String::new();
    for room in ["server", "ledger", "cli"] {
        gather(&top.join("crates").join(room), &mut code);
    }
    let last_cells = table.lines().filter(|line| line.starts_with("| ") && line.contains('`'));
    let last_cells = last_cells.filter_map(|line| line.trim_end_matches(['|', ' ']).rsplit('|').next());
    let named: BTreeSet<&str> = last_cells.flat_map(|cell| cell.split('`').skip(1).step_by(2)).collect();
    assert!(named.len() >= 25, "only {} tests are named", named.len());
    for name in named {
        assert!(code.contains(&format!("fn {name}(")), "`{name}` is named as a proof and does not exist");
    }
}
