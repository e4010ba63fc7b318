//! What speaks against using a calibration for a job.

use jiff::civil::Date;
use problem::Problem;
use quantity::{AmountPerArea, Flow, FlowUnit};

use crate::calibration::Calibration;
use crate::equipment::Sprayer;
use crate::nozzle::flow_at_pressure;
use crate::pressure::{Pressure, PressureUnit};
use std::cmp::Ordering;

/// The business's own limits on calibrations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CalibrationRules {
    /// Greatest coefficient of variation of the runs; usually 0.10.
    pub highest_variation: f64,
    /// Fewest runs; usually three.
    pub fewest_runs: usize,
    /// Days after which a calibration is stale.
    pub valid_days: i32,
}

/// One thing that speaks against a calibration.
#[derive(Debug, Clone, PartialEq)]
pub enum CalibrationFinding {
    /// The runs differ too much: the output is not known.
    Variation {
        /// Of the runs.
        found: f64,
        /// The limit.
        highest: f64,
    },
    /// Fewer runs than wanted.
    FewRuns {
        /// Runs made.
        found: usize,
        /// Runs wanted.
        fewest: usize,
    },
    /// Stated by the business, not calculated from runs.
    Stated {
        /// By which method, in its words.
        method: Option<String>,
    },
    /// Too long ago.
    Stale {
        /// Days between calibration and job.
        age_days: i32,
        /// Days allowed.
        valid_days: i32,
    },
    /// Dated after the job.
    AfterTheJob {
        /// When it was made.
        date: Date,
    },
    /// Nobody wrote down when.
    Undated,
    /// Another person walked.
    OtherPerson {
        /// Who calibrated.
        calibrated: String,
        /// Who applies.
        applies: String,
    },
    /// Nobody wrote down who walked.
    UnknownPerson,
    /// It was made with another nozzle, or at another setting of the spreader.
    OtherNozzle {
        /// In the calibration.
        calibrated: String,
        /// On the equipment.
        sprays: String,
    },
    /// It was made at a pressure more than a tenth off.
    OtherPressure {
        /// In the calibration.
        calibrated: Pressure,
        /// On the equipment.
        sprays: Pressure,
        /// The output at the equipment's pressure, at the same pace.
        output: AmountPerArea,
        /// The flow at the equipment's pressure, where the runs tell the flow.
        flow: Option<Flow>,
    },
}

/// A pressure differs when it is farther off than this share: within it, flow and output are off by
/// about a twentieth, half of what the runs may vary by (common practice, no source).
const PRESSURE_OFF_BY: f64 = 0.10;

impl CalibrationFinding {
    /// Whether the calibration must not be used, since it is none for this job: its runs tell no
    /// output, or another person, another nozzle or a later day made it. Otherwise it is a caution.
    pub fn refuses(&self) -> bool {
        matches!(
            self,
            Self::Variation { .. } | Self::AfterTheJob { .. } | Self::OtherPerson { .. } | Self::OtherNozzle { .. }
        )
    }

    /// Stable code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Variation { .. } => "sprayer::variation",
            Self::FewRuns { .. } => "sprayer::few-runs",
            Self::Stated { .. } => "sprayer::stated-output",
            Self::Stale { .. } => "sprayer::stale-calibration",
            Self::AfterTheJob { .. } => "sprayer::calibration-after-job",
            Self::Undated => "sprayer::undated-calibration",
            Self::OtherPerson { .. } => "sprayer::other-person",
            Self::UnknownPerson => "sprayer::unknown-person",
            Self::OtherNozzle { .. } => "sprayer::other-nozzle",
            Self::OtherPressure { .. } => "sprayer::other-pressure",
        }
    }

    /// As a problem of the calibration of that name: an error when it refuses, else a warning.
    pub fn problem(&self, calibration: &str) -> Problem {
        let (found, expected, mend) = match self {
            Self::Variation { found, highest } => (
                format!("runs vary by `{:.1} %`", found * 100.0),
                format!("at most {:.1} % of the mean", highest * 100.0),
                "check nozzle, pressure and pace, then run again",
            ),
            Self::FewRuns { found, fewest } => {
                (format!("`{found}` runs"), format!("{fewest} runs or more"), "run again and add the runs")
            }
            Self::Stated { method: Some(method) } => {
                (format!("output stated by `{method}`"), "output from runs".into(), "calibrate on a test area")
            }
            Self::Stated { method: None } => {
                ("output stated without a method".into(), "output from runs".into(), "calibrate on a test area")
            }
            Self::Stale { age_days, valid_days } => (
                format!("calibrated `{age_days}` days before the job"),
                format!("at most {}", quantity::counted(*valid_days, "day", "days")),
                "calibrate anew",
            ),
            Self::AfterTheJob { date } => {
                (format!("calibrated on `{date}`, after the job"), "a date up to the job's".into(), "correct the date")
            }
            Self::Undated => ("calibration without a date".into(), "the day of the runs".into(), "add the date"),
            Self::OtherPerson { calibrated, applies } => (
                format!("`{calibrated}` calibrated and `{applies}` applies"),
                "the same person: pace and reach set the output".into(),
                "let the person who applies run the test area",
            ),
            Self::UnknownPerson => {
                ("calibration without a person".into(), "who walked the runs".into(), "add the name")
            }
            Self::OtherNozzle { calibrated, sprays } => (
                format!("calibrated with nozzle or setting `{calibrated}`, and `{sprays}` is on"),
                "the same nozzle or setting: it sets the output".into(),
                "put the one of the calibration on, or calibrate anew",
            ),
            Self::OtherPressure { calibrated, sprays, output, flow } => (
                pressure_words(*calibrated, *sprays, *output, *flow),
                "the pressure of the calibration within 10 %".into(),
                "set the pressure of the calibration, or calibrate anew",
            ),
        };
        let problem =
            if self.refuses() { Problem::error(self.code(), found) } else { Problem::warning(self.code(), found) };
        problem.expected(expected).mend(mend).at(calibration)
    }
}

impl Calibration {
    /// What speaks against using it on a date by a person; either may be unknown to the caller, and
    /// is then not held against it. What refuses comes first. [`Sprayer::findings`] holds it against the
    /// equipment besides.
    pub fn findings(&self, rules: &CalibrationRules, on: Option<Date>, by: Option<&str>) -> Vec<CalibrationFinding> {
        let mut findings = Vec::new();
        if let Some(found) = self.variation()
            // A limit that is no number allows nothing.
            && found.partial_cmp(&rules.highest_variation).is_none_or(Ordering::is_gt)
        {
            findings.push(CalibrationFinding::Variation { found, highest: rules.highest_variation });
        }
        if let crate::calibration::Runs::Stated { method, .. } = &self.record().runs {
            findings.push(CalibrationFinding::Stated { method: method.clone() });
        } else if self.runs() < rules.fewest_runs {
            findings.push(CalibrationFinding::FewRuns { found: self.runs(), fewest: rules.fewest_runs });
        }
        match (self.record().date, on) {
            (None, _) => findings.push(CalibrationFinding::Undated),
            (Some(date), Some(on)) if date > on => findings.push(CalibrationFinding::AfterTheJob { date }),
            (Some(date), Some(on)) => {
                let age_days = i32::try_from(on.duration_since(date).as_hours() / 24).unwrap_or(i32::MAX);
                if age_days > rules.valid_days {
                    findings.push(CalibrationFinding::Stale { age_days, valid_days: rules.valid_days });
                }
            }
            (Some(_), None) => {}
        }
        match (&self.record().person, by) {
            (None, _) => findings.push(CalibrationFinding::UnknownPerson),
            (Some(calibrated), Some(applies)) if !same_name(calibrated, applies) => {
                findings.push(CalibrationFinding::OtherPerson {
                    calibrated: calibrated.clone(),
                    applies: applies.to_owned(),
                });
            }
            (Some(_), _) => {}
        }
        refusals_first(findings)
    }
}

impl Calibration {
    /// What the runs alone say against it, whoever made them and whenever.
    pub fn findings_of_runs(&self, highest_variation: f64, fewest_runs: usize) -> Vec<CalibrationFinding> {
        let rules = CalibrationRules { highest_variation, fewest_runs, valid_days: i32::MAX };
        let mut findings = self.findings(&rules, None, None);
        findings.retain(|finding| !matches!(finding, CalibrationFinding::Undated | CalibrationFinding::UnknownPerson));
        findings
    }
}

impl Sprayer {
    /// What speaks against using one of its calibrations on a date by a person, as
    /// [`Calibration::findings`] tells it, and what nozzle and pressure of the equipment say where both
    /// are written down. What refuses comes first.
    ///
    /// # Source
    /// Flow and output at another pressure: [`flow_at_pressure`].
    pub fn findings(
        &self,
        calibration: &Calibration,
        rules: &CalibrationRules,
        on: Option<Date>,
        by: Option<&str>,
    ) -> Vec<CalibrationFinding> {
        let mut findings = calibration.findings(rules, on, by);
        let record = calibration.record();
        if let (Some(calibrated), Some(sprays)) = (&record.nozzle, self.nozzle())
            && !same_name(calibrated, sprays)
        {
            findings
                .push(CalibrationFinding::OtherNozzle { calibrated: calibrated.clone(), sprays: sprays.to_owned() });
        }
        if let (Some(calibrated), Some(sprays)) = (record.pressure, self.pressure())
            // Pressures written with decimals miss a tenth exactly by rounding.
            && (sprays.ratio(calibrated) - 1.0).abs() > PRESSURE_OFF_BY + 1e-9
        {
            let at_new = |flow| flow_at_pressure(flow, calibrated, sprays);
            let one = Flow::new(1.0, FlowUnit::LitrePerMinute);
            findings.push(CalibrationFinding::OtherPressure {
                calibrated,
                sprays,
                output: calibration.output().scaled(at_new(one).ratio(one)),
                flow: calibration.flow().map(at_new),
            });
        }
        refusals_first(findings)
    }
}

fn refusals_first(mut findings: Vec<CalibrationFinding>) -> Vec<CalibrationFinding> {
    findings.sort_by_key(|finding| !finding.refuses());
    findings
}

/// What another pressure does to flow and output.
fn pressure_words(calibrated: Pressure, sprays: Pressure, output: AmountPerArea, flow: Option<Flow>) -> String {
    let psi = |pressure: Pressure| {
        let (psi, bar) = (pressure.to(PressureUnit::PoundPerSquareInch), pressure.to(PressureUnit::Bar));
        format!("{} psi ({} bar)", quantity::significant(psi, 3), quantity::significant(bar, 3))
    };
    let flow = flow.map_or_else(String::new, |flow| {
        let gallons = quantity::significant(flow.to(FlowUnit::UsGallonPerMinute), 3);
        format!(" by a flow of about `{gallons} gal/min`")
    });
    let output = match output {
        AmountPerArea::Volume(output) => {
            let unit = quantity::VolumePerAreaUnit::UsGallonPer1000SquareFeet;
            format!("{} {}", quantity::significant(output.to(unit), 3), unit.symbol())
        }
        AmountPerArea::Mass(output) => {
            let unit = quantity::MassPerAreaUnit::PoundPer1000SquareFeet;
            format!("{} {}", quantity::significant(output.to(unit), 3), unit.symbol())
        }
    };
    format!(
        "calibrated at `{}`, and the pressure is `{}`: at the same pace about `{output}` goes out{flow}",
        psi(calibrated),
        psi(sprays)
    )
}

/// Spaces around and letter case do not make another person.
fn same_name(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

#[cfg(test)]
mod tests;
