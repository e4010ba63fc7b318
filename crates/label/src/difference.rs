//! What changed between two versions of one product's label. Each container is governed by its own
//! text; the two are never blended.

use crate::clause::{Clause, Statement};
use crate::constraint::Constraints;
use crate::product::Label;
use crate::use_row::UseRow;
use quantity::{Content, DensityUnit, significant};

/// One subject on which two versions differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The subject by its key in a label file: `restraints.wind`, ``use `turf`.rate``.
    pub subject: String,
    /// What the older version says, in its own words; `None` when it is silent.
    pub older: Option<String>,
    /// What the newer version says, likewise.
    pub newer: Option<String>,
}

/// Every subject on which the newer version says something else than the older, in the order of
/// the label file. Pages do not count: the same sentence on another page is the same.
pub fn differences(older: &Label, newer: &Label) -> Vec<Difference> {
    let mut list = Vec::new();
    facts(&mut list, older, newer);
    constraints(&mut list, "restraints", &older.restraints, &newer.restraints);
    for row in &older.uses {
        let path = format!("use `{}`", row.id);
        match newer.uses.iter().find(|other| other.id == row.id) {
            Some(other) => use_row(&mut list, &path, row, other),
            None => {
                list.push(Difference { subject: path, older: Some(row.clause.text.clone()), newer: None });
            }
        }
    }
    for row in newer.uses.iter().filter(|row| older.uses.iter().all(|other| other.id != row.id)) {
        let subject = format!("use `{}`", row.id);
        list.push(Difference { subject, older: None, newer: Some(row.clause.text.clone()) });
    }
    list
}

fn facts(list: &mut Vec<Difference>, older: &Label, newer: &Label) {
    let (a, b) = (&older.product, &newer.product);
    let mut text = |key: &str, a: Option<String>, b: Option<String>| {
        if a != b {
            list.push(Difference { subject: format!("product.{key}"), older: a, newer: b });
        }
    };
    text("name", Some(a.name.clone()), Some(b.name.clone()));
    text("registration_number", a.registration_number.clone(), b.registration_number.clone());
    text("formulation", Some(a.formulation.code().to_owned()), Some(b.formulation.code().to_owned()));
    text("signal_word", Some(a.signal_word.word().to_owned()), Some(b.signal_word.word().to_owned()));
    text("use_class", Some(a.use_class.word().to_owned()), Some(b.use_class.word().to_owned()));
    text("registered_in", joined(&a.registered_in), joined(&b.registered_in));
    let ingredients = |label: &Label| -> Vec<String> {
        let each = label.product.active_ingredients.iter();
        each.map(|i| {
            format!("{} ({}, group {})", i.name, content(i.content), i.group.as_deref().unwrap_or("not stated"))
        })
        .collect()
    };
    text("active_ingredient", joined(&ingredients(older)), joined(&ingredients(newer)));
}

fn content(content: Content) -> String {
    match content {
        Content::MassFraction(share) => format!("{} %", significant(share.percent(), 3)),
        Content::MassPerVolume(mass) => mass.show(DensityUnit::PoundPerUsGallon),
    }
}

fn joined(words: &[String]) -> Option<String> {
    (!words.is_empty()).then(|| words.join(", "))
}

fn use_row(list: &mut Vec<Difference>, path: &str, older: &UseRow, newer: &UseRow) {
    let mut words = |key: &str, a: Vec<&str>, b: Vec<&str>| {
        if a != b {
            let joined = |words: Vec<&str>| (!words.is_empty()).then(|| words.join(", "));
            list.push(Difference { subject: format!("{path}.{key}"), older: joined(a), newer: joined(b) });
        }
    };
    words("text", vec![&older.clause.text], vec![&newer.clause.text]);
    let sites = |row: &UseRow| row.sites.iter().map(|site| site.word()).collect();
    words("sites", sites(older), sites(newer));
    words("method", vec![older.method.word()], vec![newer.method.word()]);
    let excluded = |row: &'_ UseRow| row.excluded.clone();
    let (a, b) = (excluded(older), excluded(newer));
    words("excluded", a.iter().map(String::as_str).collect(), b.iter().map(String::as_str).collect());
    words("pests", older.pests.iter().map(|p| &*p.pest).collect(), newer.pests.iter().map(|p| &*p.pest).collect());
    statement(list, &format!("{path}.rate"), &older.rate, &newer.rate);
    statement(list, &format!("{path}.maximum_single"), &older.maximum_single, &newer.maximum_single);
    statement(list, &format!("{path}.band_width"), &older.band_width, &newer.band_width);
    statement(list, &format!("{path}.wall_height"), &older.wall_height, &newer.wall_height);
    statement(list, &format!("{path}.entry_point_width"), &older.entry_point_width, &newer.entry_point_width);
    statement(list, &format!("{path}.spot_area"), &older.spot_area, &newer.spot_area);
    constraints(list, path, &older.constraints, &newer.constraints);
}

fn constraints(list: &mut Vec<Difference>, path: &str, older: &Constraints, newer: &Constraints) {
    macro_rules! each {
        (($list:ident, $path:ident, $a:ident, $b:ident)
            one: $($one:ident),+; many: $($many:ident $key:literal),+;) => {
            $(statement($list, &format!("{}.{}", $path, stringify!($one)), &$a.$one, &$b.$one);)+
            $(statements($list, &format!("{}.{}", $path, $key), &$a.$many, &$b.$many);)+
        };
    }
    crate::constraint::subjects!(each(list, path, older, newer));
}

fn statement<T: PartialEq>(list: &mut Vec<Difference>, subject: &str, older: &Statement<T>, newer: &Statement<T>) {
    if !same(older, newer) {
        list.push(Difference { subject: subject.to_owned(), older: says(older), newer: says(newer) });
    }
}

fn statements<T: PartialEq>(list: &mut Vec<Difference>, subject: &str, older: &[Statement<T>], newer: &[Statement<T>]) {
    for gone in older.iter().filter(|a| !newer.iter().any(|b| same(a, b))) {
        list.push(Difference { subject: subject.to_owned(), older: says(gone), newer: None });
    }
    for come in newer.iter().filter(|b| !older.iter().any(|a| same(a, b))) {
        list.push(Difference { subject: subject.to_owned(), older: None, newer: says(come) });
    }
}

fn same<T: PartialEq>(a: &Statement<T>, b: &Statement<T>) -> bool {
    match (a, b) {
        (Statement::Stated { .. }, Statement::Stated { .. }) => {
            a.value() == b.value()
                && a.clause().zip(b.clause()).is_some_and(|(older, newer)| same_sentence(older, newer))
        }
        (Statement::NotApplicable, Statement::NotApplicable) | (Statement::Silent, Statement::Silent) => true,
        _ => false,
    }
}

fn same_sentence(a: &Clause, b: &Clause) -> bool {
    a.text == b.text && a.strength == b.strength && a.scope == b.scope
}

fn says<T>(statement: &Statement<T>) -> Option<String> {
    match statement {
        Statement::Stated { clause, .. } => Some(format!("{} ({})", clause.text, clause.strength.word())),
        Statement::NotApplicable => Some("does not apply".to_owned()),
        Statement::Silent => None,
    }
}
