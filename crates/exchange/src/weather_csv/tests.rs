//! Tables of invented readings, sound and unsound.

use super::*;
use jiff::civil::date;
use jiff::tz::Offset;
use proptest::prelude::*;
use quantity::{
    LengthUnit, PressureUnit, RadiantExposureUnit, SpeedUnit, Temperature,
    TemperatureUnit::{Celsius, Fahrenheit},
};

fn map(names: &[(&str, &str)]) -> HeaderMap {
    HeaderMap::new(names.iter().copied()).unwrap()
}

type Told = Vec<(&'static str, Option<usize>, Option<usize>)>;

fn places(problems: &Problems) -> Told {
    problems.iter().map(|problem| (problem.code, problem.place.line, problem.place.column)).collect()
}

#[track_caller]
fn told_of_days(text: &str, map: &HeaderMap) -> Told {
    match parse_days("x", text, map) {
        Ok((_, problems)) | Err(problems) => places(&problems),
    }
}

#[track_caller]
fn told_of_hours(text: &str, map: &HeaderMap) -> Told {
    match parse_hours("x", text, map) {
        Ok((_, problems)) | Err(problems) => places(&problems),
    }
}

#[test]
fn a_table_of_another_program_is_read_by_its_map() {
    let text =
        "Date,High Temp,Low Temp,Rain,Solar Energy,Moon\n5/1/2026,71.6,50,0.25,22.5,full\n5/2/2026,75.2,51.8,,,\n";
    let names = [
        ("Date", "date"),
        ("High Temp", "highest_f"),
        ("Low Temp", "lowest_f"),
        ("Rain", "rain_in"),
        ("Solar Energy", "radiation_mj_m2"),
    ];
    let map = map(&names).with_dates(DateOrder::MonthDayYear);
    let (series, problems) = parse_days("x", text, &map).unwrap();
    assert_eq!(places(&problems), [("weather-table::not-read", Some(1), Some(1))]);
    let first = series.days()[0];
    assert_eq!(first.date, date(2026, 5, 1));
    assert_eq!(
        (first.highest, first.lowest),
        (Some(Temperature::new(71.6, Fahrenheit)), Some(Temperature::new(50.0, Fahrenheit)))
    );
    assert!((first.rain.unwrap().to(LengthUnit::Millimetre) - 6.35).abs() < 1e-9);
    assert_eq!(first.radiation.unwrap().to(RadiantExposureUnit::MegajoulePerSquareMetre), 22.5);
    assert_eq!((series.days()[1].rain, series.days()[1].radiation), (None, None));
}

#[test]
fn dates_are_read_in_the_order_that_is_said_and_no_other() {
    for (order, text) in [
        (DateOrder::YearMonthDay, "2026-07-04"),
        (DateOrder::YearMonthDay, "2026/7/4"),
        (DateOrder::MonthDayYear, "7/4/2026"),
        (DateOrder::DayMonthYear, "4.7.2026"),
    ] {
        assert_eq!(order.read(text), Some(date(2026, 7, 4)), "{text}");
    }
    for (order, text) in [
        (DateOrder::YearMonthDay, "7/4/2026"),
        (DateOrder::MonthDayYear, "13/4/2026"),
        (DateOrder::DayMonthYear, "4/7/26"),
        (DateOrder::YearMonthDay, "2026-07-04T00:00"),
        (DateOrder::YearMonthDay, "2026-7-+4"),
    ] {
        assert_eq!(order.read(text), None, "{text}");
    }
}

#[test]
fn hours_are_read_with_all_of_their_figures() {
    let text = "start,temperature_c,dew_point_c,humidity_pct,wind_kn,gust_kn,wind_from_deg,rain_mm,rain_chance_pct,\
        pressure_hpa,irradiance_w_m2,cloud_cover_pct\n2026-07-07T05:00-05:00,20,12,60,5,9,190,0.5,40,970,15,75\n";
    let (series, problems) = parse_hours("x", text, &HeaderMap::default()).unwrap();
    assert!(problems.is_empty());
    let hour = series.hours()[0];
    assert_eq!(
        (hour.temperature, hour.dew_point),
        (Some(Temperature::new(20.0, Celsius)), Some(Temperature::new(12.0, Celsius)))
    );
    assert_eq!((hour.relative_humidity.unwrap().fraction(), hour.rain_chance.unwrap().fraction()), (0.6, 0.4));
    assert!((hour.wind_speed.unwrap().to(SpeedUnit::Knot) - 5.0).abs() < 1e-9);
    assert!((hour.wind_gust.unwrap().to(SpeedUnit::Knot) - 9.0).abs() < 1e-9);
    assert_eq!((hour.wind_from.unwrap().degrees(), hour.cloud_cover.unwrap().fraction()), (190.0, 0.75));
    assert!((hour.rain.unwrap().to(LengthUnit::Millimetre) - 0.5).abs() < 1e-9);
    assert_eq!(hour.pressure.unwrap().to(PressureUnit::Hectopascal), 970.0);
    assert_eq!(hour.irradiance.unwrap().to(quantity::IrradianceUnit::WattPerSquareMetre), 15.0);
}

#[test]
fn times_without_an_offset_have_that_of_the_map() {
    let here = HeaderMap::default().with_offset(Offset::constant(-6));
    let of = |text: &str| {
        let (series, problems) = parse_hours("x", text, &here).unwrap();
        (series.offset(), series.hours()[0].start.to_string(), problems.len())
    };
    let five = (Offset::constant(-6), "2026-07-07T05:00:00".to_owned(), 0);
    assert_eq!(of("start,temperature_c\n2026-07-07T05:00,20\n"), five);
    assert_eq!(of("start,temperature_c\n2026-07-07 05:00:00,20\n"), five);
    assert_eq!(of("start,temperature_c\n2026-07-07T11:00Z,20\n"), five);
    assert_eq!(of("date,time,temperature_c\n2026-07-07,5:00,20\n"), five);
    assert_eq!(of("date,time,temperature_c\n2026/07/07,05:00:00,20\n"), five);
    // A clock that changes: the second hour is the next one.
    let text = "start,temperature_c\n2026-11-01T01:00-05:00,8\n2026-11-01T01:00-06:00,7\n";
    let (series, problems) = parse_hours("x", text, &HeaderMap::default()).unwrap();
    assert_eq!(series.hours()[1].start, date(2026, 11, 1).at(2, 0, 0, 0));
    assert_eq!(places(&problems), [("weather-table::mixed-offsets", Some(3), Some(1))]);
}

#[test]
fn every_fault_of_a_daily_table_is_told_with_its_place() {
    let text = "date,highest_c,lowest_c,rain_mm,humidity_pct\n2026-05-01,71,10,0,60\n5/2/2026,20,10,0,60\n,20,10,0,60\n\
        2026-05-04,20,ten,0,60\n2026-05-05,10,20,-4,60\n2026-05-06,20,10\n2026-05-07,20,10,0,600\n2026-05-07,20,10,0,60\n\
        2026-05-08,\"20,5\",10,0,60\n";
    let expected = [
        ("weather-table::row-length", Some(7), Some(1)),
        ("weather-table::bad-day", Some(3), Some(1)),
        ("weather-table::no-day", Some(4), Some(1)),
        ("weather-table::bad-number", Some(5), Some(15)),
        ("weather::relative-humidity", Some(8), Some(20)),
        ("weather-table::bad-number", Some(10), Some(12)),
        ("weather::temperature", Some(2), Some(12)),
        ("weather::extremes", Some(6), Some(15)),
        ("weather::rain", Some(6), Some(18)),
        ("weather::day-twice", Some(9), Some(1)),
    ];
    assert_eq!(told_of_days(text, &HeaderMap::default()), expected);
}

#[test]
fn every_fault_of_an_hourly_table_is_told_with_its_place() {
    let text = "start,temperature_f,wind_from_deg,dew_point_f\n2026-07-07T05:00-05:00,170,0,60\n2026-07-07T06:00,70,400,60\n\
        2026-07-07,70,0,60\nnoon,70,0,60\n2026-07-07T07:30-05:00,70,0,60\n,70,0,60\n2026-07-07T09:00-05:00,70,0,90\n";
    let expected = [
        ("weather-table::no-offset", Some(3), Some(1)),
        ("weather-table::wind-from", Some(3), Some(21)),
        ("weather-table::bad-hour", Some(4), Some(1)),
        ("weather-table::bad-hour", Some(5), Some(1)),
        ("weather-table::no-hour", Some(7), Some(1)),
        ("weather::temperature", Some(2), Some(24)),
        ("weather::whole-hour", Some(6), Some(1)),
        ("weather::dew-point", Some(8), Some(29)),
    ];
    assert_eq!(told_of_hours(text, &HeaderMap::default()), expected);
    let parted =
        "date,time,temperature_f\n2026-07-07,5 am,70\n7/7/2026,05:00,70\n2026-07-07,05:00,70\n2026-07-07,,70\n";
    let expected = [
        ("weather-table::bad-hour", Some(2), Some(12)),
        ("weather-table::bad-day", Some(3), Some(1)),
        ("weather-table::no-offset", Some(4), Some(12)),
        ("weather-table::no-hour", Some(5), Some(1)),
    ];
    assert_eq!(told_of_hours(parted, &HeaderMap::default()), expected);
}

#[test]
fn a_first_line_that_means_nothing_is_refused() {
    let of =
        |text: &str| told_of_days(text, &HeaderMap::default()).into_iter().map(|(code, _, _)| code).collect::<Vec<_>>();
    assert_eq!(of(""), ["weather-table::empty"]);
    assert_eq!(of("date;highest_c\n"), ["weather-table::separator"]);
    assert_eq!(of("date,warmth\n2026-05-01,1\n"), ["weather-table::no-column"]);
    assert_eq!(of("day,highest_c\n"), ["weather-table::not-read", "weather-table::no-time"]);
    assert_eq!(of("date,highest_c,highest_f\n"), ["weather-table::column-twice"]);
    assert_eq!(of("date,highest_c\n"), ["weather-table::no-rows"]);
    assert_eq!(of("date,highest_c\n2026-05-01,20,5\n"), ["weather-table::row-length"]);
    assert_eq!(of("date,highest_c\n2026-05-01\n"), ["weather-table::row-length"]);
    let missing = map(&[("Hi", "highest_c")]);
    assert_eq!(
        told_of_days("date,High\n2026-05-01,1\n", &missing)[0],
        ("weather-table::column-missing", Some(1), Some(1))
    );
}

#[test]
fn a_map_that_contradicts_itself_is_refused() {
    let codes = |names: &[(&str, &str)]| {
        let problems = HeaderMap::new(names.iter().copied()).unwrap_err();
        problems.iter().map(|problem| problem.code).collect::<Vec<_>>()
    };
    assert_eq!(codes(&[("A", "temperature_k")]), ["weather-table::unknown-name"]);
    assert_eq!(codes(&[("A", "rain_mm"), ("B", "rain_mm")]), ["weather-table::name-twice"]);
    assert_eq!(codes(&[("A", "rain_mm"), ("A", "rain_in")]), ["weather-table::column-twice"]);
}

proptest! {
    #[test]
    fn no_text_makes_it_panic(text in "(?s).{0,200}", head in "(date|start|time|highest_c|lowest_c|rain_mm|temperature_f|,|\n){1,8}", rest in "[-0-9T:,.\n]{0,80}") {
        for text in [text, format!("{head}\n{rest}")] {
            for result in [
                parse_days("x", &text, &HeaderMap::default()).map(|_| ()),
                parse_hours("x", &text, &HeaderMap::default()).map(|_| ()),
            ] {
                prop_assert_eq!(result.is_err(), result.as_ref().err().is_some_and(Problems::has_errors), "{}", text);
            }
        }
    }

    #[test]
    fn figures_of_days_are_kept(days in prop::collection::vec((-20.0..20.0_f64, 0.0..20.0_f64, prop::option::of(0.0..90.0_f64)), 1..40)) {
        let mut text = "date,lowest_c,highest_c,rain_mm\n".to_owned();
        let start = date(2026, 3, 1);
        for ((low, range, rain), day) in days.iter().zip(0_i64..) {
            let date = start.checked_add(jiff::ToSpan::days(day)).unwrap();
            let rain = rain.map_or_else(String::new, |rain| rain.to_string());
            let high = low + range;
            text.extend([date.to_string(), format!(",{low},{high},{rain}\n")]);
        }
        let (series, _) = parse_days("x", &text, &HeaderMap::default()).unwrap();
        prop_assert_eq!(series.days().len(), days.len());
        for (read, (low, range, rain)) in series.days().iter().zip(&days) {
            prop_assert_eq!(read.lowest, Some(Temperature::new(*low, Celsius)));
            prop_assert_eq!(read.highest, Some(Temperature::new(low + range, Celsius)));
            prop_assert_eq!(read.rain.is_some(), rain.is_some());
        }
    }
}
