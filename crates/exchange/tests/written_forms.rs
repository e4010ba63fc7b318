//! Files of the trade as forms: what is read from the text made of the fields is what was read from the file.

use exchange::equipment_file::parse_equipment;
use exchange::label_file::{check_label, parse_label};
use exchange::toml_text::{json_to_toml, toml_to_json};
use serde_json::Value;

const LABELS: [&str; 4] = [
    include_str!("../../../demo/labels/brackwater-sc.toml"),
    include_str!("../../../demo/labels/gravelhome-gr.toml"),
    include_str!("../../../demo/labels/anthollow-rb.toml"),
    include_str!("label_every_field.toml"),
];

fn again(text: &str) -> String {
    let fields = toml_to_json("file", text).expect("TOML");
    json_to_toml(&fields, &["format", "id"]).expect("fields of a file")
}

#[test]
fn a_label_comes_back_from_its_form() {
    for text in LABELS {
        let (label, _) = parse_label("label", text).expect("a label");
        let (back, _) = parse_label("label", &again(text)).expect("a label");
        assert_eq!(back, label);
    }
}

#[test]
fn equipment_comes_back_from_its_form() {
    let text = include_str!("../../../demo/alder-bend/equipment.toml");
    let (equipment, _) = parse_equipment("equipment", text).expect("equipment");
    assert_eq!(parse_equipment("equipment", &again(text)).expect("equipment").0, equipment);
}

/// Whatever is wrong in a file is wrong in its form, by the same fields.
#[test]
fn a_form_hides_no_problem() {
    let text = include_str!("../../../demo/broken/label-wrong.toml");
    let told = |text: &str| {
        let mut told: Vec<_> = check_label("label", text)
            .1
            .into_iter()
            .map(|problem| (problem.code, problem.place.path, problem.found))
            .collect();
        told.sort();
        told
    };
    assert!(told(text).len() > 5);
    assert_eq!(told(&again(text)), told(text));
}

/// Each statement taken out of a label file in turn, as a form that is half filled in would lack it.
#[test]
fn a_form_half_filled_in_comes_back_too() {
    let mut seen = 0;
    for text in LABELS {
        let whole = toml_to_json("label", text).expect("TOML");
        let keys: Vec<String> = whole["restraints"].as_object().expect("restraints").keys().cloned().collect();
        for key in keys {
            let mut fields = whole.clone();
            fields["restraints"][&key] = Value::Null;
            let text = json_to_toml(&fields, &[]).expect("fields of a label");
            let back = toml_to_json("label", &text).expect("TOML");
            fields["restraints"].as_object_mut().expect("restraints").remove(&key);
            assert_eq!(back, fields);
            assert_eq!(again(&text).len(), text.len());
            seen += 1;
        }
    }
    assert!(seen > 20, "{seen}");
}
