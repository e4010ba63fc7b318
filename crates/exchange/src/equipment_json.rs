//! An equipment file as read: sprayers and spreaders with what their calibrations give, what is wrong and
//! what is still open.

use crate::calibration_json::CalibrationJson;
use crate::equipment_file::{method_word, parse_calibration, parse_equipment};
use crate::problems_json::ProblemJson;
use jiff::civil::Date;
use problem::{Problem, Problems, Severity};
use quantity::{Amount, Duration, DurationUnit, FlowUnit, LengthUnit, MassUnit, SpeedUnit, VolumeUnit, significant};
use schemars::JsonSchema;
use serde::Serialize;
use sprayer::{Calibration, CalibrationRules, Capacity, Pressure, PressureUnit, Sprayer};
use treatment::Practice;

/// The format of the document.
pub const FORMAT: &str = "tussock.equipment-reading/1";

/// Runs of a calibration when nothing else is said (common practice, no source).
pub const FEWEST_RUNS: usize = 3;

/// An equipment file, read and checked.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct EquipmentReadingJson {
    /// `tussock.equipment-reading/1`.
    pub format: &'static str,
    /// Whether plans can use it: nothing in `problems`.
    pub usable: bool,
    /// Sprayers and spreaders; empty while the file has errors.
    pub equipment: Vec<SprayerJson>,
    /// What is certainly wrong; each refuses the file.
    pub problems: Vec<ProblemJson>,
    /// What should be looked at.
    pub questions: Vec<ProblemJson>,
}

/// A sprayer or spreader, its figures in words of both systems of units.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SprayerJson {
    /// The name by which tasks call it.
    pub id: String,
    /// What it is, such as `backpack`.
    pub kind: &'static str,
    /// Whether it spreads dry products.
    pub is_spreader: bool,
    /// What it holds when full.
    pub capacity: String,
    /// Flow of all nozzles together.
    pub flow: Option<String>,
    /// Its nozzle, or the setting of a spreader.
    pub nozzle: Option<String>,
    /// Its pressure.
    pub pressure: Option<String>,
    /// Walking speed while treating.
    pub walking_speed: Option<String>,
    /// Width treated in one pass.
    pub swath: Option<String>,
    /// Time for one filling.
    pub refill_time: String,
    /// Time for setting up and putting away.
    pub set_up_time: String,
    /// Smallest marks of the measures at hand.
    pub graduations: Vec<String>,
    /// Whether its tank is agitated while spraying.
    pub agitated: Option<bool>,
    /// Its calibrations.
    pub calibrations: Vec<KeptCalibrationJson>,
}

/// A calibration of a sprayer or spreader.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KeptCalibrationJson {
    /// What it is for.
    pub name: String,
    /// How it was made, such as `test-area`.
    pub method: &'static str,
    /// When.
    pub date: Option<String>,
    /// Who walked.
    pub person: Option<String>,
    /// Its nozzle or setting.
    pub nozzle: Option<String>,
    /// Its pressure.
    pub pressure: Option<String>,
    /// What it gives, and what speaks against it today.
    pub result: CalibrationJson,
}

/// Reads an equipment file. `file` is the name that its user gave it and only serves messages; calibrations
/// are judged as of `day`, within the usual limits of practice.
pub fn read_out(file: &str, text: &str, day: Option<Date>) -> EquipmentReadingJson {
    let (equipment, found) = match parse_equipment(file, text) {
        Ok((equipment, warnings)) => (Some(equipment), warnings),
        Err(problems) => (None, problems),
    };
    let (errors, warnings): (Vec<Problem>, Vec<Problem>) =
        found.into_iter().partition(|problem| problem.severity == Severity::Error);
    EquipmentReadingJson {
        format: FORMAT,
        usable: equipment.is_some(),
        equipment: equipment.iter().flatten().map(|sprayer| SprayerJson::new(sprayer, day)).collect(),
        problems: errors.iter().map(ProblemJson::from).collect(),
        questions: warnings.iter().map(ProblemJson::from).collect(),
    }
}

/// How a calibration that stands alone is judged.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RunLimits<'t> {
    /// A full tank or hopper as written, to say what it covers.
    pub full: Option<&'t str>,
    /// Greatest variation of the runs, sample standard deviation over mean; the usual one when left out.
    pub highest_variation: Option<f64>,
    /// Fewest runs; the usual number when left out.
    pub fewest_runs: Option<usize>,
}

/// A calibration that stands alone, as [`parse_calibration`] reads it, judged by its runs.
///
/// # Errors
/// Everything wrong with it, and with the limits.
pub fn judged_calibration(file: &str, text: &str, limits: RunLimits<'_>) -> Result<CalibrationJson, Problems> {
    let mut problems = Problems::new();
    let full = limits.full.and_then(|full| {
        let read = quantity::parse_amount(full).map(|(amount, _)| amount);
        read.map_err(|error| problems.push(error.into_problem("toml::bad-quantity").at("full"))).ok()
    });
    let highest = limits.highest_variation.unwrap_or(Practice::default().calibration_variation);
    if !(0.0..=1.0).contains(&highest) {
        problems.push(
            Problem::error("calibrate::variation", format!("`{highest}` is no share"))
                .expected("a share from 0 to 1, such as 0.1 for ten per cent")
                .at("highest_variation"),
        );
    }
    let calibration = match parse_calibration(file, text) {
        Ok((calibration, _)) => calibration,
        Err(found) => {
            problems.extend(found);
            return Err(problems);
        }
    };
    if problems.has_errors() {
        return Err(problems);
    }
    let findings = calibration.findings_of_runs(highest, limits.fewest_runs.unwrap_or(FEWEST_RUNS));
    let covers = full.and_then(|full| match full {
        Amount::Volume(tank) => calibration.covered_by(tank),
        Amount::Mass(load) => calibration.covered_by_load(load),
    });
    Ok(CalibrationJson::new(&calibration, covers, &findings))
}

impl SprayerJson {
    fn new(sprayer: &Sprayer, day: Option<Date>) -> Self {
        let details = sprayer.details();
        let capacity = match details.capacity {
            Capacity::Tank(volume) => {
                format!("{} ({})", volume.show(VolumeUnit::UsGallon), volume.show(VolumeUnit::Litre))
            }
            Capacity::Hopper(mass) => format!("{} ({})", mass.show(MassUnit::Pound), mass.show(MassUnit::Kilogram)),
        };
        let pace = details.pace.as_ref();
        Self {
            id: sprayer.id().to_owned(),
            kind: sprayer.kind().word(),
            is_spreader: sprayer.kind().is_spreader(),
            capacity,
            flow: details.flow.map(|flow| {
                format!("{} ({})", flow.show(FlowUnit::UsGallonPerMinute), flow.show(FlowUnit::LitrePerMinute))
            }),
            nozzle: details.nozzle.clone(),
            pressure: details.pressure.map(pressure),
            walking_speed: pace.map(|pace| {
                format!(
                    "{} ({})",
                    pace.speed.show(SpeedUnit::MilePerHour),
                    pace.speed.show(SpeedUnit::KilometrePerHour)
                )
            }),
            swath: pace
                .map(|pace| format!("{} ({})", pace.swath.show(LengthUnit::Foot), pace.swath.show(LengthUnit::Metre))),
            refill_time: minutes(details.refill_time),
            set_up_time: minutes(details.set_up_time),
            graduations: details.graduations.iter().map(ToString::to_string).collect(),
            agitated: details.agitated,
            calibrations: details.calibrations.iter().map(|one| KeptCalibrationJson::new(sprayer, one, day)).collect(),
        }
    }
}

impl KeptCalibrationJson {
    fn new(sprayer: &Sprayer, calibration: &Calibration, day: Option<Date>) -> Self {
        let usual = Practice::default();
        let rules = CalibrationRules {
            highest_variation: usual.calibration_variation,
            fewest_runs: FEWEST_RUNS,
            valid_days: usual.calibration_valid_days,
        };
        let covers = match sprayer.details().capacity {
            Capacity::Tank(tank) => calibration.covered_by(tank),
            Capacity::Hopper(load) => calibration.covered_by_load(load),
        };
        let record = calibration.record();
        Self {
            name: record.name.clone(),
            method: method_word(&record.runs),
            date: record.date.map(|date| date.to_string()),
            person: record.person.clone(),
            nozzle: record.nozzle.clone(),
            pressure: record.pressure.map(pressure),
            result: CalibrationJson::new(calibration, covers, &sprayer.findings(calibration, &rules, day, None)),
        }
    }
}

fn minutes(time: Duration) -> String {
    time.show(DurationUnit::Minute)
}

fn pressure(pressure: Pressure) -> String {
    let said = |unit: PressureUnit| format!("{} {}", significant(pressure.to(unit), 3), unit.symbol());
    format!("{} ({})", said(PressureUnit::PoundPerSquareInch), said(PressureUnit::Bar))
}
