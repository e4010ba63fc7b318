//! Sprayers and spreaders with their calibrations.

use super::{Checked, FileText, Index, fields, within};
use crate::equipment_file::parse_equipment;
use problem::Problems;
use sprayer::Sprayer;

fields! {
    /// Sprayers or spreaders with their calibrations. A new calibration is a new version.
    pub struct Equipment {
        /// What it is called.
        pub name: String,
        /// The equipment file, whole.
        pub equipment: FileText,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

impl Equipment {
    /// The pieces, read.
    ///
    /// # Errors
    /// What is wrong with the file; none for a document that was read.
    pub fn pieces(&self) -> Result<Vec<Sprayer>, Problems> {
        parse_equipment(&self.name, &self.equipment.0).map(|(pieces, _)| pieces)
    }

    pub(super) fn found_by(&self) -> Index {
        Index { title: self.name.clone(), ..Index::default() }
    }
}

impl Checked for Equipment {
    fn check(&self, problems: &mut Problems) {
        if let Err(found) = self.pieces() {
            within("/equipment", found, problems);
        }
    }
}
