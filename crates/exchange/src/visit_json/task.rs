//! Tasks: where, what, how much, in which tanks.

use super::figure::{FigureJson, MeasureJson, OriginJson};
use super::hour::{HourJson, StartWindowJson};
use super::verdict::{VerdictJson, WorkingJson};
use label::ActiveIngredient;
use quantity::{Amount, AreaUnit, DurationUnit, MassUnit, VolumePerAreaUnit, VolumeUnit};
use schemars::JsonSchema;
use serde::Serialize;
use sprayer::{MixOrigin, MixStep};
use treatment::{Batch, Remaining, Task, TaskProduct};

/// An amount of product: either by volume or by mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AmountParts {
    pub(crate) millilitres: Option<f64>,
    pub(crate) grams: Option<f64>,
}

impl From<Amount> for AmountParts {
    fn from(amount: Amount) -> Self {
        match amount {
            Amount::Volume(volume) => Self { millilitres: Some(volume.to(VolumeUnit::Millilitre)), grams: None },
            Amount::Mass(mass) => Self { millilitres: None, grams: Some(mass.to(MassUnit::Gram)) },
        }
    }
}

/// One task of the visit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TaskJson {
    /// Its name in the request.
    pub id: String,
    /// The finding on which it rests, by its name; null where nothing written down justifies it.
    pub finding: Option<String>,
    /// How, such as `broadcast`, `perimeter`, `foliar`.
    pub method: String,
    /// The product that it names.
    #[serde(flatten)]
    pub product: TaskProductJson,
    /// What else goes into the same tank; empty for most tasks.
    pub partners: Vec<TaskProductJson>,
    /// Treated ground, square metres.
    pub ground_m2: f64,
    /// Treated wall, square metres.
    pub wall_m2: f64,
    /// Spray, litres; null for dry products.
    pub spray_l: Option<f64>,
    /// Spray per area that the calibration gives, litres per square metre.
    pub output_l_per_m2: Option<f64>,
    /// Variation of the calibration's runs, sample standard deviation over mean.
    pub output_variation: Option<f64>,
    /// Mixing order for one tank.
    pub mixing: Vec<MixStepJson>,
    /// The sprayer or spreader.
    pub equipment: String,
    /// Time for this task, refills included, minutes.
    pub duration_min: f64,
    /// The hours of the forecast, judged for the whole job.
    pub hours: Vec<HourJson>,
    /// When the whole job may start.
    pub start_window: Option<StartWindowJson>,
    /// Verdicts on this task.
    pub verdicts: Vec<VerdictJson>,
    /// How its figures were reached.
    pub working: Vec<WorkingJson>,
}

impl TaskJson {
    pub(super) fn new(task: &Task, hours: &[HourJson], start_window: Option<&StartWindowJson>) -> Self {
        Self {
            id: task.id.clone(),
            finding: task.finding.clone(),
            method: task.method.word().to_owned(),
            product: TaskProductJson::from(&task.product),
            partners: task.partners.iter().map(TaskProductJson::from).collect(),
            ground_m2: task.ground.to(AreaUnit::SquareMetre),
            wall_m2: task.wall.to(AreaUnit::SquareMetre),
            spray_l: task.spray.map(|spray| spray.to(VolumeUnit::Litre)),
            // A litre per square metre is ten thousand litres per hectare.
            output_l_per_m2: task.output.map(|output| output.to(VolumePerAreaUnit::LitrePerHectare) / 10_000.0),
            output_variation: task.output_variation,
            mixing: task.mixing.iter().map(MixStepJson::from).collect(),
            equipment: task.equipment.clone(),
            duration_min: task.duration.to(DurationUnit::Minute),
            hours: hours.to_vec(),
            start_window: start_window.cloned(),
            verdicts: task.verdicts.iter().map(VerdictJson::from).collect(),
            working: task.working.iter().map(WorkingJson::from).collect(),
        }
    }
}

/// One product of a task: its rate, its amounts, and what its label still allows.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TaskProductJson {
    /// The label's id.
    pub label: String,
    /// The product's name.
    pub product: String,
    /// Registration number as printed on the label.
    pub registration_number: Option<String>,
    /// Signal word of the label: `none`, `caution`, `warning`, `danger`, `danger-poison`.
    pub signal_word: String,
    /// What it holds.
    pub active_ingredients: Vec<ActiveIngredientJson>,
    /// The use row of the label.
    pub use_row: String,
    /// The pest.
    pub pest: String,
    /// Rate, in the label's own unit and basis.
    pub rate: FigureJson,
    /// Where that rate comes from.
    pub rate_origin: OriginJson,
    /// Rate after rounding to the measure, of a full load or the only one.
    pub rate_after_rounding: FigureJson,
    /// Rate that the product measured for the whole task comes to.
    pub rate_as_measured: FigureJson,
    /// What a rate by dilution or by piece comes to per area.
    pub area_rate: Option<FigureJson>,
    /// Product, millilitres, unrounded; absent when it is weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_ml: Option<f64>,
    /// Product, grams, unrounded; absent when it is measured by volume.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_g: Option<f64>,
    /// Product as measured over all batches, millilitres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_ml: Option<f64>,
    /// Product as measured over all batches, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_g: Option<f64>,
    /// What goes into a full tank, even when none is filled.
    pub full_load: Option<BatchJson>,
    /// The tanks or hopper loads, in order; the same for every product of a task.
    pub batches: Vec<BatchJson>,
    /// Smallest mark of the measure, millilitres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub graduation_ml: Option<f64>,
    /// Smallest mark of the measure, grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub graduation_g: Option<f64>,
    /// What the year still allows, place by place.
    pub remaining: Vec<RemainingJson>,
    /// Days since the place was last treated with this product.
    pub days_since_previous: Option<i32>,
    /// First date to apply again by the label's interval alone.
    pub earliest_repeat: Option<String>,
    /// First date to apply again by everything the label counts: interval, number, and what is left at
    /// its lowest rate. Null when the past is not known or nothing is counted.
    pub next_lawful: Option<String>,
    /// Named figures of the product on this task.
    pub measures: Vec<MeasureJson>,
}

impl From<&TaskProduct> for TaskProductJson {
    fn from(task: &TaskProduct) -> Self {
        let product = AmountParts::from(task.amount);
        let measured = AmountParts::from(task.measured);
        let graduation = AmountParts::from(task.graduation);
        Self {
            label: task.label.clone(),
            product: task.name.clone(),
            registration_number: task.registration_number.clone(),
            signal_word: task.signal_word.word().to_owned(),
            active_ingredients: task.active_ingredients.iter().map(ActiveIngredientJson::from).collect(),
            use_row: task.use_row.clone(),
            pest: task.pest.clone(),
            rate: FigureJson::of_rate(&task.rate),
            rate_origin: task.rate_origin.into(),
            rate_after_rounding: FigureJson::of_rate(&task.rate_after_rounding),
            rate_as_measured: FigureJson::of_rate(&task.rate_as_measured),
            area_rate: task.area_rate.as_ref().map(FigureJson::of_rate),
            product_ml: product.millilitres,
            product_g: product.grams,
            measured_ml: measured.millilitres,
            measured_g: measured.grams,
            full_load: task.full_load.as_ref().map(BatchJson::from),
            batches: task.batches.iter().map(BatchJson::from).collect(),
            graduation_ml: graduation.millilitres,
            graduation_g: graduation.grams,
            remaining: task.remaining.iter().map(RemainingJson::from).collect(),
            days_since_previous: task.days_since_previous,
            earliest_repeat: task.earliest_repeat.map(|date| date.to_string()),
            next_lawful: task.next_lawful.map(|date| date.to_string()),
            measures: task.measures.iter().map(MeasureJson::from).collect(),
        }
    }
}

/// An active ingredient of a product.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ActiveIngredientJson {
    /// Name as printed on the label.
    pub name: String,
    /// Mode-of-action group, when the label states one.
    pub group: Option<String>,
}

impl From<&ActiveIngredient> for ActiveIngredientJson {
    fn from(ingredient: &ActiveIngredient) -> Self {
        Self { name: ingredient.name.clone(), group: ingredient.group.clone() }
    }
}

/// One step of mixing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MixStepJson {
    /// What is done.
    pub action: String,
    /// With what; null for water and tank.
    pub partner: Option<String>,
    /// Who says that it comes here: `usual` or `label`.
    pub origin: String,
}

impl From<&MixStep> for MixStepJson {
    fn from(step: &MixStep) -> Self {
        Self {
            action: step.action.words().to_owned(),
            partner: step.partner.clone(),
            origin: match step.origin {
                MixOrigin::Usual => "usual",
                MixOrigin::Label => "label",
            }
            .to_owned(),
        }
    }
}

/// One tank or hopper load.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BatchJson {
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
    /// Area it covers, square metres.
    pub covers_m2: f64,
}

impl From<&Batch> for BatchJson {
    fn from(batch: &Batch) -> Self {
        let product = AmountParts::from(batch.product);
        let measured = AmountParts::from(batch.measured);
        Self {
            spray_l: batch.spray.map(|spray| spray.to(VolumeUnit::Litre)),
            product_ml: product.millilitres,
            product_g: product.grams,
            measured_ml: measured.millilitres,
            measured_g: measured.grams,
            covers_m2: batch.covers.to(AreaUnit::SquareMetre),
        }
    }
}

/// What may still be applied on a place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RemainingJson {
    /// The place.
    pub place: String,
    /// Which limit binds.
    pub limit: String,
    /// Its sentence.
    pub clause: Option<String>,
    /// Applied in the window, this visit included.
    pub total: FigureJson,
    /// The binding cap.
    pub cap: FigureJson,
    /// What is left after this visit.
    pub left: FigureJson,
    /// Applications left at today's rate.
    pub more_applications: u32,
    /// Applications left at the label's lowest rate.
    pub more_at_lowest: u32,
    /// The label's lowest rate.
    pub lowest_rate: FigureJson,
    /// End of the window.
    pub window_ends: String,
}

impl From<&Remaining> for RemainingJson {
    fn from(remaining: &Remaining) -> Self {
        Self {
            place: remaining.place.clone(),
            limit: remaining.limit.clone(),
            clause: remaining.clause.clone(),
            total: (&remaining.total).into(),
            cap: (&remaining.cap).into(),
            left: (&remaining.left).into(),
            more_applications: remaining.more_at_todays,
            more_at_lowest: remaining.more_at_lowest,
            lowest_rate: (&remaining.lowest_rate).into(),
            window_ends: remaining.window_ends.to_string(),
        }
    }
}
