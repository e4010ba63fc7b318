//! `tussock season`: the demo's programme with its files, a conflict, and counts that decide on the day.

mod support;

use support::Yard;

#[test]
fn the_demo_has_a_proven_programme_with_picture_page_and_calendar() {
    let yard = Yard::with_demo();
    let ran = yard.run(&["season", "demo/alder-bend/season.toml", "--gap", "0", "--out", "out/season"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("Proven: no lawful programme gains more."), "{}", ran.stdout);
    assert!(ran.stdout.contains("A planned date is a date to scout"), "{}", ran.stdout);
    assert!(ran.stdout.contains("without brackwater-sc: gains"), "{}", ran.stdout);
    let svg = yard.read("out/season/season.svg");
    assert!(svg.contains("lawn-granules") && svg.contains("Dates to scout"));
    let calendar = yard.read("out/season/season.ics");
    assert!(calendar.contains("BEGIN:VEVENT") && calendar.contains("Treat only where counts call for it"));
    assert!(yard.path("out/season/season.pdf").is_file());
    let json = yard.run(&["season", "demo/alder-bend/season.toml", "--gap", "0", "--json"]);
    assert_eq!(json.stdout, yard.read("out/season/season.json"));
    let read = json.json();
    assert_eq!(read["format"], "tussock.season-programme/1");
    assert_eq!(read["programme"]["proof"]["status"], "optimal");
}

#[test]
fn pins_closer_than_the_interval_are_told_as_a_conflict() {
    let yard = Yard::with_demo();
    let season = yard.read("demo/alder-bend/season.toml");
    let pins = "\n[[pin]]\ndate = 2026-06-01\nground = \"lawn\"\nuse = \"lawn-spray\"\n\n[[pin]]\ndate = 2026-06-15\nground = \"lawn\"\nuse = \"lawn-spray\"\n";
    yard.write("demo/alder-bend/season.toml", season + pins);
    let ran = yard.run(&["season", "demo/alder-bend/season.toml"]);
    assert_eq!(ran.code, 3, "{}", ran.stderr);
    assert!(ran.stdout.contains("irreducible") && ran.stdout.contains("21 days"), "{}", ran.stdout);
    let json = yard.run(&["season", "demo/alder-bend/season.toml", "--json"]).json();
    assert_eq!(json["conflict"]["rules"].as_array().map(Vec::len), Some(3), "{json}");
}

#[test]
fn a_visit_counted_below_the_threshold_is_dropped() {
    let yard = Yard::with_demo();
    let season = yard.read("demo/alder-bend/season.toml");
    let dates = |yard: &Yard| {
        let json = yard.run(&["season", "demo/alder-bend/season.toml", "--json", "--no-what-if"]).json();
        let visits = json["programme"]["visits"].as_array().expect("visits").clone();
        visits.iter().map(|visit| visit["date"].as_str().expect("a date").to_owned()).collect::<Vec<_>>()
    };
    let first = dates(&yard).first().cloned().expect("a visit");
    let count = format!("\n[[count]]\ndate = {first}\nground = \"lawn\"\npest = \"chinch bug\"\nfound = 0.2\n");
    yard.write("demo/alder-bend/season.toml", season + &count);
    assert!(!dates(&yard).contains(&first));
}

#[test]
fn everything_wrong_in_a_season_file_is_told_at_once_with_its_place() {
    let yard = Yard::with_demo();
    let season = yard.read("demo/alder-bend/season.toml");
    let broken = season
        .replace("row = \"perimeter\"", "row = \"perimetre\"")
        .replace("rate = \"0.4 fl oz/1,000 sq ft\"\ncost", "rate = \"0.6 fl oz/1,000 sq ft\"\ncost")
        .replace("why = \"client\"", "why = \"cleint\"");
    yard.write("demo/alder-bend/season.toml", broken);
    let ran = yard.run(&["season", "demo/alder-bend/season.toml"]);
    assert_eq!(ran.code, 1, "{}", ran.stdout);
    for told in ["season::unknown-row", "season::rate", "toml::unknown-word", "did you mean `client`"] {
        assert!(ran.stderr.contains(told), "{told} in {}", ran.stderr);
    }
}
