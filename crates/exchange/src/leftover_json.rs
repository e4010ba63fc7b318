//! Where a leftover may lawfully go, as data.

use crate::record_json::RateJson;
use crate::visit_json::VerdictJson;
use quantity::{AreaUnit, VolumeUnit};
use record::{LeftoverMix, LeftoverPlace};
use schemars::JsonSchema;
use serde::Serialize;

/// The format of the document.
pub const FORMAT: &str = "tussock.leftover/1";

/// What stands beside every answer: a leftover without a place is not poured out.
pub const OTHERWISE: &str = "What finds no place here is kept closed and labelled for the next lawful use, within the label's \
     time for a mix, or taken to a disposal programme for pesticides. Never pour it out: not into a drain, sink, sewer, \
     gutter or ditch, not on a driveway or street, not into a pond or creek.";

/// The places that may take a leftover.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[schemars(title = "Where a leftover may go")]
pub struct LeftoversJson {
    /// `tussock.leftover/1`.
    pub format: &'static str,
    /// The task for which it was mixed.
    pub task: String,
    /// Spray left, litres.
    pub left_l: f64,
    /// The places, those that take all of it first.
    pub places: Vec<LeftoverPlaceJson>,
    /// What becomes of it otherwise.
    pub otherwise: &'static str,
    /// What becomes of rinsate, product by product, in words.
    pub rinsate: Vec<String>,
}

/// A place that the labels allow for a leftover.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LeftoverPlaceJson {
    /// The place in words.
    pub place: String,
    /// What it is, such as `turf`.
    pub site: String,
    /// How it is applied there.
    pub method: String,
    /// The use row of the first product's label.
    pub use_row: String,
    /// Ground and wall that may be treated, square metres.
    pub allowed_m2: f64,
    /// Ground and wall that the leftover covers there, square metres.
    pub needed_m2: f64,
    /// How much of the leftover may go there, litres.
    pub spray_l: f64,
    /// Whether all of it may.
    pub takes_all: bool,
    /// Rate of each product.
    pub rates: Vec<LabelRateJson>,
    /// What a person has to look at before.
    pub cautions: Vec<VerdictJson>,
}

/// The rate of one product.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LabelRateJson {
    /// The label's id.
    pub label: String,
    /// The rate.
    pub rate: RateJson,
}

impl From<&LeftoverPlace> for LeftoverPlaceJson {
    fn from(place: &LeftoverPlace) -> Self {
        let rates = place.rates.iter().map(|(label, rate)| LabelRateJson { label: label.clone(), rate: rate.into() });
        Self {
            place: place.place.clone(),
            site: place.site.word().to_owned(),
            method: place.method.word().to_owned(),
            use_row: place.use_row.clone(),
            allowed_m2: place.allowed.to(AreaUnit::SquareMetre),
            needed_m2: place.needed.to(AreaUnit::SquareMetre),
            spray_l: place.spray.to(VolumeUnit::Litre),
            takes_all: place.takes_all(),
            rates: rates.collect(),
            cautions: place.cautions.iter().map(VerdictJson::from).collect(),
        }
    }
}

/// The places that may take a mix as text, ended by a new line.
pub fn write_leftover(mix: &LeftoverMix, places: &[LeftoverPlace], rinsate: &[String]) -> String {
    crate::json_text::pretty(&LeftoversJson {
        format: FORMAT,
        task: mix.task.clone(),
        left_l: mix.spray.to(VolumeUnit::Litre),
        places: places.iter().map(LeftoverPlaceJson::from).collect(),
        otherwise: OTHERWISE,
        rinsate: rinsate.to_vec(),
    })
}
