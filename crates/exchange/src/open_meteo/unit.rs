//! Units as the answer names them.

use crate::weather_json::Node;
use problem::{Problem, Problems};
use quantity::{LengthUnit, SpeedUnit, TemperatureUnit};

/// What a variable is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Temperature(TemperatureUnit),
    Speed(SpeedUnit),
    Depth(LengthUnit),
    Percent,
    Degrees,
    Hectopascal,
    WattPerSquareMetre,
    MegajoulePerSquareMetre,
}

/// The units that a quantity may come in, by their names.
pub(super) type Units = &'static [(&'static str, Unit)];

pub(super) const TEMPERATURE: Units =
    &[("°C", Unit::Temperature(TemperatureUnit::Celsius)), ("°F", Unit::Temperature(TemperatureUnit::Fahrenheit))];
pub(super) const SPEED: Units = &[
    ("km/h", Unit::Speed(SpeedUnit::KilometrePerHour)),
    ("m/s", Unit::Speed(SpeedUnit::MetrePerSecond)),
    ("mp/h", Unit::Speed(SpeedUnit::MilePerHour)),
    ("mph", Unit::Speed(SpeedUnit::MilePerHour)),
    ("kn", Unit::Speed(SpeedUnit::Knot)),
];
pub(super) const DEPTH: Units = &[("mm", Unit::Depth(LengthUnit::Millimetre)), ("inch", Unit::Depth(LengthUnit::Inch))];
pub(super) const PERCENT: Units = &[("%", Unit::Percent)];
pub(super) const DEGREES: Units = &[("°", Unit::Degrees)];
pub(super) const PRESSURE: Units = &[("hPa", Unit::Hectopascal)];
pub(super) const IRRADIANCE: Units = &[("W/m²", Unit::WattPerSquareMetre)];
pub(super) const RADIATION: Units = &[("MJ/m²", Unit::MegajoulePerSquareMetre)];

/// The unit that the answer says a variable has.
pub(super) fn unit_of(
    units: Option<&Node<'_>>,
    lists: &Node<'_>,
    name: &str,
    known: Units,
    problems: &mut Problems,
) -> Option<Unit> {
    let named = units.and_then(|units| units.field(name));
    let found = named.as_ref().and_then(Node::text);
    let unit = known.iter().find(|(word, _)| Some(*word) == found).map(|(_, unit)| *unit);
    if unit.is_none() {
        let words: Vec<String> = known.iter().map(|(word, _)| format!("`{word}`")).collect();
        let told = match found {
            Some(word) => format!("`{name}` is in `{}`", crate::toml_source::shown(word)),
            None => format!("the answer does not say in which unit `{name}` is"),
        };
        let problem = Problem::error("open-meteo::unit", told)
            .expected(format!("one of {}", words.join(", ")))
            .mend("ask the service for one of these units, and keep its answer as it came");
        problems.push(named.as_ref().unwrap_or(lists).problem(problem));
    }
    unit
}
