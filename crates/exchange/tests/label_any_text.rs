//! No text makes the reader of label files panic.

use exchange::label_file::{check_label, parse_label};
use proptest::prelude::*;

const SOUND: &str = include_str!("../../../demo/labels/brackwater-sc.toml");

proptest! {
    #[test]
    fn any_text(text in "(?s).{0,300}") {
        let _ = parse_label("x", &text);
        let _ = check_label("x", &text);
    }

    /// A sound label with one piece cut out and another put in.
    #[test]
    fn a_damaged_label(from in 0..SOUND.len(), length in 0..60_usize, put in "(|0|-1|1e300|nan|\"\"|'é'|\\[|\\}|\n|\\[\\[use\\]\\]\n)") {
        let from = SOUND.floor_char_boundary(from);
        let to = SOUND.floor_char_boundary((from + length).min(SOUND.len())).max(from);
        let text = format!("{}{put}{}", &SOUND[..from], &SOUND[to..]);
        let (_, problems) = check_label("x", &text);
        for problem in &problems {
            prop_assert!(problem.place.line.is_some_and(|line| line <= text.lines().count() + 1));
        }
        prop_assert_eq!(parse_label("x", &text).is_err(), parse_label("x", &text).err().is_some_and(|p| p.has_errors()));
    }

    /// Numbers of any size in quantities.
    #[test]
    fn any_number(number in any::<f64>(), unit in "(fl oz/1,000 sq ft|gal/acre|lb/acre|fl oz/gal|oz \\(weight\\)/mound|% v/v)") {
        let text = SOUND.replace("0.4 fl oz/1,000 sq ft", &format!("{number} {unit}"));
        let _ = check_label("x", &text);
    }
}
