//! What changed between two versions of a label, as JSON.

use label::{Difference, Label};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.label-differences/1";

/// What a newer label says otherwise than an older one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DifferencesJson {
    /// `tussock.label-differences/1`.
    pub format: &'static str,
    /// Id of the older label.
    pub older: String,
    /// Id of the newer label.
    pub newer: String,
    /// The differences, in the order of the label file.
    pub differences: Vec<DifferenceJson>,
}

/// One subject on which the two differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct DifferenceJson {
    /// The subject by its key in a label file.
    pub subject: String,
    /// What the older says; null when it is silent.
    pub older: Option<String>,
    /// What the newer says; null when it is silent.
    pub newer: Option<String>,
}

/// The differences as text, ended by a new line.
pub fn write_differences(older: &Label, newer: &Label, differences: &[Difference]) -> String {
    let each = |difference: &Difference| DifferenceJson {
        subject: difference.subject.clone(),
        older: difference.older.clone(),
        newer: difference.newer.clone(),
    };
    crate::json_text::pretty(&DifferencesJson {
        format: FORMAT,
        older: older.id.clone(),
        newer: newer.id.clone(),
        differences: differences.iter().map(each).collect(),
    })
}
