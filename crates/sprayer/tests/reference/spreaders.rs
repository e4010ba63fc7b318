//! Spreaders, UMass Amherst Extension turf program, spreader calibration.

use super::{close, exact};
use quantity::{Area, AreaUnit, Length, LengthUnit, Mass, MassPerArea, MassPerAreaUnit, MassUnit};
use sprayer::{Calibration, CalibrationRecord, Runs, course_length, half_rate, spreader_range};

const PER_1000: MassPerAreaUnit = MassPerAreaUnit::PoundPer1000SquareFeet;

fn pounds(value: f64) -> Mass {
    Mass::new(value, MassUnit::Pound)
}

fn square_feet(value: f64) -> Area {
    Area::new(value, AreaUnit::SquareFoot)
}

/// 1 lb N/1,000 sq ft from 20-5-10 is 5 lb of product; accepted within 5 %: 4.75 to 5.25; twice over at
/// right angles at 2.5.
#[test]
fn five_pounds_per_thousand() {
    let rate = MassPerArea::new(1.0 / 0.20, PER_1000);
    let range = spreader_range(rate * square_feet(1_000.0), 0.05);
    exact(range.lowest.to(MassUnit::Pound), 4.75);
    exact(range.highest.to(MassUnit::Pound), 5.25);
    assert!(range.contains(pounds(4.75)) && range.contains(pounds(5.25)));
    assert!(!range.contains(pounds(4.74)) && !range.contains(pounds(5.26)));
    exact(half_rate(rate).to(PER_1000), 2.5);
}

/// A 25 lb bag for 5,000 sq ft is 0.5 lb/100 sq ft; drop spreaders of 1.5, 2 and 3 ft go 66 2/3, 50 and
/// 33 1/3 ft for 100 sq ft.
#[test]
fn drop_spreader_courses() {
    let rate = pounds(25.0) / square_feet(5_000.0);
    exact((rate * square_feet(100.0)).to(MassUnit::Pound), 0.5);
    for (width, printed) in [(1.5, 200.0 / 3.0), (2.0, 50.0), (3.0, 100.0 / 3.0)] {
        let course = course_length(square_feet(100.0), Length::new(width, LengthUnit::Foot)).unwrap();
        exact(course.to(LengthUnit::Foot), printed);
    }
}

/// 1.5 lb caught on 10 x 10 ft is 15 lb/1,000 sq ft.
#[test]
fn a_catch_on_a_tarpaulin() {
    let calibration = Calibration::new(CalibrationRecord {
        name: "granules".into(),
        runs: Runs::SpreaderCatch { area: square_feet(100.0), caught: vec![pounds(1.5)] },
        person: None,
        date: None,
        nozzle: Some("setting 7".into()),
        pressure: None,
    });
    exact(calibration.unwrap().output().mass().unwrap().to(PER_1000), 15.0);
}

/// Fire ant bait at 1.5 lb/acre (Texas A&M-based county extension columns: 1 to 1.5 lb) on 6,320 sq ft:
/// 0.2176 lb or 3.48 oz; within 5 % 0.207 to 0.229 lb, each printed to its last digit.
#[test]
fn bait_on_a_lawn() {
    let target = MassPerArea::new(1.5, MassPerAreaUnit::PoundPerAcre) * square_feet(6_320.0);
    close(target.to(MassUnit::Pound), 0.2176, 0.000_05);
    close(target.to(MassUnit::Ounce), 3.48, 0.005);
    let range = spreader_range(target, 0.05);
    close(range.lowest.to(MassUnit::Pound), 0.207, 0.0005);
    close(range.highest.to(MassUnit::Pound), 0.229, 0.0005);
}
