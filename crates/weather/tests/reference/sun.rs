//! The sun against published places and times, and against independent programs.
//!
//! `sun_times.csv`: sunrise, sunset and transit by pvlib 0.16.1 (BSD-3; NREL's Solar Position Algorithm,
//! ΔT 69 s), and by astral 3.2 (Apache-2.0), with its civil dawn and dusk; five cities of the United
//! States on six dates. A trap: pvlib's sunset there is that of the evening before, since its routine
//! goes by the date in universal time, which has changed by the evening in America; see
//! `the_sunset_of_the_evening_before`. Sunsets are therefore held against astral's. `sun_positions.csv`: true and apparent elevation and azimuth by pvlib 0.16.1.
//!
//! Tolerances: 0.01 degree, the accuracy that Meeus states for this solution; one minute for times, since
//! tables print minutes and refraction at the horizon differs by as much from day to day.

use jiff::civil::{Date, DateTime, date, time};
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use weather::{Site, SunTimes, sun_position, sun_times};

const TIMES: &str = include_str!("sun_times.csv");
const POSITIONS: &str = include_str!("sun_positions.csv");
const MINUTE: SignedDuration = SignedDuration::from_mins(1);

/// The sun moves in azimuth faster than in the sky where it stands high: the same 0.01 degree of arc is
/// more of azimuth by the secant of the elevation.
#[track_caller]
fn azimuth_close(found: f64, expected: f64, elevation: f64) {
    let arc = (found - expected).abs() * elevation.to_radians().cos();
    assert!(arc <= 0.01, "azimuth {found} is not {expected}");
}

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 0.01, "{found} is not {expected} degrees");
}

#[track_caller]
fn same_minute(found: Option<DateTime>, expected: DateTime) {
    let found = found.expect("the sun rises and sets at these places");
    assert!(found.duration_since(expected).abs() <= MINUTE, "{found} is not {expected} within a minute");
}

fn site(latitude: f64, longitude: f64) -> Site {
    Site::new(latitude, longitude).unwrap()
}

/// Reda and Andreas 2003, NREL/TP-560-34302, example: 17 October 2003 12:30:30 at UTC-7, 39.742476 N,
/// 105.1786 W: elevation without refraction 39.872046, with it 39.888378, azimuth 194.340241. Their
/// refraction is for 820 hPa and 11 °C, ours for 1010 hPa: 0.004 degree at this height.
#[test]
fn nrel_solar_position_example() {
    let instant: Timestamp = "2003-10-17T12:30:30-07:00".parse().unwrap();
    let position = sun_position(instant, site(39.742_476, -105.1786));
    close(position.elevation.degrees(), 39.872_046);
    close(position.apparent_elevation.degrees(), 39.888_378);
    azimuth_close(position.azimuth.degrees(), 194.340_241, 39.872);
}

#[test]
fn elevations_and_azimuths_of_five_cities() {
    let mut cases = 0;
    for line in POSITIONS.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |index: usize| fields[index].parse::<f64>().unwrap();
        let position = sun_position(fields[3].parse().unwrap(), site(number(1), number(2)));
        close(position.elevation.degrees(), number(4));
        azimuth_close(position.azimuth.degrees(), number(6), number(4));
        // Two formulas of refraction differ at the horizon by as much as the accuracy of either.
        let within = if number(4) < 5.0 { 0.03 } else { 0.01 };
        let apparent = position.apparent_elevation.degrees();
        assert!((apparent - number(5)).abs() <= within, "{apparent} is not {} in {line}", number(5));
        cases += 1;
    }
    assert_eq!(cases, 40);
}

/// One line of `sun_times.csv`.
struct Line<'a> {
    fields: Vec<&'a str>,
}

impl Line<'_> {
    fn all() -> Vec<Line<'static>> {
        let lines: Vec<_> = TIMES.lines().skip(1).map(|line| Line { fields: line.split(',').collect() }).collect();
        assert_eq!(lines.len(), 30);
        lines
    }

    fn day(&self) -> Date {
        self.fields[4].parse().unwrap()
    }

    fn times(&self, day: Date) -> SunTimes {
        let number = |index: usize| self.fields[index].parse::<f64>().unwrap();
        let offset = Offset::constant(self.fields[5][19..22].parse().unwrap());
        sun_times(day, offset, site(number(1), number(2)))
    }

    fn local(&self, column: usize) -> DateTime {
        self.fields[column][..19].parse().unwrap()
    }
}

#[test]
fn rise_and_set_in_five_cities() {
    for line in Line::all() {
        let times = line.times(line.day());
        for pvlib_or_astral in [5, 8] {
            same_minute(times.rise, line.local(pvlib_or_astral));
        }
        same_minute(times.noon, line.local(7));
        same_minute(times.set, line.local(9));
        same_minute(times.civil_dawn, line.local(10));
        same_minute(times.civil_dusk, line.local(11));
    }
}

/// Where the sun sets after midnight in universal time, pvlib's sunset has the clock time of the evening
/// before; elsewhere it is the day's own. In September, when the days shrink by more than a minute and a
/// half, the two are told apart.
#[test]
fn the_sunset_of_the_evening_before() {
    let mut of_the_evening_before = 0;
    for line in Line::all() {
        let set = line.times(line.day()).set.unwrap();
        let offset: i8 = line.fields[5][19..22].parse().unwrap();
        let universal = set.checked_sub(SignedDuration::from_hours(offset.into())).unwrap();
        if universal.date() == line.day() {
            same_minute(Some(set), line.local(6));
            continue;
        }
        of_the_evening_before += 1;
        let before = line.times(line.day().yesterday().unwrap()).set.unwrap();
        same_minute(before.checked_add(SignedDuration::from_hours(24)).ok(), line.local(6));
        if line.day().month() == 9 {
            assert!(set.duration_since(line.local(6)).abs() > MINUTE);
        }
    }
    assert!(of_the_evening_before > 0);
}

#[track_caller]
fn rises_and_sets(times: SunTimes, day: Date, rise: (i8, i8, i8), set: (i8, i8, i8)) {
    let at = |(hour, minute, second)| day.to_datetime(time(hour, minute, second, 0));
    same_minute(times.rise, at(rise));
    same_minute(times.set, at(set));
}

/// Almanac times in the tests of pvlib for NREL's algorithm: 35 S and 35 N on the meridian of Greenwich,
/// universal time; Golden, Colorado (NREL's calculator; 39.742476 N, 105.1786 W, UTC-7). The calculator's
/// sunset for 2 August, 19:13:58, is that of the evening before (it goes by the date in universal time);
/// pvlib 0.16.1's own positions pass -0.8333 degree at 19:12:53 on the 2nd.
#[test]
fn published_rise_and_set() {
    let cases = [
        (date(1996, 7, 5), 0, -35.0, 0.0, (7, 8, 15), (17, 1, 4)),
        (date(2004, 12, 4), 0, -35.0, 0.0, (4, 38, 57), (19, 2, 2)),
        (date(1994, 1, 2), 0, 35.0, 0.0, (7, 8, 12), (16, 59, 55)),
        (date(2015, 1, 2), -7, 39.742_476, -105.1786, (7, 21, 55), (16, 47, 43)),
        (date(2015, 8, 2), -7, 39.742_476, -105.1786, (5, 0, 27), (19, 12, 53)),
    ];
    for (day, hours, latitude, longitude, rise, set) in cases {
        rises_and_sets(sun_times(day, Offset::constant(hours), site(latitude, longitude)), day, rise, set);
    }
    let golden = sun_times(date(2015, 1, 2), Offset::constant(-7), site(39.742_476, -105.1786));
    same_minute(golden.noon, date(2015, 1, 2).at(12, 4, 45, 0));
}

/// US Naval Observatory tables for 39 N 105 W, UTC-7, whole minutes.
#[test]
fn naval_observatory_tables() {
    for (month, rise, set) in
        [(1, (7, 19), (16, 49)), (4, (5, 43), (18, 24)), (8, (5, 1), (19, 10)), (12, (7, 1), (16, 38))]
    {
        let day = date(2015, month, 2);
        let times = sun_times(day, Offset::constant(-7), site(39.0, -105.0));
        rises_and_sets(times, day, (rise.0, rise.1, 0), (set.0, set.1, 0));
    }
}
