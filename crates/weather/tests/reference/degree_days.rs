//! Degree days against published tables.
use quantity::{
    Temperature, TemperatureUnit,
    TemperatureUnit::{Celsius, Fahrenheit},
};
use weather::degree_days::average;

fn heat(highest: f64, lowest: f64, base: f64, scale: TemperatureUnit) -> f64 {
    let reading = |degrees| Temperature::new(degrees, scale);
    average(reading(highest), reading(lowest), reading(base), scale)
}

/// McMaster & Wilhelm 1997, Agric. For. Meteorol. 87: 291-300, Table 1, method 1, base 0 °C:
/// highest, lowest, degree days. Printed to one decimal; the sums are exact.
#[test]
fn mcmaster_and_wilhelm_1997_table_1() {
    let table = [
        (20.0, 10.0, 15.0),
        (10.0, 1.0, 5.5),
        (8.0, -2.0, 3.0),
        (6.0, 0.0, 3.0),
        (10.0, 5.0, 7.5),
        (5.0, -5.0, 0.0),
        (-2.0, -7.0, 0.0),
        (-5.0, -10.0, 0.0),
        (10.0, -2.0, 4.0),
        (15.0, 2.0, 8.5),
    ];
    for (highest, lowest, expected) in table {
        assert_eq!(heat(highest, lowest, 0.0, Celsius), expected, "{highest}/{lowest}");
    }
}

/// Niemczyk & Shetlar 2001, Destructive Turf Insects, 2nd ed.: 40/70 °F above 50 °F gives 5.
/// UNL CropWatch 2018: 50/85 °F above 38 °F gives 29.5. The scale is stored in Celsius: 1e-9.
#[test]
fn extension_examples_in_fahrenheit() {
    for (highest, lowest, base, expected) in
        [(70.0, 40.0, 50.0, 5.0), (85.0, 50.0, 38.0, 29.5), (82.0, 58.0, 50.0, 20.0), (48.0, 30.0, 50.0, 0.0)]
    {
        assert!((heat(highest, lowest, base, Fahrenheit) - expected).abs() < 1e-9, "{highest}/{lowest}");
    }
}
