//! `tussock cost`, `quote` and `notice`, end to end.

mod support;

use support::{Ran, Yard};

const VISIT: &str = "demo/alder-bend/visit.toml";
const CLIENT: &str = "demo/alder-bend/client.toml";
const BUSINESS: &str = "demo/business.toml";

fn run(yard: &Yard, command: &str, more: &[&str]) -> Ran {
    yard.run(&[&[command, VISIT, "--business", BUSINESS, "--client", CLIENT][..], more].concat())
}

fn refuse(yard: &Yard) {
    yard.change(VISIT, "\"0.55 fl oz/1,000 sq ft\"", "\"0.8 fl oz/1,000 sq ft\"");
}

#[test]
fn a_cost_shows_its_working_and_its_total() {
    let yard = Yard::with_demo();
    let ran = run(&yard, "cost", &[]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    insta::assert_snapshot!("cost", ran.told());
    let json = run(&yard, "cost", &["--json", "--lot", "brackwater-sc=B-2601", "--people", "2"]);
    let document = json.json();
    assert_eq!((json.code, document["format"].as_str()), (0, Some("tussock.cost/1")));
    let cents =
        |text: &serde_json::Value| -> i64 { text.as_str().expect("a text").replace('.', "").parse().expect("cents") };
    let lines: i64 = document["lines"].as_array().expect("lines").iter().map(|line| cents(&line["amount"])).sum();
    assert_eq!(lines, cents(&document["total"]), "the lines are the total");
}

#[test]
fn a_lot_of_a_label_that_the_visit_does_not_use_is_a_slip() {
    let yard = Yard::with_demo();
    for command in ["cost", "quote"] {
        let ran = run(&yard, command, &["--lot", "brackwatr-sc=B-2601"]);
        assert_eq!((ran.code, ran.stdout.as_str()), (1, ""), "{}", ran.told());
        assert!(ran.stderr.contains("cost::unused-label") && ran.stderr.contains("brackwater-sc"), "{}", ran.stderr);
        assert!(!ran.stderr.contains("business.toml"), "the business file is right: {}", ran.stderr);
    }
}

#[test]
fn what_has_no_price_is_told_and_is_not_quoted() {
    let yard = Yard::with_demo();
    yard.change(BUSINESS, "label = \"brackwater-sc\"", "label = \"another\"");
    let ran = yard.run(&["cost", VISIT, "--business", BUSINESS]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    assert!(
        ran.stdout.contains("Without a price") && ran.stdout.contains("WITHOUT what has no price"),
        "{}",
        ran.stdout
    );
    let quoted = run(&yard, "quote", &["--out", "here", "--no-pdf"]);
    assert_eq!(quoted.code, 1, "{}", quoted.told());
    assert!(quoted.stderr.contains("quotation::without-price"), "{}", quoted.stderr);
    assert!(!yard.path("here").exists());
}

#[test]
fn a_quotation_is_written_and_told() {
    let yard = Yard::with_demo();
    let arguments = ["--issued", "2026-06-30", "--number", "2026-17", "--out", "here"];
    let ran = run(&yard, "quote", &arguments);
    assert_eq!(ran.code, 0, "{}", ran.told());
    insta::assert_snapshot!("quote", ran.told());
    assert!(std::fs::read(yard.path("here/quotation.pdf")).expect("a file").starts_with(b"%PDF-"));
    let json = run(&yard, "quote", &["--issued", "2026-06-30", "--number", "2026-17", "--json"]);
    assert_eq!(json.stdout, yard.read("here/quotation.json"));
}

#[test]
fn notices_are_written_with_their_deadlines() {
    let yard = Yard::with_demo();
    let ran = run(&yard, "notice", &["--out", "here"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    insta::assert_snapshot!("notice", ran.told());
    for name in ["client-sheet", "posting-sign", "neighbour-notice-1", "neighbour-notice-2"] {
        let pdf = std::fs::read(yard.path(&format!("here/{name}.pdf"))).expect(name);
        assert!(pdf.starts_with(b"%PDF-"), "{name}");
    }
    let json = run(&yard, "notice", &["--json"]);
    assert_eq!(json.stdout, yard.read("here/demands.json"));
    // A neighbour who asks no more gets none, and the notice of the run before is gone.
    yard.change(CLIENT, "asked_for_notice = true", "asked_for_notice = false");
    assert_eq!(run(&yard, "notice", &["--out", "here", "--no-pdf"]).code, 0);
    assert!(!yard.path("here/neighbour-notice-1.pdf").exists());
}

#[test]
fn rules_of_another_place_are_those_of_the_client() {
    let yard = Yard::with_demo();
    yard.change(CLIENT, "telephone =", "jurisdiction = \"US-OH\"\ntelephone =");
    let ran = run(&yard, "notice", &["--no-pdf", "--out", "here"]);
    assert_eq!(ran.code, 0, "{}", ran.told());
    // Read without the breaks of lines, which fall where the terminal ends.
    let words = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in ["twenty-four hours following lawn application", "Monday 2026-07-06 07:00", "confirm local law"] {
        assert!(words.contains(part), "{part} in {words}");
    }
}

/// A refused visit has no cost, no price and no notice; a treatment is not quoted before identification.
#[test]
fn what_is_refused_or_not_identified_has_no_papers() {
    let yard = Yard::with_demo();
    refuse(&yard);
    for command in ["cost", "quote", "notice"] {
        let ran = run(&yard, command, &[]);
        assert_eq!(ran.code, 3, "{command}: {}", ran.told());
        assert!(ran.stdout.contains("REFUSED"), "{}", ran.stdout);
        let json = run(&yard, command, &["--json"]);
        assert_eq!((json.code, json.json()["format"].as_str()), (3, Some("tussock.quotation-refused/1")), "{command}");
    }
    assert!(!yard.path("out").exists());
    let yard = Yard::with_demo();
    yard.change(VISIT, "pest = \"grasshopper\"", "pest = \"insects\"");
    let ran = run(&yard, "quote", &[]);
    assert_eq!(ran.code, 3, "{}", ran.told());
}

/// What the books refuse has no paper: what was applied counts, and who may not do the work is not offered for it.
#[test]
fn a_visit_that_the_books_refuse_has_no_papers() {
    let yard = Yard::with_demo();
    let books = ["--books", "lawns.db"];
    let keep =
        ["property", "keep", "demo/alder-bend/property.geojson", "--name", "Alder Bend", "--jurisdiction", "US-KS"];
    assert_eq!(yard.run(&[&keep[..], &books].concat()).code, 0);
    assert_eq!(run(&yard, "cost", &books).code, 0, "nothing was applied yet");
    assert_eq!(yard.run(&[&["record", VISIT][..], &books].concat()).code, 0);
    let refused_alike = |reason: &str| {
        let plan = yard.run(&[&["plan", VISIT, "--no-pdf"][..], &books].concat());
        assert_eq!(plan.code, 3, "{}", plan.told());
        let of_plan = plan.stdout.split("\n\nFound\n").next().expect("the verdicts").split("\nRefused\n").nth(1);
        let reasons = of_plan.expect("why it is refused");
        assert!(reasons.contains(reason), "{reasons}");
        for command in ["cost", "quote", "notice"] {
            for ran in [
                run(
                    &yard,
                    command,
                    &[&books[..], &["--out", "here"][..if command == "cost" { 0 } else { 2 }]].concat(),
                ),
                yard.run_where("lawns.db", &[command, VISIT, "--business", BUSINESS, "--client", CLIENT]),
            ] {
                assert_eq!(ran.code, 3, "{command}: {}", ran.told());
                assert!(ran.stdout.contains(reasons), "{command} says {}, and the plan {reasons}", ran.stdout);
            }
        }
        assert!(!yard.path("here").exists());
    };
    refused_alike("limit::interval");
    let person = serde_json::json!({ "format": "tussock.kept-person/1", "name": "J. Example", "certificates": [{
        "number": "KS-00000", "jurisdiction": "US-KS", "categories": ["aquatic"], "valid_until": "2026-12-31" }] });
    yard.write("person.json", person.to_string());
    assert_eq!(yard.run(&[&["person", "keep", "person.json"][..], &books].concat()).code, 0);
    refused_alike("authority::outside-category");
    // Without the books the same request has its price.
    assert_eq!(run(&yard, "cost", &[]).code, 0);
}

/// What was paid for the lot in the books is what product costs; the tariff is for what they do not keep.
#[test]
fn product_has_the_price_of_its_lot_in_the_books() {
    let yard = Yard::with_demo();
    let receive = |label: &str, lot: &str, price: &str, more: &[&str]| {
        let all = ["stock", "receive", label, "--lot", lot, "--amount", "1 qt", "--on", "2026-03-02", "--price", price];
        let ran = yard.run(&[&all[..], more, &["--books", "lawns.db"]].concat());
        assert_eq!(ran.code, 0, "{}", ran.told());
    };
    let line = |command: &str, more: &[&str]| {
        let ran = run(&yard, command, &[&["--books", "lawns.db", "--json"][..], more].concat());
        assert_eq!(ran.code, 0, "{}", ran.told());
        let line = ran.json()["lines"][0].clone();
        let from =
            line["inputs"].as_array().and_then(|all| all.iter().find(|one| one["name"] == "price from").cloned());
        (line["amount"].clone(), from.map_or(serde_json::Value::Null, |from| from["value"].clone()), ran.stderr)
    };
    receive("brackwater-sc", "A-17", "45.99 USD", &[]);
    // 45.99 × 109.2 mL / 946.35 mL.
    let (amount, from, told) = line("cost", &[]);
    assert_eq!((amount.as_str(), from.as_str()), (Some("5.31"), Some("lot A-17 in stock")), "{told}");
    assert!(!told.contains("cost::"), "{told}");
    let (_, from, told) = line("cost", &["--lot", "brackwater-sc=B-2601"]);
    assert_eq!(from, "tariff lot B-2601");
    assert!(told.contains("cost::unknown-lot") && told.contains("`A-17`"), "{told}");
    receive("brackwater-sc", "A-18", "90.00 USD", &["--use-until", "2026-12-31"]);
    let (amount, from, told) = line("cost", &[]);
    assert_eq!((amount.as_str(), from.as_str()), (Some("10.39"), Some("lot A-18 in stock")), "{told}");
    assert!(told.contains("cost::several-lots") && told.contains("--lot brackwater-sc=NUMBER"), "{told}");
    let (amount, from, told) = line("cost", &["--lot", "brackwater-sc=A-17"]);
    assert_eq!((amount.as_str(), from.as_str()), (Some("5.31"), Some("lot A-17 in stock")), "{told}");
    assert!(!told.contains("cost::several-lots"), "{told}");
    // A quotation is made of the same cost.
    let quoted = |lot: &str| {
        let ran = run(&yard, "quote", &["--books", "lawns.db", "--json", "--lot", &format!("brackwater-sc={lot}")]);
        assert_eq!(ran.code, 0, "{}", ran.told());
        ran.json()["total"].as_str().expect("a total").to_owned()
    };
    assert_ne!(quoted("A-17"), quoted("A-18"));
    // Without books the tariff counts as it did.
    let ran = run(&yard, "cost", &[]);
    assert!(ran.stdout.contains("price from tariff lot B-2604"), "{}", ran.stdout);
}

#[test]
fn everything_wrong_in_every_file_is_told_at_once() {
    let yard = Yard::with_demo();
    yard.change(VISIT, "band_width = \"3 ft\"", "band_width = \"3 gal\"");
    yard.change(BUSINESS, "hourly = \"58.00\"", "hourly = \"$58\"");
    yard.change(BUSINESS, "rules-invented.toml", "rules-missing.toml");
    let ran = run(&yard, "cost", &[]);
    assert_eq!((ran.code, ran.stdout.as_str()), (1, ""), "{}", ran.told());
    for code in ["band_width", "money::amount"] {
        assert!(ran.stderr.contains(code), "{code} in {}", ran.stderr);
    }
    yard.change(BUSINESS, "hourly = \"$58\"", "hourly = \"58\"");
    let ran = run(&yard, "cost", &["--json"]);
    assert!(ran.stderr.contains("file::missing"), "{}", ran.stderr);
    assert_eq!(ran.json()["format"], "tussock.problems/1");
}
