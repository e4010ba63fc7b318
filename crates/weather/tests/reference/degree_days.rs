//! Degree-days against published tables, and against numerical integration.
//!
//! - `zalom_1983_table_7.csv`: Zalom, F. G., et al. 1983, University of California, Division of Agriculture and Natural
//!   Resources, Leaflet 21373, Table 7 (55 and 90 °F, horizontal cutoff; columns `pub_`, printed to hundredths), with the
//!   other cutoffs by SciPy 1.17.1 quadrature of the temperature itself, four decimals. The leaflet's double triangle of
//!   60/100/75, 24.88, is a misprint: formula and quadrature give 27.125.
//! - `heat_quadrature.csv`: 480 days by the same way to nine decimals, with its generator `heat_quadrature.py`.
//! - `mcmaster_wilhelm_1997_table_1.csv`: McMaster, G. S., and W. W. Wilhelm 1997, Agricultural and Forest Meteorology
//!   87: 291-300, Table 1, base 0 °C, one decimal; both of their methods. The sums are exact.
//! - `gddpy_vectors.csv`: gddPy 1.0.3 (MIT), average and Baskerville and Emin 1969; blank where that library fails.
//! - `greensboro_hours.csv`: month and day, then the 24 temperatures of the typical year of Greensboro, North Carolina (TMY3
//!   723170, National Renewable Energy Laboratory), degrees Celsius, as pvlib 0.16.1 (BSD-3) carries it.
//! - `seattle_daily.csv`: daily extremes of Seattle 2012 to 2015, vega-datasets 0.9.0 (MIT), from NOAA (public domain).

use jiff::civil::{Date, date};
use jiff::tz::Offset;
use quantity::{
    DegreeDayUnit, Temperature, TemperatureUnit,
    TemperatureUnit::{Celsius, Fahrenheit},
};
use weather::degree_days::{Accumulation, Cutoff, Extremes, HeatRange, Method, Start, of_day};
use weather::{DailyReading, DailySeries, HourlyReading, HourlySeries};

/// The rows of a table below its first line, each as numbers; blanks and words are NaN.
fn rows(text: &str, expected: usize) -> Vec<Vec<f64>> {
    let number = |cell: &str| cell.trim().parse().unwrap_or(f64::NAN);
    let rows: Vec<Vec<f64>> = text.lines().skip(1).map(|line| line.split(',').map(number).collect()).collect();
    assert_eq!(rows.len(), expected);
    rows
}

fn degrees(value: f64, scale: TemperatureUnit) -> Temperature {
    Temperature::new(value, scale)
}

/// Degree-days on the scale on which the temperatures are given.
fn heat(ends: [f64; 3], range: HeatRange, method: Method, scale: TemperatureUnit) -> f64 {
    let [low, high, next] = ends.map(|end| degrees(end, scale));
    of_day(Extremes::new(low, high).unwrap(), Some(next), range, method).to(scale.degree_days())
}

#[track_caller]
fn close(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected}");
}

const METHODS: [Method; 4] = [Method::SingleTriangle, Method::DoubleTriangle, Method::SingleSine, Method::DoubleSine];

#[test]
fn zalom_1983_table_7() {
    let between = |cutoff| HeatRange::between(degrees(55.0, Fahrenheit), degrees(90.0, Fahrenheit), cutoff).unwrap();
    for row in rows(include_str!("zalom_1983_table_7.csv"), 12) {
        let ends = [row[1], row[2], row[3]];
        for (index, method) in METHODS.into_iter().enumerate() {
            // A misprint of the leaflet, see above.
            let printed = if row[4 + index] == 24.88 { 27.125 } else { row[4 + index] };
            let horizontal = heat(ends, between(Cutoff::Horizontal), method, Fahrenheit);
            close(horizontal, printed, 0.0101);
            // The columns stand as horizontal, vertical, intermediate of each method.
            let integrated = &row[8 + 3 * index..];
            close(horizontal, integrated[0], 5.1e-5);
            close(heat(ends, between(Cutoff::Vertical), method, Fahrenheit), integrated[1], 5.1e-5);
            close(heat(ends, between(Cutoff::Intermediate), method, Fahrenheit), integrated[2], 5.1e-5);
        }
    }
}

#[test]
fn days_by_quadrature() {
    let mut cases = 0;
    for line in include_str!("heat_quadrature.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |index: usize| cells[index].parse::<f64>().unwrap();
        let (lower, upper) = (degrees(number(4), Celsius), degrees(number(5), Celsius));
        let range = match cells[6] {
            "none" => HeatRange::above(lower),
            "horizontal" => HeatRange::between(lower, upper, Cutoff::Horizontal).unwrap(),
            "intermediate" => HeatRange::between(lower, upper, Cutoff::Intermediate).unwrap(),
            _ => HeatRange::between(lower, upper, Cutoff::Vertical).unwrap(),
        };
        let methods = match cells[0] {
            "sine" => [Method::SingleSine, Method::DoubleSine],
            _ => [Method::SingleTriangle, Method::DoubleTriangle],
        };
        for (method, expected) in methods.into_iter().zip([number(7), number(8)]) {
            close(heat([number(1), number(2), number(3)], range, method, Celsius), expected, 1e-6);
            cases += 1;
        }
    }
    assert_eq!(cases, 960);
}

#[test]
fn mcmaster_and_wilhelm_1997_table_1() {
    let range = HeatRange::above(degrees(0.0, Celsius));
    for row in rows(include_str!("mcmaster_wilhelm_1997_table_1.csv"), 10) {
        let ends = [row[1], row[0], row[1]];
        assert_eq!(heat(ends, range, Method::Average, Celsius), row[2], "{row:?}");
        assert_eq!(heat(ends, range, Method::AverageOfClipped, Celsius), row[3], "{row:?}");
    }
}

#[test]
fn gddpy_vectors() {
    let mut sines = 0;
    for row in rows(include_str!("gddpy_vectors.csv"), 10) {
        let range = HeatRange::above(degrees(row[2], Celsius));
        let ends = [row[0], row[1], row[0]];
        close(heat(ends, range, Method::Average, Celsius), row[3], 1e-9);
        if !row[4].is_nan() {
            close(heat(ends, range, Method::SingleSine, Celsius), row[4], 1e-9);
            sines += 1;
        }
    }
    assert_eq!(sines, 6);
}

/// Niemczyk & Shetlar 2001, Destructive Turf Insects, 2nd ed.: 40/70 °F above 50 °F gives 5.
/// UNL CropWatch 2018: 50/85 °F above 38 °F gives 29.5, and 24.5 with the highest clipped at 75 °F.
/// The scale is stored in Celsius: 1e-9.
#[test]
fn extension_examples_in_fahrenheit() {
    for (highest, lowest, base, expected) in
        [(70.0, 40.0, 50.0, 5.0), (85.0, 50.0, 38.0, 29.5), (82.0, 58.0, 50.0, 20.0), (48.0, 30.0, 50.0, 0.0)]
    {
        let range = HeatRange::above(degrees(base, Fahrenheit));
        close(heat([lowest, highest, lowest], range, Method::Average, Fahrenheit), expected, 1e-9);
    }
    let clipped = HeatRange::between(degrees(38.0, Fahrenheit), degrees(75.0, Fahrenheit), Cutoff::Horizontal).unwrap();
    close(heat([50.0, 85.0, 50.0], clipped, Method::AverageOfClipped, Fahrenheit), 24.5, 1e-9);
}

/// Degree-days of Esparto, California, 2020, above 55 °F with a horizontal cutoff at 93.9 °F, as a degree-day service of
/// the University of California printed them for six days: lowest, highest, next lowest; single triangle, single sine,
/// double triangle, double sine.
#[test]
fn six_days_of_esparto() {
    let range = HeatRange::between(degrees(55.0, Fahrenheit), degrees(93.9, Fahrenheit), Cutoff::Horizontal).unwrap();
    for (ends, printed) in [
        ([38.0, 55.0, 36.0], [0.0, 0.0, 0.0, 0.0]),
        ([36.0, 67.0, 33.0], [2.32, 3.31, 2.22, 3.23]),
        ([33.0, 59.0, 37.0], [0.31, 0.68, 0.34, 0.71]),
        ([37.0, 59.0, 38.0], [0.36, 0.74, 0.37, 0.75]),
        ([38.0, 63.0, 36.0], [1.28, 1.99, 1.23, 1.95]),
        ([36.0, 58.0, 30.0], [0.20, 0.48, 0.18, 0.45]),
    ] {
        let methods = [Method::SingleTriangle, Method::SingleSine, Method::DoubleTriangle, Method::DoubleSine];
        for (method, printed) in methods.into_iter().zip(printed) {
            close(heat(ends, range, method, Fahrenheit), printed, 0.005_01);
        }
    }
}

/// Luckmann et al. 1976 for black cutworm, as the University of California prints it: eggs 93.6, larvae 635.4, pupae
/// 428.4 degree-days (°F) are 52, 353 and 238 (°C).
#[test]
fn fahrenheit_and_celsius_degree_days() {
    for (fahrenheit, celsius) in [(93.6, 52.0), (635.4, 353.0), (428.4, 238.0)] {
        let heat = quantity::DegreeDays::new(fahrenheit, DegreeDayUnit::Fahrenheit);
        close(heat.to(DegreeDayUnit::Celsius), celsius, 1e-9);
    }
    // Hewitt 1979 for the hatch of grasshoppers: 2466 degree-hours above 15.6 °C.
    close(quantity::DegreeDays::new(2466.0, DegreeDayUnit::CelsiusHour).to(DegreeDayUnit::Celsius), 102.75, 1e-9);
}

/// Years of Seattle above 10 °C: average, single sine, single triangle, and single sine with a horizontal cutoff at
/// 30 °C, by NumPy from the same extremes.
#[test]
fn four_years_of_seattle() {
    let days: Vec<DailyReading> = include_str!("seattle_daily.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let day: Date = cells[0].replace('/', "-").parse().unwrap();
            let read = |index: usize| Some(degrees(cells[index].parse().unwrap(), Celsius));
            DailyReading { highest: read(2), lowest: read(3), ..DailyReading::unknown(day) }
        })
        .collect();
    assert_eq!(days.len(), 1461);
    let (series, _) = DailySeries::new(days).unwrap();
    let above = HeatRange::above(degrees(10.0, Celsius));
    let below_30 = HeatRange::between(degrees(10.0, Celsius), degrees(30.0, Celsius), Cutoff::Horizontal).unwrap();
    let ways = [
        (above, Method::Average),
        (above, Method::SingleSine),
        (above, Method::SingleTriangle),
        (below_30, Method::SingleSine),
    ];
    for (year, sums) in [
        (2012, [1133.400, 1201.7022, 1178.9302, 1198.0050]),
        (2013, [1369.250, 1436.2557, 1413.9731, 1433.5033]),
        (2014, [1490.200, 1559.7431, 1537.9445, 1555.3299]),
        (2015, [1541.050, 1616.1098, 1591.0086, 1606.9363]),
    ] {
        for ((range, method), expected) in ways.into_iter().zip(sums) {
            let how = Accumulation { range, method, start: Start::calendar(1, 1).unwrap() };
            let (record, problems) = how.over(&series, year, Some(date(year, 12, 31))).unwrap();
            assert!(problems.is_empty());
            close(record.total().to(DegreeDayUnit::Celsius), expected, 5.1e-5);
        }
    }
}

/// The typical year of Greensboro above 10 °C: the hours themselves, average and sine of their extremes, by NumPy.
#[test]
fn a_year_of_hours_in_greensboro() {
    let mut hours = Vec::new();
    for line in include_str!("greensboro_hours.csv").lines() {
        let (day, temperatures) = line.split_once(',').unwrap();
        let day: Date = format!("2026-{day}").parse().unwrap();
        for (hour, temperature) in (0..24).zip(temperatures.split(',')) {
            let temperature = Some(degrees(temperature.parse().unwrap(), Celsius));
            hours.push(HourlyReading { temperature, ..HourlyReading::unknown(day.at(hour, 0, 0, 0)) });
        }
    }
    assert_eq!(hours.len(), 8760);
    let (series, _) = HourlySeries::new(Offset::constant(-5), hours).unwrap();
    let how = |method| Accumulation {
        range: HeatRange::above(degrees(10.0, Celsius)),
        method,
        start: Start::calendar(1, 1).unwrap(),
    };
    let (record, problems) = how(Method::Average).over_hours(&series, 2026).unwrap();
    assert!(problems.is_empty());
    close(record.total().to(DegreeDayUnit::Celsius), 2480.9875, 5.1e-5);
    let (days, _) = DailySeries::from_hours(&series).unwrap();
    for (method, expected) in [(Method::Average, 2409.55), (Method::SingleSine, 2529.2154)] {
        let (record, _) = how(method).over(&days, 2026, None).unwrap();
        close(record.total().to(DegreeDayUnit::Celsius), expected, 5.1e-5);
    }
}
