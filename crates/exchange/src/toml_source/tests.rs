use super::*;
use proptest::prelude::*;

/// Reads one field `x` with `read` and gives every message.
fn check<T>(text: &str, read: impl FnOnce(Field<'_>) -> Option<T>) -> (Option<T>, String) {
    let source = Source::parse("f.toml", text).expect("TOML");
    let root = source.root();
    let value = root.required("x").and_then(read);
    root.finish();
    (value, source.into_problems().to_string())
}

#[test]
fn values_are_read_as_what_they_are() {
    assert_eq!(check("x = ' a '", |f| f.text().map(str::to_owned)), (Some("a".to_owned()), String::new()));
    assert_eq!(check("x = 2", |f| f.number()), (Some(2.0), String::new()));
    assert_eq!(check("x = 2.5", |f| f.number()), (Some(2.5), String::new()));
    assert_eq!(check("x = 2", |f| f.whole()), (Some(2), String::new()));
    assert_eq!(check("x = true", |f| f.flag()), (Some(true), String::new()));
    let day = jiff::civil::date(2026, 7, 7);
    assert_eq!(check("x = 2026-07-07", |f| f.date()), (Some(day), String::new()));
    assert_eq!(check("x = '2026-07-07'", |f| f.date()), (Some(day), String::new()));
    assert_eq!(check("x = ['a', 'b']", |f| Some(f.texts().len())), (Some(2), String::new()));
    assert_eq!(check("[[x]]\n[[x]]", |f| Some(f.tables().len())), (Some(2), String::new()));
}

#[test]
fn wrong_values_are_told_with_line_and_column() {
    for (text, place, code) in [
        ("\nx = 'two'", ":2:5   x", "toml::wrong-type"),
        ("x = nan", ":1:5   x", "toml::bad-number"),
        ("x = inf", ":1:5   x", "toml::bad-number"),
        ("x = '3'", ":1:5   x", "toml::wrong-type"),
    ] {
        let (value, message) = check(text, |f| f.number());
        assert_eq!(value, None);
        assert!(message.contains(code) && message.contains(place), "{message}");
    }
    for text in ["x = '2026-02-30'", "x = '7/7/2026'", "x = 2026-07-07T10:00:00", "x = 7", "x = '2026-07-07T10:00'"] {
        assert_eq!(check(text, |f| f.date()).0, None, "{text}");
    }
    assert_eq!(check("x = -1", |f| f.whole()).0, None);
    assert_eq!(check("x = ''", |f| f.text().map(str::to_owned)).0, None);
    assert_eq!(check("x = 1", |f| f.table().map(|_| ())).0, None);
}

#[test]
fn a_problem_inside_a_text_points_inside_it() {
    let fail = |_: &str| Err::<(), _>(Problem::error("q::unit", "no unit").at_line(1, 5));
    let (_, message) = check("x = \"0.4 flop\"", |f| f.parsed(fail));
    assert!(message.contains("f.toml:1:10   x"), "{message}");
    let (_, message) = check("x = \"\"\"\n0.4 flop\"\"\"", |f| f.parsed(fail));
    assert!(message.contains("f.toml:2:5   x"), "{message}");
    // Escapes make columns of the text differ from columns of the file: the start is shown.
    let (_, message) = check("x = \"\\u0030.4 flop\"", |f| f.parsed(fail));
    assert!(message.contains("f.toml:1:5   x"), "{message}");
}

#[test]
fn unknown_fields_suggest_the_nearest_known_one() {
    let (_, message) = check("x = 1\nxx = 2", |f| f.whole());
    assert!(message.contains("[toml::unknown-field]: `xx`") && message.contains("f.toml:2:1   xx"), "{message}");
    let (_, message) = check("[y]\nz = 1", |f| f.whole());
    assert!(message.contains("`x` is missing in the file") && message.contains("`y` is no field"), "{message}");
}

#[test]
fn words_are_matched_whole() {
    #[derive(Clone, Copy, PartialEq, Debug)]
    enum Ground {
        Turf,
        Soil,
    }
    let word = |ground| match ground {
        Ground::Turf => "turf",
        Ground::Soil => "bare-soil",
    };
    let all = [Ground::Turf, Ground::Soil];
    assert_eq!(check("x = 'turf'", |f| f.word(&all, word)).0, Some(Ground::Turf));
    let (_, message) = check("x = 'baresoil'", |f| f.word(&all, word));
    assert!(message.contains("expected: one of `turf`, `bare-soil`"), "{message}");
    assert!(message.contains("did you mean `bare-soil`?"), "{message}");
}

#[test]
fn problems_named_by_path_find_their_line() {
    let source =
        Source::parse("f.toml", "[[use]]\nid = 'a'\n\n[[use]]\nid = 'b'\n[use.rate]\nhighest = 'x'\n").unwrap();
    let root = source.root();
    for table in root.tables("use") {
        table.required("id");
        if let Some(rate) = table.table("rate") {
            rate.required("highest");
        }
    }
    let line = |path: &str| source.placed(Problem::error("a::b", "c").at(path)).place.line;
    assert_eq!(line("use[1]"), Some(1));
    assert_eq!(line("use[2]"), Some(4));
    assert_eq!(line("use[2].rate"), Some(6));
    assert_eq!(line("use[2].rate.highest"), Some(7));
    assert_eq!(line("use[2].rate.lowest"), Some(6));
    assert_eq!(line("use[2].buffer[1].distance"), Some(4));
    assert_eq!(line("elsewhere"), Some(1));
    assert!(source.asked().contains("use[].rate.highest"));
}

#[test]
fn syntax_errors_name_their_place() {
    let problems = Source::parse("f.toml", "a = 1\nb = \n").err().expect("no TOML");
    let place = &problems.iter().next().unwrap().place;
    assert_eq!((place.file.as_deref(), place.line), (Some("f.toml"), Some(2)));
}

/// Reads every field of a table in every way.
fn read_all(table: &Table<'_>) {
    for key in ["a", "b", "c", "rate", "use"] {
        if let Some(field) = table.optional(key) {
            let _ = (field.text(), field.number(), field.whole(), field.flag(), field.date());
            field.parsed(|text| Err::<(), _>(Problem::error("a::b", text).at_line(1, text.len() + 3)));
            for inner in field.tables() {
                read_all(&inner);
                inner.finish();
            }
            if let Some(inner) = field.table() {
                read_all(&inner);
                inner.finish();
            }
        }
    }
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "(?s).{0,200}") {
        if let Ok(source) = Source::parse("f", &text) {
            let root = source.root();
            read_all(&root);
            root.finish();
            source.into_problems();
        }
    }

    #[test]
    fn no_toml_makes_it_panic(
        lines in proptest::collection::vec(
            ("(a|b|c|rate|use|x|\\[a\\]|\\[\\[use\\]\\]|\\[use.rate\\])", "( = )?", "('é'|\"\\\\u00e9 x\"|1|2.5|nan|true|2026-07-07|07:00:00|\\[1, 'a', \\{b = 1\\}\\]|\\{a = \\{b = 1\\}\\}|)"),
            0..12,
        ),
    ) {
        let text = lines.iter().map(|(key, is, value)| format!("{key}{is}{value}\n")).collect::<Vec<_>>().concat();
        if let Ok(source) = Source::parse("f", &text) {
            let root = source.root();
            read_all(&root);
            root.finish();
            for problem in &source.into_problems() {
                prop_assert!(problem.place.line.is_some());
            }
        }
    }
}
