//! `tussock demo` and `tussock plan`, end to end.

mod support;

use std::collections::BTreeSet;
use support::Yard;

const FILES: [&str; 6] = ["work-sheet.pdf", "map.svg", "hours.svg", "visit.json", "zones.geojson", "calendar.ics"];
const VISIT: &str = "demo/alder-bend/visit.toml";

/// A rate on the band that breaks the cap of the year.
fn refuse(yard: &Yard) {
    yard.change(VISIT, "\"0.55 fl oz/1,000 sq ft\"", "\"0.8 fl oz/1,000 sq ft\"");
}

#[test]
fn the_demo_needs_nothing_and_writes_everything() {
    let yard = Yard::empty();
    let ran = yard.run(&["demo"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    insta::assert_snapshot!("demo", ran.told());
    for file in FILES {
        assert!(yard.path("out/demo").join(file).is_file(), "{file}");
    }
    let pdf = std::fs::read(yard.path("out/demo/work-sheet.pdf")).expect("a file");
    assert!(pdf.starts_with(b"%PDF-"));
    for file in ["quotation", "client-sheet", "posting-sign", "neighbour-notice-1", "neighbour-notice-2"] {
        assert!(yard.path("out/demo").join(file).with_extension("pdf").is_file(), "{file}");
    }
    assert!(yard.read("out/demo/map.svg").starts_with("<svg") || yard.read("out/demo/map.svg").starts_with("<?xml"));
    assert!(yard.read("out/demo/calendar.ics").starts_with("BEGIN:VCALENDAR\r\n"));
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let yard = Yard::with_demo();
    assert_eq!(yard.run(&["plan", VISIT, "--out", "one"]).code, 0);
    assert_eq!(yard.run(&["plan", VISIT, "--out", "two"]).code, 0);
    for file in FILES {
        let read = |folder: &str| std::fs::read(yard.path(folder).join(file)).expect("a file");
        assert!(read("one") == read("two"), "{file}");
    }
}

/// The demo that the command carries along is the one in the repository.
#[test]
fn the_demo_is_the_visit_in_the_repository() {
    let yard = Yard::with_demo();
    let planned = yard.run(&["plan", VISIT, "--json"]);
    let demo = yard.run(&["demo", "--json", "--no-pdf"]);
    assert_eq!(planned.stdout, demo.stdout);
}

#[test]
fn json_is_one_document_and_writes_nothing_unasked() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["plan", VISIT, "--json"]);
    assert_eq!(ran.code, 0);
    assert_eq!(ran.json()["format"], "tussock.visit/1");
    assert!(!yard.path("out").exists());
    let ran = yard.run(&["plan", VISIT, "--json", "--out", "here", "--no-pdf"]);
    assert_eq!(ran.stdout, yard.read("here/visit.json"));
    assert!(!yard.path("here/work-sheet.pdf").exists());
}

#[test]
fn without_a_folder_the_answers_go_where_the_visit_is_named() {
    let yard = Yard::with_demo();
    assert_eq!(yard.run(&["plan", VISIT, "--no-pdf"]).code, 0);
    assert!(yard.path("out/alder-bend/visit.json").is_file());
}

#[test]
fn a_refusal_has_code_3_its_sentence_and_its_mend() {
    let yard = Yard::with_demo();
    refuse(&yard);
    let ran = yard.run(&["plan", VISIT, "--out", "refused", "--no-pdf"]);
    assert_eq!(ran.code, 3, "{}", ran.told());
    insta::assert_snapshot!("refused", ran.told());
    assert!(!yard.path("refused/calendar.ics").exists());
    let ran = yard.run(&["plan", VISIT, "--json"]);
    assert_eq!((ran.code, ran.json()["verdict"].as_str()), (3, Some("refused")));
}

#[test]
fn words_can_begin_with_metric_units() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["plan", VISIT, "--no-pdf", "--units", "metric"]);
    assert!(ran.stdout.contains("742 m² (7,988 sq ft)"), "{}", ran.stdout);
}

#[test]
fn no_answer_is_called_what_it_cannot_be() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["plan", VISIT, "--out", "out"]);
    let mut texts = vec![ran.stdout, ran.stderr];
    texts.extend(["map.svg", "hours.svg", "calendar.ics"].map(|file| yard.read(&format!("out/{file}"))));
    for text in texts {
        let words: BTreeSet<String> =
            text.to_lowercase().split(|c: char| !c.is_alphabetic()).map(str::to_owned).collect();
        assert!(!words.contains("safe") && !words.contains("safely"), "{text}");
    }
}

#[test]
fn a_folder_is_planned_whole_whatever_is_wrong_in_it() {
    let yard = Yard::with_demo();
    let request = yard.read(VISIT);
    yard.write("demo/alder-bend/second.toml", &request);
    yard.write("demo/alder-bend/broken.visit.toml", request.replace("date = 2026", "dat = 2026"));
    refuse(&yard);
    let ran = yard.run(&["plan", "demo", "--out", "all", "--no-pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    let summary = ran.stdout.lines().last().expect("a line");
    assert!(
        summary.starts_with("4 visits: 0 allowed, 2 with cautions") && summary.contains("1 refused, 1 with bad input"),
        "{summary}"
    );
    // Each visit has a folder of its own, and only requests are planned.
    assert!(yard.path("all/alder-bend/visit.json").is_file());
    assert!(yard.path("all/alder-bend/second/visit.json").is_file());
    assert!(!yard.path("all/alder-bend/broken.visit").exists());
    assert!(!yard.path("all/labels").exists());
    assert!(ran.stderr.contains("demo/alder-bend/broken.visit.toml"), "{}", ran.stderr);

    let json = yard.run(&["plan", "demo", "--json"]);
    let document = json.json();
    assert_eq!(json.code, 1);
    assert_eq!(document["summary"]["visits"], 4);
    let visits = document["visits"].as_array().expect("a list");
    let files: Vec<&str> = visits.iter().filter_map(|visit| visit["file"].as_str()).collect();
    let expected = ["broken.visit.toml", "second.toml", "spots.visit.toml", "visit.toml"];
    let expected = expected.map(|name| format!("demo/alder-bend/{name}"));
    assert_eq!(files, expected, "in the order of their names");
    assert_eq!(visits[3]["verdict"], "refused");
    assert!(visits[0]["problems"].as_array().is_some_and(|problems| !problems.is_empty()));
}

/// A visit that was meant is never passed over because its file cannot be understood.
#[test]
fn what_cannot_be_told_for_a_request_is_reported() {
    let yard = Yard::with_demo();
    let request = yard.read(VISIT);
    let line = "format = \"tussock.visit-request/1\"";
    let add = |name: &str, from: &str, to: &str| {
        assert!(request.contains(from), "{from}");
        yard.write(&format!("demo/alder-bend/{name}.toml"), request.replace(from, to));
    };
    yard.write("demo/alder-bend/byte-order-mark.toml", format!("\u{feff}{request}"));
    add("quoted-key", "format =", "\"format\" =");
    add("misspelt", "tussock.visit-request/1", "tussock.visit-reqest/1");
    add("misspelt-project", "tussock.visit-request/1", "tusock.visit-request/1");
    add("misspelt-key", "format =", "fromat =");
    add("without-format", line, "");
    let latin = request.replace("J. Example", "J. Ex\u{e4}mple").chars().map(|c| c as u32 as u8).collect::<Vec<_>>();
    std::fs::write(yard.path("demo/alder-bend/latin.toml"), latin).expect("a file");
    let ran = yard.run(&["plan", "demo/alder-bend", "--out", "all", "--no-pdf"]);
    assert_eq!(ran.code, 1, "{}", ran.told());
    let summary = ran.stdout.lines().last().expect("a line");
    assert!(summary.starts_with("9 visits") && summary.contains("5 with bad input"), "{summary}");
    for name in ["misspelt", "misspelt-project", "misspelt-key", "without-format", "latin"] {
        assert!(ran.stderr.contains(&format!("{name}.toml")), "{}", ran.stderr);
    }
    for name in ["byte-order-mark", "quoted-key"] {
        assert!(yard.path("all").join(name).join("visit.json").is_file(), "{name}: {}", ran.told());
    }
}

/// Warnings of a visit, and what is wrong with the folder itself, stand in the document too.
#[test]
fn the_document_of_a_folder_holds_every_problem() {
    let yard = Yard::with_demo();
    // A history that does not say since when it is complete is warned of.
    yard.change("demo/alder-bend/history.toml", "\ncomplete_since = ", "\n# complete since ");
    let single = yard.run(&["plan", VISIT, "--json"]);
    let warnings = single.stderr.matches("warning[").count();
    assert!(warnings > 0, "{}", single.told());
    let document = yard.run(&["plan", "demo/alder-bend", "--json"]).json();
    assert_eq!(document["visits"][0]["problems"].as_array().map(Vec::len), Some(warnings), "{}", single.stderr);
    assert_eq!(document["problems"], serde_json::json!([]));
    yard.write("nothing/notes.txt", "no visit");
    let ran = yard.run(&["plan", "nothing", "--json"]);
    assert_eq!((ran.code, ran.json()["problems"][0]["code"].as_str()), (1, Some("plan::no-visits")));
}

/// A lawful sheet of an earlier run never lies beside a later refusal.
#[test]
fn nothing_of_an_earlier_run_is_left_beside_a_refusal() {
    let yard = Yard::with_demo();
    assert_eq!(yard.run(&["plan", VISIT, "--out", "here"]).code, 0);
    refuse(&yard);
    assert_eq!(yard.run(&["plan", VISIT, "--out", "here", "--no-pdf"]).code, 3);
    assert!(!yard.path("here/work-sheet.pdf").exists() && !yard.path("here/calendar.ics").exists());
}

#[test]
fn an_answer_that_is_lost_is_told() {
    let Ok(full) = std::fs::OpenOptions::new().write(true).open("/dev/full") else { return };
    let yard = Yard::with_demo();
    let ran = std::process::Command::new(env!("CARGO_BIN_EXE_tussock"))
        .args(["plan", VISIT, "--json"])
        .current_dir(yard.path(""))
        .stdout(full)
        .output()
        .expect("a run");
    assert_eq!(ran.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&ran.stderr).contains("could not be written"));
}

#[test]
fn two_versions_of_a_label_are_compared() {
    let yard = Yard::with_demo();
    let older = "demo/labels/brackwater-sc.toml";
    let newer = yard
        .read(older)
        .replace("Do not irrigate treated areas for 24 hours", "Do not irrigate treated areas for 48 hours");
    yard.write("newer.toml", newer.replace("prohibited_for = \"24 h\"", "prohibited_for = \"48 h\""));
    let ran = yard.run(&["label", "compare", older, "newer.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(ran.stdout.starts_with("1 difference\n") && ran.stdout.contains("for 48 hours"), "{}", ran.stdout);
    let json = yard.run(&["label", "compare", older, "newer.toml", "--json"]).json();
    assert_eq!(json["differences"][0]["subject"], "restraints.irrigation");
    assert!(yard.run(&["label", "compare", older, older]).stdout.starts_with("the two labels say the same"));
    assert_eq!(yard.run(&["label", "compare", older, "none.toml"]).code, 1);
}

#[test]
fn the_worst_visit_of_a_folder_gives_the_code() {
    let yard = Yard::with_demo();
    assert_eq!(yard.run(&["plan", "demo", "--out", "a", "--no-pdf"]).code, 0);
    refuse(&yard);
    assert_eq!(yard.run(&["plan", "demo", "--out", "b", "--no-pdf"]).code, 3);
    yard.write("nothing/notes.txt", "no visit");
    let ran = yard.run(&["plan", "nothing"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("plan::no-visits"), "{}", ran.told());
}

#[test]
fn many_visits_are_planned_in_bundles() {
    let yard = Yard::with_demo();
    let request = yard.read(VISIT);
    for index in 0..300 {
        yard.write(&format!("demo/alder-bend/many/{index:03}.visit.toml"), request.replace("\"../", "\"../../"));
    }
    for file in ["property.geojson", "equipment.toml", "forecast.csv", "history.toml"] {
        yard.write(&format!("demo/alder-bend/many/{file}"), yard.read(&format!("demo/alder-bend/{file}")));
    }
    let ran = yard.run(&["plan", "demo/alder-bend/many", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let document = ran.json();
    assert_eq!(document["summary"]["visits"], 300);
    let visits = document["visits"].as_array().expect("a list");
    assert!(visits.windows(2).all(|pair| pair[0]["file"].as_str() < pair[1]["file"].as_str()));
}

/// A folder of visits with the books: each is planned with what lies on its ground, and none sees the others.
#[test]
fn a_folder_is_planned_with_the_books() {
    let yard = Yard::with_demo();
    let request = yard.read("demo/alder-bend/visit.toml").replace("../labels", "../demo/labels");
    for (name, date) in [("a", "2026-07-07"), ("b", "2026-07-07"), ("c", "2026-09-30")] {
        let request = request.replace("date = 2026-07-07", &format!("date = {date}"));
        let request = ["property.geojson", "equipment.toml", "forecast.csv", "history.toml"]
            .into_iter()
            .fold(request, |text, file| {
                text.replace(&format!("\"{file}\""), &format!("\"../demo/alder-bend/{file}\""))
            });
        yard.write(&format!("visits/{name}.visit.toml"), request);
    }
    let plan = |more: &[&str]| yard.run(&[&["plan", "visits", "--no-pdf", "--json"], more].concat());
    let verdicts = |ran: &support::Ran| -> Vec<String> {
        let visits = ran.json()["visits"].as_array().expect("visits").clone();
        visits.iter().map(|visit| visit["verdict"].as_str().expect("a verdict").to_owned()).collect()
    };
    // A slip in the name of the books must not look like books without a record.
    let slip = plan(&["--books", "lawns.db"]);
    assert!(slip.code == 1 && slip.told().contains("ledger::no-ledger"), "{}", slip.told());
    assert!(!yard.path("lawns.db").exists());
    let kept = yard.run(&["equipment", "keep", "demo/alder-bend/equipment.toml", "--name", "p", "--books", "lawns.db"]);
    assert_eq!(kept.code, 0, "{}", kept.told());
    let before = plan(&["--books", "lawns.db"]);
    assert!(verdicts(&before).iter().take(2).all(|verdict| verdict != "refused"), "{}", before.told());
    assert_eq!(yard.run(&["record", "demo/alder-bend/visit.toml", "--books", "lawns.db"]).code, 0);
    let after = plan(&["--books", "lawns.db", "--out", "first"]);
    assert_eq!(after.code, 3, "{}", after.told());
    assert_eq!(verdicts(&after)[..2], ["refused", "refused"], "{}", after.told());
    // Without the books nothing lies there; the variable stands for them.
    assert_eq!(verdicts(&plan(&[])), verdicts(&before));
    let by_variable = yard.run_where("lawns.db", &["plan", "visits", "--no-pdf", "--json", "--out", "first"]);
    assert_eq!(by_variable.stdout, after.stdout);
    // The same bytes as alone, whichever comes first.
    for name in ["a", "b", "c"] {
        let alone = yard.run(&["plan", &format!("visits/{name}.visit.toml"), "--books", "lawns.db", "--json"]);
        assert_eq!(alone.stdout, yard.read(&format!("first/{name}.visit/visit.json")), "{name}");
    }
    std::fs::rename(yard.path("visits/a.visit.toml"), yard.path("visits/z.visit.toml")).expect("a file");
    plan(&["--books", "lawns.db", "--out", "second"]);
    for (first, second) in [("a", "z"), ("b", "b"), ("c", "c")] {
        for file in ["visit.json", "map.svg", "zones.geojson"] {
            let read = |folder: &str, name: &str| yard.read(&format!("{folder}/{name}.visit/{file}"));
            assert_eq!(read("first", first), read("second", second), "{first} {file}");
        }
    }
}

/// Who may not do the work is refused in a folder, too, and the visit that names them is told.
#[test]
fn people_without_the_authority_refuse_the_visits_of_a_folder() {
    let yard = Yard::with_demo();
    let person = serde_json::json!({ "format": "tussock.kept-person/1", "name": "J. Example", "certificates": [{
        "number": "KS-00000", "jurisdiction": "US-KS", "categories": ["aquatic"], "valid_until": "2026-12-31" }] });
    yard.write("person.json", person.to_string());
    assert_eq!(yard.run(&["person", "keep", "person.json", "--books", "lawns.db"]).code, 0);
    let ran = yard.run(&["plan", "demo/alder-bend", "--no-pdf", "--json", "--books", "lawns.db"]);
    assert_eq!(ran.code, 3, "{}", ran.told());
    let visits = ran.json();
    let visits = visits["visits"].as_array().expect("visits");
    let visit = visits.iter().find(|visit| visit["file"] == "demo/alder-bend/visit.toml").expect("the visit");
    assert_eq!(visit["verdict"], "refused");
    let told =
        visit["problems"].as_array().expect("problems").iter().find(|one| one["code"] == "authority::outside-category");
    assert_eq!(told.expect("the reason")["file"], "demo/alder-bend/visit.toml", "{visit}");
}
