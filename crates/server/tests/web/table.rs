//! The table of `docs/security.md`.

use std::collections::BTreeSet;
use std::path::Path;

/// Puts the texts of all files of an ending below a folder together.
fn gather(folder: &Path, ending: &str, into: &mut String) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            gather(&path, ending, into);
        } else if path.extension().is_some_and(|extension| extension == ending) {
            into.push_str(&std::fs::read_to_string(&path).expect("a text"));
        }
    }
}

#[test]
fn every_test_that_the_table_names_exists() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let table = std::fs::read_to_string(top.join("docs/security.md")).expect("the table");
    let mut code = String::new();
    for room in ["server", "ledger", "sheet", "cli"] {
        gather(&top.join("crates").join(room), "rs", &mut code);
    }
    // Tests in the browser are named by a sentence.
    let mut pages = String::new();
    gather(&top.join("web/tests"), "ts", &mut pages);
    let pages: String = pages.split_whitespace().collect::<Vec<_>>().join(" ");
    let is_of_pages = |name: &str| {
        ["test(", "test( ", "test.each(LOOKS)(", "test.each(sizes)(", "test.each(sizes)( "].iter().any(|call| {
            [name, &format!("{name}: %s")].iter().any(|title| pages.contains(&format!("{call}\"{title}\"")))
        })
    };
    let last_cells = table.lines().filter(|line| line.starts_with("| ") && line.contains('`'));
    let last_cells = last_cells.filter_map(|line| line.trim_end_matches(['|', ' ']).rsplit('|').next());
    let named: BTreeSet<&str> = last_cells.flat_map(|cell| cell.split('`').skip(1).step_by(2)).collect();
    assert!(named.len() >= 60, "only {} tests are named", named.len());
    for name in named {
        assert!(
            code.contains(&format!("fn {name}(")) || is_of_pages(name),
            "`{name}` is named as a proof and does not exist"
        );
    }
}

/// The numbers that a text names, such as `2.8.1` and each of `3.4.1 to 3.4.5`.
fn numbers(text: &str) -> BTreeSet<[u32; 3]> {
    let words: Vec<&str> = text.split(|letter: char| letter != '.' && !letter.is_alphanumeric()).collect();
    let number = |word: &str| -> Option<[u32; 3]> {
        let parts: Result<Vec<u32>, _> = word.trim_end_matches('.').split('.').map(str::parse).collect();
        parts.ok()?.try_into().ok()
    };
    let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
    let mut named = BTreeSet::new();
    for (at, word) in words.iter().enumerate() {
        let Some(first) = number(word) else { continue };
        named.insert(first);
        if words.get(at + 1) == Some(&"to")
            && let Some(last) = words.get(at + 2).and_then(|word| number(word))
        {
            assert!(first[..2] == last[..2] && first[2] < last[2], "{first:?} to {last:?}");
            named.extend((first[2]..last[2]).map(|third| [first[0], first[1], third]));
        }
    }
    named
}

#[test]
fn every_requirement_of_levels_1_and_2_is_told() {
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let reference = std::fs::read_to_string(top.join("tests/reference/asvs_4_0_3.txt")).expect("the numbers");
    let mut known = BTreeSet::new();
    let mut asked = BTreeSet::new();
    for line in reference.lines().filter(|line| !line.starts_with('#')) {
        let (number, level) = line.split_once(' ').expect("a number and its level");
        let number = numbers(number).pop_first().expect("a number");
        known.insert(number);
        if matches!(level, "1" | "2") {
            asked.insert(number);
        }
    }
    assert_eq!((known.len(), asked.len()), (278, 259));
    let told = std::fs::read_to_string(top.join("../../docs/security.md")).expect("the table");
    let (_, told) = told.split_once("## Held").expect("the first table");
    let told = numbers(told);
    assert_eq!(asked.difference(&told).collect::<Vec<_>>(), Vec::<&[u32; 3]>::new(), "not told");
    assert_eq!(told.difference(&known).collect::<Vec<_>>(), Vec::<&[u32; 3]>::new(), "not of the standard");
}
