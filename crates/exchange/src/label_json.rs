//! A label file as read, for a person who holds it against the printed label: sections, sentences with the
//! figures read from them, what is wrong and what is still open.

use crate::label_file::check_label;
use crate::problems_json::ProblemJson;
use label::{Clause, Label, Saying, Section, UseRow};
use problem::{Problem, Severity};
use quantity::{Content, DensityUnit, significant};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.label-reading/1";

/// A label file, read and checked.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabelReadingJson {
    /// `tussock.label-reading/1`.
    pub format: &'static str,
    /// Whether plans can use it: nothing in `problems`.
    pub usable: bool,
    /// The label as far as it could be read; null when too little of it could.
    pub label: Option<LabelJson>,
    /// What is certainly wrong; each refuses the file.
    pub problems: Vec<ProblemJson>,
    /// Open questions: what is missing or looks odd. Each is for a person to look at with the printed label at
    /// hand, and may stand if the label reads so.
    pub questions: Vec<ProblemJson>,
}

/// A label as read.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabelJson {
    /// The word by which visits and records name it.
    pub id: String,
    /// The facts of the product.
    pub product: LabelProductJson,
    /// The uses, in the order of the file.
    pub uses: Vec<UseJson>,
    /// Every section that says anything, in the order of the file.
    pub sections: Vec<SectionJson>,
}

/// The facts of the product.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabelProductJson {
    /// Name as printed.
    pub name: String,
    /// Version of the label text, as printed.
    pub label_version: String,
    /// Date of the label text.
    pub label_date: Option<String>,
    /// Registration number as printed.
    pub registration_number: Option<String>,
    /// Establishment number as printed.
    pub establishment_number: Option<String>,
    /// Who holds the registration.
    pub registrant: Option<String>,
    /// Net contents as printed.
    pub net_contents: Option<String>,
    /// States in which it is registered; empty when the file does not say.
    pub registered_in: Vec<String>,
    /// `unclassified` or `restricted`.
    pub use_class: &'static str,
    /// Two-letter code of the formulation.
    pub formulation: &'static str,
    /// `none`, `caution`, `warning`, `danger` or `danger-poison`.
    pub signal_word: &'static str,
    /// Mass per volume, in words.
    pub density: Option<String>,
    /// Active ingredients.
    pub active_ingredients: Vec<LabelIngredientJson>,
    /// Whether the whole label is made up, for practice.
    pub invented: bool,
}

/// An active ingredient.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabelIngredientJson {
    /// The name as printed.
    pub name: String,
    /// How much of it the product holds, in words.
    pub content: String,
    /// Its mode-of-action group.
    pub group: Option<String>,
}

/// A use of the label.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UseJson {
    /// Its place in the file, such as `use[2]`: the path of its section.
    pub path: String,
    /// The word by which verdicts name it.
    pub id: String,
    /// Sites.
    pub sites: Vec<&'static str>,
    /// Plants or places left out.
    pub excluded: Vec<String>,
    /// The way to apply.
    pub method: &'static str,
    /// Pests claimed.
    pub pests: Vec<PestJson>,
    /// Pests that the label excludes by name.
    pub pests_excluded: Vec<String>,
    /// Whether the label forbids use against any other pest.
    pub only_these_pests: bool,
}

/// A pest of a use.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PestJson {
    /// Its common name.
    pub name: String,
    /// Life stages; empty when the label names none.
    pub stages: Vec<String>,
    /// `control`, `suppression` or `preventive`.
    pub claim: &'static str,
}

/// A section of a label.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SectionJson {
    /// Its place in the file: `precaution`, `restraints`, `use[2]`.
    pub path: String,
    /// What it is called: the use's own id, or else the key.
    pub name: String,
    /// What it says.
    pub sayings: Vec<SayingJson>,
}

/// What a section says on one subject.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SayingJson {
    /// Its place in the file: `use[2].rate`, `restraints.cap[1]`. Problems and questions name it.
    pub path: String,
    /// The subject by its key: `rate`, `cap`.
    pub subject: &'static str,
    /// What was read from the sentence, in units of both systems; null for a plain sentence.
    pub figure: Option<String>,
    /// The sentence; null when the subject does not arise for the use.
    pub clause: Option<ClauseJson>,
}

/// A sentence of a label.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ClauseJson {
    /// Word for word.
    pub text: String,
    /// Its page.
    pub page: Option<u32>,
    /// `mandatory`, `advisory` or `descriptive`.
    pub strength: &'static str,
    /// The state whose sentence it is; null for every state.
    pub state: Option<String>,
}

/// Reads a label file and checks it. `file` is the name that its user gave it and only serves messages.
pub fn read_out(file: &str, text: &str) -> LabelReadingJson {
    let (label, found) = check_label(file, text);
    let (errors, warnings): (Vec<Problem>, Vec<Problem>) =
        found.into_iter().partition(|problem| problem.severity == Severity::Error);
    LabelReadingJson {
        format: FORMAT,
        usable: errors.is_empty() && label.is_some(),
        label: label.as_ref().map(LabelJson::from),
        problems: errors.iter().map(ProblemJson::from).collect(),
        questions: warnings.iter().map(ProblemJson::from).collect(),
    }
}

impl From<&Label> for LabelJson {
    fn from(label: &Label) -> Self {
        Self {
            id: label.id.clone(),
            product: LabelProductJson::from(&label.product),
            uses: label.uses.iter().enumerate().map(|(index, row)| UseJson::new(index, row)).collect(),
            sections: label.sections().into_iter().map(SectionJson::from).collect(),
        }
    }
}

impl From<&label::Product> for LabelProductJson {
    fn from(product: &label::Product) -> Self {
        let ingredient = |ingredient: &label::ActiveIngredient| {
            let percent = |share: quantity::MassFraction| format!("{} %", significant(share.percent(), 3));
            let content = match (ingredient.content, ingredient.mass_fraction) {
                (Content::MassFraction(share), _) => percent(share),
                (Content::MassPerVolume(mass), None) => mass.show(DensityUnit::PoundPerUsGallon),
                (Content::MassPerVolume(mass), Some(share)) => {
                    format!("{}, {}", mass.show(DensityUnit::PoundPerUsGallon), percent(share))
                }
            };
            LabelIngredientJson { name: ingredient.name.clone(), content, group: ingredient.group.clone() }
        };
        Self {
            name: product.name.clone(),
            label_version: product.label_version.clone(),
            label_date: product.label_date.map(|date| date.to_string()),
            registration_number: product.registration_number.clone(),
            establishment_number: product.establishment_number.clone(),
            registrant: product.registrant.clone(),
            net_contents: product.net_contents.clone(),
            registered_in: product.registered_in.clone(),
            use_class: product.use_class.word(),
            formulation: product.formulation.code(),
            signal_word: product.signal_word.word(),
            density: product.density.map(|density| density.show(DensityUnit::PoundPerUsGallon)),
            active_ingredients: product.active_ingredients.iter().map(ingredient).collect(),
            invented: product.invented,
        }
    }
}

impl UseJson {
    fn new(index: usize, row: &UseRow) -> Self {
        let pest = |pest: &label::PestClaim| PestJson {
            name: pest.pest.clone(),
            stages: pest.stages.clone(),
            claim: pest.claim.word(),
        };
        Self {
            path: format!("use[{}]", index + 1),
            id: row.id.clone(),
            sites: row.sites.iter().map(|site| site.word()).collect(),
            excluded: row.excluded.clone(),
            method: row.method.word(),
            pests: row.pests.iter().map(pest).collect(),
            pests_excluded: row.pests_excluded.clone(),
            only_these_pests: row.only_these_pests,
        }
    }
}

impl From<Section> for SectionJson {
    fn from(section: Section) -> Self {
        let saying = |Saying { path, subject, figure, clause }: Saying| SayingJson {
            path,
            subject,
            figure,
            clause: clause.map(ClauseJson::from),
        };
        Self { path: section.path, name: section.name, sayings: section.sayings.into_iter().map(saying).collect() }
    }
}

impl From<Clause> for ClauseJson {
    fn from(clause: Clause) -> Self {
        Self {
            strength: clause.strength.word(),
            page: clause.page,
            state: match clause.scope {
                label::Scope::State(state) => Some(state),
                _ => None,
            },
            text: clause.text,
        }
    }
}
