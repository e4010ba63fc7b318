//! A label in hand, one version of it.

use super::{Checked, Day, FileText, Index, fields, within};
use crate::label_file::check_label;
use problem::{Problem, Problems};

fields! {
    /// A label: one version of its text, and the container on which it was read.
    pub struct Label {
        /// The label's identifier, as its file says.
        pub id: String,
        /// The label file, whole.
        pub label: FileText,
        /// The day on which the file was held against the container in hand.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub compared_on: Option<Day>,
        /// Who compared them.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub compared_by: Option<String>,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

impl Label {
    /// The label, read.
    ///
    /// # Errors
    /// What is wrong with the file; none for a document that was read.
    pub fn parsed(&self) -> Result<label::Label, Problems> {
        match check_label(&self.id, &self.label.0) {
            (Some(label), found) if !found.has_errors() => Ok(label),
            (_, found) => Err(found),
        }
    }

    pub(super) fn found_by(&self) -> Index {
        Index { title: self.id.clone(), date: self.compared_on.map(Day::date), ..Index::default() }
    }
}

impl Checked for Label {
    fn check(&self, problems: &mut Problems) {
        match self.parsed() {
            Err(found) => within("/label", found, problems),
            Ok(label) if label.id != self.id => problems.push(
                Problem::error(
                    "kept::other-label",
                    format!("the document is of `{}`, and the file of `{}`", self.id, label.id),
                )
                .expected("the `id` of the label file")
                .at("/id"),
            ),
            Ok(_) => {}
        }
    }
}
