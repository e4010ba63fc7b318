//! Calibration, nozzles, tanks, mixing order, and batches measured with the cup in hand.
//!
//! This crate must not know: land, weather, pests. Of a label it knows only the formulation.

mod batch;
mod calibration;
mod equipment;
mod finding;
mod load;
mod mixing;
mod nozzle;
mod pace;
mod pressure;
mod refusal;
mod spreader;
mod travel;

pub use batch::{Batch, BatchPlan, Concentration, Dose, MixOrder, plan_batches};
pub use calibration::{Calibration, CalibrationRecord, Runs, TimedRun};
pub use equipment::{Capacity, EquipmentKind, Pace, Sprayer, SprayerDetails};
pub use finding::{CalibrationFinding, CalibrationRules};
pub use load::{DryDose, LoadOrder, plan_loads};
pub use mixing::{Adjuvant, MixAction, MixGroup, MixOrigin, MixPartner, MixStep, Mixable, mixing_steps};
pub use nozzle::{NozzleSize, NozzleWear, flow_at_pressure, tips_off_the_mean};
pub use pace::{TankCheck, check_after_tank, job_duration, spreading_duration};
pub use pressure::{Pressure, PressureUnit};
pub use refusal::is_refusal;
pub use spreader::{SpreaderRange, effective_swath, half_rate, spreader_range};
pub use travel::{course_length, effective_width, flow_needed, output_of, speed_needed, speed_over};
