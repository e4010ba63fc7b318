//! How long a job takes, and whether the first tank went as far as it should.

use quantity::{Area, Duration, DurationUnit, Flow, Volume};

use crate::equipment::Pace;

/// Time for spraying: spray over flow, the refills, and setting up once. `None` unless the flow is
/// above nothing.
pub fn job_duration(spray: Volume, flow: Flow, tanks: u32, refill: Duration, set_up: Duration) -> Option<Duration> {
    flow.is_positive().then(|| spray / flow + refill * f64::from(tanks) + set_up)
}

/// Time for spreading: the way walked at a pace, so many passes over the whole area, the refills, and
/// setting up once. `None` unless speed and swath are above nothing.
pub fn spreading_duration(
    area: Area,
    pace: Pace,
    passes: u32,
    loads: u32,
    refill: Duration,
    set_up: Duration,
) -> Option<Duration> {
    if !pace.speed.is_positive() || !pace.swath.is_positive() {
        return None;
    }
    let second = Duration::new(1.0, DurationUnit::Second);
    let walk = second * (area / pace.swath).ratio(pace.speed * second);
    Some(walk * f64::from(passes) + refill * f64::from(loads) + set_up)
}

/// The area that a tank covered against the area that it should.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TankCheck {
    /// Covered over expected, less one: below zero when the spray went on too heavily.
    pub departure: f64,
    /// Whether to stop and calibrate anew.
    pub stop: bool,
}

/// Compares what a tank covered with what it should have; `highest` is the greatest departure
/// allowed, usually 0.10 (common practice, no source). `None` unless the expected area is above
/// nothing.
pub fn check_after_tank(expected: Area, covered: Area, highest: f64) -> Option<TankCheck> {
    if !expected.is_positive() {
        return None;
    }
    let departure = covered.ratio(expected) - 1.0;
    Some(TankCheck { departure, stop: departure.abs() > highest + 1e-9 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::{AreaUnit, FlowUnit, Length, LengthUnit, Speed, SpeedUnit, VolumeUnit};

    fn minutes(value: f64) -> Duration {
        Duration::new(value, DurationUnit::Minute)
    }

    #[test]
    fn nine_tanks_of_a_small_sprayer_take_99_minutes() {
        let spray = Volume::new(16.292_469_957_875_95, VolumeUnit::UsGallon);
        let flow = Flow::new(0.3, FlowUnit::UsGallonPerMinute);
        let time = job_duration(spray, flow, 9, minutes(5.0), Duration::ZERO).unwrap();
        // 54.308233 minutes of spraying and 45 of filling.
        assert!((time.to(DurationUnit::Minute) - 99.308_233_192_919_84).abs() < 1e-9);
        assert!(job_duration(spray, Flow::ZERO, 9, minutes(5.0), Duration::ZERO).is_none());
    }

    #[test]
    fn spreading_is_timed_by_the_walk() {
        // 8,800 sq ft in strips of 10 ft is 880 ft: ten minutes at 88 ft/min, which is 1 mph.
        let pace = Pace { speed: Speed::new(1.0, SpeedUnit::MilePerHour), swath: Length::new(10.0, LengthUnit::Foot) };
        let area = Area::new(8_800.0, AreaUnit::SquareFoot);
        let time = spreading_duration(area, pace, 2, 1, minutes(3.0), minutes(4.0)).unwrap();
        assert!((time.to(DurationUnit::Minute) - 27.0).abs() < 1e-9);
    }

    #[test]
    fn more_than_a_tenth_off_stops_the_work() {
        let area = |feet| Area::new(feet, AreaUnit::SquareFoot);
        let check = |covered| check_after_tank(area(1_000.0), area(covered), 0.10).unwrap();
        assert!(!check(1_100.0).stop);
        assert!(!check(900.0).stop);
        assert!(check(899.0).stop);
        assert!(check(1_101.0).stop);
        assert!((check(850.0).departure + 0.15).abs() < 1e-12);
        assert!(check_after_tank(Area::ZERO, area(1.0), 0.10).is_none());
    }
}
