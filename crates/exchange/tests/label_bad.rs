//! Broken label files and what is said of each. Every file of `bad/label` has its snapshot.

use exchange::label_file::{check_label, parse_label};
use std::path::Path;

/// The files that say something in every field, so that reading alone lets them pass: what is wrong is
/// what the label says. Every other file is refused by its reader.
const READABLE: [&str; 18] = [
    "acre_rate_per_thousand",
    "bases_differ",
    "cap_below_maximum",
    "content_disagrees",
    "density_missing",
    "dilution_above_maximum",
    "ends_exchanged",
    "fluid_ounces_of_granules",
    "gallons_for_fluid_ounces",
    "imperial_and_us",
    "ingredient_of_cap_unknown",
    "looser_than_restraint",
    "lowest_above_highest",
    "number_beyond_cap",
    "ounces_of_weight_of_a_liquid",
    "permits_what_a_restraint_forbids",
    "silent",
    "use_named_twice",
];

#[test]
fn every_broken_label_file_is_explained() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad/label");
    let mut files: Vec<_> =
        std::fs::read_dir(folder).expect("the folder").map(|entry| entry.expect("an entry").path()).collect();
    files.sort();
    assert!(files.len() >= 14, "only {} files", files.len());
    let mut readable = Vec::new();
    for path in files {
        let name = path.file_stem().and_then(|stem| stem.to_str()).expect("a name").to_owned();
        let text = std::fs::read_to_string(&path).expect("a text");
        let (_, problems) = check_label(&format!("{name}.toml"), &text);
        assert!(!problems.is_empty(), "{name}: nothing found");
        for problem in &problems {
            assert!(problem.place.line.is_some() && problem.place.file.is_some(), "{name}: {problem}");
            assert!(!problem.found.ends_with('.'), "{name}: {problem}");
        }
        if parse_label(&name, &text).is_ok() {
            readable.push(name.clone());
        }
        insta::assert_snapshot!(name, problems.to_string());
    }
    assert_eq!(readable, READABLE);
}
