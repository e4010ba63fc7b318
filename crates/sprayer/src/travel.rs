//! Speed, width, flow and output: any three give the fourth.
//!
//! # Source
//! GPM = GPA x MPH x width in inches / 5940 and its kin (Univ. of Missouri Extension, worksheet
//! G1270a); 5940 = 43,560 x 12 x 60 / 5280 and is not needed where units are types.

use quantity::{Area, Duration, DurationUnit, Flow, Length, Speed, SpeedUnit, VolumePerArea};

/// The speed of a walk over a distance; `None` unless both are above nothing.
///
/// # Source
/// 88 ft/min = 1 mph (UNL Pesticide Safety Education Program, Math for Pesticide Applicators).
pub fn speed_over(distance: Length, time: Duration) -> Option<Speed> {
    (distance.is_positive() && time.is_positive()).then(|| distance / time)
}

/// Spray per area from flow, speed and treated width; `None` unless all are above nothing.
pub fn output_of(flow: Flow, speed: Speed, width: Length) -> Option<VolumePerArea> {
    let minute = Duration::new(1.0, DurationUnit::Minute);
    (flow.is_positive() && speed.is_positive() && width.is_positive()).then(|| flow * minute / (speed * minute * width))
}

/// The flow that gives an output at a speed and width.
pub fn flow_needed(output: VolumePerArea, speed: Speed, width: Length) -> Flow {
    let minute = Duration::new(1.0, DurationUnit::Minute);
    output * (speed * minute * width) / minute
}

/// The speed at which a flow gives an output over a width; `None` unless all are above nothing.
pub fn speed_needed(flow: Flow, output: VolumePerArea, width: Length) -> Option<Speed> {
    let at_one = output_of(flow, Speed::new(1.0, SpeedUnit::MilePerHour), width)?;
    output.is_positive().then(|| Speed::new(at_one.ratio(output), SpeedUnit::MilePerHour))
}

/// The width that counts for a boomless nozzle: 80 % of the whole swath, since its edges are thin and
/// overlapped.
///
/// # Source
/// Univ. of Kentucky Extension, ENTFACT-805.
pub fn effective_width(swath: Length) -> Length {
    swath * 0.8
}

/// How long a course of a width must be to cover an area; `None` unless both are above nothing.
pub fn course_length(area: Area, width: Length) -> Option<Length> {
    (area.is_positive() && width.is_positive()).then(|| area / width)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quantity::{FlowUnit, LengthUnit, VolumePerAreaUnit};

    #[test]
    fn nothing_gives_no_answer() {
        let flow = Flow::new(1.0, FlowUnit::UsGallonPerMinute);
        let width = Length::new(5.0, LengthUnit::Foot);
        assert!(output_of(flow, Speed::ZERO, width).is_none());
        assert!(speed_needed(flow, VolumePerArea::ZERO, width).is_none());
        assert!(speed_over(Length::ZERO, Duration::new(1.0, DurationUnit::Second)).is_none());
        assert!(course_length(Area::ZERO, width).is_none());
    }

    proptest! {
        #[test]
        fn the_speed_needed_gives_the_output(
            gallons in 0.05..10.0_f64, output in 0.2..20.0_f64, feet in 0.5..30.0_f64,
        ) {
            let flow = Flow::new(gallons, FlowUnit::UsGallonPerMinute);
            let output = VolumePerArea::new(output, VolumePerAreaUnit::UsGallonPer1000SquareFeet);
            let width = Length::new(feet, LengthUnit::Foot);
            let speed = speed_needed(flow, output, width).unwrap();
            let back = output_of(flow, speed, width).unwrap();
            prop_assert!((back.ratio(output) - 1.0).abs() < 1e-9);
            prop_assert!((flow_needed(output, speed, width).ratio(flow) - 1.0).abs() < 1e-9);
        }
    }
}
