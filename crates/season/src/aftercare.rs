//! The figures of the care between visits, for the visit that they belong to: did the last treatment
//! work, how long to water, how many cartridges to seal.

use crate::sealing::{Joint, cartridges};
use crate::watering::{CatchCans, plan_watering};
use problem::Problems;
use quantity::{Duration, DurationUnit, Length, LengthUnit, Volume, VolumeUnit};
use scouting::{EfficacyCounts, efficacy};
use treatment::{Figure, Measure, Origin};

/// What was measured for the care between visits; every part is optional.
#[derive(Debug, Clone, Default)]
pub struct Aftercare {
    /// Counts before and after on treated ground and on a check.
    pub efficacy: Option<EfficacyCounts>,
    /// A catch-can audit and what the turf needs.
    pub watering: Option<Watering>,
    /// Joints to seal.
    pub joints: Vec<Joint>,
}

/// A catch-can audit and what the turf needs.
#[derive(Debug, Clone)]
pub struct Watering {
    /// The cans.
    pub cans: CatchCans,
    /// Depth wanted.
    pub target: Length,
    /// Rain that counts.
    pub effective_rain: Length,
    /// Time until water runs off.
    pub time_to_runoff: Duration,
}

/// A usual cartridge of sealant (common practice, no source).
fn cartridge() -> Volume {
    Volume::new(10.1, VolumeUnit::UsFluidOunce)
}

/// A tenth more than the joints take, for waste (common practice, no source).
const WASTE: f64 = 0.1;

/// The figures.
///
/// # Errors
/// As the single computations: counts of nothing, no joints.
pub fn figures(care: &Aftercare) -> Result<Vec<Measure>, Problems> {
    let mut measures = Vec::new();
    let mut problems = Problems::new();
    let mut add = |name: &str, words: &str, figure: Figure| {
        measures.push(Measure { name: name.to_owned(), words: words.to_owned(), figure, origin: Origin::Measured });
    };
    if let Some(counts) = care.efficacy {
        match efficacy(counts) {
            Ok(found) => {
                add("efficacy-abbott", "control by Abbott's formula", Figure::count(found.abbott));
                add("efficacy", "control by Henderson and Tilton's formula", Figure::count(found.henderson_tilton));
                add("efficacy-low", "lower end of its 95 % interval", Figure::count(found.interval.0));
                add("efficacy-high", "upper end of its 95 % interval", Figure::count(found.interval.1));
            }
            Err(found) => problems.extend(found),
        }
    }
    if let Some(watering) = &care.watering
        && let Some(rate) = watering.cans.precipitation_rate()
    {
        let inches_per_hour = rate.per_hour().to(LengthUnit::Inch);
        add("precipitation-rate", "water that the sprinklers give", Figure::new(inches_per_hour, "in/h", "[in_i]/h"));
        let uniformity = watering.cans.lowest_quarter_uniformity();
        add("uniformity", "lowest quarter of the cans over their mean", Figure::count(uniformity));
        match plan_watering(watering.target, watering.effective_rain, rate, watering.time_to_runoff) {
            Ok(plan) => {
                let minute = DurationUnit::Minute;
                let run = Figure::new(plan.run.to(minute), minute.symbol(), minute.ucum());
                add("watering-run", "time to run the sprinklers", run);
                add(
                    "watering-cycles",
                    "runs with pauses, so that nothing runs off",
                    Figure::count(f64::from(plan.cycles)),
                );
            }
            Err(found) => problems.extend(found),
        }
    }
    if !care.joints.is_empty() {
        match cartridges(&care.joints, cartridge(), WASTE) {
            Ok(need) => {
                let unit = VolumeUnit::CubicInch;
                let volume = Figure::new(need.volume.to(unit), unit.symbol(), unit.ucum());
                add("sealant-volume", "sealant that the joints take", volume);
                add("sealant-cartridges-exact", "cartridges, waste included", Figure::count(need.exact));
                add("sealant-cartridges", "cartridges to bring", Figure::count(f64::from(need.cartridges)));
            }
            Err(found) => problems.extend(found),
        }
    }
    problems.unless_errors(measures).map(|(measures, _)| measures)
}
