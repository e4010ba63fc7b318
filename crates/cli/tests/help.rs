//! Help texts, completions and manual pages.

mod support;

use support::Yard;

const COMMANDS: &[&[&str]] = &[
    &[],
    &["demo"],
    &["plan"],
    &["hours"],
    &["water"],
    &["mow"],
    &["stages"],
    &["weather"],
    &["weather", "fetch"],
    &["season"],
    &["cost"],
    &["quote"],
    &["notice"],
    &["measure"],
    &["calibrate"],
    &["calibrate", "test-area"],
    &["calibrate", "timed-catch"],
    &["calibrate", "acre-128"],
    &["calibrate", "spreader"],
    &["calibrate", "speed"],
    &["calibrate", "nozzle"],
    &["mix"],
    &["choose"],
    &["label"],
    &["label", "check"],
    &["label", "compare"],
    &["label", "keep"],
    &["record"],
    &["record", "list"],
    &["record", "show"],
    &["record", "amend"],
    &["record", "verify"],
    &["record", "totals"],
    &["record", "near"],
    &["record", "leftover"],
    &["record", "sheet"],
    &["record", "discard"],
    &["record", "export"],
    &["record", "import"],
    &["record", "backup"],
    &["record", "restore"],
    &["stock"],
    &["stock", "receive"],
    &["stock", "adjust"],
    &["stock", "list"],
    &["property"],
    &["property", "keep"],
    &["property", "list"],
    &["property", "show"],
    &["client"],
    &["client", "keep"],
    &["person"],
    &["person", "keep"],
    &["equipment"],
    &["equipment", "keep"],
    &["business"],
    &["business", "keep"],
    &["survey"],
    &["survey", "keep"],
    &["visit"],
    &["visit", "keep"],
    &["serve"],
    &["serve", "owner"],
    &["completions"],
    &["man"],
];

#[test]
fn every_help_text_has_an_example_and_the_care_sentences() {
    let yard = Yard::empty();
    for command in COMMANDS {
        let ran = yard.run(&[command, &["--help"][..]].concat());
        assert_eq!((ran.code, ran.stderr.as_str()), (0, ""), "{command:?}");
        assert!(ran.stdout.contains("Examples:\n  tussock "), "{command:?}");
        // Read without the breaks of lines, which fall where the terminal ends.
        let words = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
        for sentence in ["the label is the law", "local law and licensed practice govern", "poison centre", "spills"] {
            assert!(words.contains(sentence), "{command:?}: {sentence}");
        }
        assert!(!words.to_lowercase().contains("safe"), "{command:?}: nothing is called that");
        let name = if command.is_empty() { "tussock".to_owned() } else { command.join("-") };
        insta::assert_snapshot!(format!("help-{name}"), ran.stdout);
    }
}

#[test]
fn wrong_use_is_told_with_code_2() {
    let yard = Yard::empty();
    for arguments in [
        &[][..],
        &["plan"],
        &["hours"],
        &["water"],
        &["stages", "annual-bluegrass-weevil"],
        &["stages", "--weather", "station.csv"],
        &["plann", "visit.toml"],
        &["plan", "visit.toml", "--fast"],
        &["measure"],
        &["measure", "map.geojson", "--circle", "12 ft"],
        &["mix", "--rate", "0.4 oz/1,000 sq ft", "--tank", "2 gal", "--graduation", "0.2 mL"],
        &["calibrate", "test-area", "--area", "250 gal", "--refill", "53 fl oz"],
    ] {
        let ran = yard.run(arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}", ran.told());
        assert_eq!(ran.stdout, "", "{arguments:?}");
    }
    insta::assert_snapshot!(
        "wrong-use-ounces",
        yard.run(&["mix", "--rate", "0.4 oz/1,000 sq ft", "--tank", "2 gal", "--graduation", "0.2 mL"]).told()
    );
}

#[test]
fn completions_are_made_for_every_shell() {
    let yard = Yard::empty();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let ran = yard.run(&["completions", shell]);
        assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
        assert!(ran.stdout.contains("tussock") && ran.stdout.contains("calibrate"), "{shell}");
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let yard = Yard::empty();
    assert_eq!(yard.run(&["man", "pages"]).code, 0);
    for command in COMMANDS {
        let name = [&["tussock"][..], command].concat().join("-");
        let page = yard.read(&format!("pages/{name}.1"));
        assert!(page.contains(".SH NAME") && page.contains("label is the law"), "{name}");
    }
    assert_eq!(yard.run(&["man"]).stdout, yard.read("pages/tussock.1"));
}
