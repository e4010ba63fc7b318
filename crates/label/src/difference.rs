//! What changed between two versions of one product's label. Each container is governed by its own
//! text; the two are never blended.

use crate::clause::{Clause, Scope, Statement};
use crate::constraint::Constraints;
use crate::figure::Figure;
use crate::product::Label;
use crate::use_row::{Claim, PestClaim, UseRow};
use quantity::{Content, DensityUnit, significant};

/// One subject on which two versions differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The section of the label: `product`, `precaution`, `first_aid`, `storage_and_disposal`, `restraints`,
    /// or ``use `turf` ``.
    pub section: String,
    /// The subject by its key in a label file: `restraints.wind`, ``use `turf`.rate``.
    pub subject: String,
    /// What the older version says, in its own words; `None` when it is silent.
    pub older: Option<String>,
    /// What the newer version says, likewise.
    pub newer: Option<String>,
    /// What was read from the older sentence; `None` when it is silent or states no figure.
    pub older_figure: Option<String>,
    /// What was read from the newer sentence, likewise.
    pub newer_figure: Option<String>,
}

impl Difference {
    /// A difference of words without a figure.
    fn of_words(section: &str, subject: String, older: Option<String>, newer: Option<String>) -> Self {
        Self { section: section.to_owned(), subject, older, newer, older_figure: None, newer_figure: None }
    }
}

/// Every subject on which the newer version says something else than the older, in the order of
/// the label file. Pages do not count: the same sentence on another page is the same.
pub fn differences(older: &Label, newer: &Label) -> Vec<Difference> {
    let mut list = Vec::new();
    facts(&mut list, older, newer);
    sentences(&mut list, "precaution", &older.precautions, &newer.precautions);
    sentences(&mut list, "first_aid", &older.first_aid, &newer.first_aid);
    sentences(&mut list, "storage_and_disposal", &older.storage_and_disposal, &newer.storage_and_disposal);
    constraints(&mut list, "restraints", &older.restraints, &newer.restraints);
    for row in &older.uses {
        let path = format!("use `{}`", row.id);
        match newer.uses.iter().find(|other| other.id == row.id) {
            Some(other) => use_row(&mut list, &path, row, other),
            None => {
                list.push(Difference::of_words(&path, path.clone(), Some(row.clause.text.clone()), None));
            }
        }
    }
    for row in newer.uses.iter().filter(|row| older.uses.iter().all(|other| other.id != row.id)) {
        let path = format!("use `{}`", row.id);
        list.push(Difference::of_words(&path, path.clone(), None, Some(row.clause.text.clone())));
    }
    list
}

fn facts(list: &mut Vec<Difference>, older: &Label, newer: &Label) {
    let (a, b) = (&older.product, &newer.product);
    let mut text = |key: &str, a: Option<String>, b: Option<String>| {
        if a != b {
            list.push(Difference::of_words("product", format!("product.{key}"), a, b));
        }
    };
    text("name", Some(a.name.clone()), Some(b.name.clone()));
    text("registration_number", a.registration_number.clone(), b.registration_number.clone());
    text("establishment_number", a.establishment_number.clone(), b.establishment_number.clone());
    text("registrant", a.registrant.clone(), b.registrant.clone());
    text("label_version", Some(a.label_version.clone()), Some(b.label_version.clone()));
    text("label_date", a.label_date.map(|date| date.to_string()), b.label_date.map(|date| date.to_string()));
    text("net_contents", a.net_contents.clone(), b.net_contents.clone());
    text("formulation", Some(a.formulation.code().to_owned()), Some(b.formulation.code().to_owned()));
    text("signal_word", Some(a.signal_word.word().to_owned()), Some(b.signal_word.word().to_owned()));
    text("use_class", Some(a.use_class.word().to_owned()), Some(b.use_class.word().to_owned()));
    text("registered_in", joined(&a.registered_in), joined(&b.registered_in));
    let density = |label: &Label| label.product.density.map(|density| density.show(DensityUnit::PoundPerUsGallon));
    text("density", density(older), density(newer));
    let ingredients = |label: &Label| -> Vec<String> {
        let each = label.product.active_ingredients.iter();
        each.map(|i| {
            let percent =
                i.mass_fraction.map_or_else(String::new, |share| format!(", {} %", significant(share.percent(), 3)));
            format!(
                "{} ({}{percent}, group {})",
                i.name,
                content(i.content),
                i.group.as_deref().unwrap_or("not stated")
            )
        })
        .collect()
    };
    text("active_ingredient", joined(&ingredients(older)), joined(&ingredients(newer)));
}

/// Plain sentences: those that went and those that came; one of each is one that changed.
fn sentences(list: &mut Vec<Difference>, section: &str, older: &[Clause], newer: &[Clause]) {
    let gone = older.iter().filter(|a| !newer.iter().any(|b| same_sentence(a, b))).map(says_clause);
    let come = newer.iter().filter(|b| !older.iter().any(|a| same_sentence(a, b))).map(says_clause);
    for (older, newer) in paired(gone.collect(), come.collect()) {
        list.push(Difference::of_words(section, section.to_owned(), older, newer));
    }
}

/// What went beside what came: one of each stands for a change, since which of several became which nobody
/// can tell.
fn paired<T>(mut gone: Vec<T>, mut come: Vec<T>) -> Vec<(Option<T>, Option<T>)> {
    if gone.len() == 1 && come.len() == 1 {
        return vec![(gone.pop(), come.pop())];
    }
    gone.into_iter().map(|gone| (Some(gone), None)).chain(come.into_iter().map(|come| (None, Some(come)))).collect()
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
    let mut words = |key: &str, a: Vec<String>, b: Vec<String>| {
        if a != b {
            list.push(Difference::of_words(path, format!("{path}.{key}"), joined(&a), joined(&b)));
        }
    };
    words("text", vec![says_clause(&older.clause)], vec![says_clause(&newer.clause)]);
    let sites = |row: &UseRow| row.sites.iter().map(|site| site.word().to_owned()).collect();
    words("sites", sites(older), sites(newer));
    words("method", vec![older.method.word().to_owned()], vec![newer.method.word().to_owned()]);
    words("excluded", older.excluded.clone(), newer.excluded.clone());
    let pests = |row: &UseRow| row.pests.iter().map(pest).collect();
    words("pests", pests(older), pests(newer));
    words("pests_excluded", older.pests_excluded.clone(), newer.pests_excluded.clone());
    let only = |row: &UseRow| if row.only_these_pests { vec!["only these pests".to_owned()] } else { Vec::new() };
    words("only_these_pests", only(older), only(newer));
    statement(list, path, "rate", &older.rate, &newer.rate);
    statement(list, path, "maximum_single", &older.maximum_single, &newer.maximum_single);
    statement(list, path, "band_width", &older.band_width, &newer.band_width);
    statement(list, path, "wall_height", &older.wall_height, &newer.wall_height);
    statement(list, path, "entry_point_width", &older.entry_point_width, &newer.entry_point_width);
    statement(list, path, "spot_area", &older.spot_area, &newer.spot_area);
    statement(list, path, "preventive", &older.preventive, &newer.preventive);
    constraints(list, path, &older.constraints, &newer.constraints);
}

/// A pest with its stages and its claim, the usual one unsaid.
fn pest(pest: &PestClaim) -> String {
    let mut beside = pest.stages.clone();
    beside.extend((pest.claim != Claim::Control).then(|| pest.claim.word().to_owned()));
    if beside.is_empty() { pest.pest.clone() } else { format!("{} ({})", pest.pest, beside.join(", ")) }
}

fn constraints(list: &mut Vec<Difference>, path: &str, older: &Constraints, newer: &Constraints) {
    macro_rules! each {
        (($list:ident, $path:ident, $a:ident, $b:ident)
            one: $($one:ident),+; many: $($many:ident $key:literal),+;) => {
            $(statement($list, $path, stringify!($one), &$a.$one, &$b.$one);)+
            $(statements($list, $path, $key, &$a.$many, &$b.$many);)+
        };
    }
    crate::constraint::subjects!(each(list, path, older, newer));
}

fn statement<T: PartialEq + Figure>(
    list: &mut Vec<Difference>,
    section: &str,
    key: &str,
    older: &Statement<T>,
    newer: &Statement<T>,
) {
    if !same(older, newer) {
        list.push(difference(section, key, Some(older), Some(newer)));
    }
}

fn statements<T: PartialEq + Figure>(
    list: &mut Vec<Difference>,
    section: &str,
    key: &str,
    older: &[Statement<T>],
    newer: &[Statement<T>],
) {
    let gone = older.iter().filter(|a| !newer.iter().any(|b| same(a, b)));
    let come = newer.iter().filter(|b| !older.iter().any(|a| same(a, b)));
    for (older, newer) in paired(gone.collect(), come.collect()) {
        list.push(difference(section, key, older, newer));
    }
}

fn difference<T: Figure>(
    section: &str,
    key: &str,
    older: Option<&Statement<T>>,
    newer: Option<&Statement<T>>,
) -> Difference {
    let figure = |statement: Option<&Statement<T>>| statement?.value().map(|value| value.figure(key));
    Difference {
        section: section.to_owned(),
        subject: format!("{section}.{key}"),
        older: older.and_then(says),
        newer: newer.and_then(says),
        older_figure: figure(older),
        newer_figure: figure(newer),
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
        Statement::Stated { clause, .. } => Some(says_clause(clause)),
        Statement::NotApplicable => Some("does not apply".to_owned()),
        Statement::Silent => None,
    }
}

fn says_clause(clause: &Clause) -> String {
    let scope = match &clause.scope {
        Scope::State(state) => format!(", {state}"),
        _ => String::new(),
    };
    format!("{} ({}{scope})", clause.text, clause.strength.word())
}
