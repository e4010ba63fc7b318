//! Where the sun stands, and when it rises and sets.
//!
//! # Source
//! Meeus, J. 1998: Astronomical Algorithms, 2nd ed., chapter 25 (low accuracy, 0.01 degree) and
//! chapter 15, as laid out in the solar calculation notes of the NOAA Global Monitoring
//! Laboratory. Refraction: Sæmundsson's formula, Meeus chapter 16. The difference between
//! universal and dynamical time (about 70 s) is left out; it moves the sun by 0.001 degree.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::Offset;
use quantity::Bearing;

use crate::site::Site;

/// Depression of the sun's centre at rise and set: 34' of refraction and 16' of radius.
const RISE: f64 = -0.8333;
/// Depression of the sun's centre at the ends of civil twilight.
const CIVIL: f64 = -6.0;

/// An angle above the horizon in degrees, below it when negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Elevation(f64);

impl Elevation {
    /// Degrees above the horizon.
    pub fn degrees(self) -> f64 {
        self.0
    }
}

/// Where the sun stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SunPosition {
    /// Geometric elevation of its centre, without refraction.
    pub elevation: Elevation,
    /// Elevation as seen through a standard atmosphere (1010 hPa, 10 °C). Below -1 degree it is the
    /// geometric one.
    pub apparent_elevation: Elevation,
    /// Its direction.
    pub azimuth: Bearing,
}

/// The sun's day at a place, local times, to the second. What does not happen on the date (polar
/// day and night) is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SunTimes {
    /// Centre 6 degrees below the horizon, going up.
    pub civil_dawn: Option<DateTime>,
    /// Upper edge at the horizon, going up.
    pub rise: Option<DateTime>,
    /// Sun in the meridian; `None` only at the very ends of the calendar.
    pub noon: Option<DateTime>,
    /// Upper edge at the horizon, going down.
    pub set: Option<DateTime>,
    /// Centre 6 degrees below the horizon, going down.
    pub civil_dusk: Option<DateTime>,
}

/// Where the sun stands at an instant over a place at sea level.
///
/// Within about 0.01 degree between the years 1900 and 2100.
pub fn sun_position(instant: Timestamp, site: Site) -> SunPosition {
    let sun = Sun::at(instant.as_millisecond() as f64 / 1000.0);
    let latitude = site.latitude().to_radians();
    let declination = sun.declination.to_radians();
    let hour_angle = sun.hour_angle(site).to_radians();
    let east = -hour_angle.sin() * declination.cos();
    let north = declination.sin() * latitude.cos() - declination.cos() * latitude.sin() * hour_angle.cos();
    let up = declination.sin() * latitude.sin() + declination.cos() * latitude.cos() * hour_angle.cos();
    let elevation = up.clamp(-1.0, 1.0).asin().to_degrees();
    SunPosition {
        elevation: Elevation(elevation),
        apparent_elevation: Elevation(elevation + refraction(elevation)),
        azimuth: Bearing::from_degrees(east.atan2(north).to_degrees()),
    }
}

/// Rise, set and civil twilight of a local date at an offset from universal time.
///
/// Within a minute up to 65 degrees of latitude; nearer to the poles, refraction makes the times
/// themselves uncertain by more.
pub fn sun_times(date: Date, offset: Offset, site: Site) -> SunTimes {
    let noon = transit(date, offset, site);
    let local = |seconds: Option<f64>| {
        let instant = Timestamp::from_second(seconds?.round() as i64).ok()?;
        Some(offset.to_datetime(instant))
    };
    let crossing = |elevation, side| local(noon.and_then(|noon| crossing(noon, site, elevation, side)));
    SunTimes {
        civil_dawn: crossing(CIVIL, Side::Morning),
        rise: crossing(RISE, Side::Morning),
        noon: local(noon),
        set: crossing(RISE, Side::Evening),
        civil_dusk: crossing(CIVIL, Side::Evening),
    }
}

#[derive(Clone, Copy)]
enum Side {
    Morning,
    Evening,
}

/// Apparent place of the sun among the stars, and apparent sidereal time at Greenwich; degrees.
struct Sun {
    right_ascension: f64,
    declination: f64,
    sidereal: f64,
}

impl Sun {
    /// At so many seconds of Unix time.
    fn at(unix: f64) -> Self {
        // Days and Julian centuries since 2000-01-01 12:00, which is Unix second 946,728,000.
        let days = (unix - 946_728_000.0) / 86_400.0;
        let century = days / 36_525.0;
        let mean_longitude = 280.466_46 + century * (36_000.769_83 + century * 0.000_303_2);
        let anomaly = (357.529_11 + century * (35_999.050_29 - century * 0.000_153_7)).to_radians();
        let centre = (1.914_602 - century * (0.004_817 + century * 0.000_014)) * anomaly.sin()
            + (0.019_993 - century * 0.000_101) * (2.0 * anomaly).sin()
            + 0.000_289 * (3.0 * anomaly).sin();
        let node = (125.04 - 1_934.136 * century).to_radians();
        let nutation = -0.004_78 * node.sin();
        let longitude = (mean_longitude + centre - 0.005_69 + nutation).to_radians();
        let obliquity = (23.439_291_1 - 0.013_004_2 * century + 0.002_56 * node.cos()).to_radians();
        let sidereal = 280.460_618_37 + 360.985_647_366_29 * days + 0.000_387_933 * century * century;
        Self {
            right_ascension: (obliquity.cos() * longitude.sin()).atan2(longitude.cos()).to_degrees(),
            declination: (obliquity.sin() * longitude.sin()).asin().to_degrees(),
            sidereal: sidereal + nutation * obliquity.cos(),
        }
    }

    /// How far the sun is past the meridian, degrees, -180 up to 180.
    fn hour_angle(&self, site: Site) -> f64 {
        let angle = (self.sidereal + site.longitude() - self.right_ascension).rem_euclid(360.0);
        if angle >= 180.0 { angle - 360.0 } else { angle }
    }
}

/// Seconds that the mean sun needs for one degree.
const SECONDS_PER_DEGREE: f64 = 240.0;

/// The passage through the meridian nearest to noon by the clock, seconds of Unix time.
fn transit(date: Date, offset: Offset, site: Site) -> Option<f64> {
    let mut unix = offset.to_timestamp(date.at(12, 0, 0, 0)).ok()?.as_second() as f64;
    // The equation of time changes by at most 30 s a day: two steps reach a hundredth of a second.
    for _ in 0..3 {
        unix -= Sun::at(unix).hour_angle(site) * SECONDS_PER_DEGREE;
    }
    Some(unix)
}

/// When the sun's centre passes an elevation before or after a passage through the meridian.
fn crossing(noon: f64, site: Site, elevation: f64, side: Side) -> Option<f64> {
    let latitude = site.latitude().to_radians();
    let mut unix = noon;
    // The declination changes by at most 0.4 degree a day, so that each step gains two digits.
    for _ in 0..5 {
        let sun = Sun::at(unix);
        let declination = sun.declination.to_radians();
        let cosine =
            (elevation.to_radians().sin() - latitude.sin() * declination.sin()) / (latitude.cos() * declination.cos());
        if !(-1.0..=1.0).contains(&cosine) {
            return None;
        }
        let half_day = cosine.acos().to_degrees();
        let wanted = match side {
            Side::Morning => -half_day,
            Side::Evening => half_day,
        };
        // Near midnight the hour angle jumps from 180 to -180: the short way is meant.
        let turn = (wanted - sun.hour_angle(site) + 180.0).rem_euclid(360.0) - 180.0;
        let step = if unix == noon { wanted } else { turn };
        unix += step * SECONDS_PER_DEGREE;
    }
    Some(unix)
}

/// How much higher the sun looks than it is.
///
/// # Source
/// Sæmundsson 1986, in Meeus, Astronomical Algorithms, equation 16.4.
fn refraction(elevation: f64) -> f64 {
    if elevation < -1.0 {
        return 0.0;
    }
    1.02 / 60.0 / (elevation + 10.3 / (elevation + 5.11)).to_radians().tan()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use proptest::prelude::*;

    fn site(latitude: f64, longitude: f64) -> Site {
        Site::new(latitude, longitude).unwrap()
    }

    #[test]
    fn polar_days_and_nights_have_no_rise() {
        let north_cape = site(71.17, 25.78);
        for day in [date(2026, 6, 21), date(2026, 12, 21)] {
            let times = sun_times(day, Offset::constant(1), north_cape);
            assert_eq!((times.rise, times.set), (None, None));
            assert!(times.noon.is_some());
        }
        // In winter it comes within six degrees of the horizon: there is twilight.
        assert!(sun_times(date(2026, 12, 21), Offset::constant(1), north_cape).civil_dawn.is_some());
        assert_eq!(sun_times(date(2026, 6, 21), Offset::constant(1), site(90.0, 0.0)).rise, None);
    }

    #[test]
    fn the_ends_of_the_calendar_do_no_harm() {
        let times = sun_times(Date::MAX, Offset::constant(-12), site(38.84, -97.62));
        assert!(times.noon.is_none() || times.rise.is_some());
        sun_times(Date::MIN, Offset::constant(12), site(38.84, -97.62));
        sun_position(Timestamp::MAX, site(38.84, -97.62));
        sun_position(Timestamp::MIN, site(-90.0, 180.0));
    }

    proptest! {
        #[test]
        fn the_day_is_in_order_and_the_sun_stands_where_it_is_said(
            latitude in -60.0..60.0_f64, longitude in -180.0..180.0_f64, day in 0_i32..36_500,
        ) {
            let site = site(latitude, longitude);
            let offset = Offset::from_hours((longitude / 15.0).round() as i8).unwrap();
            let day = date(1950, 1, 1).checked_add(jiff::Span::new().days(day)).unwrap();
            let times = sun_times(day, offset, site);
            let order = [times.civil_dawn, times.rise, times.noon, times.set, times.civil_dusk].map(Option::unwrap);
            prop_assert!(order.is_sorted());
            prop_assert_eq!(order[2].date(), day);
            let elevation = |time: DateTime| {
                sun_position(offset.to_timestamp(time).unwrap(), site).elevation.degrees()
            };
            // The times are whole seconds; the sun rises by at most 15 arc seconds in one.
            for (time, wanted) in [(order[0], CIVIL), (order[1], RISE), (order[3], RISE), (order[4], CIVIL)] {
                prop_assert!((elevation(time) - wanted).abs() < 0.005, "{} at {time}", elevation(time));
            }
            prop_assert!(elevation(order[2]) >= elevation(order[1]));
        }
    }
}
