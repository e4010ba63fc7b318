//! Printing: three significant digits, commas between thousands, never a power of ten. Before a metric
//! unit `1,250` is written `1250`, since with a decimal comma it would be 1.25.

use crate::amount::{Amount, AmountUnit};
use crate::dimension::{
    Area, DegreeDays, Density, Duration, Flow, Irradiance, Length, Mass, MassPerArea, Pressure, RadiantExposure, Speed,
    Temperature, TemperatureDifference, Volume, VolumePerArea,
};
use crate::rate::{AmountPerArea, Basis, Rate, Substance};
use crate::unit::{
    AreaUnit, DegreeDayUnit, DensityUnit, DurationUnit, FlowUnit, IrradianceUnit, LengthUnit, MassPerAreaUnit,
    MassUnit, PressureUnit, RadiantExposureUnit, SpeedUnit, System, TemperatureDifferenceUnit, TemperatureUnit,
    VolumePerAreaUnit, VolumeUnit,
};
use std::fmt;

/// How many significant digits a result shows.
const DIGITS: usize = 3;

/// Up to so many significant digits a number is taken for one that someone wrote.
const WRITTEN_DIGITS: usize = 6;

/// A number with so many significant digits, but never fewer than its whole part has: 94.5, 7,988,
/// 0.400. Thousands are parted by commas; there is no power of ten.
pub fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return value.to_string();
    }
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = digits.clamp(1, 17);
    // The exponent after rounding, so that 9.996 has two digits before its stop.
    let rounded = format!("{value:.*e}", digits - 1);
    let exponent: i32 = rounded.rsplit_once('e').and_then(|(_, exponent)| exponent.parse().ok()).unwrap_or(0);
    let decimals = usize::try_from(i32::try_from(digits).unwrap_or(17) - 1 - exponent).unwrap_or(0);
    let shown = format!("{value:.decimals$}");
    group(&shown)
}

/// A number of things in words: `1 entry`, `3 entries`.
pub fn counted<N: Copy + fmt::Display + PartialEq + From<u8>>(number: N, one: &str, several: &str) -> String {
    let things = if number == N::from(1) { one } else { several };
    format!("{number} {things}")
}

/// A number as someone wrote it: 0.4, 1,000. A number with more digits than people write was
/// computed, and shows as a result does.
pub(crate) fn number(value: f64) -> String {
    let shortest = value.to_string();
    let digits = shortest.trim_start_matches(['-', '0', '.']).trim_end_matches('0').bytes();
    if digits.filter(u8::is_ascii_digit).count() > WRITTEN_DIGITS {
        significant(value, DIGITS)
    } else {
        group(&shortest)
    }
}

/// Commas between thousands.
fn group(shown: &str) -> String {
    let (whole, decimals) = shown.split_once('.').map_or((shown, None), |(whole, decimals)| (whole, Some(decimals)));
    let (sign, whole) = whole.strip_prefix('-').map_or(("", whole), |whole| ("-", whole));
    let mut out = sign.to_owned();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    if let Some(decimals) = decimals {
        out.push('.');
        out.push_str(decimals);
    }
    out
}

/// Whether one comma parts up to three digits from exactly three: a thousand to some, a decimal to
/// others.
pub(crate) fn reads_in_two_ways(number: &str) -> bool {
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    number.strip_prefix('-').unwrap_or(number).split_once(',').is_some_and(|(before, after)| {
        (1..=3).contains(&before.len())
            && !before.starts_with('0')
            && after.len() == 3
            && digits(before)
            && digits(after)
    })
}

/// The number before a unit of a system, so that it reads in one way only.
pub(crate) fn before_unit(number: String, system: System) -> String {
    if system == System::Metric && reads_in_two_ways(&number) { number.replace(',', "") } else { number }
}

macro_rules! shown {
    ($($name:ident in $unit:ident),+ $(,)?) => {
        $(impl $name {
            /// With its unit, to three significant digits.
            pub fn show(self, unit: $unit) -> String {
                self.show_digits(unit, DIGITS)
            }

            /// With its unit, to so many significant digits.
            pub fn show_digits(self, unit: $unit, digits: usize) -> String {
                format!("{} {}", before_unit(significant(self.to(unit), digits), unit.system()), unit.symbol())
            }
        })+
    };
}

shown!(
    Length in LengthUnit,
    Area in AreaUnit,
    Volume in VolumeUnit,
    Mass in MassUnit,
    Speed in SpeedUnit,
    Flow in FlowUnit,
    VolumePerArea in VolumePerAreaUnit,
    MassPerArea in MassPerAreaUnit,
    Density in DensityUnit,
    TemperatureDifference in TemperatureDifferenceUnit,
    DegreeDays in DegreeDayUnit,
    Pressure in PressureUnit,
    Irradiance in IrradianceUnit,
    RadiantExposure in RadiantExposureUnit,
);

impl Duration {
    /// With its unit, to three significant digits.
    pub fn show(self, unit: DurationUnit) -> String {
        self.show_digits(unit, DIGITS)
    }

    /// With its unit, to so many significant digits.
    pub fn show_digits(self, unit: DurationUnit, digits: usize) -> String {
        // Every country counts minutes: the unit tells nothing of the comma.
        format!("{} {}", significant(self.to(unit), digits), unit.symbol())
    }
}

impl Temperature {
    /// With its scale, to a tenth of a degree at the most and three significant digits.
    pub fn show(self, unit: TemperatureUnit) -> String {
        let degrees = self.to(unit);
        let decimals = usize::from(degrees.abs() < 99.95);
        let shown = format!("{degrees:.decimals$}");
        let shown = if shown == "-0.0" { "0.0" } else { &shown };
        format!("{} {}", group(shown), unit.symbol())
    }
}

impl Amount {
    /// With its unit, to three significant digits; `None` when the dimension differs.
    pub fn show(self, unit: AmountUnit) -> Option<String> {
        self.show_digits(unit, DIGITS)
    }

    /// With its unit, to so many significant digits; `None` when the dimension differs.
    pub fn show_digits(self, unit: AmountUnit, digits: usize) -> Option<String> {
        let number = before_unit(significant(self.to(unit)?, digits), unit.system());
        Some(format!("{number} {}", unit.symbol()))
    }
}

impl AmountPerArea {
    /// In the unit and basis of a rate, to three significant digits; `None` when that rate is not
    /// per area or the dimensions differ.
    pub fn show_like(self, rate: &Rate) -> Option<String> {
        let one = rate.with_value(1.0).per_area()?;
        Some(rate.written_with(significant(self.ratio(one)?, DIGITS)))
    }
}

impl Rate {
    /// To three significant digits, as a result is shown: `0.400 fl oz/1,000 sq ft`.
    pub fn show(&self) -> String {
        self.written_with(significant(self.value(), DIGITS))
    }

    fn written_with(&self, number: String) -> String {
        if self.is_percent_by_volume() {
            return format!("{number} % v/v");
        }
        let of = match self.substance() {
            Substance::Product => "",
            Substance::ActiveIngredient => " a.i.",
        };
        let number = before_unit(number, self.unit().system());
        format!("{number} {}{of}/{}", self.unit().symbol(), self.basis())
    }

    /// The unit of the rate, basis included, in the Unified Code for Units of Measure:
    /// `[foz_us]/(1000.[sft_i])`, `L/har`, `%`. What is counted stands as an annotation.
    pub fn ucum(&self) -> String {
        if self.is_percent_by_volume() {
            return "%".to_owned();
        }
        let of = match self.substance() {
            Substance::Product => "",
            Substance::ActiveIngredient => "{a.i.}",
        };
        let per = match self.basis() {
            Basis::Area(count, unit) => ucum_times(count.get(), unit.ucum()),
            Basis::Length(count, unit) | Basis::TrunkDiameter(count, unit) => ucum_times(count.get(), unit.ucum()),
            Basis::SprayVolume(count, unit) => ucum_times(count.get(), unit.ucum()),
            Basis::Plant => "{plant}".to_owned(),
            Basis::Mound => "{mound}".to_owned(),
            Basis::Station => "{station}".to_owned(),
        };
        format!("{}{of}/{per}", self.unit().ucum())
    }
}

/// So many of a unit. The code has whole numbers only, so a decimal is a whole number of a power of
/// ten.
fn ucum_times(count: f64, unit: &str) -> String {
    if count == 1.0 {
        return unit.to_owned();
    }
    let written = count.to_string();
    let (whole, decimals) = written.split_once('.').unwrap_or((&written, ""));
    let digits = format!("{whole}{decimals}");
    let digits = match digits.trim_start_matches('0') {
        "" => "0",
        digits => digits,
    };
    let power = if decimals.is_empty() { String::new() } else { format!(".10*-{}", decimals.len()) };
    format!("({digits}{power}.{})", unit.trim_start_matches('(').trim_end_matches(')'))
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let count = match self.count() {
            1.0 => String::new(),
            count => format!("{} ", number(count)),
        };
        match self {
            Self::Area(_, unit) => write!(f, "{count}{}", unit.symbol()),
            Self::Length(_, unit) => write!(f, "{count}linear {}", unit.symbol()),
            Self::SprayVolume(_, unit) => write!(f, "{count}{}", unit.symbol()),
            Self::Plant => f.write_str("plant"),
            Self::Mound => f.write_str("mound"),
            Self::Station => f.write_str("station"),
            Self::TrunkDiameter(_, unit) => write!(f, "{count}{} of trunk diameter", unit.symbol()),
        }
    }
}

/// As it was written, `0.4 fl oz/1,000 sq ft`; a number of more than six digits was computed, and
/// shows three significant ones.
impl fmt::Display for Rate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written_with(number(self.value())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parse::parse_rate;

    #[test]
    fn three_digits_are_shown_and_whole_parts_are_kept() {
        for (value, shown) in [
            (94.5123, "94.5"),
            (7988.02, "7,988"),
            (1_234_567.8, "1,234,568"),
            (0.4, "0.400"),
            (9.996, "10.0"),
            (0.099_96, "0.100"),
            (999.6, "1,000"),
            (0.000_012_34, "0.0000123"),
            (0.0, "0"),
            (-14.02, "-14.0"),
            (-1234.5, "-1,234"),
        ] {
            assert_eq!(significant(value, 3), shown);
        }
        assert_eq!(significant(1e15, 3), "1,000,000,000,000,000");
        assert_eq!(significant(0.25, 1), "0.2");
    }

    #[test]
    fn quantities_show_their_unit() {
        assert_eq!(Area::new(7988.02, AreaUnit::SquareFoot).show(AreaUnit::SquareFoot), "7,988 sq ft");
        assert_eq!(Area::new(1329.4, AreaUnit::SquareMetre).show(AreaUnit::SquareMetre), "1329 m²");
        assert_eq!(Volume::new(94.5123, VolumeUnit::Millilitre).show(VolumeUnit::Millilitre), "94.5 mL");
        assert_eq!(Temperature::new(75.2, TemperatureUnit::Fahrenheit).show(TemperatureUnit::Celsius), "24.0 °C");
        assert_eq!(Temperature::new(40.9, TemperatureUnit::Celsius).show(TemperatureUnit::Fahrenheit), "106 °F");
        assert_eq!(Temperature::new(-0.01, TemperatureUnit::Celsius).show(TemperatureUnit::Celsius), "0.0 °C");
        let amount = Amount::new(1.781, AmountUnit::Mass(MassUnit::Ounce));
        assert_eq!(amount.show(AmountUnit::Mass(MassUnit::Gram)).as_deref(), Some("50.5 g"));
        assert_eq!(amount.show(AmountUnit::Volume(VolumeUnit::Litre)), None);
    }

    #[test]
    fn a_rate_prints_as_it_was_written() {
        for text in [
            "0.4 fl oz/1,000 sq ft",
            "1.6 L/ha",
            "2 tbsp/gal",
            "5 mL/10 L",
            "0.06 % v/v",
            "0.3 oz (weight)/1,000 sq ft",
            "0.2 lb a.i./acre",
            "1 fl oz/mound",
            "1 fl oz/plant",
            "8 g/station",
            "0.8 fl oz/100 linear ft",
            "0.1 fl oz/in of trunk diameter",
            "2 imp fl oz/imp gal",
            "1.2345 g/100 m²",
            "1500 L/ha",
            "1,500 fl oz/acre",
            "1,234,500 mL/ha",
        ] {
            assert_eq!(parse_rate(text).unwrap().to_string(), text);
        }
        let rate = parse_rate("0.4 fl oz/1,000 sq ft").unwrap();
        assert_eq!(rate.show(), "0.400 fl oz/1,000 sq ft");
        assert_eq!(rate.with_value(0.8 / 1.3).to_string(), "0.615 fl oz/1,000 sq ft");
        let per_area = parse_rate("1.6 L/ha").unwrap().per_area().unwrap();
        assert_eq!(per_area.show_like(&rate).as_deref(), Some("0.503 fl oz/1,000 sq ft"));
        assert_eq!(per_area.show_like(&parse_rate("1 lb/acre").unwrap()), None);
        assert_eq!(per_area.scaled(-1.0).show_like(&rate).as_deref(), Some("-0.503 fl oz/1,000 sq ft"));
    }

    #[test]
    fn one_thing_is_one_and_any_other_number_several() {
        assert_eq!(counted(1_u64, "entry", "entries"), "1 entry");
        assert_eq!(counted(0_usize, "entry", "entries"), "0 entries");
        assert_eq!(counted(-1_i64, "day", "days"), "-1 days");
    }

    #[test]
    fn rates_have_a_code() {
        for (text, code) in [
            ("0.4 fl oz/1,000 sq ft", "[foz_us]/(1000.[sft_i])"),
            ("1.6 L/ha", "L/har"),
            ("1 fl oz/gal", "[foz_us]/[gal_us]"),
            ("0.06 % v/v", "%"),
            ("1.5 lb/acre", "[lb_av]/(43560.[sft_i])"),
            ("0.2 lb a.i./acre", "[lb_av]{a.i.}/(43560.[sft_i])"),
            ("1 fl oz/mound", "[foz_us]/{mound}"),
            ("1 g/2.5 m²", "g/(25.10*-1.m2)"),
            ("1 fl oz/0.5 acre", "[foz_us]/(5.10*-1.43560.[sft_i])"),
        ] {
            assert_eq!(parse_rate(text).unwrap().ucum(), code, "{text}");
        }
    }
}
