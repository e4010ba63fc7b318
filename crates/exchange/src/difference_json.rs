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
    pub differences: Vec<LabelDifferenceJson>,
}

/// One subject on which the two differ.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LabelDifferenceJson {
    /// The section of the label: `product`, `precaution`, `first_aid`, `storage_and_disposal`, `restraints`,
    /// or ``use `turf` ``.
    pub section: String,
    /// `added`, `removed` or `changed`.
    pub change: LabelChangeJson,
    /// The subject by its key in a label file.
    pub subject: String,
    /// What the older says; null when it is silent.
    pub older: Option<String>,
    /// What the newer says; null when it is silent.
    pub newer: Option<String>,
    /// What was read from the older sentence; null when it states no figure.
    pub older_figure: Option<String>,
    /// What was read from the newer sentence; null when it states no figure.
    pub newer_figure: Option<String>,
}

/// What became of a subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LabelChangeJson {
    /// The newer label speaks of it, the older does not.
    Added,
    /// The older label speaks of it, the newer does not.
    Removed,
    /// They say different things.
    Changed,
}

impl From<&Difference> for LabelDifferenceJson {
    fn from(difference: &Difference) -> Self {
        Self {
            section: difference.section.clone(),
            change: match (&difference.older, &difference.newer) {
                (None, _) => LabelChangeJson::Added,
                (_, None) => LabelChangeJson::Removed,
                _ => LabelChangeJson::Changed,
            },
            subject: difference.subject.clone(),
            older: difference.older.clone(),
            newer: difference.newer.clone(),
            older_figure: difference.older_figure.clone(),
            newer_figure: difference.newer_figure.clone(),
        }
    }
}

impl DifferencesJson {
    /// What two labels say differently.
    pub fn new(older: &Label, newer: &Label, differences: &[Difference]) -> Self {
        Self {
            format: FORMAT,
            older: older.id.clone(),
            newer: newer.id.clone(),
            differences: differences.iter().map(LabelDifferenceJson::from).collect(),
        }
    }
}

/// The differences as text, ended by a new line.
pub fn write_differences(older: &Label, newer: &Label, differences: &[Difference]) -> String {
    crate::json_text::pretty(&DifferencesJson::new(older, newer, differences))
}
