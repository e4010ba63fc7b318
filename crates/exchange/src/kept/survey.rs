//! What was counted, where.

use super::{AreaText, Checked, Day, Index, Position, Reference, fields};
use problem::{Problem, Problems};
use quantity::counted;

fields! {
    /// Counts of a pest on a property on one day.
    pub struct Survey {
        /// The property.
        pub property: Reference,
        /// The day.
        pub date: Day,
        /// The pest, by common name.
        pub pest: String,
        /// Its life stage.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub stage: Option<String>,
        /// How it was sampled: `float can`, `soap flush`, `sod cut`.
        pub method: String,
        /// The area that one count covers.
        pub count_area: AreaText,
        /// The stations.
        pub stations: Vec<Station>,
        /// Who counted.
        pub by: String,
        /// Anything else.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

fields! {
    /// One station.
    pub struct Station {
        /// How many were counted.
        pub count: u64,
        /// Whether it is an untreated check.
        pub is_check: bool,
        /// Where.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub position: Option<Position>,
    }
}

impl Survey {
    pub(super) fn found_by(&self) -> Index {
        Index {
            title: format!("{} at {}", self.pest, counted(self.stations.len(), "station", "stations")),
            property: Some(self.property.clone()),
            date: Some(self.date.date()),
            ..Index::default()
        }
    }
}

impl Checked for Survey {
    fn check(&self, problems: &mut Problems) {
        if !self.count_area.value().is_positive() {
            problems.push(
                Problem::error("kept::no-area", format!("`{}` is no area to count on", self.count_area))
                    .expected("an area above zero, such as `1 sq ft`")
                    .at("/count_area"),
            );
        }
        if self.stations.is_empty() {
            problems.push(
                Problem::error("kept::no-station", "nothing was counted")
                    .expected("one station or more")
                    .at("/stations"),
            );
        }
        for (index, station) in self.stations.iter().enumerate() {
            if let Some(position) = &station.position {
                position.check(&format!("/stations/{index}/position"), problems);
            }
        }
    }
}
