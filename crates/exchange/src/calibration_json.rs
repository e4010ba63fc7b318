//! A calibration as data.

use crate::problems_json::ProblemJson;
use crate::visit_json::FigureJson;
use problem::Problem;
use quantity::{AmountPerArea, Area, AreaUnit, MassPerAreaUnit, VolumePerAreaUnit};
use schemars::JsonSchema;
use serde::Serialize;
use sprayer::{Calibration, CalibrationFinding};

/// The format of the document.
pub const FORMAT: &str = "tussock.calibration/1";

/// A calibration: the output of each run, their mean and their spread.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CalibrationJson {
    /// `tussock.calibration/1`.
    pub format: &'static str,
    /// Whether the calibration may be used within the limits stated for it.
    pub usable: bool,
    /// Mean output in units of the trade, coarse to fine.
    pub output: Vec<FigureJson>,
    /// The output of each run, in the first of those units.
    pub runs: Vec<FigureJson>,
    /// Sample standard deviation over mean; null with fewer than two runs.
    pub variation: Option<f64>,
    /// What a full tank or hopper covers, square metres, when its size was given.
    pub covers_m2: Option<f64>,
    /// What speaks against using it.
    pub findings: Vec<ProblemJson>,
}

impl CalibrationJson {
    /// A calibration, what a full tank covers, and what speaks against it.
    pub fn new(calibration: &Calibration, covers: Option<Area>, findings: &[CalibrationFinding]) -> Self {
        let problems: Vec<Problem> = findings.iter().map(|finding| finding.problem(calibration.name())).collect();
        Self {
            format: FORMAT,
            usable: !findings.iter().any(CalibrationFinding::refuses),
            output: outputs(calibration.output()),
            runs: calibration.outputs().iter().filter_map(|run| outputs(*run).into_iter().next()).collect(),
            variation: calibration.variation(),
            covers_m2: covers.map(|area| area.to(AreaUnit::SquareMetre)),
            findings: problems.iter().map(ProblemJson::from).collect(),
        }
    }
}

fn outputs(output: AmountPerArea) -> Vec<FigureJson> {
    match output {
        AmountPerArea::Volume(volume) => [
            VolumePerAreaUnit::UsGallonPer1000SquareFeet,
            VolumePerAreaUnit::UsGallonPerAcre,
            VolumePerAreaUnit::LitrePerHectare,
        ]
        .map(|unit| figure(volume.to(unit), unit.symbol(), unit.ucum()))
        .to_vec(),
        AmountPerArea::Mass(mass) => [
            MassPerAreaUnit::PoundPer1000SquareFeet,
            MassPerAreaUnit::PoundPerAcre,
            MassPerAreaUnit::KilogramPerHectare,
        ]
        .map(|unit| figure(mass.to(unit), unit.symbol(), unit.ucum()))
        .to_vec(),
    }
}

fn figure(value: f64, symbol: &str, ucum: &str) -> FigureJson {
    FigureJson { value, unit: ucum.to_owned(), symbol: symbol.to_owned() }
}

/// The document as text, ended by a new line.
pub fn write_calibration(calibration: &Calibration, covers: Option<Area>, findings: &[CalibrationFinding]) -> String {
    crate::json_text::pretty(&CalibrationJson::new(calibration, covers, findings))
}
