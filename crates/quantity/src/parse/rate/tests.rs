use super::*;
use crate::unit::MassUnit;

const FL_OZ: AmountUnit = AmountUnit::Volume(VolumeUnit::UsFluidOunce);
const PER_1000: Basis = Basis::Area(BasisCount::THOUSAND, AreaUnit::SquareFoot);

fn check(texts: &[&str], expected: Rate) {
    for text in texts {
        match parse_rate(text) {
            Ok(rate) => assert_eq!(rate, expected, "{text}"),
            Err(error) => panic!("{text}: {error}"),
        }
    }
}

fn refused(text: &str, at: &str, found: &str, mend: Option<&str>) {
    let error = parse_rate(text).expect_err(text);
    assert_eq!((&text[error.span.clone()], error.found.as_str()), (at, found), "{text}");
    assert_eq!(error.mend.as_deref(), mend, "{text}");
}

fn volume(unit: VolumeUnit) -> AmountUnit {
    AmountUnit::Volume(unit)
}

fn mass(unit: MassUnit) -> AmountUnit {
    AmountUnit::Mass(unit)
}

#[test]
fn per_area() {
    check(
        &[
            "0.4 fl oz/1,000 sq ft",
            "0.4 fl. oz. per 1000 ft2",
            "0,4 fl oz/1000 ft²",
            "0.4 FL OZ PER 1,000 SQ FT",
            "0.4 fluid ounces per 1,000 square feet",
            "0.4 fl oz product/1,000 sq. ft.",
            "0.4fl oz/1000sqft",
            "0·4 fl oz / 1 000 sq ft",
            "  0.4\u{a0}fl\u{a0}oz per thousand square feet  ",
            "0.4 US fl oz/(1,000 sq ft)",
            "2/5 fl oz/1,000 sq ft",
        ],
        Rate::product(0.4, FL_OZ, PER_1000),
    );
    let hectare = Basis::Area(BasisCount::ONE, AreaUnit::Hectare);
    check(
        &["1.6 L/ha", "1,6 l/ha", "1.6 litres per hectare", "1.6 L·ha⁻¹", "1.6 L ha-1", "1.6 ℓ/HA"],
        Rate::product(1.6, volume(VolumeUnit::Litre), hectare),
    );
    check(&["1234 L/ha", "1 234 L/ha", "1,234.0 L/ha"], Rate::product(1234.0, volume(VolumeUnit::Litre), hectare));
    check(&["1,234,000 mL/ha"], Rate::product(1_234_000.0, volume(VolumeUnit::Millilitre), hectare));
    check(&["0,125 L/ha"], Rate::product(0.125, volume(VolumeUnit::Litre), hectare));
    check(&["1.250 L/ha", "1,25 L/ha", "1,2500 L/ha"], Rate::product(1.25, volume(VolumeUnit::Litre), hectare));
    check(&["1,250 fl oz/ha"], Rate::product(1250.0, FL_OZ, hectare));
    let acre = Basis::Area(BasisCount::ONE, AreaUnit::Acre);
    check(
        &["1 1/2 lb/acre", "1.5 lb per acre", "1½ lbs/A", "1-1/2 pounds per ac."],
        Rate::product(1.5, mass(MassUnit::Pound), acre),
    );
    check(&["2.3 lb/1,000 sq ft"], Rate::product(2.3, mass(MassUnit::Pound), PER_1000));
    check(
        &[
            "0.3 oz (weight)/1,000 sq ft",
            "0.3 oz wt/1000 sq ft",
            "0.3 wt oz/1000 sq ft",
            "0.3 ounces by weight per 1,000 sq ft",
        ],
        Rate::product(0.3, mass(MassUnit::Ounce), PER_1000),
    );
    check(
        &["20 g/100 m²", "20 g/100 m2", "20 G/100 M2", "20 grams per 100 square metres"],
        Rate::product(20.0, mass(MassUnit::Gram), Basis::Area(BasisCount::HUNDRED, AreaUnit::SquareMetre)),
    );
    check(&["1 gal/1,000 sq ft"], Rate::product(1.0, volume(VolumeUnit::UsGallon), PER_1000));
    check(
        &[
            "0.2 lb a.i./acre",
            "0.2 lb ai/A",
            "0.2 lb (a.i.) per acre",
            "0.2 lb of active ingredient per acre",
            "0.2 lb a. i./acre",
        ],
        Rate::of(0.2, mass(MassUnit::Pound), Substance::ActiveIngredient, acre),
    );
}

#[test]
fn per_spray() {
    check(
        &["2 tbsp per gal", "2 Tbsp./gal.", "2 tablespoons per gallon of water", "2 tbsp per gal of finished spray"],
        Rate::product(2.0, volume(VolumeUnit::UsTablespoon), Basis::SprayVolume(BasisCount::ONE, VolumeUnit::UsGallon)),
    );
    check(
        &["5 mL/10 L", "5 ml per 10 litres", "5 ML/10 L", "5 cc/10 l"],
        Rate::product(
            5.0,
            volume(VolumeUnit::Millilitre),
            Basis::SprayVolume(BasisCount::new(10.0).unwrap(), VolumeUnit::Litre),
        ),
    );
    check(
        &["0.06 % v/v", "0.06% v/v", "0,06 % (v/v)", "0.06 percent by volume", "0.06 per cent vol/vol"],
        Rate::percent_by_volume(0.06),
    );
    check(
        &["2 imp fl oz/imp gal", "2 imperial fluid ounces per imperial gallon", "2 UK fl oz per gal (imp)"],
        Rate::product(
            2.0,
            volume(VolumeUnit::ImperialFluidOunce),
            Basis::SprayVolume(BasisCount::ONE, VolumeUnit::ImperialGallon),
        ),
    );
}

#[test]
fn per_anything_else() {
    check(&["1 fl oz per mound", "1 fl oz/mound", "1 fl oz per 1 mound"], Rate::product(1.0, FL_OZ, Basis::Mound));
    check(&["½ fl oz per plant", "0.5 fl oz/plant"], Rate::product(0.5, FL_OZ, Basis::Plant));
    check(&["8 g per station", "8 g/bait station"], Rate::product(8.0, mass(MassUnit::Gram), Basis::Station));
    check(
        &[
            "0.8 fl oz per 100 linear ft",
            "0.8 fl oz/100 lin. ft.",
            "0.8 fl oz per 100 ft",
            "0.8 fl oz per 100 ft of foundation",
        ],
        Rate::product(0.8, FL_OZ, Basis::Length(BasisCount::HUNDRED, LengthUnit::Foot)),
    );
    check(
        &[
            "0.1 fl oz per inch of trunk diameter",
            "0.1 fl oz per inch trunk diameter",
            "0.1 fl oz/inch DBH",
            "0.1 fl oz per in. DBH",
        ],
        Rate::product(0.1, FL_OZ, Basis::TrunkDiameter(BasisCount::ONE, LengthUnit::Inch)),
    );
}

#[test]
fn refusals_show_the_place() {
    let ounce = "weight or fluid? write `fl oz` or `oz (weight)`";
    refused("0.3 oz/1,000 sq ft", "oz", "unit `oz` may be an ounce of weight or a fluid ounce", Some(ounce));
    refused("0.3 oz a.i./acre", "oz", "unit `oz` may be an ounce of weight or a fluid ounce", Some(ounce));
    refused(
        "2 fl oz per imp gal",
        "2 fl oz per imp gal",
        "a US unit and an imperial unit in one rate",
        Some("write both as US or both as imperial units"),
    );
    refused("2 tbsp/blik", "blik", "unknown unit `blik`", None);
    refused("2 blik/gal", "blik", "unknown unit `blik`", None);
    refused("1,23,4 L/ha", "1,23,4", "number `1,23,4` cannot be read in one way only", Some("write it as `1234.5`"));
    refused(
        "1,250 L/ha",
        "1,250",
        "number `1,250` reads in two ways before a metric unit",
        Some("write `1250` or `1.25`"),
    );
    refused("1 fl oz per 2,5 L", "2,5", "number `2,5` cannot be read in one way only", Some("write it as `1234.5`"));
    refused("-1 L/ha", "-1", "`-1` is below nothing", None);
    refused("1 L/0 ha", "0", "a rate per nothing", None);
    refused("1 fl oz per kg", "kg", "unit `kg` is a mass", None);
    refused("0.4 fl oz", "", "no basis", Some("say per what the amount is meant, as in `0.4 fl oz/1,000 sq ft`"));
    refused("1 fl oz per inch", "inch", "`inch` of what", Some("write `inch of trunk diameter` or `linear inch`"));
    refused("3 fl oz/M", "M", "unit `M` may be a metre or a thousand", Some("write `m`, or `1,000 sq ft`"));
    refused(
        "0.25-0.5 fl oz/1,000 sq ft",
        "0.25-0.5",
        "`0.25-0.5` is a range",
        Some("give the lower and the upper end each in its own place"),
    );
    refused("1 fl oz per 2 mounds", "2 mounds", "a rate per `2 mounds`", Some("divide the amount"));
    refused("1 L/ha/d", "/d", "`/d` after the end", None);
}

#[test]
fn a_per_cent_must_say_by_volume() {
    let say = "write `% v/v` if so many parts of product in 100 parts of spray by volume are meant";
    refused("0.06 %", "0.06 %", "a per cent that does not say of what: `0.06 %`", Some(say));
    for text in ["0.06 % w/w", "0.06% (w/w)", "2 % w/v", "2 percent by weight"] {
        let error = parse_rate(text).expect_err(text);
        assert!(error.found.starts_with("a per cent by weight"), "{error}");
        assert!(error.mend.is_some_and(|mend| mend.contains("% v/v")), "{text}");
    }
    assert!(parse_rate("101 % v/v").is_err());
    assert!(parse_rate("5 % v/v per acre").is_err());
}

#[test]
fn what_is_no_number_is_refused() {
    for text in ["", " ", "NaN L/ha", "inf L/ha", "1e400 L/ha", "1e-400 L/ha", "L/ha", "per acre", "/", "%", "(", ")"] {
        assert!(parse_rate(text).is_err(), "{text}");
    }
    let nines = format!("{} L/ha", "9".repeat(400));
    assert!(parse_rate(&nines).is_err());
}

#[test]
fn the_message_has_a_caret_under_the_place() {
    assert_eq!(
        parse_rate("0.3 oz/1,000 sq ft").unwrap_err().to_string(),
        "unit `oz` may be an ounce of weight or a fluid ounce\n  | 0.3 oz/1,000 sq ft\n  |     ^^\n  \
         mend: weight or fluid? write `fl oz` or `oz (weight)`"
    );
}
