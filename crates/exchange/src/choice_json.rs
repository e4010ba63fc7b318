//! The choice among labels as data.

use crate::problems_json::ProblemJson;
use crate::visit_json::{FigureJson, StatusJson, VerdictJson};
use problem::Problems;
use schemars::JsonSchema;
use serde::Serialize;
use treatment::Choice;

/// The format of the document.
pub const FORMAT: &str = "tussock.choice/1";

/// The labels of the shelf for each task, best first.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChoicesJson {
    /// `tussock.choice/1`.
    pub format: &'static str,
    /// Task by task, each with its labels, best first.
    pub choices: Vec<ChoiceJson>,
    /// Warnings of the files.
    pub problems: Vec<ProblemJson>,
}

/// One label against one task.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChoiceJson {
    /// The task.
    pub task: String,
    /// Label id.
    pub label: String,
    /// Product name.
    pub product: String,
    /// Whether the task may be done with it, and how well that is known.
    pub status: StatusJson,
    /// The use row that permits it.
    pub use_row: Option<String>,
    /// The rate at which it was tried.
    pub rate: Option<FigureJson>,
    /// Why it stands where it stands.
    pub reasons: Vec<String>,
    /// The verdicts that refuse it.
    pub rejections: Vec<VerdictJson>,
}

impl From<&Choice> for ChoiceJson {
    fn from(choice: &Choice) -> Self {
        Self {
            task: choice.task.clone(),
            label: choice.label.clone(),
            product: choice.product.clone(),
            status: choice.status.into(),
            use_row: choice.planned.as_ref().map(|task| task.product.use_row.clone()),
            rate: choice.planned.as_ref().map(|task| FigureJson::of_rate(&task.product.rate)),
            reasons: choice.reasons.clone(),
            rejections: choice.rejections.iter().map(VerdictJson::from).collect(),
        }
    }
}

/// The document as text, ended by a new line.
pub fn write_choices(choices: &[Choice], problems: &Problems) -> String {
    crate::json_text::pretty(&ChoicesJson {
        format: FORMAT,
        choices: choices.iter().map(ChoiceJson::from).collect(),
        problems: problems.iter().map(ProblemJson::from).collect(),
    })
}
