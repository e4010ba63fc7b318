//! The words for units, and looking them up.

use super::error::{ParseError, piece};
use super::token::{Scanner, Word};
use crate::amount::AmountUnit;
use crate::unit::{AreaUnit, DurationUnit, LengthUnit, MassUnit, System, TemperatureUnit, VolumeUnit};

/// What a row of words means in one dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meaning<U> {
    /// A unit.
    Unit(U),
    /// More than one unit: what is unclear, and how to mend it.
    Unclear(&'static str, &'static str),
}

/// A dimension whose units have words of their own.
pub(super) trait Dimension: Copy {
    /// With its article, for messages.
    const NAME: &'static str;
    /// Some units, for messages.
    const SOME: &'static str;

    /// The meaning of words joined by one space; `written` is how they stand in the text.
    fn meaning(phrase: &str, written: &str) -> Option<Meaning<Self>>;

    /// The system by which a comma in its number is read; units that every country uses tell nothing.
    fn comma_system(self) -> System;
}

/// A unit by one of its names, or by a name with the `s` of many.
fn find<U: Copy>(table: &[(U, &[&str])], phrase: &str) -> Option<Meaning<U>> {
    let one = phrase.strip_suffix('s').filter(|one| one.len() >= 2 && *one != "ha");
    let named = |names: &[&str]| names.iter().any(|name| *name == phrase || Some(*name) == one);
    table.iter().find(|(_, names)| named(names)).map(|(unit, _)| Meaning::Unit(*unit))
}

impl Dimension for LengthUnit {
    const NAME: &'static str = "a length";
    const SOME: &'static str = "`ft`, `in`, `yd`, `mi`, `m`, `cm`, `mm` or `km`";

    fn meaning(phrase: &str, written: &str) -> Option<Meaning<Self>> {
        if written == "M" {
            return Some(Meaning::Unclear("a metre or a thousand", "write `m`, or `1,000 sq ft`"));
        }
        find(
            &[
                (Self::Metre, &["m", "metre", "meter"]),
                (Self::Centimetre, &["cm", "centimetre", "centimeter"]),
                (Self::Millimetre, &["mm", "millimetre", "millimeter"]),
                (Self::Micrometre, &["um", "micrometre", "micrometer", "micron"]),
                (Self::Kilometre, &["km", "kilometre", "kilometer"]),
                (Self::Foot, &["ft", "foot", "feet"]),
                (Self::Inch, &["in", "inch", "inches"]),
                (Self::Yard, &["yd", "yard"]),
                (Self::Mile, &["mi", "mile"]),
            ],
            phrase,
        )
    }

    fn comma_system(self) -> System {
        self.system()
    }
}

impl Dimension for AreaUnit {
    const NAME: &'static str = "an area";
    const SOME: &'static str = "`sq ft`, `sq yd`, `acre`, `m²` or `ha`";

    fn meaning(phrase: &str, written: &str) -> Option<Meaning<Self>> {
        match written {
            "A" => return Some(Meaning::Unit(Self::Acre)),
            "a" => return Some(Meaning::Unclear("an acre or an are", "write `acre`, or `100 m²`")),
            _ => {}
        }
        find(
            &[
                (Self::SquareMetre, &["m2", "sq m", "sqm", "square metre", "square meter"]),
                (Self::Hectare, &["ha", "hectare"]),
                (
                    Self::SquareFoot,
                    &["sq ft", "sqft", "ft2", "sf", "sq foot", "sq feet", "square ft", "square foot", "square feet"],
                ),
                (Self::SquareYard, &["sq yd", "sqyd", "yd2", "square yd", "square yard", "sq yard"]),
                (
                    Self::SquareInch,
                    &["sq in", "sqin", "in2", "square in", "square inch", "square inches", "sq inch", "sq inches"],
                ),
                (Self::Acre, &["acre", "ac"]),
            ],
            phrase,
        )
    }

    fn comma_system(self) -> System {
        self.system()
    }
}

/// Volumes that are the same word in the US and the imperial system.
const SHARED_VOLUMES: &[(VolumeUnit, Option<VolumeUnit>, &[&str])] = &[
    (
        VolumeUnit::UsFluidOunce,
        Some(VolumeUnit::ImperialFluidOunce),
        &["fl oz", "floz", "fluid oz", "fluid ounce", "fl ounce", "oz fl", "oz fluid", "liquid oz", "liquid ounce"],
    ),
    (VolumeUnit::UsGallon, Some(VolumeUnit::ImperialGallon), &["gal", "gallon"]),
    (VolumeUnit::UsQuart, Some(VolumeUnit::ImperialQuart), &["qt", "quart"]),
    (VolumeUnit::UsPint, Some(VolumeUnit::ImperialPint), &["pt", "pint"]),
    (VolumeUnit::UsCup, None, &["cup"]),
    (VolumeUnit::UsTablespoon, None, &["tbsp", "tbs", "tbl", "tablespoon", "tablespoonful"]),
    (VolumeUnit::UsTeaspoon, None, &["tsp", "teaspoon", "teaspoonful"]),
];

const US: &[&str] = &["us", "american"];
const IMPERIAL: &[&str] = &["imp", "imperial", "uk", "british"];

/// The phrase without a word for a system at its start or its end.
fn without<'a>(phrase: &'a str, systems: &[&str]) -> Option<&'a str> {
    systems.iter().find_map(|system| {
        let before = phrase.strip_prefix(system).and_then(|base| base.strip_prefix(' '));
        before.or_else(|| phrase.strip_suffix(system).and_then(|base| base.strip_suffix(' ')))
    })
}

impl Dimension for VolumeUnit {
    const NAME: &'static str = "a volume";
    const SOME: &'static str =
        "`fl oz`, `pt`, `qt`, `gal`, `tsp`, `tbsp`, `cup`, `mL` or `L` (with `imp` before an imperial one)";

    fn meaning(phrase: &str, written: &str) -> Option<Meaning<Self>> {
        if matches!(written, "T" | "t") {
            return Some(Meaning::Unclear("a tablespoon or a teaspoon", "write `tbsp` or `tsp`"));
        }
        let (base, imperial) = match (without(phrase, US), without(phrase, IMPERIAL)) {
            (Some(base), _) => (base, false),
            (None, Some(base)) => (base, true),
            (None, None) => (phrase, false),
        };
        for (us, british, names) in SHARED_VOLUMES {
            let unit = if imperial { *british } else { Some(*us) };
            if let (Some(unit), Some(_)) = (unit, find(&[((), *names)], base)) {
                return Some(Meaning::Unit(unit));
            }
        }
        find(
            &[
                (Self::CubicMetre, &["m3", "cu m", "cubic metre", "cubic meter"]),
                (Self::Litre, &["l", "ltr", "litre", "liter"]),
                (Self::Millilitre, &["ml", "cc", "cm3", "millilitre", "milliliter"]),
                (Self::Microlitre, &["ul", "microlitre", "microliter"]),
                (Self::CubicInch, &["cu in", "in3", "cubic in", "cubic inch", "cubic inches"]),
                (Self::CubicFoot, &["cu ft", "ft3", "cubic ft", "cubic foot", "cubic feet"]),
            ],
            phrase,
        )
    }

    fn comma_system(self) -> System {
        self.system()
    }
}

impl Dimension for MassUnit {
    const NAME: &'static str = "a mass";
    const SOME: &'static str = "`oz (weight)`, `lb`, `g`, `kg` or `mg`";

    fn meaning(phrase: &str, _: &str) -> Option<Meaning<Self>> {
        find(
            &[
                (Self::Kilogram, &["kg", "kilogram", "kilogramme", "kilo"]),
                (Self::Gram, &["g", "gm", "gram", "gramme"]),
                (Self::Milligram, &["mg", "milligram", "milligramme"]),
                (Self::Microgram, &["ug", "mcg", "microgram", "microgramme"]),
                (Self::Pound, &["lb", "pound", "lb avdp", "lb av"]),
                (
                    Self::Ounce,
                    &[
                        "oz weight",
                        "ozs weight",
                        "ounce weight",
                        "ounces weight",
                        "oz wt",
                        "ozs wt",
                        "ounce wt",
                        "ounces wt",
                        "wt oz",
                        "weight oz",
                        "weight ounce",
                        "oz by weight",
                        "oz by wt",
                        "ounce by weight",
                        "ounces by weight",
                        "ounces by wt",
                        "oz av",
                        "oz avdp",
                        "oz avoirdupois",
                        "avoirdupois ounce",
                        "avoirdupois oz",
                        "dry oz",
                        "dry ounce",
                    ],
                ),
            ],
            phrase,
        )
    }

    fn comma_system(self) -> System {
        self.system()
    }
}

impl Dimension for AmountUnit {
    const NAME: &'static str = "a volume or a mass";
    const SOME: &'static str = "`fl oz`, `gal`, `tbsp`, `mL`, `L`, `oz (weight)`, `lb`, `g` or `kg`";

    fn meaning(phrase: &str, written: &str) -> Option<Meaning<Self>> {
        let volume = VolumeUnit::meaning(phrase, written).map(|meaning| match meaning {
            Meaning::Unit(unit) => Meaning::Unit(Self::Volume(unit)),
            Meaning::Unclear(what, mend) => Meaning::Unclear(what, mend),
        });
        let mass = || {
            MassUnit::meaning(phrase, written).map(|meaning| match meaning {
                Meaning::Unit(unit) => Meaning::Unit(Self::Mass(unit)),
                Meaning::Unclear(what, mend) => Meaning::Unclear(what, mend),
            })
        };
        volume.or_else(mass)
    }

    fn comma_system(self) -> System {
        self.system()
    }
}

impl Dimension for DurationUnit {
    const NAME: &'static str = "a length of time";
    const SOME: &'static str = "`s`, `min`, `h` or `d`";

    fn meaning(phrase: &str, _: &str) -> Option<Meaning<Self>> {
        find(
            &[
                (Self::Second, &["s", "sec", "second"]),
                (Self::Minute, &["min", "minute"]),
                (Self::Hour, &["h", "hr", "hour"]),
                (Self::Day, &["d", "day"]),
            ],
            phrase,
        )
    }

    fn comma_system(self) -> System {
        System::UsAndImperial
    }
}

impl Dimension for TemperatureUnit {
    const NAME: &'static str = "a temperature";
    const SOME: &'static str = "`°F` or `°C`";

    fn meaning(phrase: &str, _: &str) -> Option<Meaning<Self>> {
        let scale = ["degrees ", "degree ", "deg "].iter().find_map(|word| phrase.strip_prefix(word)).unwrap_or(phrase);
        match scale {
            "c" | "celsius" | "centigrade" => Some(Meaning::Unit(Self::Celsius)),
            "f" | "fahrenheit" => Some(Meaning::Unit(Self::Fahrenheit)),
            "deg" | "degree" | "degrees" => Some(Meaning::Unclear("Celsius or Fahrenheit", "write `°C` or `°F`")),
            _ => None,
        }
    }

    fn comma_system(self) -> System {
        System::UsAndImperial
    }
}

/// The longest name of a unit in words.
const LONGEST: usize = 4;

fn phrase(words: &[Word]) -> String {
    words.iter().map(|word| word.key.as_str()).collect::<Vec<_>>().join(" ")
}

/// An ounce that does not say which, also with a system before it.
fn is_bare_ounce(phrase: &str) -> bool {
    let base = without(phrase, US).or_else(|| without(phrase, IMPERIAL)).unwrap_or(phrase);
    matches!(base, "oz" | "ozs" | "ounce" | "ounces")
}

/// Takes a unit of a dimension if the next words name one; `under_power` when they must carry a
/// power below nothing.
pub(super) fn take_unit<U: Dimension>(scanner: &mut Scanner<'_>, under_power: bool) -> Result<Option<U>, ParseError> {
    let words = scanner.words_ahead(LONGEST);
    for count in (1..=words.len()).rev() {
        let row = &words[..count];
        if row.iter().any(|word| word.inverse) != under_power || (under_power && count > 1) {
            continue;
        }
        let span = row[0].place.start..row[count - 1].place.end;
        let written = &scanner.text()[span.clone()];
        match U::meaning(&phrase(row), written.trim_end_matches('.')) {
            Some(Meaning::Unit(unit)) => {
                scanner.move_past(&row[count - 1]);
                return Ok(Some(unit));
            }
            Some(Meaning::Unclear(what, mend)) => {
                let found = format!("unit {} may be {what}", piece(written));
                return Err(ParseError::new(scanner.text(), span, found).mend(mend));
            }
            None => {}
        }
    }
    Ok(None)
}

/// Takes a unit of a dimension, or says why the next words are none.
pub(super) fn unit<U: Dimension>(scanner: &mut Scanner<'_>, under_power: bool) -> Result<U, ParseError> {
    match take_unit(scanner, under_power)? {
        Some(unit) => Ok(unit),
        None => Err(not_a_unit(scanner, U::NAME, U::SOME)),
    }
}

/// Why the next words are no unit of what was asked for.
pub(super) fn not_a_unit(scanner: &mut Scanner<'_>, name: &str, some: &str) -> ParseError {
    let text = scanner.text();
    let expected = format!("{name}, such as {some}");
    let words = scanner.words_ahead(LONGEST);
    for count in (1..=words.len()).rev() {
        let span = words[0].place.start..words[count - 1].place.end;
        let (row, written) = (phrase(&words[..count]), &text[span.clone()]);
        if is_bare_ounce(&row) {
            let found = format!("unit {} may be an ounce of weight or a fluid ounce", piece(written));
            return ParseError::new(text, span, found).mend("weight or fluid? write `fl oz` or `oz (weight)`");
        }
        if let Some(other) = other_dimension(&row, written) {
            return ParseError::new(text, span, format!("unit {} is {other}", piece(written))).expected(expected);
        }
    }
    let at = scanner.here();
    if scanner.at_end() {
        return ParseError::new(text, text.len()..text.len(), "no unit").expected(expected);
    }
    if let Some(first) = words.first() {
        let found = format!("unknown unit {}", piece(&text[first.place.clone()]));
        return ParseError::new(text, first.place.clone(), found).expected(expected);
    }
    let length = text[at..].chars().next().map_or(0, char::len_utf8);
    let found = format!("{} where a unit should stand", piece(&text[at..at + length]));
    ParseError::new(text, at..at + length, found).expected(expected)
}

fn other_dimension(phrase: &str, written: &str) -> Option<&'static str> {
    fn named<U: Dimension>(phrase: &str, written: &str) -> Option<&'static str> {
        matches!(U::meaning(phrase, written), Some(Meaning::Unit(_))).then_some(U::NAME)
    }
    named::<LengthUnit>(phrase, written)
        .or_else(|| named::<AreaUnit>(phrase, written))
        .or_else(|| named::<VolumeUnit>(phrase, written))
        .or_else(|| named::<MassUnit>(phrase, written))
        .or_else(|| named::<DurationUnit>(phrase, written))
        .or_else(|| named::<TemperatureUnit>(phrase, written))
}
