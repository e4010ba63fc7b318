//! Rule files: every field is read, told and none other; two files are one set; no text makes the
//! reader panic.

use exchange::rule_file::{fields_asked, parse_rules, shipped};
use jiff::civil::date;
use jurisdiction::{CompleteBy, Demand, Ground, NoticeItem, NoticePeriod, Recipient, Removal, SignEdge};
use proptest::prelude::*;
use quantity::{Length, LengthUnit};
use std::num::NonZeroU16;

const EVERY_FIELD: &str = include_str!("rule_every_field.toml");
const DOCUMENT: &str = include_str!("../../../docs/jurisdiction-rules.md");

#[test]
fn every_field_is_read() {
    let (set, problems) = parse_rules([("every.toml", EVERY_FIELD)]).unwrap();
    assert!(problems.is_empty(), "{problems}");
    let [record, kept, sign, neighbours, client, report] = set.rules() else { panic!("six rules") };
    assert_eq!(record.jurisdiction.to_string(), "US-OH");
    assert_eq!(record.in_force.first(), Some(date(2020, 1, 1)));
    assert_eq!(record.in_force.last(), Some(date(2030, 12, 31)));
    assert_eq!(kept.in_force.first(), None);
    assert!(record.applies[0].ground.iter().eq(&[Ground::Turf, Ground::Ornamental]));
    assert_eq!(record.only_where.as_deref(), Some("the town has adopted it"));
    assert_eq!(record.source.note.as_deref(), Some("Invented."));
    let ten = NonZeroU16::new(10).unwrap();
    let Demand::Record(fields) = &record.demand else { panic!("{:?}", record.demand) };
    assert_eq!((fields.fields().len(), fields.complete_by), (2, Some(CompleteBy::Days(ten))));
    let Demand::Retention(retention) = &kept.demand else { panic!("{:?}", kept.demand) };
    assert_eq!(retention.until(date(2026, 7, 7)), date(2028, 7, 1), "eighteen months of a 31st end the day after");
    let Demand::Posting(posting) = &sign.demand else { panic!("{:?}", sign.demand) };
    let height = posting.height.unwrap();
    let inches = |value| Length::new(value, LengthUnit::Inch);
    assert_eq!(
        (height.edge(), height.lowest(), height.highest()),
        (SignEdge::Bottom, Some(inches(6.0)), Some(inches(18.0)))
    );
    assert_eq!(posting.least_size.map(|size| (size.short(), size.long())), Some((inches(4.0), inches(5.0))));
    assert_eq!(posting.removal, Some(Removal::Hours(NonZeroU16::new(24).unwrap())));
    let Demand::AdvanceNotice(notice) = &neighbours.demand else { panic!("{:?}", neighbours.demand) };
    assert_eq!(notice.to, Recipient::Abutting);
    assert_eq!(notice.before, NoticePeriod::BusinessDays(NonZeroU16::new(2).unwrap()));
    assert_eq!(notice.contains, [NoticeItem::Product, NoticeItem::Words("KEEP OFF".to_owned())]);
    assert!(matches!(&client.demand, Demand::CustomerNotice(notice) if notice.contains.len() == 2));
    assert_eq!(report.demand, Demand::Duty);
}

#[test]
fn every_field_is_told_in_the_document() {
    let fields = fields_asked(EVERY_FIELD);
    assert!(fields.len() > 40, "only {fields:?}");
    for field in &fields {
        let name = field.rsplit(['.']).next().unwrap().trim_end_matches("[]");
        let told = [format!("`{name}`"), format!("[rule.{name}]"), format!("{name} = "), format!("[[{name}]]")];
        assert!(told.iter().any(|told| DOCUMENT.contains(told)), "`{field}` is not told");
    }
    let words = jurisdiction::RecordField::ALL.iter().map(|field| field.word());
    for word in words.chain(NoticeItem::ALL.iter().filter_map(NoticeItem::word)) {
        assert!(DOCUMENT.contains(&format!("`{word}`")), "`{word}` is not told");
    }
}

#[test]
fn a_name_used_in_two_files_is_refused_with_both_places() {
    let problems = parse_rules([("one.toml", EVERY_FIELD), ("other.toml", EVERY_FIELD)]).unwrap_err();
    assert_eq!(problems.len(), 6);
    let first = problems.iter().next().unwrap();
    assert_eq!((first.code, first.place.file.as_deref()), ("rules::named-twice", Some("other.toml")));
    assert!(first.found.contains("`rule[1]` in `one.toml`"), "{first}");
}

#[test]
fn what_is_wrong_in_several_files_is_told_at_once() {
    let problems = parse_rules([("a.toml", "format = \n"), ("b.toml", "format = \"tussock.rules/1\"\n")]).unwrap_err();
    let files: Vec<_> = problems.iter().filter_map(|problem| problem.place.file.as_deref()).collect();
    assert!(files.contains(&"a.toml") && files.contains(&"b.toml"), "{problems}");
}

fn sound() -> &'static str {
    shipped()[0].1
}

proptest! {
    #[test]
    fn any_text(text in "(?s).{0,300}") {
        let _ = parse_rules([("x", text.as_str())]);
    }

    /// A sound file with one piece cut out and another put in.
    #[test]
    fn a_damaged_file(
        of_every in any::<bool>(), from in 0..4000_usize, length in 0..60_usize,
        put in "(|0|-1|99999|1e300|nan|\"\"|'é'|\\[|\\}|\n|\\[\\[rule\\]\\]\n)",
    ) {
        let whole = if of_every { EVERY_FIELD } else { sound() };
        let from = whole.floor_char_boundary(from.min(whole.len()));
        let to = whole.floor_char_boundary((from + length).min(whole.len())).max(from);
        let text = format!("{}{put}{}", &whole[..from], &whole[to..]);
        if let Err(problems) = parse_rules([("x", text.as_str())]) {
            prop_assert!(problems.has_errors());
            for problem in &problems {
                prop_assert!(problem.place.line.is_some_and(|line| line <= text.lines().count() + 1), "{}", problem);
            }
        }
    }
}
