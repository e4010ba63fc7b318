//! Quantities with one unit.

use super::error::{ParseError, piece};
use super::number::{Position, refuse_two_ways};
use super::token::Scanner;
use super::words::{self, Dimension};
use crate::amount::{Amount, AmountUnit};
use crate::dimension::{Area, Duration, Length, Mass, Temperature, Volume};
use crate::unit::{AreaUnit, DurationUnit, LengthUnit, MassUnit, TemperatureUnit, VolumeUnit};

/// A length such as `12 ft`, `12 ft 6 in`, `3,5 m`, and the unit it was written in (the first one).
///
/// # Errors
/// When the text is anything else, or below nothing.
pub fn parse_length(text: &str) -> Result<(Length, LengthUnit), ParseError> {
    let (value, unit) = value_in_parts(text, &[(LengthUnit::Foot, &["in", "inch", "inches"], 12.0)])?;
    Ok((Length::new(value, unit), unit))
}

/// An area such as `7,988 sq ft`, `0.25 acre`, `850 m²`, and the unit it was written in.
///
/// # Errors
/// When the text is anything else, or below nothing.
pub fn parse_area(text: &str) -> Result<(Area, AreaUnit), ParseError> {
    let (value, unit) = value_in_parts(text, &[])?;
    Ok((Area::new(value, unit), unit))
}

/// A volume such as `1.5 gal`, `½ fl oz`, `2 imp gal`, `94,5 mL`, and the unit it was written in.
///
/// # Errors
/// When the text is anything else, or below nothing; a plain `oz` is refused.
pub fn parse_volume(text: &str) -> Result<(Volume, VolumeUnit), ParseError> {
    let (value, unit) = value_in_parts(text, &[])?;
    Ok((Volume::new(value, unit), unit))
}

/// A mass such as `1.5 lb`, `5 lb 4 oz`, `0.3 oz (weight)`, `20 g`, and the unit it was written in
/// (the first one).
///
/// # Errors
/// When the text is anything else, or below nothing; an `oz` is refused that neither follows
/// pounds nor says that it is one of weight.
pub fn parse_mass(text: &str) -> Result<(Mass, MassUnit), ParseError> {
    let (value, unit) = value_in_parts(text, &[POUND_AND_OUNCES])?;
    Ok((Mass::new(value, unit), unit))
}

/// A length of time such as `90 min`, `1 h 39 min`, `21 days`, and the unit it was written in (the
/// first one).
///
/// # Errors
/// When the text is anything else, or below nothing.
pub fn parse_duration(text: &str) -> Result<(Duration, DurationUnit), ParseError> {
    let (value, unit) = value_in_parts(
        text,
        &[
            (DurationUnit::Hour, &["min", "mins", "minute", "minutes"], 60.0),
            (DurationUnit::Minute, &["s", "sec", "secs", "second", "seconds"], 60.0),
        ],
    )?;
    Ok((Duration::new(value, unit), unit))
}

/// A temperature such as `75 °F`, `-3 C`, `24 degrees Celsius`, and its scale.
///
/// # Errors
/// When the text is anything else, or below the absolute zero.
pub fn parse_temperature(text: &str) -> Result<(Temperature, TemperatureUnit), ParseError> {
    let mut scanner = Scanner::new(text)?;
    let start = scanner.here();
    let below = scanner.minus();
    let (value, place) = first_number(&mut scanner)?;
    let unit = words::unit::<TemperatureUnit>(&mut scanner, false)?;
    scanner.end()?;
    let temperature = Temperature::new(if below { -value } else { value }, unit);
    if temperature.to(TemperatureUnit::Celsius) < -273.15 {
        let span = start..place.end;
        return Err(ParseError::new(text, span.clone(), format!("{} is below the absolute zero", piece(&text[span])))
            .expected("-273.15 °C or more"));
    }
    Ok((temperature, unit))
}

/// An amount of product, by volume or by mass, such as `2 tbsp`, `0.3 oz (weight)`, and the unit it
/// was written in.
///
/// # Errors
/// When the text is anything else, or below nothing; a plain `oz` is refused.
pub fn parse_amount(text: &str) -> Result<(Amount, AmountUnit), ParseError> {
    let (whole, ounces, each) = POUND_AND_OUNCES;
    let (value, unit) = value_in_parts(text, &[(AmountUnit::Mass(whole), ounces, each)])?;
    Ok((Amount::new(value, unit), unit))
}

/// A unit, the words for the smaller unit that may follow it, and how many of that make one.
type Parts<U> = (U, &'static [&'static str], f64);

/// As net contents are written: `1 pound 10 ounces`.
///
/// # Source
/// 40 CFR 156.10(d)(4).
const POUND_AND_OUNCES: Parts<MassUnit> = (MassUnit::Pound, &["oz", "ozs", "ounce", "ounces"], 16.0);

/// The first number of a text.
pub(super) fn first_number(scanner: &mut Scanner<'_>) -> Result<(f64, std::ops::Range<usize>), ParseError> {
    let text = scanner.text();
    if scanner.number_ahead() {
        return scanner.number(Position::Value);
    }
    let at = scanner.here();
    if scanner.at_end() {
        return Err(ParseError::new(text, 0..text.len(), "nothing written").expected("a number and its unit"));
    }
    if scanner.minus() && scanner.number_ahead() {
        let (_, place) = scanner.number(Position::Value)?;
        let found = format!("{} is below nothing", piece(&text[at..place.end]));
        return Err(ParseError::new(text, at..place.end, found).expected("a number from 0"));
    }
    let length = scanner
        .words_ahead(1)
        .first()
        .filter(|word| word.place.start == at)
        .map_or_else(|| text[at..].chars().next().map_or(0, char::len_utf8), |word| word.place.len());
    let found = format!("{} where a number should stand", piece(&text[at..at + length]));
    Err(ParseError::new(text, at..at + length, found).expected("a number and its unit"))
}

fn value_in_parts<U: Dimension + PartialEq>(text: &str, parts: &[Parts<U>]) -> Result<(f64, U), ParseError> {
    let mut scanner = Scanner::new(text)?;
    let (mut value, first) = first_number(&mut scanner)?;
    let unit = words::unit::<U>(&mut scanner, false)?;
    refuse_two_ways(text, &first, unit.comma_system())?;
    if let Some((_, names, each)) = parts.iter().find(|(whole, _, _)| *whole == unit)
        && scanner.number_ahead()
    {
        let (small, place) = scanner.number(Position::Value)?;
        let word = scanner.word().filter(|word| names.contains(&word.key.as_str()) && !word.inverse);
        if word.is_none() {
            let found = format!("{} after the end", piece(&text[place.clone()]));
            return Err(
                ParseError::new(text, place, found).expected(format!("nothing more, or a number of `{}`", names[0]))
            );
        }
        if value.fract() != 0.0 || small >= *each {
            let span = first.start..place.end;
            return Err(ParseError::new(text, span.clone(), format!("{} is written in two units", piece(&text[span])))
                .expected(format!("a whole number, and under {each} of `{}`", names[0])));
        }
        value += small / each;
    }
    scanner.end()?;
    Ok((value, unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{AreaUnit as A, LengthUnit as L, MassUnit as M, VolumeUnit as V};

    #[test]
    fn lengths() {
        assert_eq!(parse_length("12 ft 6 in").unwrap(), (Length::new(12.5, L::Foot), L::Foot));
        assert_eq!(parse_length("12' 6\"").unwrap(), (Length::new(12.5, L::Foot), L::Foot));
        assert_eq!(parse_length("12′6″").unwrap().0, Length::new(12.5, L::Foot));
        assert_eq!(parse_length("3,5 m").unwrap(), (Length::new(3.5, L::Metre), L::Metre));
        assert_eq!(parse_length("18 1/2 FEET").unwrap(), (Length::new(18.5, L::Foot), L::Foot));
        assert_eq!(parse_length("250 µm").unwrap(), (Length::new(250.0, L::Micrometre), L::Micrometre));
        assert_eq!(parse_length("250 μm").unwrap().1, L::Micrometre, "Greek letter mu");
        assert!(parse_length("12 ft 13 in").is_err());
        assert!(parse_length("12.5 ft 3 in").is_err());
        assert!(parse_length("5 M").is_err(), "M is also a thousand");
    }

    #[test]
    fn one_comma_before_three_digits_is_refused_before_a_metric_unit() {
        let mend = |error: ParseError| error.mend.unwrap_or_default();
        assert_eq!(mend(parse_area("1,000 m²").unwrap_err()), "write `1000` or `1`");
        assert_eq!(mend(parse_volume("12,345 mL").unwrap_err()), "write `12345` or `12.345`");
        assert_eq!(mend(parse_amount("1,250 g").unwrap_err()), "write `1250` or `1.25`");
        assert!(parse_length("1,200 m").is_err() && parse_mass("1,200 kg").is_err());
        // What reads in one way stands, and so does a decimal stop before three digits.
        for (text, square_metres) in [
            ("1000 m²", 1000.0),
            ("1 000 m²", 1000.0),
            ("1,000.5 m²", 1000.5),
            ("1,000,000 m²", 1e6),
            ("0,125 m²", 0.125),
        ] {
            assert_eq!(parse_area(text).unwrap().0, Area::new(square_metres, A::SquareMetre), "{text}");
        }
        assert_eq!(parse_area("1.000 m²").unwrap().0, Area::new(1.0, A::SquareMetre));
        assert_eq!(parse_area("7,988 sq ft").unwrap().0, Area::new(7988.0, A::SquareFoot));
        assert_eq!(parse_duration("1,440 min").unwrap().0, Duration::new(1440.0, DurationUnit::Minute));
    }

    #[test]
    fn areas() {
        for text in ["7,988 sq ft", "7988 sq. ft.", "7988sqft", "7 988 ft²", "7988 ft^2", "7988 Square Feet", "7988 SF"]
        {
            assert_eq!(parse_area(text).unwrap(), (Area::new(7988.0, A::SquareFoot), A::SquareFoot), "{text}");
        }
        assert_eq!(parse_area("1.5 A").unwrap().1, A::Acre);
        assert!(parse_area("1.5 a").is_err());
        assert_eq!(parse_area("0,25 ha").unwrap(), (Area::new(0.25, A::Hectare), A::Hectare));
        assert_eq!(parse_area("850\u{a0}m²").unwrap().1, A::SquareMetre);
        assert_eq!(parse_area("12 ft").unwrap_err().found, "unit `ft` is a length");
    }

    #[test]
    fn volumes_of_both_gallons() {
        assert_eq!(parse_volume("2 gal").unwrap(), (Volume::new(2.0, V::UsGallon), V::UsGallon));
        for text in ["2 imp gal", "2 Imperial Gallons", "2 gal (imp)", "2 UK gal", "2 imp. gal."] {
            assert_eq!(parse_volume(text).unwrap(), (Volume::new(2.0, V::ImperialGallon), V::ImperialGallon), "{text}");
        }
        for text in ["2 US gal", "2 U.S. gallons", "2 gal (US)"] {
            assert_eq!(parse_volume(text).unwrap().1, V::UsGallon, "{text}");
        }
        for text in ["½ fl oz", "0.5 fl. oz.", "1/2 fluid ounces", "0.5 FL.OZ.", "0.5 fl-oz"] {
            assert_eq!(parse_volume(text).unwrap(), (Volume::new(0.5, V::UsFluidOunce), V::UsFluidOunce), "{text}");
        }
        assert!(parse_volume("2 T").is_err());
        assert!(parse_volume("3 imp cups").is_err());
    }

    #[test]
    fn an_ounce_must_say_which() {
        for text in ["3 oz", "3 ounces", "3 OZ.", "3 imp oz"] {
            for error in
                [parse_amount(text).unwrap_err(), parse_volume(text).unwrap_err(), parse_mass(text).unwrap_err()]
            {
                assert_eq!(error.mend.as_deref(), Some("weight or fluid? write `fl oz` or `oz (weight)`"), "{text}");
            }
        }
        for text in ["3 oz (weight)", "3 oz wt", "3 wt oz", "3 ounces by weight", "3 oz. (wt.)"] {
            assert_eq!(parse_amount(text).unwrap().1, AmountUnit::Mass(M::Ounce), "{text}");
        }
        assert_eq!(parse_mass("1 pound 10 ounces").unwrap(), (Mass::new(1.625, M::Pound), M::Pound));
        assert_eq!(parse_amount("5 lb 4 oz").unwrap().0, Amount::Mass(Mass::new(5.25, M::Pound)));
    }

    #[test]
    fn weight_entered_as_fluid_is_refused() {
        let error = parse_mass("0.3 fl oz").unwrap_err();
        assert_eq!((error.span, error.found.as_str()), (4..9, "unit `fl oz` is a volume"));
    }

    #[test]
    fn times_and_temperatures() {
        use crate::unit::DurationUnit as D;
        assert_eq!(parse_duration("1 h 39 min").unwrap(), (Duration::new(1.65, D::Hour), D::Hour));
        assert_eq!(parse_duration("24 hrs").unwrap(), (Duration::new(24.0, D::Hour), D::Hour));
        assert_eq!(parse_duration("21 days").unwrap().1, D::Day);
        let celsius = |degrees| (Temperature::new(degrees, TemperatureUnit::Celsius), TemperatureUnit::Celsius);
        assert_eq!(parse_temperature("-3 °C").unwrap(), celsius(-3.0));
        assert_eq!(parse_temperature("−3,5 degrees Celsius").unwrap(), celsius(-3.5));
        assert_eq!(parse_temperature("24℃").unwrap(), celsius(24.0));
        assert_eq!(parse_temperature("75F").unwrap().1, TemperatureUnit::Fahrenheit);
        for text in ["-300 C", "75", "75 °", "280 K"] {
            assert!(parse_temperature(text).is_err(), "{text}");
        }
    }

    #[test]
    fn what_is_no_quantity_is_refused() {
        for text in [
            "",
            "  ",
            "-1 mL",
            "NaN mL",
            "inf mL",
            "infinity mL",
            "1e400 mL",
            "mL",
            "5",
            "5 blik",
            "5 mL 3",
            "5 mL x",
            "(5 mL",
            "5 mL)",
            "5 %",
            "1-2 mL",
            "+5 mL",
            "５ mL",
            "5 mL/ha",
        ] {
            let error = parse_amount(text).expect_err(text);
            assert!(text.get(error.span.clone()).is_some(), "{text}: {error:?}");
        }
        assert_eq!(parse_amount("-1 mL").unwrap_err().found, "`-1` is below nothing");
        assert_eq!(parse_amount("NaN mL").unwrap_err().found, "`NaN` where a number should stand");
    }
}
