//! What refuses a calibration, what cautions, and what stands.

use super::*;
use crate::calibration::{CalibrationRecord, Runs, TimedRun};
use crate::equipment::{Capacity, EquipmentKind, SprayerDetails};
use jiff::civil::date;
use problem::Severity;
use quantity::{Area, AreaUnit, Duration, DurationUnit, Volume, VolumeUnit};

const RULES: CalibrationRules = CalibrationRules { highest_variation: 0.10, fewest_runs: 3, valid_days: 365 };

fn test_area(ounces: &[f64]) -> Runs {
    Runs::TestArea {
        area: Area::new(250.0, AreaUnit::SquareFoot),
        refills: ounces.iter().map(|&value| Volume::new(value, VolumeUnit::UsFluidOunce)).collect(),
    }
}

fn codes(ounces: &[f64], person: Option<&str>, on: Option<Date>) -> Vec<&'static str> {
    let record = CalibrationRecord {
        name: "lawn".into(),
        runs: test_area(ounces),
        person: person.map(Into::into),
        date: on,
        nozzle: None,
        pressure: None,
    };
    let calibration = Calibration::new(record).unwrap();
    let findings = calibration.findings(&RULES, Some(date(2026, 7, 7)), Some("A. Reyes"));
    for finding in &findings {
        let problem = finding.problem("lawn");
        assert_eq!((problem.code, problem.severity == Severity::Error), (finding.code(), finding.refuses()));
    }
    assert!(findings.is_sorted_by_key(|finding| !finding.refuses()));
    findings.iter().map(CalibrationFinding::code).collect()
}

#[test]
fn a_fresh_calibration_of_the_same_person_stands() {
    assert_eq!(codes(&[53.0, 55.0, 54.0], Some(" a. reyes"), Some(date(2026, 4, 1))), [""; 0]);
}

#[test]
fn what_is_no_calibration_for_the_job_refuses_and_the_rest_cautions() {
    assert_eq!(
        codes(&[40.0, 60.0], Some("B. Lund"), Some(date(2025, 7, 6))),
        ["sprayer::variation", "sprayer::other-person", "sprayer::few-runs", "sprayer::stale-calibration"]
    );
    let refuses = |finding: CalibrationFinding| finding.refuses();
    assert!(refuses(CalibrationFinding::OtherPerson { calibrated: "B. Lund".into(), applies: "A. Reyes".into() }));
    assert!(refuses(CalibrationFinding::AfterTheJob { date: date(2026, 7, 8) }));
    assert!(!refuses(CalibrationFinding::FewRuns { found: 1, fewest: 3 }));
    assert_eq!(codes(&[54.0], Some("A. Reyes"), Some(date(2026, 7, 1))), ["sprayer::few-runs"]);
    assert_eq!(codes(&[54.0, 54.0, 54.0], None, None), ["sprayer::undated-calibration", "sprayer::unknown-person"]);
    assert_eq!(
        codes(&[54.0, 54.0, 54.0], Some("A. Reyes"), Some(date(2026, 7, 8))),
        ["sprayer::calibration-after-job"]
    );
    // 365 days to the day are still valid.
    assert_eq!(codes(&[54.0, 54.0, 54.0], Some("A. Reyes"), Some(date(2025, 7, 7))), [""; 0]);
}

#[test]
fn a_limit_that_is_no_number_allows_no_variation() {
    let record = CalibrationRecord {
        name: "lawn".into(),
        runs: test_area(&[53.0, 54.0, 55.0]),
        person: None,
        date: None,
        nozzle: None,
        pressure: None,
    };
    let calibration = Calibration::new(record).unwrap();
    let rules = CalibrationRules { highest_variation: f64::NAN, ..RULES };
    assert!(calibration.findings(&rules, None, None)[0].refuses());
}

fn psi(value: f64) -> Option<Pressure> {
    Pressure::new(value, PressureUnit::PoundPerSquareInch)
}

/// What a sprayer with a nozzle and a pressure says of a calibration with `flat fan 04` at 25 psi.
fn set_up(nozzle: Option<&str>, pressure: Option<Pressure>, runs: Runs) -> Vec<CalibrationFinding> {
    let record = CalibrationRecord {
        name: "lawn".into(),
        runs,
        person: Some("A. Reyes".into()),
        date: Some(date(2026, 4, 1)),
        nozzle: Some("Flat fan 04".into()),
        pressure: psi(25.0),
    };
    let sprayer = Sprayer::new(SprayerDetails {
        id: "hand pump".into(),
        kind: EquipmentKind::HandPump,
        capacity: Capacity::Tank(Volume::new(2.0, VolumeUnit::UsGallon)),
        flow: None,
        nozzle: nozzle.map(Into::into),
        pressure,
        pace: None,
        refill_time: Duration::ZERO,
        set_up_time: Duration::ZERO,
        graduations: vec![],
        agitated: None,
        calibrations: vec![Calibration::new(record).unwrap()],
    })
    .unwrap();
    let calibration = sprayer.calibration(None).unwrap();
    sprayer.findings(calibration, &RULES, Some(date(2026, 7, 7)), Some("A. Reyes"))
}

#[test]
fn another_nozzle_refuses_and_another_pressure_cautions() {
    let codes = |nozzle, pressure| -> Vec<_> {
        let findings = set_up(nozzle, pressure, test_area(&[53.0, 55.0, 54.0]));
        findings.iter().map(|finding| (finding.code(), finding.refuses())).collect()
    };
    assert_eq!(codes(None, None), []);
    assert_eq!(codes(Some(" flat fan 04"), psi(27.5)), []);
    assert_eq!(codes(Some("flat fan 04"), psi(22.5)), []);
    assert_eq!(codes(None, psi(27.6)), [("sprayer::other-pressure", false)]);
    assert_eq!(
        codes(Some("hollow cone 04"), psi(22.4)),
        [("sprayer::other-nozzle", true), ("sprayer::other-pressure", false)]
    );
}

#[test]
fn the_flow_at_the_new_pressure_grows_with_its_square_root() {
    // Four times the pressure gives twice the flow: 1.6875 gal/1,000 sq ft become 3.375.
    let findings = set_up(None, psi(100.0), test_area(&[53.0, 55.0, 54.0]));
    assert_eq!(
        findings[0].problem("lawn").found,
        "calibrated at `25.0 psi (1.72 bar)`, and the pressure is `100 psi (6.89 bar)`: at the same pace about \
             `3.38 gal/1,000 sq ft` goes out"
    );
    // 32 fl oz in 30 s are half a gallon a minute.
    let run = TimedRun {
        caught: Volume::new(32.0, VolumeUnit::UsFluidOunce),
        caught_in: Duration::new(30.0, DurationUnit::Second),
        walked_in: Duration::new(60.0, DurationUnit::Second),
    };
    let catches = Runs::TimedCatch { course: Area::new(250.0, AreaUnit::SquareFoot), runs: vec![run; 3] };
    let findings = set_up(None, psi(100.0), catches);
    let CalibrationFinding::OtherPressure { flow, output, .. } = &findings[0] else { panic!("{findings:?}") };
    assert!((flow.unwrap().to(FlowUnit::UsGallonPerMinute) - 1.0).abs() < 1e-12);
    // Half a gallon on 250 sq ft, doubled.
    let per_1000 = quantity::VolumePerAreaUnit::UsGallonPer1000SquareFeet;
    assert!((output.volume().unwrap().to(per_1000) - 4.0).abs() < 1e-12);
}
