//! The profiles that come with the program, and what is refused of a profile.

use exchange::pest_file::{SHIPPED, parse_characters, parse_profile, shipped_characters, shipped_profiles};
use pest::{Key, Observed, PestKind, ThresholdCount};
use quantity::AreaUnit;
use std::collections::BTreeSet;
use std::path::Path;

#[test]
fn every_profile_is_sound_and_none_is_forgotten() {
    let characters = shipped_characters().unwrap();
    for (file, text) in SHIPPED {
        let (profile, warnings) = parse_profile(file, text, &characters).unwrap_or_else(|found| panic!("{found}"));
        assert!(warnings.is_empty(), "{warnings}");
        assert_eq!(*file, format!("pests/{}.toml", profile.id));
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../pests");
    let there: BTreeSet<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| format!("pests/{}", entry.unwrap().file_name().to_string_lossy()))
        .filter(|name| name != "pests/characters.toml")
        .collect();
    let listed: BTreeSet<String> = SHIPPED.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(there, listed, "call tools/list_pests");
    let profiles = shipped_profiles(&characters).unwrap();
    Key::new(&characters, &profiles).unwrap_or_else(|found| panic!("{found}"));
    let of = |kind: PestKind| profiles.iter().filter(|profile| profile.kind == kind).count();
    assert!(of(PestKind::Insect) + of(PestKind::Tick) + of(PestKind::Mite) >= 20, "{}", profiles.len());
    assert!(of(PestKind::LookAlike) >= 5);
}

const CHARACTERS: &str = "format = \"tussock.pest-characters/1\"\n[[character]]\nid = \"legs\"\nquestion = \"How many?\"\n\
                          needs = \"specimen\"\nerror_rate = 0.05\n[[character.state]]\nid = \"six\"\nwords = \"six\"\n\
                          [[character.state]]\nid = \"eight\"\nwords = \"eight\"\n";

#[test]
fn a_fact_without_a_source_is_refused_with_its_line() {
    let characters = parse_characters("characters.toml", CHARACTERS).unwrap();
    let text = "format = \"tussock.pest-profile/1\"\nid = \"x\"\nkind = \"insect\"\ncommon_name = \"x\"\ngroup = \"g\"\n\
                summary = \"s\"\n[[source]]\nid = \"a\"\ncite = \"A\"\nseen = true\n[[sign]]\ntext = \"holes\"\n\
                [[character]]\nid = \"legs\"\nstates = [\"seven\"]\nsource = \"b\"\n[[threshold]]\nlow = 3\nper = \"1 sq ft\"\n\
                place = \"p\"\nhost = \"h\"\nsource = \"a\"\n";
    let found = parse_profile("x.toml", text, &characters).unwrap_err();
    insta::assert_snapshot!("profile_without_sources", found);
    let found = parse_profile("x.toml", &text.replace("low = 3", "count = 3"), &characters).unwrap_err();
    insta::assert_snapshot!("profile_facts", found);
}

/// k goes with the ground of one count and with the ground that was counted: both are asked for.
#[test]
fn a_k_without_its_ground_is_refused() {
    let characters = shipped_characters().unwrap();
    let (file, text) = SHIPPED.iter().find(|(file, _)| file.contains("may-beetle-grub")).unwrap();
    let told = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        let found = parse_profile(file, &text.replacen(from, to, 1), &characters).unwrap_err();
        found.iter().map(ToString::to_string).collect::<String>()
    };
    // The first `unit_area` is that of the sampling.
    for (from, to, field) in [
        ("k = 1.5936\nunit_area = \"1 sq ft\"\n", "k = 1.5936\n", "unit_area"),
        ("k = 1.5936\nunit_area = \"1 sq ft\"\n", "k = 1.5936\nunit_area = \"1\"\n", "unit_area"),
        ("k = 1.5936\nunit_area = \"1 sq ft\"\n", "k = 1.5936\nunit_area = \"0 sq ft\"\n", "dispersion.unit_area"),
        ("k = 1.5936\n", "k = 0\n", "dispersion.k"),
        ("host = \"soil before trees are planted, not lawns\"\n", "", "host"),
        ("host = \"soil before trees are planted, not lawns\"", "host = \" \"", "host"),
        ("place = \"Manitoba\"\n", "", "place"),
    ] {
        assert!(told(from, to).contains(field), "{to}: {}", told(from, to));
    }
}

#[test]
fn characters_that_cannot_be_answered_are_refused() {
    let text = CHARACTERS.replace("0.05", "0").replace("\"specimen\"", "\"luck\"");
    let found = parse_characters("characters.toml", &text).unwrap_err();
    let codes: Vec<_> = found.iter().map(|problem| problem.code).collect();
    assert_eq!(codes.len(), 2, "{found}");
}

/// `umass_table_21.csv`: every threshold of the table that there is a profile for is the profile's, to the figure and on one
/// square foot.
#[test]
fn thresholds_are_those_of_the_massachusetts_table() {
    let profiles = shipped_profiles(&shipped_characters().unwrap()).unwrap();
    let mut held = 0;
    for line in include_str!("reference/umass_table_21.csv").lines().skip(3) {
        let [pest, profile, low, high] = line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
        if profile.is_empty() {
            continue;
        }
        let found = profiles.iter().find(|one| one.id == profile).unwrap_or_else(|| panic!("{profile}"));
        let is_table = |cite: &str| cite.contains("Massachusetts Amherst Extension") && cite.contains("Table 21");
        let of_table =
            found.thresholds.iter().filter(|one| found.source(&one.source).is_some_and(|one| is_table(&one.cite)));
        let told: Vec<_> = of_table.map(|one| (one.what.count, one.what.place.as_str(), &one.what.per)).collect();
        let [(count, place, Observed::Ground(area, _))] = told[..] else { panic!("{pest}: {told:?}") };
        let stated = ThresholdCount::Between(low.parse().unwrap(), high.parse().unwrap());
        assert_eq!((count, place), (stated, "Massachusetts"), "{pest}");
        assert!((area.to(AreaUnit::SquareFoot) - 1.0).abs() < 1e-12, "{pest}");
        held += 1;
    }
    assert_eq!(held, 8);
}

#[test]
fn codes_and_clumping_name_where_they_are_from() {
    let profiles = shipped_profiles(&shipped_characters().unwrap()).unwrap();
    let codes: Vec<_> = profiles.iter().filter_map(|one| Some((one.id.as_str(), one.eppo_code.as_ref()?))).collect();
    for (id, code) in &codes {
        assert!(code.what.len() == 6 && code.what.chars().all(|one| one.is_ascii_uppercase()), "{id}: {}", code.what);
    }
    assert_eq!(codes.len(), 12, "docs/pests.md says so: {codes:?}");
    // Three were read, of two species; the others are from memory, and their sources say so.
    let read = profiles.iter().filter(|one| {
        one.eppo_code.as_ref().is_some_and(|code| one.source(&code.source).is_some_and(|source| source.seen))
    });
    assert_eq!(read.count(), 3, "docs/pests.md says so");
    // Ives and Warren 1965, Canadian Entomologist, abstract: k 1.5936 of grubs on one square foot.
    let grub = profiles.iter().find(|one| one.id == "may-beetle-grub").unwrap();
    let clumping = grub.dispersion.as_ref().unwrap();
    assert!((clumping.what.k - 1.5936).abs() < 1e-12 && clumping.what.unit_words == "1 sq ft");
    assert!((clumping.what.unit_area.to(AreaUnit::SquareFoot) - 1.0).abs() < 1e-12);
    assert!(clumping.what.host.contains("not lawns"), "pre-planting surveys: {}", clumping.what.host);
    assert!(grub.source(&clumping.source).unwrap().cite.contains("Ives and Warren 1965"));
}
