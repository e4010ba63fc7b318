//! A visit planned: its request with all it names, and what came of it in short.

use super::{Checked, Day, FileText, Index, Reference, fields, within, words};
use crate::visit_file::parse_visit;
use problem::{Problem, Problems};
use quantity::{AreaUnit, DurationUnit, VolumeUnit};
use std::collections::BTreeMap;
use treatment::{Status, VisitRequest};

fields! {
    /// A visit planned. The request stands in it with every file that it names, so that it can be planned
    /// again from the document alone.
    pub struct Visit {
        /// What it is called, as the request says.
        pub name: String,
        /// The day planned, as the request says.
        pub date: Day,
        /// The client.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub client: Option<Reference>,
        /// The property.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub property: Option<Reference>,
        /// The visit request, whole.
        pub request: FileText,
        /// The files that it names, by the name it gives them.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        pub files: BTreeMap<String, FileText>,
        /// What came of it when it was planned.
        #[serde(skip_serializing_if = "Option::is_none")]
        pub result: Option<PlannedResult>,
    }
}

fields! {
    /// What came of a visit when it was planned, in short.
    pub struct PlannedResult {
        /// Whether it is lawful.
        pub verdict: VerdictWord,
        /// Ground treated.
        pub ground_m2: f64,
        /// Wall treated.
        pub wall_m2: f64,
        /// Spray.
        pub spray_litres: f64,
        /// The whole job's time.
        pub duration_minutes: f64,
        /// Products.
        pub products: Vec<PlannedProduct>,
    }
}

fields! {
    /// A product of a visit.
    pub struct PlannedProduct {
        /// The label's identifier.
        pub label: String,
        /// The product's name.
        pub product: String,
        /// What the plan measures of it, in words.
        pub measured: String,
    }
}

words! {
    /// Whether a visit is lawful within the stated limits.
    pub enum VerdictWord {
        /// It is.
        Allowed = "allowed",
        /// It is, with care.
        Caution = "caution",
        /// It is refused.
        Refused = "refused",
    }
}

impl From<Status> for VerdictWord {
    fn from(status: Status) -> Self {
        match status {
            Status::Allowed => Self::Allowed,
            Status::Caution => Self::Caution,
            Status::Refused => Self::Refused,
        }
    }
}

impl From<&treatment::Visit> for PlannedResult {
    fn from(visit: &treatment::Visit) -> Self {
        let area = |of: fn(&treatment::Task) -> quantity::Area| -> quantity::Area { visit.tasks.iter().map(of).sum() };
        Self {
            verdict: visit.verdict().into(),
            ground_m2: area(|task| task.ground).to(AreaUnit::SquareMetre),
            wall_m2: area(|task| task.wall).to(AreaUnit::SquareMetre),
            spray_litres: visit.spray.to(VolumeUnit::Litre),
            duration_minutes: visit.duration.to(DurationUnit::Minute),
            products: visit
                .products
                .iter()
                .map(|total| PlannedProduct {
                    label: total.label.clone(),
                    product: total.product.clone(),
                    measured: amount_words(total.measured),
                })
                .collect(),
        }
    }
}

fn amount_words(amount: quantity::Amount) -> String {
    match amount {
        quantity::Amount::Volume(volume) => volume.show_digits(VolumeUnit::UsFluidOunce, 4),
        quantity::Amount::Mass(mass) => mass.show_digits(quantity::MassUnit::Ounce, 4),
    }
}

impl Visit {
    /// The request, read with all it names from the document alone.
    ///
    /// # Errors
    /// What is wrong with it; none for a document that was read.
    pub fn requested(&self) -> Result<VisitRequest, Problems> {
        let mut fetch = |name: &str| {
            self.files.get(name).map(|text| text.0.clone()).ok_or_else(|| "it is not among the files kept".to_owned())
        };
        parse_visit("visit.toml", &self.request.0, &mut fetch).map(|(request, _)| request)
    }

    pub(super) fn found_by(&self) -> Index {
        Index {
            title: self.name.clone(),
            client: self.client.clone(),
            property: self.property.clone(),
            date: Some(self.date.date()),
        }
    }
}

impl Checked for Visit {
    fn check(&self, problems: &mut Problems) {
        let request = match self.requested() {
            Ok(request) => request,
            Err(found) => return within("/request", found, problems),
        };
        let mut differs = |pointer: &str, here: String, there: String| {
            if here != there {
                problems.push(
                    Problem::error("kept::other-visit", format!("the request says `{there}`, the document `{here}`"))
                        .expected("what the request says")
                        .at(pointer),
                );
            }
        };
        differs("/name", self.name.clone(), request.name);
        differs("/date", self.date.date().to_string(), request.date.to_string());
    }
}
