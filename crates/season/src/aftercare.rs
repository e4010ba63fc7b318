//! The figures of the care between visits, for the visit that they belong to: did the last treatment
//! work, how long to water, how many cartridges to seal.

use crate::sealing::{Joint, cartridges};
use crate::watering::{CatchCans, plan_watering};
use problem::Problems;
use quantity::{Duration, DurationUnit, Length, LengthUnit, Volume, VolumeUnit};
use scouting::{Counts, EfficacyCounts, EfficacyFormula, EfficacyTrial, GroundCounts, efficacy};
use treatment::{Figure, Measure, Origin};

/// What was measured for the care between visits; every part is optional.
#[derive(Debug, Clone, Default)]
pub struct Aftercare {
    /// Counts round the last treatment.
    pub efficacy: Option<LastTreatment>,
    /// A catch-can audit and what the turf needs.
    pub watering: Option<Watering>,
    /// Joints to seal.
    pub joints: Vec<Joint>,
}

/// Counts before and after the last treatment, on treated ground and on a check.
#[derive(Debug, Clone, PartialEq)]
pub struct LastTreatment {
    /// All stations together.
    pub totals: EfficacyCounts,
    /// One by one.
    pub trial: EfficacyTrial,
}

impl LastTreatment {
    /// Name, words and share of each figure.
    fn figures(&self) -> Result<Vec<(&'static str, String, f64)>, Problems> {
        let Self { totals, trial } = self;
        let found = efficacy(*totals)?;
        let half = if found.half_for_none { "; none was left, and a half stands for it" } else { "" };
        let stations = |ground: &GroundCounts| ground.after.as_ref().map(Counts::stations);
        let apart = if stations(&trial.treated) == stations(&trial.check) {
            ""
        } else {
            "; of totals, though treated ground and check had not as many stations"
        };
        // By the means of stations, of which there may have been more after than before; none left is complete control there.
        let estimate = trial.control_by(EfficacyFormula::HendersonTilton).ok();
        let control = estimate.filter(|_| !found.half_for_none).map(|estimate| estimate.control.share());
        let mut all = vec![
            ("efficacy-abbott", format!("control by Abbott's formula{apart}{half}"), found.abbott),
            (
                "efficacy",
                format!("control by Henderson and Tilton's formula{half}"),
                control.unwrap_or(found.henderson_tilton),
            ),
        ];
        if let Some(estimate) = estimate {
            let doubt = estimate.doubt.map(|doubt| format!("; {}", doubt.problem().found.replace('`', "")));
            let of = |end| format!("{end} end of its 95 % interval{}", doubt.as_deref().unwrap_or_default());
            all.push(("efficacy-low", of("lower"), estimate.interval.0.share()));
            all.push(("efficacy-high", of("upper"), estimate.interval.1.share()));
        }
        let of = |end| format!("{end} end if pests were not clumped at all, which leaves too little open");
        all.push(("efficacy-by-chance-low", of("lower"), found.interval.0));
        all.push(("efficacy-by-chance-high", of("upper"), found.interval.1));
        Ok(all)
    }
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
    if let Some(last) = &care.efficacy {
        match last.figures() {
            Ok(found) => found.into_iter().for_each(|(name, words, share)| add(name, &words, Figure::count(share))),
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
