//! Where is worked: a property with its map.

use super::{Checked, Day, FileText, Index, JurisdictionText, Reference, fields, within};
use crate::geojson_map::parse_property;
use problem::Problems;

fields! {
    /// A property with its map.
    pub struct Property {
        /// What it is called.
        pub name: String,
        /// Whose it is.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub client: Option<Reference>,
        /// Its address.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub address: Option<String>,
        /// The state or province in which it lies.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub jurisdiction: Option<JurisdictionText>,
        /// The day from which on the books hold every application on it, whoever made it. Without the
        /// day the books prove nothing about the time before their first record.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub complete_since: Option<Day>,
        /// The map (GeoJSON), whole.
        pub map: FileText,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

impl Property {
    /// The map, read.
    ///
    /// # Errors
    /// What is wrong with the map; none for a document that was read.
    pub fn mapped(&self) -> Result<property::Property, Problems> {
        parse_property(&self.name, &self.map.0).map(|(property, _)| property)
    }

    pub(super) fn found_by(&self) -> Index {
        Index { title: self.name.clone(), client: self.client.clone(), ..Index::default() }
    }
}

impl Checked for Property {
    fn check(&self, problems: &mut Problems) {
        if let Err(found) = self.mapped() {
            within("/map", found, problems);
        }
    }
}
