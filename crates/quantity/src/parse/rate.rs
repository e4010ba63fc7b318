//! Rates: how much, of what, per what.

use super::error::{ParseError, piece};
use super::number::refuse_two_ways;
use super::plain::first_number;
use super::ratio::{basis_count, one_system};
use super::token::{Per, Scanner};
use super::words;
use crate::amount::AmountUnit;
use crate::rate::{Basis, BasisCount, Rate, Substance};
use crate::unit::{AreaUnit, LengthUnit, System, VolumeUnit};

/// A rate as labels and people write it: `0.4 fl oz/1,000 sq ft`, `1,6 L/ha`, `2 tbsp per gal`,
/// `5 mL/10 L`, `0.06 % v/v`, `0.2 lb a.i./acre`, `1 fl oz per mound`, `per plant`, `per station`,
/// `per 100 linear ft`, `per inch of trunk diameter`.
///
/// # Errors
/// When the text is anything else: no basis, an unclear unit, a US and an imperial unit in one rate,
/// a per cent that does not say `v/v`.
pub fn parse_rate(text: &str) -> Result<Rate, ParseError> {
    let mut scanner = Scanner::new(text)?;
    let (value, place) = first_number(&mut scanner)?;
    if scanner.percent() {
        let rate = percent(&mut scanner, value, place.start)?;
        scanner.end()?;
        return Ok(rate);
    }
    let unit = words::unit::<AmountUnit>(&mut scanner, false)?;
    refuse_two_ways(text, &place, unit.system())?;
    let substance = substance(&mut scanner);
    let Some(per) = scanner.per() else {
        let at = scanner.here();
        let span = at..text.trim_end().len().max(at);
        let found = if scanner.at_end() {
            "no basis".to_owned()
        } else {
            piece(&text[span.clone()]) + " where `per` should stand"
        };
        return Err(ParseError::new(text, span, found)
            .expected(BASES)
            .mend("say per what the amount is meant, as in `0.4 fl oz/1,000 sq ft`"));
    };
    let basis = basis(&mut scanner, per)?;
    scanner.end()?;
    if let Some(below) = basis_system(basis) {
        one_system(text, unit.system(), below)?;
    }
    Ok(Rate::of(value, unit, substance, basis))
}

const BASES: &str = "per so much area, length, spray or trunk diameter, or per plant, mound or station";

fn percent(scanner: &mut Scanner<'_>, value: f64, start: usize) -> Result<Rate, ParseError> {
    let text = scanner.text();
    let after_sign = scanner.here();
    let parts = |scanner: &mut Scanner<'_>, above: &[&str], below: &[&str]| {
        let mut ahead = scanner.clone();
        let is = above.iter().any(|key| ahead.take_keys(&[key]))
            && ahead.per() == Some(Per::Sign)
            && below.iter().any(|key| ahead.take_keys(&[key]));
        if is {
            *scanner = ahead;
        }
        is
    };
    let volume: &[&str] = &["v", "vol", "volume"];
    let mass: &[&str] = &["w", "wt", "m", "weight", "mass"];
    if parts(scanner, volume, volume) || scanner.take_any(&[&["by", "volume"], &["by", "vol"], &["vol"]]) {
        if value > 100.0 {
            let span = start..after_sign;
            return Err(ParseError::new(
                text,
                span.clone(),
                format!("{} is more than the whole", piece(text[span].trim_end())),
            )
            .expected("0 to 100 % v/v"));
        }
        return Ok(Rate::percent_by_volume(value));
    }
    let by_mass = parts(scanner, mass, &[mass, volume].concat())
        || scanner.take_any(&[&["by", "weight"], &["by", "mass"], &["by", "wt"]]);
    let (found, mend) = if by_mass {
        (
            "a per cent by weight",
            "give the rate by volume as `% v/v`, or as an amount per amount of spray, as in `10 g/L`",
        )
    } else {
        (
            "a per cent that does not say of what",
            "write `% v/v` if so many parts of product in 100 parts of spray by volume are meant",
        )
    };
    let end = scanner.here().max(after_sign);
    let span = start..start + text[start..end].trim_end().len();
    Err(ParseError::new(text, span.clone(), format!("{found}: {}", piece(&text[span]))).expected("`% v/v`").mend(mend))
}

fn substance(scanner: &mut Scanner<'_>) -> Substance {
    scanner.take_keys(&["of"]);
    if scanner.take_any(&[&["ai"], &["a", "i"], &["active", "ingredient"], &["active", "ingredients"], &["active"]]) {
        return Substance::ActiveIngredient;
    }
    scanner.take_any(&[&["product"], &["formulation"], &["concentrate"]]);
    Substance::Product
}

fn basis(scanner: &mut Scanner<'_>, per: Per) -> Result<Basis, ParseError> {
    let text = scanner.text();
    let start = scanner.here();
    let count = basis_count(scanner, per)?;
    if let Some(counted) = each(scanner) {
        if count.is_none_or(|count| count == BasisCount::ONE) {
            return Ok(counted);
        }
        let span = start..scanner.here();
        let found = format!("a rate per {}", piece(text[span.clone()].trim_end()));
        return Err(ParseError::new(text, span, found).expected("a rate per one of them").mend("divide the amount"));
    }
    let count = count.unwrap_or(BasisCount::ONE);
    let under_power = per == Per::Power;
    let linear = !under_power && scanner.take_any(&[&["linear"], &["lin"], &["lineal"], &["running"]]);
    if !linear {
        if let Some(unit) = words::take_unit::<AreaUnit>(scanner, under_power)? {
            return Ok(Basis::Area(count, unit));
        }
        if let Some(unit) = words::take_unit::<VolumeUnit>(scanner, under_power)? {
            let _of = scanner.take_keys(&["of"]);
            scanner.take_keys(&["finished"]);
            scanner.take_any(&[
                &["spray", "solution"],
                &["spray", "mix"],
                &["spray"],
                &["water"],
                &["solution"],
                &["mix"],
            ]);
            return Ok(Basis::SprayVolume(count, unit));
        }
    }
    let place = scanner.here();
    let Some(unit) = words::take_unit::<LengthUnit>(scanner, under_power)? else {
        return Err(words::not_a_unit(
            scanner,
            "per what",
            "`1,000 sq ft`, `acre`, `ha`, `gal`, `10 L`, `100 linear ft`, `mound`, `plant` or `station`",
        ));
    };
    let of_trunk = scanner.take_any(&[
        &["of", "trunk", "diameter"],
        &["trunk", "diameter"],
        &["of", "dbh"],
        &["dbh"],
        &["diameter", "at", "breast", "height"],
        &["of", "diameter", "at", "breast", "height"],
    ]);
    if of_trunk && !linear {
        return Ok(Basis::TrunkDiameter(count, unit));
    }
    scanner.take_any(&[&["of", "foundation"], &["of", "perimeter"], &["of", "row"], &["of", "wall"], &["of", "band"]]);
    let small =
        matches!(unit, LengthUnit::Inch | LengthUnit::Centimetre | LengthUnit::Millimetre | LengthUnit::Micrometre);
    if small && !linear {
        let span = place..place.max(text[..scanner.here()].trim_end().len());
        return Err(ParseError::new(text, span.clone(), format!("{} of what", piece(&text[span])))
            .mend("write `inch of trunk diameter` or `linear inch`"));
    }
    Ok(Basis::Length(count, unit))
}

/// A basis that is counted.
fn each(scanner: &mut Scanner<'_>) -> Option<Basis> {
    if scanner.take_any(&[&["mound"], &["mounds"]]) {
        return Some(Basis::Mound);
    }
    if scanner.take_any(&[&["plant"], &["plants"], &["tree"], &["trees"], &["shrub"], &["shrubs"]]) {
        return Some(Basis::Plant);
    }
    scanner
        .take_any(&[&["bait", "station"], &["bait", "stations"], &["station"], &["stations"]])
        .then_some(Basis::Station)
}

fn basis_system(basis: Basis) -> Option<System> {
    match basis {
        Basis::Area(_, unit) => Some(unit.system()),
        Basis::Length(_, unit) | Basis::TrunkDiameter(_, unit) => Some(unit.system()),
        Basis::SprayVolume(_, unit) => Some(unit.system()),
        Basis::Plant | Basis::Mound | Basis::Station => None,
    }
}

#[cfg(test)]
mod tests;
