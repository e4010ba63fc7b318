//! Ground speed against a published chart.
//!
//! `ground_speed_chart.csv`: Pesticide Environmental Stewardship (North Carolina), "Measurements,
//! Conversions, and Formulas"; seconds over 100, 200 and 300 ft at miles per hour. Printed in whole
//! seconds, some rounded down and one up: 54 for 54.55, 81 for 81.82, 20 for 19.48. Hence 1 s.

use super::close;
use quantity::{Duration, DurationUnit, Length, LengthUnit, SpeedUnit};
use sprayer::speed_over;

const CHART: &str = include_str!("ground_speed_chart.csv");

#[test]
fn published_chart() {
    let mut cells = 0;
    for line in CHART.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let miles: f64 = fields[0].parse().unwrap();
        for (field, feet) in fields[1..].iter().zip([100.0, 200.0, 300.0]) {
            let Ok(printed) = field.parse::<f64>() else { continue };
            // The time in which the crate finds just that speed.
            let second = Duration::new(1.0, DurationUnit::Second);
            let in_one_second = speed_over(Length::new(feet, LengthUnit::Foot), second).unwrap();
            let seconds = in_one_second.to(SpeedUnit::MilePerHour) / miles;
            close(seconds, printed, 1.0);
            cells += 1;
        }
    }
    assert_eq!(cells, 43);
}

/// UNL Pesticide Safety Education Program, Math for Pesticide Applicators: 88 ft/min is 1 mph; an
/// equipment manual: 150 ft in 19.7 s is 5.2 mph, printed to one decimal.
#[test]
fn miles_per_hour_from_feet_and_seconds() {
    let speed = |feet, seconds| {
        let time = Duration::new(seconds, DurationUnit::Second);
        speed_over(Length::new(feet, LengthUnit::Foot), time).unwrap().to(SpeedUnit::MilePerHour)
    };
    close(speed(88.0, 60.0), 1.0, 1e-12);
    close(speed(150.0, 19.7), 5.2, 0.05);
    // One set of county sheets prints feet per second times 60/80; it is 60/88.
    close(speed(150.0, 19.7), 150.0 / 19.7 * 60.0 / 88.0, 1e-12);
}
