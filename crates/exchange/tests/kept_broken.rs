//! Documents broken in any way: problems, never a panic, and nothing half read.

mod kept_support;

use exchange::kept::index_of;
use kept_support::{documents, rewritten};
use proptest::prelude::*;
use serde_json::{Value, json};

/// A value that may stand anywhere by mistake.
fn any_value() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<f64>().prop_map(|number| json!(number)),
        any::<i64>().prop_map(Value::from),
        ".{0,12}".prop_map(Value::from),
        prop_oneof![Just(""), Just(" "), Just("1 gal"), Just("-3 lb"), Just("2026-02-29"), Just("9999-12-31")]
            .prop_map(Value::from),
    ];
    leaf.prop_recursive(2, 8, 3, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..3).prop_map(Value::from),
            prop::collection::btree_map(".{0,6}", inner, 0..3)
                .prop_map(|members| Value::Object(members.into_iter().collect())),
        ]
    })
}

/// Every place of a document.
fn places(value: &Value, at: &str, found: &mut Vec<String>) {
    found.push(at.to_owned());
    match value {
        Value::Object(members) => {
            for (key, member) in members {
                places(member, &format!("{at}/{}", key.replace('~', "~0").replace('/', "~1")), found);
            }
        }
        Value::Array(entries) => {
            for (index, entry) in entries.iter().enumerate() {
                places(entry, &format!("{at}/{index}"), found);
            }
        }
        _ => {}
    }
}

fn check(format: &str, text: &str) -> Result<(), TestCaseError> {
    match rewritten(format, text) {
        Ok(written) => {
            prop_assert_eq!(rewritten(format, &written).ok(), Some(written));
            prop_assert!(index_of(format, text).is_ok());
        }
        Err(problems) => {
            prop_assert!(problems.has_errors());
            for problem in &problems {
                prop_assert!(problem.place.path.is_some(), "{}", problem);
            }
            prop_assert!(index_of(format, text).is_err());
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn one_value_changed(which in 0..11_usize, place in any::<prop::sample::Index>(), value in any_value()) {
        let (format, mut document) = documents().swap_remove(which);
        let mut all = Vec::new();
        places(&document, "", &mut all);
        *document.pointer_mut(&all[place.index(all.len())]).expect("a place of it") = value;
        check(format, &document.to_string())?;
    }

    #[test]
    fn cut_short_or_with_characters_changed(which in 0..11_usize, at in any::<prop::sample::Index>(), by in ".{0,3}") {
        let (format, document) = documents().swap_remove(which);
        let text = document.to_string();
        let at = text.floor_char_boundary(at.index(text.len()));
        check(format, &text[..at])?;
        let next = text[at..].chars().next().map_or(at, |c| at + c.len_utf8());
        check(format, &format!("{}{by}{}", &text[..at], &text[next..]))?;
    }

    #[test]
    fn any_text_at_all(which in 0..11_usize, text in ".{0,200}") {
        let (format, _) = documents().swap_remove(which);
        check(format, &text)?;
    }
}
