//! What speaks against using a calibration for a job.

use jiff::civil::Date;
use problem::Problem;

use crate::calibration::Calibration;

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
}

impl CalibrationFinding {
    /// Whether the calibration must not be used; otherwise it is a caution.
    pub fn refuses(&self) -> bool {
        matches!(self, Self::Variation { .. })
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
                format!("at most {valid_days} days"),
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
        };
        let problem =
            if self.refuses() { Problem::error(self.code(), found) } else { Problem::warning(self.code(), found) };
        problem.expected(expected).mend(mend).at(calibration)
    }
}

impl Calibration {
    /// What speaks against using it on a date by a person; either may be unknown to the caller, and
    /// is then not held against it. What refuses comes first.
    pub fn findings(&self, rules: &CalibrationRules, on: Option<Date>, by: Option<&str>) -> Vec<CalibrationFinding> {
        let mut findings = Vec::new();
        if let Some(found) = self.variation()
            && found > rules.highest_variation
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
        findings
    }
}

/// Spaces around and letter case do not make another person.
fn same_name(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{CalibrationRecord, Runs};
    use jiff::civil::date;
    use quantity::{Area, AreaUnit, Volume, VolumeUnit};

    const RULES: CalibrationRules = CalibrationRules { highest_variation: 0.10, fewest_runs: 3, valid_days: 365 };

    fn codes(ounces: &[f64], person: Option<&str>, on: Option<Date>) -> Vec<&'static str> {
        let runs = Runs::TestArea {
            area: Area::new(250.0, AreaUnit::SquareFoot),
            refills: ounces.iter().map(|&value| Volume::new(value, VolumeUnit::UsFluidOunce)).collect(),
        };
        let record = CalibrationRecord {
            name: "lawn".into(),
            runs,
            person: person.map(Into::into),
            date: on,
            nozzle: None,
            pressure: None,
        };
        let calibration = Calibration::new(record).unwrap();
        let findings = calibration.findings(&RULES, Some(date(2026, 7, 7)), Some("A. Reyes"));
        assert!(findings.iter().all(|finding| finding.problem("lawn").code == finding.code()));
        findings.iter().map(CalibrationFinding::code).collect()
    }

    #[test]
    fn a_fresh_calibration_of_the_same_person_stands() {
        assert_eq!(codes(&[53.0, 55.0, 54.0], Some(" a. reyes"), Some(date(2026, 4, 1))), [""; 0]);
    }

    #[test]
    fn wide_runs_refuse_and_the_rest_cautions() {
        assert_eq!(
            codes(&[40.0, 60.0], Some("B. Lund"), Some(date(2025, 7, 6))),
            ["sprayer::variation", "sprayer::few-runs", "sprayer::stale-calibration", "sprayer::other-person"]
        );
        assert_eq!(codes(&[54.0, 54.0, 54.0], None, None), ["sprayer::undated-calibration", "sprayer::unknown-person"]);
        assert_eq!(
            codes(&[54.0, 54.0, 54.0], Some("A. Reyes"), Some(date(2026, 7, 8))),
            ["sprayer::calibration-after-job"]
        );
        // 365 days to the day are still valid.
        assert_eq!(codes(&[54.0, 54.0, 54.0], Some("A. Reyes"), Some(date(2025, 7, 7))), [""; 0]);
    }
}
