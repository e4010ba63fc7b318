//! How air lies, against the printed key.
//!
//! `turner_key_epa_2000.csv`: U.S. EPA 2000, Meteorological Monitoring Guidance for Regulatory Modeling Applications,
//! EPA-454/R-99-005, table 6-4 ("Turner's key to the P-G stability categories"), copied from its text on the web as it was
//! read; classes 1 to 7 by the wind in knots, with the same in metres a second as printed there, and the index of net
//! radiation 4 to -2. The last row is printed as "12 or more, 6.0 or more": 30 knots stand for it. Tables 6-5 (height of
//! the sun) and 6-6 (from sun and clouds to the index) are in the tests' words.
//!
//! Index 0 is that of low clouds over the whole sky; how high clouds are is not asked for here, so that no input gives it,
//! and its column is held against nothing.

use jiff::civil::date;
use jiff::tz::Offset;
use quantity::{Speed, SpeedUnit};
use weather::stability::{Light, stability_turner_1964};
use weather::{CloudCover, Elevation, Site, sun_position};

struct Row {
    knots: (u32, u32),
    metres: (f64, f64),
    classes: [char; 7],
}

fn rows() -> Vec<Row> {
    let read = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let (low, high) = cells[0].split_once('-').unwrap();
        let class = |cell: &&str| ['A', 'B', 'C', 'D', 'E', 'F', 'G'][cell.parse::<usize>().unwrap() - 1];
        let classes: Vec<char> = cells[3..].iter().map(class).collect();
        Row {
            knots: (low.parse().unwrap(), high.parse().unwrap()),
            metres: (cells[1].parse().unwrap(), cells[2].parse().unwrap()),
            classes: classes.try_into().unwrap(),
        }
    };
    let rows: Vec<Row> = include_str!("turner_key_epa_2000.csv").lines().skip(1).map(read).collect();
    assert_eq!(rows.len(), 9);
    rows
}

/// The sun's height nearest below or at so many degrees on a morning when it goes up to the zenith nearly.
fn sun_up_to(degrees: f64) -> Elevation {
    let site = Site::new(20.0, 0.0).unwrap();
    let heights = (0..43_200_i64).step_by(5).map(|second| {
        let start = Offset::UTC.to_timestamp(date(2026, 6, 21).at(0, 0, 0, 0)).unwrap();
        sun_position(start + jiff::SignedDuration::from_secs(second), site).elevation
    });
    heights.take_while(|height| height.degrees() <= degrees).last().unwrap()
}

/// A light and clouds for an index of table 6-4, by tables 6-5 and 6-6.
fn of_index(index: i32) -> (Light, Option<CloudCover>) {
    let clouds = |tenths: f64| CloudCover::from_fraction(tenths / 10.0).ok();
    match index {
        4 => (Light::Day(sun_up_to(75.0)), clouds(0.0)),
        3 => (Light::Day(sun_up_to(50.0)), clouds(0.0)),
        2 => (Light::Day(sun_up_to(25.0)), clouds(0.0)),
        1 => (Light::Day(sun_up_to(8.0)), clouds(0.0)),
        -1 => (Light::Night, clouds(5.0)),
        _ => (Light::Night, clouds(4.0)),
    }
}

#[test]
fn every_cell_of_the_key_that_can_be_asked_for() {
    let mut held = 0;
    for row in rows() {
        for (index, expected) in (-2..=4).rev().zip(row.classes).filter(|(index, _)| *index != 0) {
            let (light, clouds) = of_index(index);
            for knots in row.knots.0..=row.knots.1 {
                let wind = Speed::new(f64::from(knots), SpeedUnit::Knot);
                assert_eq!(stability_turner_1964(light, clouds, wind).letter(), expected, "{knots} kn, index {index}");
                held += 1;
            }
            for metres in [row.metres.0, row.metres.1] {
                let wind = Speed::new(metres, SpeedUnit::MetrePerSecond);
                assert_eq!(
                    stability_turner_1964(light, clouds, wind).letter(),
                    expected,
                    "{metres} m/s, index {index}"
                );
                held += 1;
            }
        }
    }
    assert_eq!(held, 6 * (31 + 18));
}

/// Table 6-5: insolation class 4 above 60 degrees, 3 above 35 through 60, 2 above 15 through 35, and 1 below, told by the
/// classes that a wind of 4 knots has then: 1, 2, 3 and 4.
#[test]
fn classes_of_insolation_change_at_the_printed_heights() {
    let of = |degrees: f64| {
        let wind = Speed::new(4.0, SpeedUnit::Knot);
        stability_turner_1964(Light::Day(sun_up_to(degrees)), CloudCover::from_fraction(0.0).ok(), wind).letter()
    };
    for (edge, below, above) in [(60.0, 'B', 'A'), (35.0, 'C', 'B'), (15.0, 'D', 'C')] {
        assert_eq!((of(edge), of(edge + 0.1)), (below, above), "{edge}");
    }
}

/// Table 6-6: by day clouds over the whole sky, not low, take one from the class, to no less than 1; up to half of the sky
/// takes nothing. By night up to 4/10 is -2, more is -1.
#[test]
fn clouds_change_the_index_as_printed() {
    let of = |light, tenths: f64, knots: f64| {
        let clouds = CloudCover::from_fraction(tenths / 10.0).ok();
        stability_turner_1964(light, clouds, Speed::new(knots, SpeedUnit::Knot)).letter()
    };
    let day = |degrees: f64, tenths: f64| of(Light::Day(sun_up_to(degrees)), tenths, 4.0);
    assert_eq!((day(75.0, 5.0), day(75.0, 10.0)), ('A', 'B'));
    assert_eq!((day(50.0, 5.0), day(50.0, 10.0)), ('B', 'C'));
    assert_eq!((day(25.0, 5.0), day(25.0, 10.0)), ('C', 'D'));
    assert_eq!((day(8.0, 5.0), day(8.0, 10.0)), ('D', 'D'));
    assert_eq!((of(Light::Night, 4.0, 2.0), of(Light::Night, 5.0, 2.0)), ('G', 'F'));
}
