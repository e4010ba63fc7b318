//! A mix as data: the tanks or loads, and what is measured into each.

use crate::visit_json::{AmountParts, FigureJson};
use quantity::{Rate, VolumeUnit};
use schemars::JsonSchema;
use serde::Serialize;
use sprayer::{Batch, BatchPlan};

/// The format of the document.
pub const FORMAT: &str = "tussock.mix/1";

/// A mix.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MixJson {
    /// `tussock.mix/1`.
    pub format: &'static str,
    /// The rate wanted.
    pub rate: FigureJson,
    /// Spray, litres; null for dry products.
    pub spray_l: Option<f64>,
    /// Product, millilitres, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_ml: Option<f64>,
    /// Product, grams, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_g: Option<f64>,
    /// Product as measured, millilitres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_ml: Option<f64>,
    /// Product as measured, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_g: Option<f64>,
    /// Number of full tanks or hoppers.
    pub full_tanks: u32,
    /// A full tank or hopper, even when none is filled.
    pub full_load: Option<MixBatchJson>,
    /// Every tank or load in the order of filling.
    pub batches: Vec<MixBatchJson>,
}

/// One tank or load.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MixBatchJson {
    /// Spray in it, litres; null for dry products.
    pub spray_l: Option<f64>,
    /// Product, millilitres, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_ml: Option<f64>,
    /// Product, grams, unrounded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_g: Option<f64>,
    /// Product to measure, millilitres, on the graduation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_ml: Option<f64>,
    /// Product to weigh, grams, on the graduation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_g: Option<f64>,
}

impl From<Batch> for MixBatchJson {
    fn from(batch: Batch) -> Self {
        let (product, measured) = (AmountParts::from(batch.product), AmountParts::from(batch.measured));
        Self {
            spray_l: batch.spray.map(|spray| spray.to(VolumeUnit::Litre)),
            product_ml: product.millilitres,
            product_g: product.grams,
            measured_ml: measured.millilitres,
            measured_g: measured.grams,
        }
    }
}

impl MixJson {
    /// The tanks or loads of a rate.
    pub fn new(rate: &Rate, plan: &BatchPlan) -> Self {
        let (product, measured) = (AmountParts::from(plan.product()), AmountParts::from(plan.measured()));
        Self {
            format: FORMAT,
            rate: FigureJson::of_rate(rate),
            spray_l: plan.spray().map(|spray| spray.to(VolumeUnit::Litre)),
            product_ml: product.millilitres,
            product_g: product.grams,
            measured_ml: measured.millilitres,
            measured_g: measured.grams,
            full_tanks: plan.full_tanks,
            full_load: plan.full.map(MixBatchJson::from),
            batches: plan.batches().map(MixBatchJson::from).collect(),
        }
    }
}

/// The document as text, ended by a new line.
pub fn write_mix(rate: &Rate, plan: &BatchPlan) -> String {
    crate::json_text::pretty(&MixJson::new(rate, plan))
}
