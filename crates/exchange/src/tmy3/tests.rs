//! Two days of a typical year, as they are and damaged.
//!
//! `tests/reference/tmy3_greensboro_two_days.csv`: 1 and 2 May of station 723170 (Greensboro, North Carolina) with both of
//! its head lines, National Renewable Energy Laboratory, as pvlib 0.16.1 (BSD-3) carries it.

use super::*;
use jiff::civil::date;
use proptest::prelude::*;

const SOUND: &str = include_str!("../../tests/reference/tmy3_greensboro_two_days.csv");

#[track_caller]
fn told(text: &str) -> Vec<(&'static str, Option<usize>, Option<usize>)> {
    let problems = match parse_typical_year("x", text, 2026) {
        Ok((_, problems)) | Err(problems) => problems,
    };
    problems.iter().map(|problem| (problem.code, problem.place.line, problem.place.column)).collect()
}

/// The text with the first `from` of a line put otherwise.
#[track_caller]
fn with(line: usize, from: &str, to: &str) -> String {
    let put = |(index, text): (usize, &str)| {
        if index + 1 != line {
            return text.to_owned();
        }
        assert!(text.contains(from), "{from} in {text}");
        text.replacen(from, to, 1)
    };
    SOUND.lines().enumerate().map(put).collect::<Vec<_>>().join("\n")
}

#[test]
fn hours_end_at_their_stamps() {
    let (year, problems) = parse_typical_year("x", SOUND, 2026).unwrap();
    assert!(problems.is_empty(), "{problems}");
    assert_eq!((year.station.as_str(), year.name.as_str()), ("723170", "GREENSBORO PIEDMONT TRIAD INT"));
    assert_eq!((year.site.latitude(), year.site.longitude()), (36.1, -79.95));
    assert_eq!((year.height, year.hours.offset()), (Length::new(273.0, LengthUnit::Metre), Offset::constant(-5)));
    let hours = year.hours.hours();
    assert_eq!((hours.len(), hours[0].start), (48, date(2026, 5, 1).at(0, 0, 0, 0)));
    assert_eq!(hours[23].start, date(2026, 5, 1).at(23, 0, 0, 0));
    // 05/01/1986,01:00: 12.2 °C, dew point 6.5 °C, 62 %, 984 mbar, 180°, 1.1 m/s; 04:00 is a calm.
    let celsius = |degrees| Some(Temperature::new(degrees, TemperatureUnit::Celsius));
    assert_eq!((hours[0].temperature, hours[0].dew_point), (celsius(12.2), celsius(6.5)));
    assert_eq!(hours[0].relative_humidity.unwrap().fraction(), 0.62);
    assert_eq!(hours[0].pressure, Some(Pressure::new(984.0, PressureUnit::Hectopascal)));
    assert_eq!(hours[0].wind_from, Some(Bearing::from_degrees(180.0)));
    assert_eq!((hours[3].wind_speed, hours[3].wind_from), (Some(Speed::ZERO), None));
    assert_eq!((hours[0].rain, hours[0].irradiance), (Some(Length::ZERO), Some(Irradiance::ZERO)));
    assert!(hours[12].irradiance > hours[7].irradiance);
}

#[test]
fn missing_values_and_rain_of_several_hours_are_unknown() {
    let text = with(3, "12.2,A,7", "-9900,?,0");
    let (year, _) = parse_typical_year("x", &text, 2026).unwrap();
    assert_eq!(year.hours.hours()[0].temperature, None);
    let line = SOUND.lines().nth(2).unwrap();
    let rain = line.rsplit(',').skip(4).take(3).collect::<Vec<_>>();
    assert_eq!(rain.len(), 3);
    let (rest, _) = line.rsplit_once(",0,1,D,").expect("no rain in one hour");
    let text = with(3, &format!("{rest},0,1,D,"), &format!("{rest},12,6,D,"));
    let (year, _) = parse_typical_year("x", &text, 2026).unwrap();
    assert_eq!(year.hours.hours()[0].rain, None);
}

#[test]
fn every_fault_is_told_with_its_place() {
    let line = SOUND.lines().nth(2).unwrap();
    let at = line.find("12.2").map(|at| at + 1);
    assert_eq!(told(&with(3, "12.2,A,7", "72.2,A,7")), [("weather::temperature", Some(3), at)]);
    assert_eq!(told(&with(3, "12.2,A,7", "warm,A,7")), [("tmy3::value", Some(3), at)]);
    assert_eq!(told(&with(4, "02:00", "01:00"))[0], ("weather::hour-twice", Some(4), Some(12)));
    assert_eq!(told(&with(4, "02:00", "25:00")), [("tmy3::date", Some(4), Some(1))]);
    assert_eq!(told(&with(4, "05/01/1986", "02/29/1986")), [("tmy3::date", Some(4), Some(1))]);
    assert_eq!(told(&with(4, ",", "")), [("tmy3::row-length", Some(4), Some(1))]);
    assert_eq!(told(&with(2, "Dry-bulb (C)", "T")), [("tmy3::column", Some(2), Some(1))]);
    assert_eq!(told(&with(1, "36.100", "north")), [("tmy3::station", Some(1), Some(1))]);
    assert_eq!(told(&with(1, "36.100", "136.100"))[0].0, "weather::latitude");
    assert_eq!(told(&with(1, "-5.0", "-50"))[0].0, "tmy3::offset");
    assert_eq!(told(&with(1, "273", "27300"))[0].0, "tmy3::height");
    assert_eq!(told(""), [("tmy3::empty", Some(1), Some(1))]);
    assert_eq!(told(&SOUND.lines().take(2).collect::<Vec<_>>().join("\n")), [("tmy3::no-hours", Some(1), Some(1))]);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "(?s).{0,200}", at in 0..SOUND.len(), length in 0..30_usize, put in "(|0|-1|1e300|\"|,|\n|é)") {
        let _ = parse_typical_year("x", &text, 2026);
        let to = (at + length).min(SOUND.len());
        let result = parse_typical_year("x", &format!("{}{put}{}", &SOUND[..at], &SOUND[to..]), 2026);
        prop_assert_eq!(result.is_err(), result.as_ref().err().is_some_and(Problems::has_errors));
    }
}
