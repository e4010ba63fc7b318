//! Published values. Each must come out to the last digit that its source prints: [`agrees`] allows
//! half a unit in that digit and no more.

use quantity::*;

/// Whether a value is what was printed, to half a unit in the last printed digit.
#[track_caller]
fn agrees(value: f64, printed: &str) {
    let plain = printed.replace(',', "");
    let decimals = plain.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let expected: f64 = plain.parse().unwrap();
    let half = 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap());
    assert!((value - expected).abs() <= half * (1.0 + 1e-9), "{value} is not the printed {printed}");
}

#[track_caller]
fn rate(text: &str) -> Rate {
    parse_rate(text).unwrap_or_else(|error| panic!("{error}"))
}

#[track_caller]
fn per_area(text: &str) -> AmountPerArea {
    rate(text).per_area().unwrap()
}

#[track_caller]
fn area(text: &str) -> Area {
    parse_area(text).unwrap_or_else(|error| panic!("{error}")).0
}

#[track_caller]
fn volume(text: &str) -> Volume {
    parse_volume(text).unwrap_or_else(|error| panic!("{error}")).0
}

#[track_caller]
fn mass(text: &str) -> Mass {
    parse_mass(text).unwrap_or_else(|error| panic!("{error}")).0
}

#[track_caller]
fn length(text: &str) -> Length {
    parse_length(text).unwrap_or_else(|error| panic!("{error}")).0
}

/// A rate per area in the unit and basis of another rate.
#[track_caller]
fn in_the_unit_of(one: AmountPerArea, like: &str) -> f64 {
    rate(like).like_per_area(one).unwrap().value()
}

const FL_OZ: AmountUnit = AmountUnit::Volume(VolumeUnit::UsFluidOunce);
const ML: AmountUnit = AmountUnit::Volume(VolumeUnit::Millilitre);

/// NIST Handbook 44, Appendix C: the US gallon is 231 cubic inches, the inch 25.4 mm, the pound
/// 0.453 592 37 kg, the acre 43,560 square feet; UK Weights and Measures Act 1985: the imperial
/// gallon is 4.546 09 L. The figures with fewer digits are rounded from these by hand.
#[test]
fn exact_definitions() {
    let near = |value: f64, exact: f64| assert!((value / exact - 1.0).abs() < 1e-14, "{value} is not {exact}");
    near(volume("1 gal").to(VolumeUnit::CubicInch), 231.0);
    near(volume("1 gal").to(VolumeUnit::Litre), 3.785_411_784);
    near(volume("1 fl oz").to(VolumeUnit::Millilitre), 29.573_529_562_5);
    near(volume("1 imp gal").to(VolumeUnit::Litre), 4.546_09);
    near(mass("1 lb").to(MassUnit::Gram), 453.592_37);
    near(mass("1 oz (weight)").to(MassUnit::Gram), 28.349_523_125);
    near(area("1 acre").to(AreaUnit::SquareFoot), 43_560.0);
    near(area("1 sq ft").to(AreaUnit::SquareMetre), 0.092_903_04);
    near(length("1 mi").to(LengthUnit::Foot), 5280.0);
    agrees(volume("1 imp fl oz").to(VolumeUnit::Millilitre), "28.4131");
    agrees(in_the_unit_of(per_area("1 fl oz/1,000 sq ft"), "1 L/ha"), "3.1833");
    agrees(in_the_unit_of(per_area("1 gal/1,000 sq ft"), "1 L/ha"), "407.46");
    agrees(in_the_unit_of(per_area("1 lb/acre"), "1 kg/ha"), "1.12085");
    agrees(in_the_unit_of(per_area("1 g/100 m²"), "1 kg/ha"), "0.1");
}

/// Univ. of Nebraska-Lincoln, Pesticide Safety Education Program, "Math for Pesticide Applicators":
/// table of constants.
#[test]
fn constants_of_the_trade() {
    agrees(volume("1 fl oz").to(VolumeUnit::UsTablespoon), "2.000");
    agrees(volume("1 fl oz").to(VolumeUnit::UsTeaspoon), "6.000");
    agrees(volume("1 fl oz").to(VolumeUnit::Millilitre), "29.57");
    agrees(volume("1 gal").to(VolumeUnit::UsFluidOunce), "128.000");
    agrees(volume("1 gal").to(VolumeUnit::Litre), "3.785");
    agrees(area("1 acre").to(AreaUnit::SquareFoot), "43,560.000");
    agrees(area("1 acre").to(AreaUnit::Hectare), "0.405");
    agrees(mass("1 lb").to(MassUnit::Gram), "453.59");
    // A county table prints the mile as 52,580 ft, a slip of the pen.
    agrees(length("1 mile").to(LengthUnit::Foot), "5,280.000");
}

/// The same programme: 88 ft a minute is 1 mph. An equipment manual: 150 ft in 19.7 s is 5.2 mph.
#[test]
fn walking_speed() {
    agrees(parse_speed("88 ft/min").unwrap().0.to(SpeedUnit::MilePerHour), "1.0000");
    agrees((length("150 ft") / parse_duration("19.7 s").unwrap().0).to(SpeedUnit::MilePerHour), "5.2");
}

/// Extension note on spray per area (quoting Virginia Cooperative Extension 456-502).
#[test]
fn spray_per_area_and_product_per_gallon() {
    let output = per_area("1.0 gal/1000 ft2");
    agrees(in_the_unit_of(output, "1 gal/acre"), "43.56");
    // 32 fl oz per acre in 43.56 gallons per acre.
    let in_a_gallon = |product: &str, output: AmountPerArea| per_area(product).ratio(output).unwrap() * 128.0;
    agrees(in_a_gallon("32 fl oz/acre", output), "0.73");
    agrees(in_a_gallon("32 fl oz/acre", output), "0.7346");
    let output = per_area("1.5 gal/1000 ft2");
    agrees(in_the_unit_of(output, "1 gal/acre"), "65.34");
    let product = Amount::new(in_a_gallon("3 pt/acre", output), FL_OZ);
    agrees(product.to(AmountUnit::Volume(VolumeUnit::UsPint)).unwrap(), "0.046");
    // Printed 0.74, since the note goes on from its rounded 0.046 pt.
    agrees(volume("0.046 pt").to(VolumeUnit::UsFluidOunce), "0.74");
    agrees(product.to(AmountUnit::Volume(VolumeUnit::UsTablespoon)).unwrap(), "1.5");
}

/// Oklahoma State Univ., Oklahoma City, turf calculations, 2013.
#[test]
fn acre_rates_per_1000_square_feet() {
    agrees(in_the_unit_of(per_area("40 gal/acre"), "1 gal/1000 ft2"), "0.92");
    agrees(in_the_unit_of(per_area("3.6 pt/acre"), "1 fl oz/1000 ft2"), "1.3");
    let product = per_area("3.6 pt/acre").over(area("25 acre"));
    agrees(product.to(AmountUnit::Volume(VolumeUnit::UsGallon)).unwrap(), "11.25");
    // The areas of the same slides: 60 x 25 ft, and a triangle of 30 x 26 ft.
    agrees((length("60 ft") * length("25 ft")).to(AreaUnit::SquareFoot), "1,500.000");
    agrees((length("30 ft") * length("26 ft") / 2.0).to(AreaUnit::SquareFoot), "390.000");
}

/// Clemson Univ. HGIC 1220 (50 x 25 ft); LSU AgCenter (450 + 150 + 3.14 x 14² sq ft, printed
/// "1215"); an extension sheet on pacing (30 x 20 paces of 3 ft).
#[test]
#[allow(clippy::approx_constant, reason = "the sheet reckons with 3.14")]
fn areas_from_lengths() {
    agrees((length("50 ft") * length("25 ft")).to(AreaUnit::SquareFoot), "1,250.000");
    let circle = length("14 ft") * length("14 ft") * 3.14;
    let whole = length("30 ft") * length("15 ft") + length("15 ft") * length("10 ft") + circle;
    agrees(whole.to(AreaUnit::SquareFoot), "1,215");
    agrees((length("90 ft") * length("60 ft")).to(AreaUnit::SquareFoot), "5,400.000");
}

fn by_mass(percent: f64) -> Content {
    Content::MassFraction(MassFraction::from_percent(percent).unwrap())
}

fn by_volume(text: &str) -> Content {
    Content::MassPerVolume(parse_density(text).unwrap().0)
}

/// The product per area for an active ingredient, in the unit of a rate.
#[track_caller]
fn product(active_ingredient: &str, content: Content, like: &str) -> f64 {
    let wanted = parse_mass_per_area(active_ingredient).unwrap().0;
    in_the_unit_of(content.product_per_area(wanted).unwrap(), like)
}

/// Text on agrochemical safety, example 5: 2 lb a.i./acre of an 80 % wettable powder.
/// Univ. of Massachusetts Amherst, turf fact sheet: 1 lb of N/1,000 sq ft of a 20-5-10 fertilizer.
#[test]
fn product_for_an_active_ingredient() {
    agrees(product("2 lb/acre", by_mass(80.0), "1 lb/acre"), "2.50");
    agrees(product("1 lb/1,000 sq ft", by_mass(20.0), "1 lb/1,000 sq ft"), "5.00");
    // The same calibration texts: 3.5 acres at 15 gal/acre.
    let spray = per_area("15 gal/acre").over(area("3.5 acre"));
    agrees(spray.to(AmountUnit::Volume(VolumeUnit::UsGallon)).unwrap(), "52.5");
    agrees(per_area("3 lb/acre").over(area("3.5 acre")).to(AmountUnit::Mass(MassUnit::Pound)).unwrap(), "10.5");
}

/// Kopec, Univ. of Arizona, 1994: a 50W and a 4EC formulation.
#[test]
fn active_ingredient_in_a_formulation() {
    let pounds = |content: Content, product: &str| {
        content.active_ingredient_in(parse_amount(product).unwrap().0).unwrap().to(MassUnit::Pound)
    };
    agrees(pounds(by_mass(50.0), "1 lb"), "0.500");
    agrees(pounds(by_volume("4 lb/gal"), "1 gal"), "4.000");
    agrees(pounds(by_volume("4 lb/gal"), "1/2 gal"), "2.000");
    agrees(pounds(by_volume("4 lb/gal"), "1 qt"), "1.000");
}

/// US Army medical course MD0173: 10 lb of toxicant per acre of a 5 % dust; 0.3 lb per acre of a 6 %
/// emulsion that weighs 8.34 lb/gal, printed 0.6 gal/acre.
#[test]
fn toxicant_of_a_dust_and_of_an_emulsion() {
    agrees(product("10 lb/acre", by_mass(5.0), "1 lb/acre"), "200.000");
    let emulsion = by_mass(6.0).with_density(parse_density("8.34 lb/gal").unwrap().0);
    agrees(product("0.3 lb/acre", emulsion, "1 gal/acre"), "0.6");
}

/// Cowlitz County (Washington), table of pints of concentrate per acre.
#[test]
fn pints_of_concentrate_per_acre() {
    for (active_ingredient, content, pints) in
        [("1.0 lb/acre", "4 lb/gal", "2.0"), ("1.5 lb/acre", "3 lb/gal", "4.0"), ("2 lb/acre", "6 lb/gal", "2.7")]
    {
        agrees(product(active_ingredient, by_volume(content), "1 pt/acre"), pints);
    }
}

/// Extension text on scaling a tank mix: 2 lb and 2 pt per 100 gal.
#[test]
fn a_mix_scales_with_the_tank() {
    let solid = rate("2 lb/100 gal");
    agrees(solid.in_spray(volume("300 gal")).unwrap().to(AmountUnit::Mass(MassUnit::Pound)).unwrap(), "6.000");
    agrees(solid.in_spray(volume("20 gal")).unwrap().to(AmountUnit::Mass(MassUnit::Ounce)).unwrap(), "6.400");
    agrees(rate("2 pt/100 gal").in_spray(volume("20 gal")).unwrap().to(FL_OZ).unwrap(), "6.400");
}

/// Virginia Department of Wildlife Resources, pond treatment: 1 ppm of mass in water (1 mg/L), and
/// a 1 % solution (10 g/L), both with water at 1 kg/L.
#[test]
fn parts_per_million_and_per_cent() {
    let ppm = parse_density("0.001 g/L").unwrap().0;
    agrees((ppm * volume("1 gal")).to(MassUnit::Gram), "0.0038");
    agrees((ppm * volume("1 cu ft")).to(MassUnit::Gram), "0.0283");
    agrees((ppm * (area("1 acre") * length("1 ft"))).to(MassUnit::Pound), "2.7");
    let one_per_cent = parse_density("10 g/L").unwrap().0;
    agrees((one_per_cent * volume("1 gal")).to(MassUnit::Ounce), "1.34");
    agrees((one_per_cent * volume("1 gal")).to(MassUnit::Gram), "38");
    // 320 L/ha on 0.5 ha of 0.04 % spray, from a 45 % concentrate (both by volume): 160 L x 0.04/45,
    // the inputs of the same kind of problem in an extension text.
    let spray = volume("320 L") * 0.5;
    agrees((spray * (0.04 / 45.0)).to(VolumeUnit::Litre), "0.142");
    // 1 oz of weight in 100 gal of water at 8.345 lb/gal.
    let water = parse_density("8.345 lb/gal").unwrap().0 * volume("100 gal");
    agrees(mass("1 oz wt").ratio(water) * 1e6, "74.9");
}

/// Sheets on irrigation: an inch of water on a square foot, on 1,000 and on an acre; the volume of
/// a 10.1 fl oz cartridge of sealant. From 231 cubic inches to the gallon (NIST Handbook 44).
#[test]
fn water_depths_and_cartridges() {
    let inch_on = |ground: &str| (area(ground) * length("1 in")).to(VolumeUnit::UsGallon);
    agrees(inch_on("1 sq ft"), "0.6234");
    agrees(inch_on("1,000 sq ft"), "623.38");
    agrees(inch_on("1 acre"), "27,154");
    agrees(volume("10.1 fl oz").to(VolumeUnit::CubicInch), "18.227");
    agrees(volume("1 fl oz").to(VolumeUnit::CubicInch), "1.80469");
}

/// By hand from the exact definitions: 128 fl oz x 0.0006 in a gallon; 611.2 L/ha x 5 mL/10 L.
#[test]
fn dilutions() {
    let in_a_gallon = rate("0.06 % v/v").in_spray(volume("1 gal")).unwrap();
    agrees(in_a_gallon.to(FL_OZ).unwrap(), "0.0768");
    agrees(in_a_gallon.to(ML).unwrap(), "2.27");
    let spray = volume("611.2 L");
    agrees(rate("5 mL/10 L").in_spray(spray).unwrap().to(ML).unwrap(), "305.6");
    // 0.5 fl oz per gallon at 1.5 gal/1,000 sq ft, taken for 0.5 fl oz per 1,000 sq ft.
    agrees(rate("0.5 fl oz/gal").in_spray(volume("1.5 gal")).unwrap().to(FL_OZ).unwrap(), "0.75");
    assert_eq!(rate("0.5 fl oz/gal").checked_cmp(&rate("0.5 fl oz/1,000 sq ft")), None);
}

/// By hand from the exact definitions; the bait rate of 1 to 1.5 lb/acre is that of Texas A&M-based
/// county extension columns on fire ants.
#[test]
fn baits_and_granules() {
    let lot = area("6,320 sq ft");
    agrees(lot.to(AreaUnit::Acre), "0.1451");
    let bait = per_area("1.5 lb/acre").over(lot);
    agrees(bait.to(AmountUnit::Mass(MassUnit::Pound)).unwrap(), "0.2176");
    agrees(bait.to(AmountUnit::Mass(MassUnit::Ounce)).unwrap(), "3.48");
    // Univ. of Massachusetts Amherst: a spreader must deliver within 5 %.
    agrees(bait.scaled(0.95).to(AmountUnit::Mass(MassUnit::Pound)).unwrap(), "0.207");
    agrees(bait.scaled(1.05).to(AmountUnit::Mass(MassUnit::Pound)).unwrap(), "0.229");
    // An acre rate read as a rate per 1,000 sq ft.
    agrees(rate("1.5 lb/1,000 sq ft").ratio(&rate("1.5 lb/acre")).unwrap(), "43.56");
    let granules = per_area("2.3 lb/1,000 sq ft");
    let active_ingredient = active_ingredient_per_area(granules, by_mass(0.2)).unwrap();
    agrees(active_ingredient.to(MassPerAreaUnit::PoundPerAcre), "0.2004");
    agrees(granules.over(lot).to(AmountUnit::Mass(MassUnit::Pound)).unwrap(), "14.54");
}

/// The distinction that Penn State Extension teaches: a weighed ounce is no fluid ounce. The
/// amounts are by hand from the exact definitions.
#[test]
fn weight_is_never_taken_for_volume() {
    let granule = per_area("0.3 oz (weight)/1,000 sq ft").over(area("5,936 sq ft"));
    agrees(granule.to(AmountUnit::Mass(MassUnit::Ounce)).unwrap(), "1.781");
    agrees(granule.to(AmountUnit::Mass(MassUnit::Gram)).unwrap(), "50.5");
    let as_fluid = rate("0.3 fl oz/1,000 sq ft");
    assert_eq!(as_fluid.checked_cmp(&rate("0.3 oz (weight)/1,000 sq ft")), None);
    assert_eq!(as_fluid.ratio(&rate("0.3 oz (weight)/1,000 sq ft")), None);
    assert_eq!(granule.to(FL_OZ), None);
    assert_eq!(active_ingredient_per_area(as_fluid.per_area().unwrap(), by_mass(25.0)), None);
    assert_eq!(parse_mass("0.3 fl oz").unwrap_err().found, "unit `fl oz` is a volume");
    assert!(parse_rate("0.3 oz/1,000 sq ft").is_err());
}

/// By hand from the exact definitions: an imperial fluid ounce is 3.9 % smaller than a US one, and
/// an imperial gallon 20 % larger.
#[test]
fn imperial_is_never_taken_for_us() {
    agrees((volume("1 imp fl oz").ratio(volume("1 fl oz")) - 1.0) * 100.0, "-3.9");
    agrees((volume("1 imp gal").ratio(volume("1 gal")) - 1.0) * 100.0, "20");
    assert!(parse_rate("2 fl oz per imp gal").is_err());
    assert!(parse_rate("2 imp fl oz per gal").is_err());
}

/// Codes of the Unified Code for Units of Measure (ucum.org, version 2.1, tables of customary units).
#[test]
fn codes_of_units() {
    assert_eq!(rate("0.4 fl oz/1,000 sq ft").ucum(), "[foz_us]/(1000.[sft_i])");
    assert_eq!(rate("1.6 L/ha").ucum(), "L/har");
    assert_eq!(rate("1 fl oz/gal").ucum(), "[foz_us]/[gal_us]");
    assert_eq!(rate("2 imp fl oz/imp gal").ucum(), "[foz_br]/[gal_br]");
    assert_eq!(rate("0.06 % v/v").ucum(), "%");
}
