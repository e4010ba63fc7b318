//! No text makes the readers of records and as-applied files panic, and a record that is read is written
//! and read again as itself, whatever is changed in it.

mod output_support;

use exchange::as_applied_file::record_as_applied;
use exchange::record_json::{parse_record, write_record};
use output_support::{demo_record, demo_request};
use proptest::prelude::*;
use record::{ApplicationRecord, breaches, check, check_tanks, history, totals};
use std::sync::OnceLock;

const AS_APPLIED: &str = include_str!("../../../demo/alder-bend/as-applied.toml");

fn planned() -> &'static ApplicationRecord {
    static PLANNED: OnceLock<ApplicationRecord> = OnceLock::new();
    PLANNED.get_or_init(demo_record)
}

fn written() -> &'static str {
    static WRITTEN: OnceLock<String> = OnceLock::new();
    WRITTEN.get_or_init(|| write_record(planned()))
}

/// Whatever can be reckoned from a record can be reckoned from any that is read.
fn reckon(record: &ApplicationRecord) {
    let whole = (jiff::civil::Date::MIN, jiff::civil::Date::MAX);
    let found = totals([record], &planned().plane(), whole);
    let _ = history([record], &output_support::demo_request().property, None);
    let labels = output_support::demo_request().labels;
    let _ = (check(record, None), breaches(record, &labels, None), found.amount_of("brackwater-sc"));
    for task in &record.tasks {
        let _ = check_tanks(task, record.leftover.value().map_or(&[], Vec::as_slice));
    }
}

/// Whether all ground lies within a hundredth of a degree.
fn is_of_one_lot(record: &ApplicationRecord) -> bool {
    record::extent(record).is_some_and(|extent| {
        let [south, west, north, east] = extent.bounds();
        (north - south).max(east - west) <= 100_000
    })
}

fn damaged(sound: &str, from: usize, length: usize, put: &str) -> String {
    let from = sound.floor_char_boundary(from % (sound.len() + 1));
    let to = sound.floor_char_boundary((from + length).min(sound.len())).max(from);
    format!("{}{put}{}", &sound[..from], &sound[to..])
}

const PIECE: &str =
    "(|0|-1|1e308|1e-308|null|\"\"|\"absent\"|\"does-not-arise\"|\\[|\\]|\\{|\\}|,|\"|\n|9|-97\\.62|\"2026-02-30\"|:)";

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn no_text_makes_a_reader_panic(text in "(?s).{0,200}") {
        let _ = parse_record("x", &text);
        let _ = record_as_applied("x", &text, planned(), jiff::tz::offset(-5), &demo_request().equipment);
    }

    #[test]
    fn a_damaged_record_is_refused_with_its_place_or_read(
        from in any::<usize>(), length in 0..12_usize, put in PIECE
    ) {
        let text = damaged(written(), from, length, &put);
        match parse_record("x", &text) {
            Err(problems) => prop_assert!(problems.iter().all(|problem| problem.place.line.is_some())),
            Ok(record) => {
                reckon(&record);
                let once = write_record(&record);
                let again = parse_record("x", &once).unwrap_or_else(|problems| panic!("{problems}"));
                // Overlays round to a billionth of the extent: beyond a kilometre that is coarser than the digits
                // written, and a damaged corner may lie that far off.
                if is_of_one_lot(&record) {
                    prop_assert_eq!(write_record(&again), once);
                }
            }
        }
    }

    /// Only numbers are changed, so that most of the records are sound.
    #[test]
    fn a_record_of_any_numbers_is_written_as_it_was_read(
        which in any::<prop::sample::Index>(), number in prop_oneof![0.0..1e6_f64, 0.0..1e-6_f64, Just(0.0), Just(1e15)]
    ) {
        let text = written();
        let places: Vec<usize> = text
            .match_indices("_ml\": ").chain(text.match_indices("_l\": ")).chain(text.match_indices("_m2\": "))
            .chain(text.match_indices("\"value\": ")).map(|(at, key)| at + key.len()).collect();
        let from = places[which.index(places.len())];
        let end = from + text[from..].find(['\n', ',', ' ']).expect("its end");
        let changed = format!("{}{number}{}", &text[..from], &text[end..]);
        let Ok(record) = parse_record("x", &changed) else { return Ok(()) };
        let once = write_record(&record);
        let again = parse_record("x", &once).unwrap_or_else(|problems| panic!("{problems}"));
        prop_assert_eq!(&write_record(&again), &once);
        prop_assert_eq!(parse_record("x", &write_record(&again)), Ok(again));
    }

    #[test]
    fn a_damaged_as_applied_file_is_refused_with_its_place_or_read(
        from in any::<usize>(), length in 0..12_usize,
        put in "(|0|-1|1e999|nan|\"\"|'é'|\\[|\\]|\\{|\\}|,|\"|#|\n|\\[\\[task\\]\\]\n|2026-02-30|Z| oz|99|gal)"
    ) {
        let text = damaged(AS_APPLIED, from, length, &put);
        match record_as_applied("x", &text, planned(), jiff::tz::offset(-5), &demo_request().equipment) {
            Err(problems) => {
                prop_assert!(problems.has_errors());
                prop_assert!(problems.iter().all(|problem| problem.place.line.is_some()), "{problems}");
            }
            Ok((record, _)) => reckon(&record),
        }
    }
}
