//! The books, end to end: the loop from plan to record and back to plan, and that nothing is changed
//! unseen.

mod support;

use serde_json::Value;
use support::{Ran, Yard};

const VISIT: &str = "demo/alder-bend/visit.toml";

/// Runs a command on the books of the yard.
fn on_books(yard: &Yard, arguments: &[&str]) -> Ran {
    yard.run(&[arguments, &["--books", "lawns.db"][..]].concat())
}

/// The demo, moved to a state of which rules are known.
fn in_state(state: &str) -> Yard {
    let yard = Yard::with_demo();
    yard.change(VISIT, "state = \"KS\"", &format!("state = \"{state}\""));
    for label in ["anthollow-rb", "brackwater-sc", "gravelhome-gr"] {
        let there = format!("[\"KS\", \"NC\", \"{state}\"]");
        yard.change(&format!("demo/labels/{label}.toml"), "[\"KS\", \"NC\"]", &there);
    }
    yard
}

/// A yard whose books keep property, label and one lot.
fn with_books() -> Yard {
    let yard = in_state("TX");
    for arguments in [
        &["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend", "--jurisdiction", "US-TX"][..],
        &["label", "keep", "demo/labels/brackwater-sc.toml", "--compared-on", "2026-03-01"],
        &["equipment", "keep", "demo/alder-bend/equipment.toml", "--name", "hand pump"],
        &["stock", "receive", "brackwater-sc", "--lot", "A-17", "--amount", "1 qt", "--on", "2026-03-02"],
    ] {
        let ran = on_books(&yard, arguments);
        assert_eq!(ran.code, 0, "{}", ran.told());
    }
    yard
}

/// What is left of the only lot, in millilitres.
fn left_ml(yard: &Yard) -> f64 {
    let stock = on_books(yard, &["stock", "list", "--json"]).json();
    stock["lots"][0]["left"]["volume_ml"].as_f64().expect("a volume")
}

#[test]
fn the_loop_closes_from_plan_to_record_to_the_next_plan() {
    let yard = with_books();
    let planned = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!(planned.code, 0, "{}", planned.told());
    let full = left_ml(&yard);
    assert!((full - 946.352_946).abs() < 1e-3, "{full}");

    let recorded = on_books(&yard, &["record", VISIT, "--by", "J. Example", "--json"]);
    assert_eq!(recorded.code, 0, "{}", recorded.told());
    assert_eq!((recorded.json()["version"].as_u64(), recorded.json()["replayed"].as_bool()), (Some(1), Some(false)));

    // Stock falls by what the plan measures, to the last drop.
    let planned_ml = planned.json()["products"][0]["measured_ml"].as_f64().expect("an amount");
    let taken = full - left_ml(&yard);
    assert!((taken - planned_ml).abs() < 1e-6, "{taken} {planned_ml}");

    // The same visit again is the same record, and takes nothing.
    let again = on_books(&yard, &["record", VISIT, "--by", "J. Example", "--json"]);
    assert_eq!((again.code, again.json()["replayed"].as_bool()), (0, Some(true)), "{}", again.told());
    assert_eq!(again.json()["thing"], recorded.json()["thing"]);
    assert!((full - left_ml(&yard) - taken).abs() < 1e-9);

    // The next plan of the same day is refused by what lies there.
    let refused = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!((refused.code, refused.json()["verdict"].as_str()), (3, Some("refused")));
    let codes = refused.stdout.clone();
    for rule in ["limit::interval", "limit::active-ingredient"] {
        assert!(codes.contains(rule), "{rule}");
    }
    // Without the books the same request is lawful: the refusal comes from the records alone.
    assert_eq!(yard.run(&["plan", VISIT, "--json"]).code, 0);
}

#[test]
fn an_amendment_keeps_the_original_and_needs_a_reason() {
    let yard = with_books();
    assert_eq!(on_books(&yard, &["record", VISIT]).code, 0);
    let original = on_books(&yard, &["record", "show", "Alder Bend", "--json"]);
    let actual = "format = \"tussock.as-applied/1\"\nstarted = \"07:05\"\nended = \"08:50\"\n";
    yard.write("later.toml", actual);
    let amend = ["record", "amend", "Alder Bend", "--actual", "later.toml", "--clock=-05:00"];
    assert_eq!(on_books(&yard, &amend).code, 2, "a reason is asked for");
    let amended = on_books(&yard, &[&amend[..], &["--reason", "times written down", "--json"]].concat());
    assert_eq!((amended.code, amended.json()["version"].as_u64()), (0, Some(2)), "{}", amended.told());
    let newest = on_books(&yard, &["record", "show", "Alder Bend", "--json"]).json();
    assert_eq!(newest["started"]["recorded"].as_str().map(|text| text.contains("07:05")), Some(true), "{newest}");
    let first = on_books(&yard, &["record", "show", "Alder Bend", "--version", "1", "--json"]);
    assert_eq!(first.stdout, original.stdout, "the first version is there as it was");
    // The visit planned from another history is no second record of it.
    let shown = on_books(&yard, &["record", "show", "Alder Bend"]).stdout;
    assert!(shown.contains("Version 2  kept") && shown.contains("times written down"), "{shown}");
    // Stock counts the newest version only.
    let left = left_ml(&yard);
    assert!(left > 800.0, "{left}");
}

fn breaches(yard: &Yard, record: &str) -> Vec<String> {
    let told = on_books(yard, &["record", "show", record, "--json"]).json();
    let of = |breach: &Value| format!("{} {}", breach["task"].as_str().unwrap(), breach["rule"].as_str().unwrap());
    told["breaches"].as_array().expect("breaches").iter().map(of).collect()
}

/// A visit recorded again on another day is a second application, judged with the first.
#[test]
fn a_second_application_under_one_visit_is_judged_with_the_first() {
    let yard = with_books();
    let head = "format = \"tussock.as-applied/1\"\n";
    yard.write("first.toml", head);
    yard.write("second.toml", format!("{head}date = 2026-07-09\n"));
    let first = on_books(&yard, &["record", VISIT, "--actual", "first.toml", "--json"]).json();
    assert_eq!(breaches(&yard, first["thing"].as_str().unwrap()), [""; 0]);
    let again = on_books(&yard, &["record", VISIT, "--actual", "first.toml", "--json"]).json();
    assert_eq!((&again["thing"], &again["replayed"]), (&first["thing"], &true.into()));
    let second = on_books(&yard, &["record", VISIT, "--actual", "second.toml", "--json"]).json();
    let told = breaches(&yard, second["thing"].as_str().unwrap());
    for expected in ["perimeter breach::interval", "lawn breach::interval", "perimeter breach::cap"] {
        assert!(told.iter().any(|told| told == expected), "{expected} in {told:?}");
    }
}

fn anew(yard: &Yard, record: &str, reason: &str) -> Ran {
    on_books(yard, &["record", "amend", record, "--judge-anew", "--reason", reason])
}

/// Keeps the visit as done on a day, and gives the record's identifier.
fn done_on(yard: &Yard, day: &str) -> (String, Ran) {
    yard.write("done.toml", format!("format = \"tussock.as-applied/1\"\ndate = {day}\n"));
    let ran = on_books(yard, &["record", VISIT, "--actual", "done.toml", "--json"]);
    (ran.json()["thing"].as_str().unwrap_or_default().to_owned(), ran)
}

fn not_judged(yard: &Yard, record: &str) -> String {
    on_books(yard, &["record", "show", record, "--json"]).json()["not_judged"].to_string()
}

/// Records that are kept in another order than they were done in: the later one is told of, and its amendment says it.
#[test]
fn a_record_kept_after_one_of_a_later_day_tells_of_that_one() {
    let yard = with_books();
    let (second, _) = done_on(&yard, "2026-07-09");
    assert_eq!(breaches(&yard, &second), [""; 0]);
    let (first, told) = done_on(&yard, "2026-07-07");
    assert!(told.stderr.contains("record::later-kept") && told.stderr.contains(&second), "{}", told.told());
    let amended = anew(&yard, &second, "one of an earlier day was kept since");
    assert!(amended.code == 0 && !amended.stderr.contains("record::later-kept"), "{}", amended.told());
    let told = breaches(&yard, &second);
    assert!(told.iter().any(|told| told == "perimeter breach::interval"), "{told:?}");
    // The last one has none after it.
    let (_, third) = done_on(&yard, "2026-08-20");
    assert!(!third.stderr.contains("record::later-kept"), "{}", third.stderr);
    // A day that is put right tells of those that counted the wrong one.
    yard.write("earlier.toml", "format = \"tussock.as-applied/1\"\ndate = 2026-06-02\n");
    let moved = ["record", "amend", &first, "--actual", "earlier.toml", "--clock=-05:00", "--reason", "wrong month"];
    let moved = on_books(&yard, &moved);
    assert!(moved.code == 0 && moved.stderr.contains(&second), "{}", moved.told());
    anew(&yard, &second, "the earlier one is of another day");
    let told = breaches(&yard, &second);
    assert!(!told.iter().any(|told| told == "perimeter breach::interval"), "the books disprove it: {told:?}");
}

/// Limits that count days before the books are complete are not judged by the books, and that is said.
#[test]
fn what_the_books_do_not_reach_is_told_as_not_judged() {
    let yard = with_books();
    let (second, _) = done_on(&yard, "2026-08-20");
    let (_, _) = done_on(&yard, "2026-07-07");
    assert!(!not_judged(&yard, &second).contains("limits over time"), "the visit's own history was whole");
    assert_eq!(anew(&yard, &second, "one of an earlier day was kept since").code, 0);
    let told = not_judged(&yard, &second);
    assert!(told.contains("limits over time that count days before 2026-07-07"), "{told}");
    // With books that are said to be whole, the cap is judged by them alone.
    let keep =
        ["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend", "--jurisdiction", "US-TX"];
    assert_eq!(on_books(&yard, &[&keep[..], &["--complete-since", "2025-01-01"]].concat()).code, 0);
    assert_eq!(anew(&yard, &second, "the books are whole").code, 0);
    assert!(!not_judged(&yard, &second).contains("limits over time"), "{}", not_judged(&yard, &second));
}

/// A mix that was left over whole is no application: not on the sheet, not in totals, not in the next plan.
#[test]
fn what_was_left_over_whole_was_not_applied() {
    let yard = with_books();
    let left = "[[task]]\nid = \"hedge\"\n[task.leftover]\nspray = \"1.2 gal\"\nway = \"handed-in\"\nbecame = \"x\"\n";
    yard.write(
        "left.toml",
        format!("format = \"tussock.as-applied/1\"\nstarted = \"07:05\"\nended = \"08:50\"\n{left}"),
    );
    let ran = on_books(&yard, &["record", VISIT, "--actual", "left.toml"]);
    assert!(ran.code == 0 && ran.stderr.contains("record::nothing-put-down"), "{}", ran.told());
    let hedge = on_books(&yard, &["record", "totals", "--json"]).stdout;
    assert!(hedge.contains("\"lawn\"") && !hedge.contains("\"hedge\""), "{hedge}");
    let planned = on_books(&yard, &["plan", VISIT, "--json"]).json();
    let of = |task: &str| -> String {
        let tasks = planned["tasks"].as_array().expect("tasks").iter();
        let of_task = tasks.filter(|one| one["id"] == task).map(|one| one["verdicts"].to_string());
        of_task.collect()
    };
    assert!(of("lawn").contains("limit::interval"), "{planned}");
    assert!(!of("hedge").contains("was applied on 2026-07-07"), "{}", of("hedge"));
}

/// What the plan refused of a use and was done all the same stands in the record, and an amendment does not take it away;
/// nor does it take away a limit over time that only the visit's own history showed to be passed.
#[test]
fn what_the_plan_refused_and_what_its_past_showed_outlive_an_amendment() {
    let yard = with_books();
    yard.change("demo/labels/brackwater-sc.toml", "[\"KS\", \"NC\", \"TX\"]", "[\"KS\", \"NC\"]");
    yard.change("demo/alder-bend/history.toml", "0.8 fl oz", "1.0 fl oz");
    let recorded = on_books(&yard, &["record", VISIT]);
    assert!(recorded.stderr.contains("is refused"), "{}", recorded.told());
    let told = breaches(&yard, "Alder Bend");
    for expected in ["lawn breach::use-registration", "perimeter breach::cap"] {
        assert!(told.iter().any(|told| told == expected), "{expected} in {told:?}");
    }
    let amend = |text: &str| {
        yard.write("later.toml", format!("format = \"tussock.as-applied/1\"\n{text}"));
        let words =
            ["record", "amend", "Alder Bend", "--actual", "later.toml", "--clock=-05:00", "--reason", "read again"];
        let amended = on_books(&yard, &words);
        assert_eq!(amended.code, 0, "{}", amended.told());
    };
    amend("client = \"A. Example (invented)\"\n");
    assert_eq!(breaches(&yard, "Alder Bend"), told);
    // Less was put down: what nobody can tell any more is not praised.
    amend(
        "[[task]]\nid = \"perimeter\"\n[[task.tank]]\nnumber = 1\nproduct = [{ label = \"brackwater-sc\", amount = \"12.8 mL\" }]\n",
    );
    let shown = on_books(&yard, &["record", "show", "Alder Bend"]).stdout;
    assert!(shown.contains("NOT JUDGED: perimeter: limits over time"), "{shown}");
    assert!(shown.contains("Label brackwater-sc") && !shown.contains("“”"), "{shown}");
    // And a version after that does not forget it.
    amend("client = \"B. Example (invented)\"\n");
    let shown = on_books(&yard, &["record", "show", "Alder Bend"]).stdout;
    assert!(shown.contains("NOT JUDGED: perimeter: limits over time"), "{shown}");
}

#[test]
fn an_export_says_what_is_not_in_it() {
    let yard = with_books();
    let told = on_books(&yard, &["record", "export", "everything"]);
    assert_eq!(told.code, 0, "{}", told.told());
    let readme = yard.read("everything/README.txt");
    for absent in ["sign-ins", "second factors", "audit trail", "requests asked for", "backup"] {
        assert!(told.stdout.contains(absent) && readme.contains(absent), "{absent}: {} {readme}", told.told());
    }
    let document = on_books(&yard, &["record", "export", "again", "--json"]).json();
    assert_eq!((&document["errors"], &document["problems"][0]["code"]), (&0.into(), &"record::not-exported".into()));
}

/// An inspector is told all of it: on the screen, and on a paper that is found again by its hash.
#[test]
fn a_record_is_shown_whole_and_on_paper() {
    let yard = with_books();
    assert_eq!(
        on_books(&yard, &["record", VISIT, "--actual", "demo/alder-bend/as-applied.toml", "--by", "J. Example"]).code,
        0
    );
    let kept = on_books(&yard, &["record", "export", "everything"]);
    assert_eq!(kept.code, 0, "{}", kept.told());
    let shown = on_books(&yard, &["record", "show", "Alder Bend", "--on", "2026-07-08", "--pdf", "papers/record.pdf"]);
    assert_eq!(shown.code, 0, "{}", shown.told());
    let entries = yard.read("everything/entries.jsonl");
    let hash = |text: &str| -> Option<String> {
        let at = text.find("hash")?;
        text[at..].split_whitespace().nth(1).map(str::to_owned)
    };
    let told = hash(&shown.stdout).expect("a hash");
    assert!(told.len() == 64 && entries.contains(&told), "{told} in {entries}");
    // What is told is the same every time, but for the name, the time and the hash of the entry.
    let masked = shown.stdout.lines().map(|line| {
        let mut line = line.to_owned();
        if line.contains("hash") || line.contains(&told) || line.starts_with("Alder Bend on") {
            line = line.chars().map(|c| if c.is_ascii_hexdigit() { '#' } else { c }).collect();
        }
        line
    });
    insta::assert_snapshot!("record-show", masked.collect::<Vec<_>>().join("\n"));
    let pdf = std::fs::read(yard.path("papers/record.pdf")).expect("a paper");
    assert!(pdf.starts_with(b"%PDF-"));
    // The same version is the same paper; the document stays what is kept.
    let json = on_books(&yard, &["record", "show", "Alder Bend", "--on", "2026-07-08", "--json", "--pdf", "again.pdf"]);
    assert_eq!((json.code, json.json()["format"].as_str()), (0, Some("tussock.record/1")), "{}", json.told());
    assert!(std::fs::read(yard.path("again.pdf")).expect("a paper") == pdf);
    // An earlier version shows what it said.
    yard.write("later.toml", "format = \"tussock.as-applied/1\"\nunexpected = \"a spill on the walk, taken up\"\n");
    let amend = ["record", "amend", "Alder Bend", "--actual", "later.toml", "--reason", "the spill was left out"];
    assert_eq!(on_books(&yard, &amend).code, 0);
    let version = |number: &str| on_books(&yard, &["record", "show", "Alder Bend", "--version", number]).stdout;
    assert!(version("2").contains("a spill on the walk") && !version("1").contains("a spill on the walk"));
}

#[test]
fn a_record_lacking_fields_is_a_draft_and_says_what_and_by_whose_rule() {
    let yard = with_books();
    let ran = on_books(&yard, &["record", VISIT]);
    assert_eq!(ran.code, 0);
    assert!(ran.stdout.contains("Standing: a draft by the rules of US-TX"), "{}", ran.stdout);
    assert!(ran.stdout.contains("confirm local law"), "{}", ran.stdout);
    let refused = on_books(&yard, &["record", "discard", "Alder Bend", "--reason", "no room", "--json"]);
    assert_eq!((refused.code, refused.json()["problems"][0]["code"].as_str()), (1, Some("trade::retention")));
}

#[test]
fn tampering_with_the_file_is_found_and_named() {
    let yard = with_books();
    assert_eq!(on_books(&yard, &["record", VISIT]).code, 0);
    let sound = on_books(&yard, &["record", "verify", "--json"]);
    assert_eq!((sound.code, sound.json()["findings"].as_array().map(Vec::len)), (0, Some(0)), "{}", sound.told());
    let noted = format!("{}:{}", sound.json()["head_sequence"], sound.json()["head_hash"].as_str().expect("a hash"));
    assert_eq!(on_books(&yard, &["record", "verify", "--noted", &noted]).code, 0);

    // A day in a kept label, changed in the bytes of the file.
    let mut bytes = std::fs::read(yard.path("lawns.db")).expect("the books");
    let kept = b"\"compared_on\": \"2026-03-01\"";
    let at = bytes.windows(kept.len()).position(|window| window == kept).expect("the text of the body");
    bytes[at + kept.len() - 2] = b'2';
    std::fs::write(yard.path("lawns.db"), bytes).expect("the books");
    let found = on_books(&yard, &["record", "verify", "--json"]);
    assert_eq!(found.code, 3, "{}", found.told());
    let findings: Vec<Value> = found.json()["findings"].as_array().expect("a list").clone();
    assert_eq!(findings.len(), 1, "{findings:?}");
    assert!(findings[0]["found"].as_str().is_some_and(|words| words.contains('2')), "the second entry: {findings:?}");
}

#[test]
fn an_export_taken_in_elsewhere_is_the_same() {
    let yard = with_books();
    assert_eq!(on_books(&yard, &["record", VISIT]).code, 0);
    assert_eq!(on_books(&yard, &["record", "export", "everything"]).code, 0);
    let ran = yard.run(&["record", "import", "everything", "--books", "other.db"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    for command in [&["record", "verify", "--json"][..], &["record", "list", "--json"], &["stock", "list", "--json"]] {
        let there = yard.run(&[command, &["--books", "other.db"][..]].concat());
        assert_eq!(there.stdout, on_books(&yard, command).stdout, "{command:?}");
    }
    assert_eq!(yard.run(&["record", "export", "again", "--books", "other.db"]).code, 0);
    for file in ["entries.jsonl", "manifest.json"] {
        assert_eq!(yard.read(&format!("again/{file}")), yard.read(&format!("everything/{file}")), "{file}");
    }
    // Taken in once only.
    assert_eq!(yard.run(&["record", "import", "everything", "--books", "other.db"]).code, 1);
    // Beside an account that is called so already, under another name.
    let client = r#"{"format":"tussock.kept-client/1","name":"A. Client"}"#;
    yard.write("client.json", client);
    assert_eq!(yard.run(&["client", "keep", "client.json", "--books", "third.db"]).code, 0);
    let ran = yard.run(&["record", "import", "everything", "--books", "third.db"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(ran.stderr.contains("ledger::account-exists") && ran.stderr.contains("--as NAME"), "{}", ran.stderr);
    let ran = yard.run(&["record", "import", "everything", "--as", "north yard", "--books", "third.db"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    let there = yard.run(&["record", "list", "--json", "--account", "north yard", "--books", "third.db"]);
    assert_eq!(there.stdout, on_books(&yard, &["record", "list", "--json"]).stdout);
}

#[test]
fn a_refused_import_leaves_no_books_behind() {
    let yard = with_books();
    assert_eq!(on_books(&yard, &["record", "export", "everything"]).code, 0);
    yard.change("everything/entries.jsonl", "Alder Bend", "Alder Bent");
    let ran = yard.run(&["record", "import", "everything", "--books", "other.db"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(!yard.path("other.db").exists());
    // Books that were there stay, with what they hold.
    let ran = on_books(&yard, &["record", "import", "everything", "--as", "other"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert_eq!(on_books(&yard, &["record", "verify"]).code, 0);
}

#[test]
fn a_backup_restored_is_the_same_books() {
    let yard = with_books();
    assert_eq!(on_books(&yard, &["record", VISIT]).code, 0);
    assert_eq!(on_books(&yard, &["record", "backup", "copy.db"]).code, 0);
    let kept = on_books(&yard, &["record", "list", "--json"]).stdout;
    // What is kept afterwards is not in it.
    yard.write("client.json", r#"{"format":"tussock.kept-client/1","name":"A. Client"}"#);
    assert_eq!(on_books(&yard, &["client", "keep", "client.json"]).code, 0);
    assert_eq!(yard.run(&["record", "restore", "copy.db", "--books", "restored.db"]).code, 0);
    let there = |command: &[&str]| yard.run(&[command, &["--books", "restored.db"][..]].concat());
    assert_eq!(there(&["record", "list", "--json"]).stdout, kept);
    assert_eq!(there(&["record", "verify"]).code, 0);
    assert!(!there(&["client", "list"]).stdout.contains("A. Client"));
    // Neither takes the place of what is there, and of no books there is no backup.
    assert_eq!(yard.run(&["record", "restore", "copy.db", "--books", "restored.db"]).code, 1);
    assert_eq!(on_books(&yard, &["record", "backup", "copy.db"]).code, 1);
    let ran = yard.run(&["record", "backup", "none.db", "--books", "absent.db"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    assert!(ran.stderr.contains("ledger::no-ledger"), "{}", ran.stderr);
    assert!(!yard.path("absent.db").exists() && !yard.path("none.db").exists());
}

#[test]
fn parts_of_a_request_may_come_from_the_books() {
    let yard = with_books();
    yard.change(VISIT, "property = \"property.geojson\"", "property = \"books:property/Alder Bend\"");
    yard.change(VISIT, "equipment = \"equipment.toml\"", "equipment = \"books:equipment/hand pump\"");
    yard.change(VISIT, "\"../labels/brackwater-sc.toml\"", "\"books:label/brackwater-sc\"");
    let ran = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    yard.change(VISIT, "books:equipment/hand pump", "books:equipment/hose");
    let ran = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("visit::unread-file")));
    assert!(ran.stderr.contains("equipment/hand pump"), "{}", ran.stderr);
}

/// The request of a kept visit comes from the books, with the files that were kept with it.
#[test]
fn a_kept_visit_is_planned_and_recorded_by_its_name() {
    let yard = with_books();
    yard.change(VISIT, "property = \"property.geojson\"", "property = \"books:property/Alder Bend\"");
    assert_eq!(on_books(&yard, &["visit", "keep", VISIT]).code, 0);
    let of_file = on_books(&yard, &["plan", VISIT, "--json"]);
    std::fs::remove_dir_all(yard.path("demo")).expect("the files are gone");
    let ran = on_books(&yard, &["plan", "books:visit/alder bend", "--json"]);
    assert_eq!((ran.code, &ran.stdout), (of_file.code, &of_file.stdout), "{}", ran.told());
    let ran = yard.run(&["plan", "books:visit/Alder Bend", "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("books::not-named")));
    let ran = on_books(&yard, &["plan", "books:visit/Elsewhere", "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("trade::unknown-name")));
    assert!(ran.stderr.contains("`Alder Bend`"), "{}", ran.stderr);

    let kept = on_books(&yard, &["visit", "list", "--json"]).json()["things"][0]["thing"].clone();
    let ran = on_books(&yard, &["record", "books:visit/Alder Bend 2026-07-07", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    let record = on_books(&yard, &["record", "show", "Alder Bend", "--json"]).json();
    assert_eq!(record["visit"]["reference"], kept, "{}", record["visit"]);
    let shown = on_books(&yard, &["record", "show", "Alder Bend"]).stdout;
    assert!(shown.replace('\n', "").contains(kept.as_str().expect("a name")), "{shown}");
}

#[test]
fn of_kept_visits_of_one_name_the_day_tells_which() {
    let yard = with_books();
    assert_eq!(on_books(&yard, &["visit", "keep", VISIT]).code, 0);
    // Recorded from its file, the visit is the kept one of its name and day.
    assert_eq!(on_books(&yard, &["record", VISIT]).code, 0);
    let record = on_books(&yard, &["record", "show", "Alder Bend", "--json"]).json();
    let kept = on_books(&yard, &["visit", "list", "--json"]).json()["things"][0]["thing"].clone();
    assert_eq!(record["visit"]["reference"], kept);
    yard.change(VISIT, "date = 2026-07-07", "date = 2026-09-07");
    assert_ne!(on_books(&yard, &["visit", "keep", VISIT]).code, 1);
    let ran = on_books(&yard, &["plan", "books:visit/Alder Bend", "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("trade::several")));
    assert!(ran.stderr.contains("`books:visit/Alder Bend 2026-09-07`"), "{}", ran.stderr);
    let ran = on_books(&yard, &["plan", "books:visit/Alder Bend 2026-09-07", "--json"]);
    assert_eq!(ran.json()["date"], "2026-09-07", "{}", ran.told());
}

/// Labels are registered state by state: the visit is planned where the books say that the property lies.
#[test]
fn a_visit_is_planned_where_the_books_say_that_the_property_lies() {
    let yard = Yard::with_demo();
    let lies_in = |place: &str| {
        let keep = ["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend", "--jurisdiction"];
        assert_eq!(on_books(&yard, &[&keep[..], &[place]].concat()).code, 0);
    };
    lies_in("US-KS");
    let sound = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!(sound.code, 0, "{}", sound.told());
    assert!(!sound.stderr.contains("trade::other-place"), "{}", sound.stderr);
    // Not said by the visit, it is known from the books all the same.
    yard.change(VISIT, "state = \"KS\"\n", "");
    let silent = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!((silent.code, &silent.stdout), (0, &sound.stdout), "{}", silent.told());
    assert!(yard.run(&["plan", VISIT, "--json"]).stdout.contains("registration in the state is not known"));

    lies_in("US-OH");
    let elsewhere = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!(elsewhere.code, 3, "{}", elsewhere.told());
    assert!(elsewhere.stdout.contains("is not registered in OH"), "{}", elsewhere.stdout);
    assert!(!elsewhere.stderr.contains("trade::other-place"), "{}", elsewhere.stderr);
    yard.change(VISIT, "property = ", "state = \"KS\"\nproperty = ");
    let crossed = on_books(&yard, &["plan", VISIT, "--json"]);
    assert_eq!((crossed.code, &crossed.stdout), (3, &elsewhere.stdout), "{}", crossed.told());
    for part in ["trade::other-place", "US-OH", "correct `state` or leave it out"] {
        assert!(crossed.stderr.contains(part), "{part} in {}", crossed.stderr);
    }
    // What was done is kept, and judged by the same place.
    let ran = on_books(&yard, &["record", VISIT]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stderr.contains("trade::other-place"), "{}", ran.stderr);
}

#[test]
fn a_shortage_is_told_and_the_record_kept() {
    let yard = Yard::with_demo();
    let receive = ["stock", "receive", "brackwater-sc", "--lot", "A-17", "--amount", "1 fl oz", "--on", "2026-03-02"];
    assert_eq!(on_books(&yard, &receive).code, 0);
    let ran = on_books(&yard, &["record", VISIT, "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert_eq!(ran.json()["problems"][0]["code"], "stock::below-nothing");
    assert!(left_ml(&yard) < 0.0);
}

#[test]
fn a_lot_is_held_against_its_label_and_its_day() {
    let yard = with_books();
    let receive = |label: &str, lot: &str, amount: &str, on: &str| {
        on_books(&yard, &["stock", "receive", label, "--lot", lot, "--amount", amount, "--on", on, "--json"])
    };
    let problem = |ran: &Ran| ran.json()["problems"][0]["code"].as_str().unwrap_or("none").to_owned();
    for (amount, on, code) in [("2 lb", "2026-03-02", "stock::other-measure"), ("1 qt", "2999-01-01", "stock::not-yet")]
    {
        let ran = receive("brackwater-sc", "B-1", amount, on);
        assert_eq!((ran.code, problem(&ran)), (1, code.to_owned()), "{}", ran.told());
    }
    let ran = receive("gravelhome-gr", "G-1", "50 lb", "2026-03-02");
    assert_eq!((ran.code, problem(&ran)), (0, "stock::unknown-label".to_owned()), "{}", ran.told());
    // A lot that came after the day on which it was used is told with the record and in the list.
    assert_eq!(receive("brackwater-sc", "B-2", "1 qt", "2026-07-20").code, 0);
    yard.write(
        "as-applied.toml",
        "format = \"tussock.as-applied/1\"\n[[task]]\nid = \"lawn\"\nlot = [{ label = \"brackwater-sc\", numbers = [\"B-2\"] }]\n",
    );
    let ran = on_books(&yard, &["record", VISIT, "--actual", "as-applied.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stdout.contains("stock::before-receipt"), "{}", ran.stdout);
    assert!(on_books(&yard, &["stock", "list"]).stderr.contains("stock::before-receipt"));
}

/// A person whose certificate is for other work is not sent, whatever the product.
#[test]
fn a_visit_is_refused_to_people_without_the_authority() {
    let yard = with_books();
    let person = |category: &str| {
        serde_json::json!({ "format": "tussock.kept-person/1", "name": "J. Example", "certificates": [{
            "number": "TX-00000", "jurisdiction": "US-TX", "categories": [category], "valid_until": "2026-12-31" }] })
        .to_string()
    };
    yard.write("person.json", person("aquatic"));
    assert_eq!(on_books(&yard, &["person", "keep", "person.json"]).code, 0);
    let refused = on_books(&yard, &["plan", VISIT, "--no-pdf"]);
    assert_eq!(refused.code, 3, "{}", refused.told());
    assert!(refused.stderr.contains("authority::outside-category"), "{}", refused.stderr);
    // The visit says it itself, so that every file and paper made of it does.
    let visit: Value = serde_json::from_str(&yard.read("out/alder-bend/visit.json")).expect("JSON");
    let said = |visit: &Value, rule: &str, status: &str| {
        let verdicts = visit["verdicts"].as_array().expect("verdicts");
        verdicts.iter().any(|verdict| verdict["rule"] == rule && verdict["status"] == status)
    };
    assert_eq!(visit["verdict"], "refused");
    assert!(said(&visit, "authority::outside-category", "refused"), "{visit}");
    // What was done is kept all the same, and its answer says so.
    let kept = on_books(&yard, &["record", VISIT, "--json"]);
    assert_eq!(kept.code, 0, "{}", kept.told());
    let codes = kept.json()["problems"].to_string();
    assert!(codes.contains("authority::outside-category"), "{codes}");
    yard.write("person.json", person("ornamental-and-turf"));
    assert_eq!(planned_by_the_person(&yard, &["--no-pdf"]).code, 0);
    // A certificate past its day is a doubt where the products are for general use.
    yard.write("person.json", person("ornamental-and-turf").replace("2026-12-31", "2026-07-06"));
    let doubted = planned_by_the_person(&yard, &["--json"]);
    assert_eq!(doubted.code, 0, "{}", doubted.told());
    assert!(said(&doubted.json(), "authority::not-certified", "caution"), "{}", doubted.stdout);
}

/// Plans the visit with books that keep its person and nothing done yet.
fn planned_by_the_person(yard: &Yard, more: &[&str]) -> Ran {
    let _ = std::fs::remove_file(yard.path("people.db"));
    for arguments in [
        &["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend", "--jurisdiction", "US-TX"][..],
        &["person", "keep", "person.json"],
    ] {
        let ran = yard.run(&[arguments, &["--books", "people.db"][..]].concat());
        assert_eq!(ran.code, 0, "{}", ran.told());
    }
    yard.run(&[&["plan", VISIT, "--books", "people.db"][..], more].concat())
}

/// What was left over is told with the places that may take it.
#[test]
fn a_leftover_is_told_with_where_it_may_go() {
    let yard = with_books();
    let actual = "format = \"tussock.as-applied/1\"\n[[task]]\nid = \"lawn\"\n[task.leftover]\nspray = \"0.2 gal\"\n";
    yard.write("actual.toml", actual);
    let ran = on_books(&yard, &["record", VISIT, "--actual", "actual.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stdout.contains("left over of lawn: 0.200 gal"), "{}", ran.stdout);
    assert!(ran.stdout.contains("may take") || ran.stdout.contains("never pour it out"), "{}", ran.stdout);
}

/// What cannot have been is not kept, not by an amendment and not by a document either; what is unlikely is told once.
#[test]
fn what_cannot_have_been_is_not_kept() {
    let yard = with_books();
    let head = "format = \"tussock.as-applied/1\"\n";
    yard.write(
        "slip.toml",
        format!("{head}[weather.start]\nwind = \"9 mph\"\ngust = \"5 mph\"\ntemperature = \"72 °C\"\n"),
    );
    let slip = on_books(&yard, &["record", VISIT, "--actual", "slip.toml", "--json"]);
    let codes = |ran: &Ran| -> Vec<String> {
        let problems = ran.json()["problems"].as_array().expect("problems").clone();
        problems.iter().map(|problem| problem["code"].as_str().expect("a code").to_owned()).collect()
    };
    assert_eq!(
        (slip.code, codes(&slip)),
        (1, vec!["record::gust-below-wind".to_owned(), "record::temperature".to_owned()])
    );
    assert!(on_books(&yard, &["record", "list"]).stdout.contains("keep no record"));

    yard.write("cold.toml", format!("{head}[weather.start]\ntemperature = \"20 °F\"\n"));
    let cold = on_books(&yard, &["record", VISIT, "--actual", "cold.toml"]);
    assert_eq!((cold.code, cold.stderr.matches("record::temperature").count()), (0, 1), "{}", cold.told());
    // The sprayer is kept: its tank holds 2 gallons.
    yard.write("more.toml", format!("{head}[[task]]\nid = \"lawn\"\n[[task.tank]]\nnumber = 1\nspray = \"3 gal\"\n"));
    let amend = ["record", "amend", "Alder Bend", "--clock=-05:00", "--reason", "read again", "--json"];
    let more = on_books(&yard, &[&amend[..], &["--actual", "more.toml"]].concat());
    assert_eq!((more.code, codes(&more)), (1, vec!["record::overfilled".to_owned()]));
    let mut document = on_books(&yard, &["record", "show", "Alder Bend", "--json"]).json();
    document["weather_at_start"]["temperature_cel"] = serde_json::json!({ "recorded": 99.0 });
    yard.write("document.json", document.to_string());
    let by_document = on_books(&yard, &[&amend[..], &["--document", "document.json"]].concat());
    assert_eq!((by_document.code, codes(&by_document)), (1, vec!["record::temperature".to_owned()]));
    // The record of one property that becomes that of another is told, and the choice of a record names the days.
    document["weather_at_start"]["temperature_cel"] = serde_json::json!({ "recorded": 20.0 });
    document["property"] = "Heron Lane".into();
    yard.write("document.json", document.to_string());
    let moved = on_books(&yard, &[&amend[..], &["--document", "document.json"]].concat());
    assert!(moved.code == 0 && moved.stderr.contains("record::other-property"), "{}", moved.told());
    let unknown = on_books(&yard, &["record", "show", "Nobody's"]);
    assert!(unknown.code == 1 && unknown.stderr.contains("` of 2026-"), "{}", unknown.told());
}

/// What ends where no label allows it is kept with a caution, told once, before and after it is kept.
#[test]
fn a_leftover_that_was_poured_out_gets_a_caution() {
    let yard = with_books();
    let actual = "format = \"tussock.as-applied/1\"\ndisposal = \"rinse water down the storm drain\"\n[[task]]\nid = \
                  \"lawn\"\n[task.leftover]\nspray = \"0.2 gal\"\nbecame = \"poured on the driveway\"\n";
    yard.write("actual.toml", actual);
    let asked = yard.run(&["record", "leftover", VISIT, "--left", "0.1 gal", "--actual", "actual.toml"]);
    let kept = on_books(&yard, &["record", VISIT, "--actual", "actual.toml"]);
    for ran in [&asked, &kept] {
        assert_eq!(ran.stderr.matches("record::poured-out").count(), 2, "{}", ran.told());
        for words in ["`storm drain`", "`poured on`", "disposal programme", "within the rate"] {
            assert!(ran.stderr.contains(words), "{words} in {}", ran.told());
        }
    }
    assert_eq!(kept.code, 0, "{}", kept.told());
    assert!(asked.stdout.contains("not into a"), "{}", asked.stdout);
    // The typed way stands in the record.
    let way = actual
        .replace("poured on the driveway", "in the closed, labelled tank\"\nway = \"kept")
        .replace(" down the storm drain", " into the next mix");
    yard.write("way.toml", way);
    let amended = on_books(
        &yard,
        &["record", "amend", "Alder Bend", "--actual", "way.toml", "--clock=-05:00", "--reason", "asked again"],
    );
    assert_eq!((amended.code, amended.stderr.contains("poured-out")), (0, false), "{}", amended.told());
    let shown = on_books(&yard, &["record", "show", "Alder Bend"]).stdout;
    assert!(shown.contains("kept for the next use: in"), "{shown}");
    let document = on_books(&yard, &["record", "show", "Alder Bend", "--json"]).json();
    assert_eq!(document["leftover"]["recorded"][0]["became"]["recorded"]["kept"], "in the closed, labelled tank");
}

#[test]
fn nothing_is_kept_where_no_books_are_named() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["record", "list", "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("books::not-named")));
}

/// The words of a line as a shell reads them: blanks part them, double quotes hold them together.
fn words_of(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut is_quoted = false;
    for c in line.chars() {
        match c {
            '"' => is_quoted = !is_quoted,
            ' ' if !is_quoted => words.push(String::new()),
            c => words.last_mut().expect("a word").push(c),
        }
    }
    words
}

#[test]
fn the_commands_that_the_document_tells_run_in_their_order() {
    const DOCUMENT: &str = include_str!("../../../docs/records.md");
    let yard = Yard::with_demo();
    let person = DOCUMENT.split("```json\n").nth(1).and_then(|rest| rest.split("```").next()).expect("a person");
    yard.write("person.json", person);
    let mut count = 0;
    for block in DOCUMENT.split("```sh\n").skip(1) {
        for line in block.split("```").next().expect("a block").lines() {
            let words = words_of(line);
            let arguments: Vec<&str> = words.iter().map(String::as_str).collect();
            assert_eq!(arguments[0], "tussock", "{line}");
            let ran = yard.run(&arguments[1..]);
            assert_eq!(ran.code, 0, "{line}\n{}", ran.told());
            count += 1;
        }
    }
    assert!(count >= 15, "{count} commands");
    // The lot that the day's file names was drawn on, and the books stayed sound.
    assert!(
        yard.read("totals.geojson").starts_with("{\"features\":[{") || yard.read("totals.geojson").contains("Feature")
    );
}

/// A notice is a fact, and so is that it came too late: told wherever the standing of the record is.
#[test]
fn a_notice_that_came_too_late_is_told_and_the_record_is_none_the_less_complete() {
    let yard = in_state("NY");
    let keep = ["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend"];
    assert_eq!(on_books(&yard, &[&keep[..], &["--jurisdiction", "US-NY"]].concat()).code, 0);
    let notices = |sign: &str, neighbour: &str| {
        let one =
            |to: &str, how: &str, given: &str| format!("[[notice]]\nto = \"{to}\"\nhow = \"{how}\"\ngiven = {given}\n");
        format!(
            "format = \"tussock.as-applied/1\"\nstarted = 2026-07-07T07:05:00-05:00\nended = 2026-07-07T08:50:00-05:00\n{}{}",
            one("front lawn", "sign", sign),
            one("12 Invented Lane", "by letter", neighbour)
        )
    };
    yard.write("in-time.toml", notices("2026-07-07T07:00:00-05:00", "2026-07-05T07:05:00-05:00"));
    let ran = on_books(&yard, &["record", VISIT, "--actual", "in-time.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(!ran.stdout.to_lowercase().contains("too late"), "{}", ran.stdout);
    yard.write("late.toml", notices("2026-07-07T07:10:00-05:00", "2026-07-05T07:06:00-05:00"));
    let amend = ["record", "amend", "Alder Bend", "--actual", "late.toml", "--reason", "told later"];
    assert_eq!(on_books(&yard, &amend).code, 0);
    let shown = on_books(&yard, &["record", "show", "Alder Bend"]).stdout;
    let shown = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "Too late: the sign at front lawn (sign) was put up at 2026-07-07 07:10; demanded is the sign by 2026-07-07 07:05 \
         at the latest (ny-lawn-marker-regulation",
        "Too late: the notice to 12 Invented Lane (by letter) was given at 2026-07-05 07:06; demanded is notice to every \
         abutting neighbour by 2026-07-05 07:05 at the latest (ny-abutting-notice; only where",
    ] {
        assert!(shown.contains(part), "{part} in {shown}");
    }
    let listed = on_books(&yard, &["record", "list", "--json"]).json()["records"][0].clone();
    let rules: Vec<&str> = listed["late"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|one| one["demanded_by"]["rule"].as_str())
        .collect();
    assert_eq!(rules, ["ny-lawn-marker-regulation", "ny-abutting-notice"]);
    let fields = listed["lacking"].as_array().expect("a list").iter().filter_map(|one| one["any_of"].as_array());
    assert!(fields.flatten().all(|field| field != "notices-given"), "{listed}");
    assert!(on_books(&yard, &["record", "list"]).stdout.contains("; 2 notices too late"));
    // On paper as well.
    assert_eq!(on_books(&yard, &["record", "show", "Alder Bend", "--pdf", "record.pdf"]).code, 0);
}
