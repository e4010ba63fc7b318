//! A label read out, section by section: every sentence with the figure that was read from it, so that a
//! person can hold it against the printed label line by line.

use crate::clause::{Clause, Statement};
use crate::constraint::Constraints;
use crate::figure::Figure;
use crate::product::Label;
use crate::use_row::UseRow;

/// A section of a label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Section {
    /// Its place in a label file: `precaution`, `restraints`, `use[2]`.
    pub path: String,
    /// What it is called: the use's own name, or else the key.
    pub name: String,
    /// What it says, in the order of the label file.
    pub sayings: Vec<Saying>,
}

/// What a section says on one subject.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saying {
    /// Its place in a label file: `use[2].rate`, `restraints.cap[1]`.
    pub path: String,
    /// The subject by its key: `rate`, `cap`.
    pub subject: &'static str,
    /// What was read from the sentence; `None` for a plain sentence.
    pub figure: Option<String>,
    /// The sentence; `None` when the subject does not arise for the use.
    pub clause: Option<Clause>,
}

impl Label {
    /// Every section that says anything, in the order of the label file.
    pub fn sections(&self) -> Vec<Section> {
        let plain = |key: &'static str, clauses: &[Clause]| {
            let sayings = clauses.iter().enumerate().map(|(index, clause)| Saying {
                path: format!("{key}[{}]", index + 1),
                subject: key,
                figure: None,
                clause: Some(clause.clone()),
            });
            Section { path: key.to_owned(), name: key.to_owned(), sayings: sayings.collect() }
        };
        let mut restraints =
            Section { path: "restraints".to_owned(), name: "restraints".to_owned(), sayings: Vec::new() };
        constraints(&mut restraints, &self.restraints);
        let mut sections = vec![
            plain("precaution", &self.precautions),
            plain("first_aid", &self.first_aid),
            plain("storage_and_disposal", &self.storage_and_disposal),
            restraints,
        ];
        sections.extend(self.uses.iter().enumerate().map(|(index, row)| use_section(index, row)));
        sections.retain(|section| !section.sayings.is_empty());
        sections
    }
}

fn use_section(index: usize, row: &UseRow) -> Section {
    let path = format!("use[{}]", index + 1);
    let directions =
        Saying { path: path.clone(), subject: "directions", figure: None, clause: Some(row.clause.clone()) };
    let mut section = Section { path, name: row.id.clone(), sayings: vec![directions] };
    one(&mut section, "rate", &row.rate);
    one(&mut section, "maximum_single", &row.maximum_single);
    one(&mut section, "band_width", &row.band_width);
    one(&mut section, "wall_height", &row.wall_height);
    one(&mut section, "entry_point_width", &row.entry_point_width);
    one(&mut section, "spot_area", &row.spot_area);
    one(&mut section, "preventive", &row.preventive);
    constraints(&mut section, &row.constraints);
    section
}

fn constraints(section: &mut Section, all: &Constraints) {
    macro_rules! each {
        (($all:ident $section:ident) one: $($one:ident),+; many: $($many:ident $key:literal),+;) => {
            $(one($section, stringify!($one), &$all.$one);)+
            $(many($section, $key, &$all.$many);)+
        };
    }
    crate::constraint::subjects!(each(all section));
}

fn one<T: Figure>(section: &mut Section, subject: &'static str, statement: &Statement<T>) {
    let path = format!("{}.{subject}", section.path);
    section.sayings.extend(saying(path, subject, statement));
}

fn many<T: Figure>(section: &mut Section, subject: &'static str, statements: &[Statement<T>]) {
    for (index, statement) in statements.iter().enumerate() {
        let path = format!("{}.{subject}[{}]", section.path, index + 1);
        section.sayings.extend(saying(path, subject, statement));
    }
}

fn saying<T: Figure>(path: String, subject: &'static str, statement: &Statement<T>) -> Option<Saying> {
    match statement {
        Statement::Stated { value, clause } => {
            Some(Saying { path, subject, figure: Some(value.figure(subject)), clause: Some(clause.clone()) })
        }
        Statement::NotApplicable => Some(Saying { path, subject, figure: None, clause: None }),
        Statement::Silent => None,
    }
}
