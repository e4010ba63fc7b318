//! Quantities with a unit per a unit.

use super::error::{ParseError, piece};
use super::number::{Position, refuse_two_ways};
use super::plain::first_number;
use super::token::{Per, Scanner};
use super::words::{self, Dimension};
use crate::dimension::{Density, Flow, MassPerArea, Speed, VolumePerArea};
use crate::rate::BasisCount;
use crate::unit::{
    AreaUnit, DensityUnit, DurationUnit, FlowUnit, LengthUnit, MassPerAreaUnit, MassUnit, SpeedUnit, System,
    VolumePerAreaUnit, VolumeUnit,
};

/// A speed such as `4 mph`, `1.2 m/s`, `88 ft/min`. The unit is the one written or, where that has
/// no name here, the metre per second or the mile per hour, by system.
///
/// # Errors
/// When the text is anything else, or below nothing.
pub fn parse_speed(text: &str) -> Result<(Speed, SpeedUnit), ParseError> {
    let (value, unit) = value::<LengthUnit, DurationUnit, SpeedUnit>(text, |word| match word {
        "mph" => Some(SpeedUnit::MilePerHour),
        "kph" | "kmh" | "kmph" => Some(SpeedUnit::KilometrePerHour),
        "mps" => Some(SpeedUnit::MetrePerSecond),
        "kn" | "kt" | "kts" | "knot" | "knots" => Some(SpeedUnit::Knot),
        _ => None,
    })?;
    Ok((Speed::new(value, unit), unit))
}

/// A flow such as `0.27 gpm`, `1.2 L/min`, `480 fl oz/min`. The unit is the one written or, where
/// that has no name here, the litre or the gallon per minute, by system.
///
/// # Errors
/// When the text is anything else, below nothing, or of two systems.
pub fn parse_flow(text: &str) -> Result<(Flow, FlowUnit), ParseError> {
    let (value, unit) = value::<VolumeUnit, DurationUnit, FlowUnit>(text, |word| match word {
        "gpm" => Some(FlowUnit::UsGallonPerMinute),
        "lpm" => Some(FlowUnit::LitrePerMinute),
        _ => None,
    })?;
    Ok((Flow::new(value, unit), unit))
}

/// A volume per area such as `1.5 gal/1,000 sq ft`, `400 L/ha`, `20 gpa`. The unit is the one
/// written or, where that has no name here, the litre per hectare or the gallon per acre, by system.
///
/// # Errors
/// When the text is anything else, below nothing, or of two systems.
pub fn parse_volume_per_area(text: &str) -> Result<(VolumePerArea, VolumePerAreaUnit), ParseError> {
    let named = |word: &str| (word == "gpa").then_some(VolumePerAreaUnit::UsGallonPerAcre);
    let (value, unit) = value::<VolumeUnit, AreaUnit, VolumePerAreaUnit>(text, named)?;
    Ok((VolumePerArea::new(value, unit), unit))
}

/// A mass per area such as `1.5 lb/acre`, `20 g/100 m²`. The unit is the one written or, where that
/// has no name here, the kilogram per hectare or the pound per acre, by system.
///
/// # Errors
/// When the text is anything else, or below nothing. `a.i.` is refused: what is dosed belongs to a
/// rate.
pub fn parse_mass_per_area(text: &str) -> Result<(MassPerArea, MassPerAreaUnit), ParseError> {
    let (value, unit) = value::<MassUnit, AreaUnit, MassPerAreaUnit>(text, |_| None)?;
    Ok((MassPerArea::new(value, unit), unit))
}

/// A mass per volume such as `8.7 lb/gal`, `240 g/L`, `1.05 g/mL`. The unit is the one written or,
/// where that has no name here, the gram per litre or the pound per gallon, by system.
///
/// # Errors
/// When the text is anything else, or below nothing.
pub fn parse_density(text: &str) -> Result<(Density, DensityUnit), ParseError> {
    let (value, unit) = value::<MassUnit, VolumeUnit, DensityUnit>(text, |_| None)?;
    Ok((Density::new(value, unit), unit))
}

/// A unit that is a unit per a unit.
trait Quotient: Copy + 'static {
    const EVERY: &'static [Self];
    const NAME: &'static str;
    /// The unit to fall back on in a system.
    fn usual(system: System) -> Self;
    fn size(self) -> f64;
    fn word(self) -> &'static str;
    /// The system that it belongs to.
    fn of(self) -> System;
}

macro_rules! quotient {
    ($unit:ident, $name:literal, $metric:ident, $us:ident, $imperial:ident) => {
        impl Quotient for $unit {
            const EVERY: &'static [Self] = Self::ALL;
            const NAME: &'static str = $name;
            fn usual(system: System) -> Self {
                match system {
                    System::Metric => Self::$metric,
                    System::UsCustomary | System::UsAndImperial => Self::$us,
                    System::Imperial => Self::$imperial,
                }
            }
            fn size(self) -> f64 {
                self.factor()
            }
            fn word(self) -> &'static str {
                self.symbol()
            }
            fn of(self) -> System {
                self.system()
            }
        }
    };
}

quotient!(SpeedUnit, "a speed", MetrePerSecond, MilePerHour, MilePerHour);
quotient!(FlowUnit, "a volume per time", LitrePerMinute, UsGallonPerMinute, ImperialGallonPerMinute);
quotient!(VolumePerAreaUnit, "a volume per area", LitrePerHectare, UsGallonPerAcre, ImperialGallonPerAcre);
quotient!(MassPerAreaUnit, "a mass per area", KilogramPerHectare, PoundPerAcre, PoundPerAcre);
quotient!(DensityUnit, "a mass per volume", GramPerLitre, PoundPerUsGallon, PoundPerImperialGallon);

/// A unit that a quotient is made of.
trait Part: Dimension {
    fn part(self) -> (f64, System);
}

macro_rules! part {
    ($($unit:ident),+) => {
        $(impl Part for $unit {
            fn part(self) -> (f64, System) {
                (self.factor(), self.system())
            }
        })+
    };
}

part!(LengthUnit, AreaUnit, VolumeUnit, MassUnit, DurationUnit);

/// Refuses a US unit beside an imperial one; otherwise the system of the first, or of the second
/// where the first is of both.
pub(super) fn one_system(text: &str, above: System, below: System) -> Result<System, ParseError> {
    match (above, below) {
        (System::UsCustomary, System::Imperial) | (System::Imperial, System::UsCustomary) => {
            Err(ParseError::new(text, 0..text.len(), "a US unit and an imperial unit in one rate")
                .expected("units of one system")
                .mend("write both as US or both as imperial units"))
        }
        (System::UsAndImperial, System::UsCustomary | System::Imperial) => Ok(below),
        _ => Ok(above),
    }
}

fn value<N: Part, D: Part, Q: Quotient>(text: &str, named: impl Fn(&str) -> Option<Q>) -> Result<(f64, Q), ParseError> {
    let mut scanner = Scanner::new(text)?;
    let (value, place) = first_number(&mut scanner)?;
    let words = scanner.words_ahead(1);
    if let Some((word, unit)) = words.first().and_then(|word| Some((word, named(&word.key)?))) {
        scanner.move_past(word);
        scanner.end()?;
        refuse_two_ways(text, &place, unit.of())?;
        return Ok((value, unit));
    }
    let expected = || {
        let symbols: Vec<String> = Q::EVERY.iter().take(4).map(|unit| format!("`{}`", unit.word())).collect();
        format!("{}, such as {}", Q::NAME, symbols.join(", "))
    };
    let Some(above) = words::take_unit::<N>(&mut scanner, false)? else {
        return Err(words::not_a_unit(&mut scanner, N::NAME, N::SOME).expected(expected()));
    };
    let Some(per) = scanner.per() else {
        let at = scanner.here();
        let span = at..text.trim_end().len().max(at);
        let found = if scanner.at_end() {
            "no `per`".to_owned()
        } else {
            piece(&text[span.clone()]) + " where `per` should stand"
        };
        return Err(ParseError::new(text, span, found).expected(expected()));
    };
    let count = basis_count(&mut scanner, per)?.unwrap_or(BasisCount::ONE).get();
    let below = words::unit::<D>(&mut scanner, per == Per::Power)?;
    scanner.end()?;
    refuse_two_ways(text, &place, above.comma_system())?;
    let ((above, above_system), (below, below_system)) = (above.part(), below.part());
    let system = one_system(text, above_system, below_system)?;
    let size = above / (count * below);
    let written = Q::EVERY.iter().copied().find(|unit| (unit.size() / size - 1.0).abs() < 1e-12);
    let unit = written.unwrap_or_else(|| Q::usual(system));
    Ok(if written.is_some() { (value, unit) } else { (value * size / unit.size(), unit) })
}

/// The number in a basis, if one stands there.
pub(super) fn basis_count(scanner: &mut Scanner<'_>, per: Per) -> Result<Option<BasisCount>, ParseError> {
    if per == Per::Power {
        return Ok(None);
    }
    if scanner.take_keys(&["thousand"]) {
        return Ok(Some(BasisCount::THOUSAND));
    }
    if !scanner.number_ahead() {
        return Ok(None);
    }
    let (count, place) = scanner.number(Position::Basis)?;
    match BasisCount::new(count) {
        Some(count) => Ok(Some(count)),
        None => Err(ParseError::new(scanner.text(), place, "a rate per nothing").expected("a number above 0")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use VolumePerAreaUnit as V;

    fn close(a: f64, b: f64) -> bool {
        (a / b - 1.0).abs() < 1e-12
    }

    #[test]
    fn quotients_keep_the_unit_as_written() {
        for (text, unit) in [
            ("1.5 gal/1,000 sq ft", V::UsGallonPer1000SquareFeet),
            ("1.5 gallons per thousand square feet", V::UsGallonPer1000SquareFeet),
            ("1.5 L/ha", V::LitrePerHectare),
            ("1.5 L ha⁻¹", V::LitrePerHectare),
            ("1.5 l·ha-1", V::LitrePerHectare),
            ("1.5 L/100 m²", V::LitrePer100SquareMetres),
            ("1.5 mL m⁻²", V::MillilitrePerSquareMetre),
            ("1.5 GPA", V::UsGallonPerAcre),
            ("1.5 imp gal/acre", V::ImperialGallonPerAcre),
        ] {
            assert_eq!(parse_volume_per_area(text).unwrap(), (VolumePerArea::new(1.5, unit), unit), "{text}");
        }
        assert_eq!(parse_mass_per_area("20 g/100 m2").unwrap().1, MassPerAreaUnit::GramPer100SquareMetres);
        assert_eq!(parse_density("1.05 g/mL").unwrap().1, DensityUnit::KilogramPerLitre);
        assert_eq!(parse_density("2 lb per gal").unwrap().1, DensityUnit::PoundPerUsGallon);
        assert_eq!(parse_density("2 lb per imp gal").unwrap().1, DensityUnit::PoundPerImperialGallon);
        assert_eq!(parse_flow("480 fl oz/min").unwrap().1, FlowUnit::UsFluidOuncePerMinute);
        assert_eq!(parse_speed("4 miles per hour").unwrap().1, SpeedUnit::MilePerHour);
        assert_eq!(parse_speed("15 km/h").unwrap().1, SpeedUnit::KilometrePerHour);
    }

    #[test]
    fn a_unit_without_a_name_falls_back_in_its_system() {
        let (speed, unit) = parse_speed("5,280 yd/h").unwrap();
        assert_eq!(unit, SpeedUnit::MilePerHour);
        assert!(close(speed.to(unit), 3.0));
        let (spray, unit) = parse_volume_per_area("4 qt/acre").unwrap();
        assert_eq!(unit, V::UsGallonPerAcre);
        assert!(close(spray.to(unit), 1.0));
        let (flow, unit) = parse_flow("30 mL/s").unwrap();
        assert_eq!(unit, FlowUnit::LitrePerMinute);
        assert!(close(flow.to(unit), 1.8));
    }

    #[test]
    fn one_comma_before_three_digits_is_refused_before_a_metric_unit() {
        assert!(parse_volume_per_area("1,250 L/ha").is_err() && parse_volume_per_area("1,250 mL/1,000 sq ft").is_err());
        assert!(parse_speed("1,250 kph").is_err() && parse_flow("1,250 mL/min").is_err());
        assert_eq!(parse_flow("1,250 fl oz/min").unwrap().0, Flow::new(1250.0, FlowUnit::UsFluidOuncePerMinute));
        assert_eq!(parse_volume_per_area("1,000 gpa").unwrap().0, VolumePerArea::new(1000.0, V::UsGallonPerAcre));
    }

    #[test]
    fn what_is_no_quotient_is_refused() {
        for text in
            ["", "5", "5 gal", "5 gal/", "5 gal/0 ha", "5 gal/ft", "5 lb/acre", "-5 L/ha", "5 L/ha/ha", "5 L/ha x"]
        {
            assert!(parse_volume_per_area(text).is_err(), "{text}");
        }
        assert!(parse_mass_per_area("0.4 lb a.i./acre").is_err());
        assert_eq!(parse_speed("5 gal/h").unwrap_err().found, "unit `gal` is a volume");
    }
}
