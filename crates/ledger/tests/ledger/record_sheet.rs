//! A record as those who live there are told of it.

use exchange::visit_file::parse_visit;
use jiff::civil::date;
use ledger::trade::applied_of;
use record::{ApplicationRecord, Fact, Moment, Parties, from_visit};
use std::path::Path;

fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/alder-bend").join(name);
    std::fs::read_to_string(path).expect("the demo is there")
}

fn demo_record() -> ApplicationRecord {
    let mut fetch = |name: &str| Ok(demo(name));
    let (request, _) = parse_visit("visit.toml", &demo("visit.toml"), &mut fetch).expect("the demo is sound");
    from_visit(&treatment::plan(&request).expect("a plan"), &request, &Parties::default())
}

/// Somebody without a certificate applied: the number on the record is of whoever answers for it.
#[test]
fn whose_hands_it_was_and_who_answers_are_both_told() {
    let mut record = demo_record();
    let at = |hour| Moment { local: date(2026, 7, 7).at(hour, 0, 0, 0), offset: jiff::tz::offset(-5) };
    (record.started, record.ended) = (Fact::Recorded(at(7)), Fact::Recorded(at(9)));
    let people = |record: &ApplicationRecord| -> Vec<(String, Option<String>)> {
        let told = applied_of(record, None).expect("what was applied");
        told.by.into_iter().map(|one| (one.name, one.certification)).collect()
    };
    let (own, number) = ("J. Example".to_owned(), Some("KS-00000".to_owned()));
    assert_eq!(people(&record), [(own.clone(), number.clone())]);
    record.noncertified_applicator = Fact::Recorded("T. Example".to_owned());
    let hand = ("T. Example".to_owned(), None);
    assert_eq!(people(&record), [hand.clone(), (own.clone(), number.clone())]);
    record.applicator = record.noncertified_applicator.clone();
    record.supervisor = Fact::Recorded(own.clone());
    assert_eq!(people(&record), [hand, (own, number)]);
    // Without its times nothing can be counted from the end.
    (record.started, record.ended) = (Fact::Absent, Fact::DoesNotArise);
    let problems = applied_of(&record, None).expect_err("no times");
    assert_eq!(problems.iter().map(|problem| problem.code).collect::<Vec<_>>(), ["record::no-time"; 2]);
}
