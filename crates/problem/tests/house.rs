//! The house as ARCHITECTURE.md draws it, held against the manifests: every edge goes down, every
//! room is listed, every listed room exists, and the lower floors name no crate that reads, writes,
//! tells the time or draws lots.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use toml_edit::{DocumentMut, Item};

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Floor of each room, from the table in ARCHITECTURE.md.
fn floors() -> BTreeMap<String, u8> {
    let text = std::fs::read_to_string(top().join("ARCHITECTURE.md")).unwrap();
    let rows = text.lines().filter_map(|line| {
        let mut cells = line.strip_prefix('|')?.split('|').map(str::trim);
        let floor = cells.next()?.parse().ok()?;
        let room = cells.next()?.trim_matches('`').to_owned();
        Some((room, floor))
    });
    rows.collect()
}

fn manifests() -> BTreeMap<String, DocumentMut> {
    let mut manifests = BTreeMap::new();
    for entry in std::fs::read_dir(top().join("crates")).unwrap() {
        let folder = entry.unwrap().path();
        let Ok(text) = std::fs::read_to_string(folder.join("Cargo.toml")) else { continue };
        manifests.insert(folder.file_name().unwrap().to_str().unwrap().to_owned(), text.parse().unwrap());
    }
    manifests
}

fn dependencies(manifest: &DocumentMut) -> BTreeSet<String> {
    let table = manifest.get("dependencies").and_then(Item::as_table_like);
    table.map(|table| table.iter().map(|(name, _)| name.to_owned()).collect()).unwrap_or_default()
}

#[test]
fn the_table_lists_every_room_and_no_other() {
    let listed: BTreeSet<String> = floors().into_keys().collect();
    let built: BTreeSet<String> = manifests().into_keys().collect();
    assert_eq!(listed, built);
}

#[test]
fn every_edge_goes_down() {
    let floors = floors();
    let mut edges = 0;
    for (room, manifest) in manifests() {
        for needed in dependencies(&manifest) {
            let Some(floor) = floors.get(&needed) else { continue };
            edges += 1;
            // On the ground floor `problem` and `quantity` serve the others; nobody serves them back.
            let ground = *floor == 0 && (needed == "problem" || (needed == "quantity" && room != "problem"));
            assert!(*floor < floors[&room] || ground, "{room} may not name {needed}");
        }
    }
    assert!(edges > 20, "only {edges} edges were looked at");
}

#[test]
fn lower_floors_do_no_input_or_output() {
    let forbidden = ["serde", "serde_json", "toml_edit", "csv", "clap", "rand", "rayon", "typst", "tempfile"];
    let floors = floors();
    for (room, manifest) in manifests() {
        if floors[&room] > 4 {
            continue;
        }
        for needed in dependencies(&manifest) {
            assert!(!forbidden.contains(&needed.as_str()), "{room} may not name {needed}");
        }
        assert_eq!(calls(&top().join("crates").join(&room).join("src")), Vec::<String>::new(), "{room}");
    }
}

/// Places in the sources that read, write, print, or ask for time or environment.
fn calls(folder: &Path) -> Vec<String> {
    let forbidden = [
        "std::fs",
        "std::net",
        "std::env",
        "std::process",
        "println!",
        "eprintln!",
        "SystemTime",
        "Zoned::now",
        "Timestamp::now",
    ];
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(calls(&path));
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        for (number, line) in text.lines().enumerate() {
            let code = line.split("//").next().unwrap_or_default();
            if forbidden.iter().any(|word| code.contains(word)) {
                found.push(format!("{}:{}: {}", path.display(), number + 1, line.trim()));
            }
        }
    }
    found
}
