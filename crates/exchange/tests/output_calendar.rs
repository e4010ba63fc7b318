//! `calendar.ics` against RFC 5545.

mod output_support;

use exchange::calendar::write_calendar;
use output_support::{demo, refused};
use std::collections::{BTreeMap, BTreeSet};

/// Name with parameters, and value with its escapes taken off (section 3.3.11).
type Entry = BTreeMap<String, String>;

/// The events of a calendar, read by the grammar of section 3.1 alone.
fn events(text: &str) -> Vec<Entry> {
    let unfolded = text.replace("\r\n ", "");
    let mut events = Vec::new();
    let mut open: Option<Entry> = None;
    for line in unfolded.split_terminator("\r\n") {
        let (name, value) = line.split_once(':').unwrap_or_else(|| panic!("no colon in `{line}`"));
        match (name, value, &mut open) {
            ("BEGIN", "VEVENT", None) => open = Some(Entry::new()),
            ("END", "VEVENT", _) => events.extend(open.take()),
            (_, _, Some(event)) => {
                let twice = event.insert(name.to_owned(), unescaped(value));
                assert_eq!(twice, None, "`{name}` stands twice");
            }
            _ => {}
        }
    }
    assert_eq!(open, None, "every event is closed");
    events
}

fn unescaped(value: &str) -> String {
    let mut out = String::new();
    let mut characters = value.chars();
    while let Some(c) = characters.next() {
        match (c, if c == '\\' { characters.next() } else { None }) {
            ('\\', Some('n' | 'N')) => out.push('\n'),
            ('\\', Some(escaped @ ('\\' | ';' | ','))) => out.push(escaped),
            ('\\', other) => panic!("`{other:?}` is no escape"),
            (plain, _) => out.push(plain),
        }
    }
    out
}

fn subject<'a>(events: &'a [Entry], part: &str) -> &'a Entry {
    let found = events.iter().find(|event| event["UID"].contains(part));
    found.unwrap_or_else(|| panic!("no entry {part}"))
}

/// Section 3.1: lines end with CR LF and have at most 75 octets without it; a fold is CR LF and one
/// blank.
#[test]
fn lines_are_folded_and_ended_as_the_standard_says() {
    let text = write_calendar(&demo()).unwrap();
    assert!(text.ends_with("END:VCALENDAR\r\n"));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(!line.contains('\r'));
    }
    let folded = text.split("\r\n").filter(|line| line.starts_with(' ')).count();
    assert!(folded > 0, "long descriptions are folded");
}

/// Section 3.6: product and version; 3.6.1: every event has an identifier and a stamp.
#[test]
fn what_must_be_there_is_there() {
    let text = write_calendar(&demo()).unwrap();
    assert!(text.starts_with("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:"));
    let events = events(&text);
    let uids: BTreeSet<&str> = events.iter().map(|event| event["UID"].as_str()).collect();
    assert_eq!(uids.len(), events.len(), "identifiers are unique");
    for event in &events {
        // The stamp is the visit's date at midnight on the place, five hours behind universal time.
        assert_eq!(event["DTSTAMP"], "20260707T050000Z");
    }
}

#[test]
fn the_times_are_those_of_the_visit() {
    let visit = demo();
    let events = events(&write_calendar(&visit).unwrap());
    let start = subject(&events, "start-window");
    // 07:00 and 09:20 at five hours behind universal time.
    assert_eq!(start["DTSTART"], "20260707T120000Z");
    assert_eq!(start["DTEND"], "20260707T142000Z");
    assert!(start["DESCRIPTION"].contains("07:00 to 09:20"));
    let repeat = subject(&events, "earliest-repeat-lawn");
    assert_eq!(repeat["DTSTART;VALUE=DATE"], "20260728");
    // Keeping off "until dry" has no hour, irrigation prohibited for a time has one.
    let has = |part: &str| events.iter().any(|event| event["UID"].contains(part));
    assert_eq!(has("keep-off-end"), visit.keep_off.not_before.is_some());
    assert_eq!(has("first-irrigation"), visit.irrigation.first_permitted.is_some());
}

#[test]
fn a_refused_visit_asks_nobody_to_start() {
    assert_eq!(write_calendar(&refused()), None);
}

#[test]
fn names_cannot_break_out_of_their_line() {
    let mut visit = demo();
    visit.name = "Alder; Bend, \\ \r\nEND:VCALENDAR\r\nX-EVIL:1 é\u{1F41D}".to_owned();
    let text = write_calendar(&visit).unwrap();
    assert_eq!(text.matches("END:VCALENDAR\r\n").count(), 1);
    assert!(!text.contains("\r\nX-EVIL"));
    let visit_events = events(&text);
    assert_eq!(visit_events.len(), events(&write_calendar(&demo()).unwrap()).len());
    let summary = &subject(&visit_events, "start-window")["SUMMARY"];
    assert!(summary.starts_with("Alder; Bend, \\ ") && summary.contains("é\u{1F41D}"), "{summary}");
    for line in text.split("\r\n") {
        assert!(line.len() <= 75, "{line}");
    }
}

#[test]
fn the_same_visit_gives_the_same_bytes() {
    assert_eq!(write_calendar(&demo()), write_calendar(&demo()));
}
