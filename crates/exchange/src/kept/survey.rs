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
        /// The treatment that the count follows; absent on a count before one, or without.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub treated: Option<SurveyTreatment>,
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
    /// The treatment that a count follows.
    pub struct SurveyTreatment {
        /// Its day.
        pub on: Day,
        /// The group of the mode of action, such as `3A`.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub group: Option<String>,
    }
}

fields! {
    /// One station.
    pub struct Station {
        /// How many were counted.
        pub count: u64,
        /// How many dead ones were counted there; absent where nobody counted them.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub dead: Option<u64>,
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
        if let Some(treated) = self.treated.as_ref().filter(|treated| treated.on.date() > self.date.date()) {
            problems.push(counted_before(treated.on, self.date).at("/treated/on"));
        }
        for (index, station) in self.stations.iter().enumerate() {
            if let Some(position) = &station.position {
                position.check(&format!("/stations/{index}/position"), problems);
            }
        }
    }
}

/// A count that is told to follow a treatment of a later day.
pub(crate) fn counted_before(treated: Day, counted: Day) -> Problem {
    Problem::error(
        "survey::treated-later",
        format!("counted on `{}`, after a treatment on `{}`", counted.date(), treated.date()),
    )
    .expected("a treatment on the day of the count or before")
    .mend("correct the day, or leave the treatment out of a count that was made before it")
}
