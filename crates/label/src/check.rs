//! What a label file leaves out, where it contradicts itself, and what cannot be meant.
//!
//! A slip of the pen in a label file becomes a slip of the tank. Whatever is certainly wrong is an
//! error; whatever a label may print but a person should look at twice is a warning.

mod amounts;
mod limits;
mod product;
mod silence;
mod slip;

use crate::product::Label;
use problem::{Problem, Problems, Severity};

/// Every problem of a label. Places name the field as a label file writes it, uses counted from 1:
/// `use[2].rate.highest`, `restraints.cap[1]`.
///
/// # Errors found (codes)
/// - product: `label::content-disagrees`, `label::content-beyond-whole`, `label::no-density`,
///   `label::signal-word`, `label::no-precautions`, `label::no-first-aid`, `label::no-storage`
/// - rates: `label::no-rate`, `label::rate-order`, `label::rate-basis`, `label::rate-nothing`,
///   `label::rate-dimension`, `label::rate-above-maximum`, `label::rate-implausible`,
///   `label::maximum-basis`, `label::dilution-above-maximum`, `label::mixed-systems`
/// - limits: `label::cap-below-maximum`, `label::count-beyond-cap`, `label::count-beyond-window`,
///   `label::range-order`, `label::permits-prohibited`, `label::looser-than-restraint`,
///   `label::formulation-method`, `label::unknown-ingredient`, `label::prevents-what-is-there`
/// - rows: `label::no-uses`, `label::use-twice`, `label::no-sites`, `label::no-pests`
/// - `label::silent`: a subject that matters for a use and of which the label says nothing
pub fn check(label: &Label) -> Problems {
    let mut list = Vec::new();
    product::check(label, &mut list);
    rows(label, &mut list);
    amounts::check(label, &mut list);
    limits::check(label, &mut list);
    silence::check(label, &mut list);
    // The certain ones first; within them the order found.
    list.sort_by_key(|problem| problem.severity != Severity::Error);
    list.into_iter().collect()
}

/// The path of a use row in a label file.
fn use_path(index: usize) -> String {
    format!("use[{}]", index + 1)
}

fn rows(label: &Label, list: &mut Vec<Problem>) {
    if label.uses.is_empty() {
        list.push(
            Problem::error("label::no-uses", "the label lists no use")
                .expected("at least one use row")
                .mend("add a `[[use]]` for each site, pest and method of the directions for use")
                .at("use"),
        );
    }
    for (index, row) in label.uses.iter().enumerate() {
        let path = use_path(index);
        if label.uses[..index].iter().any(|other| other.id == row.id) {
            list.push(
                Problem::error("label::use-twice", format!("a second use is called `{}`", row.id))
                    .expected("a name of its own for each use")
                    .mend("rename one of the two; records name uses by it")
                    .at(format!("{path}.id")),
            );
        }
        if row.sites.is_empty() {
            list.push(
                Problem::error("label::no-sites", format!("use `{}` lists no site", row.id))
                    .expected("the sites that the directions for use name")
                    .mend("a site that no use lists may not be treated; list what the label prints")
                    .at(format!("{path}.sites")),
            );
        }
        if row.pests.is_empty() {
            list.push(
                Problem::warning("label::no-pests", format!("use `{}` names no pest", row.id))
                    .expected("the pests that the label claims")
                    .mend("list them; without a claim every pest counts as unlisted")
                    .at(format!("{path}.pest")),
            );
        }
    }
}
