//! Dew on leaves, against an independent program and published limits.
//!
//! `leaf_wetness.csv`, by `leaf_wetness.py`: the classification tree of Gleason et al. 1994 with the figures of Kim et al.
//! 2002, as a page on its use prints it, with another formula of the dew point; hours near a limit are left out. Measured
//! hours with dew were not to be had, so that what is held here is the formula and not the model.

use quantity::{Length, Speed, SpeedUnit, Temperature, TemperatureUnit};
use weather::leaf_wetness::{is_dewy_gleason_1994, is_leaf_wet};
use weather::{HourlyReading, RelativeHumidity};

#[test]
fn leaves_are_wet_when_the_published_tree_says_so() {
    let (mut wet, mut dry) = (0, 0);
    for line in include_str!("leaf_wetness.csv").lines().skip(1) {
        let [celsius, percent, wind, leaves] = line.split(',').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let found = is_dewy_gleason_1994(
            Temperature::new(celsius.parse().unwrap(), TemperatureUnit::Celsius),
            RelativeHumidity::from_percent(percent.parse().unwrap()).unwrap(),
            Speed::new(wind.parse().unwrap(), SpeedUnit::MetrePerSecond),
        );
        assert_eq!(found, leaves == "wet", "{line}");
        *(if found { &mut wet } else { &mut dry }) += 1;
    }
    assert_eq!((wet, dry), (94, 266));
}

/// In wind of 2.5 m/s and more the printed tree calls no hour wet: what its second score asks for, no air of 87.8 % and more
/// has. That is so here as well, over all air in which it may be asked.
#[test]
fn no_dew_lies_in_wind() {
    for celsius in 0..45 {
        for percent in 0..=100 {
            for wind in [2.5, 4.0, 8.0, 16.0, 32.0] {
                let found = is_dewy_gleason_1994(
                    Temperature::new(f64::from(celsius), TemperatureUnit::Celsius),
                    RelativeHumidity::from_percent(f64::from(percent)).unwrap(),
                    Speed::new(wind, SpeedUnit::MetrePerSecond),
                );
                assert!(!found, "{celsius} °C, {percent} %, {wind} m/s");
            }
        }
    }
}

/// 90 % of humidity where there is no wind to go by (Sentelhas et al. 2008, from memory: the limit of their abstract), and
/// rain in any case.
#[test]
fn humidity_alone_and_rain() {
    let start = jiff::civil::date(2026, 7, 7).at(5, 0, 0, 0);
    let of = |percent: f64, rain: Option<f64>| {
        is_leaf_wet(&HourlyReading {
            relative_humidity: RelativeHumidity::from_percent(percent).ok(),
            rain: rain.map(|depth| Length::new(depth, quantity::LengthUnit::Millimetre)),
            ..HourlyReading::unknown(start)
        })
    };
    assert_eq!((of(89.9, None), of(90.0, None)), (Some(false), Some(true)));
    assert_eq!((of(40.0, Some(0.2)), of(40.0, Some(0.0))), (Some(true), Some(false)));
    assert_eq!(is_leaf_wet(&HourlyReading::unknown(start)), None);
}
