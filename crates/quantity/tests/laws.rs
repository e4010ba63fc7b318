//! Laws that hold for any input.

use proptest::prelude::*;
use quantity::*;

const VOLUMES: &[VolumeUnit] = VolumeUnit::ALL;
const MASSES: &[MassUnit] = MassUnit::ALL;

/// Runs every parser; whatever comes out is in order.
fn read_with_all(text: &str) {
    fn in_order<T>(text: &str, read: Result<T, ParseError>, value: impl Fn(&T) -> f64) {
        match read {
            Ok(read) => assert!(value(&read).is_finite() && value(&read) >= 0.0, "{text:?}"),
            Err(error) => {
                assert_eq!(error.text, text);
                assert!(text.get(error.span.clone()).is_some(), "{text:?}: {error:?}");
                assert!(!error.found.is_empty() && !error.found.contains(['\n', '\r']));
                let shown = error.to_string();
                let lines: Vec<&str> = shown.lines().collect();
                assert!(lines.len() >= 3, "{shown:?}");
                assert!(lines[2].trim_start_matches("  | ").trim_start().chars().all(|c| c == '^'), "{shown}");
                let problem = error.into_problem("quantity::text");
                assert!(!problem.found.is_empty());
            }
        }
    }
    in_order(text, parse_length(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_area(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_volume(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_mass(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_duration(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_speed(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_flow(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_temperature(text), |(q, _)| q.to(TemperatureUnit::Celsius) + 273.150_000_1);
    in_order(text, parse_volume_per_area(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_mass_per_area(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_density(text), |(q, unit)| q.to(*unit));
    in_order(text, parse_amount(text), |(q, unit)| q.to(*unit).unwrap_or(f64::NAN));
    in_order(text, parse_rate(text), Rate::value);
}

/// Pieces of rates and of nonsense, so that random texts come deep into the parsers.
const PIECES: &[&str] = &[
    "0", "1", "000", "1,000", "1/2", "0.4", ",5", ".", ",", "½", "⅞", "⁄", "-", "−", "–", "+", "e", "1e9", "fl", "oz",
    "fl oz", "fl. oz.", "gal", "imp", "US", "lb", "(weight)", "(", ")", "g", "kg", "µL", "µ", "mL", "L", "ha", "ha⁻¹",
    "m²", "m2", "m^2", "m-2", "^", "²", "⁻", "sq", "ft", "sq ft", "acre", "A", "a.i.", "a.", "%", "v/v", "w/w",
    "percent", "per", "per ", "/", " ", "  ", "\u{a0}", "\u{202f}", "\u{200b}", "·", "°", "°C", "F", "deg", "'", "\"",
    "″", "inch", "of", "trunk", "diameter", "mound", "plant", "station", "linear", "thousand", "M", "T", "h", "min",
    "mph", "gpm", "\n", "\t", "\0", "ß", "İ", "日本", "🐜", "e\u{301}", "٣", "𝟓", "\u{202e}", "to", "kn", "NaN", "inf",
];

fn some_text() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "\\PC{0,40}",
        "[0-9]{0,3}[,. /]?[0-9]{0,4} ?[a-zA-Zµ°.²]{0,6} ?(/|per|⁻¹)? ?[0-9,]{0,5} ?[a-z2 ]{0,8}",
        prop::collection::vec(prop::sample::select(PIECES), 0..12).prop_map(|pieces| pieces.concat()),
        prop::collection::vec(prop::sample::select(PIECES), 0..12).prop_map(|pieces| pieces.join(" ")),
    ]
}

/// A number of up to six digits, as people write.
fn written() -> impl Strategy<Value = f64> {
    (1_u32..1_000_000, 0_i32..8).prop_map(|(digits, decimals)| f64::from(digits) / 10_f64.powi(decimals))
}

fn amount_unit() -> impl Strategy<Value = AmountUnit> {
    prop_oneof![
        prop::sample::select(VOLUMES).prop_map(AmountUnit::Volume),
        prop::sample::select(MASSES).prop_map(AmountUnit::Mass),
    ]
}

fn basis() -> impl Strategy<Value = Basis> {
    let written = || written().prop_map(|count| BasisCount::new(count).unwrap());
    let count = || prop_oneof![Just(BasisCount::ONE), Just(BasisCount::THOUSAND), written()];
    prop_oneof![
        (count(), prop::sample::select(AreaUnit::ALL)).prop_map(|(count, unit)| Basis::Area(count, unit)),
        (count(), prop::sample::select(LengthUnit::ALL)).prop_map(|(count, unit)| Basis::Length(count, unit)),
        (count(), prop::sample::select(VOLUMES)).prop_map(|(count, unit)| Basis::SprayVolume(count, unit)),
        (count(), prop::sample::select(LengthUnit::ALL)).prop_map(|(count, unit)| Basis::TrunkDiameter(count, unit)),
        Just(Basis::Plant),
        Just(Basis::Mound),
        Just(Basis::Station),
    ]
}

fn basis_system(basis: Basis) -> Option<System> {
    if let Basis::SprayVolume(_, unit) = basis { Some(unit.system()) } else { None }
}

fn rate() -> impl Strategy<Value = Rate> {
    let substance = prop_oneof![Just(Substance::Product), Just(Substance::ActiveIngredient)];
    (written(), amount_unit(), substance, basis())
        .prop_map(|(value, unit, substance, basis)| Rate::of(value, unit, substance, basis))
}

fn mixes_systems(rate: &Rate) -> bool {
    matches!(
        (rate.unit().system(), basis_system(rate.basis())),
        (System::UsCustomary, Some(System::Imperial)) | (System::Imperial, Some(System::UsCustomary))
    )
}

fn near(one: f64, other: f64, relative: f64) -> bool {
    (one - other).abs() <= relative * one.abs().max(other.abs())
}

macro_rules! every_unit {
    ($($name:ident, $unit:ident, $parse:ident, $law:ident;)+) => {
        $(proptest! {
            #[test]
            fn $law(value in -1e9..1e9_f64, one in prop::sample::select($unit::ALL), other in prop::sample::select($unit::ALL)) {
                // There and back through any other unit.
                let there = $name::new(value, one).to(other);
                prop_assert!(near($name::new(there, other).to(one), value, 1e-12));
                // Printed and read again: the same unit, the number to three digits.
                let positive = value.abs() / 1e3;
                let shown = $name::new(positive, one).show(one);
                let (read, unit) = $parse(&shown).map_err(|error| TestCaseError::fail(error.to_string()))?;
                prop_assert_eq!(unit, one, "{}", shown);
                prop_assert!(near(read.to(one), positive, 0.005_000_001), "{} of {}", shown, positive);
            }
        })+
    };
}

every_unit! {
    Length, LengthUnit, parse_length, lengths_come_back;
    Area, AreaUnit, parse_area, areas_come_back;
    Volume, VolumeUnit, parse_volume, volumes_come_back;
    Mass, MassUnit, parse_mass, masses_come_back;
    Duration, DurationUnit, parse_duration, durations_come_back;
    Speed, SpeedUnit, parse_speed, speeds_come_back;
    Flow, FlowUnit, parse_flow, flows_come_back;
    VolumePerArea, VolumePerAreaUnit, parse_volume_per_area, volumes_per_area_come_back;
    MassPerArea, MassPerAreaUnit, parse_mass_per_area, masses_per_area_come_back;
    Density, DensityUnit, parse_density, densities_come_back;
}

proptest! {
    #[test]
    fn no_text_makes_a_parser_panic(text in some_text()) {
        read_with_all(&text);
    }

    #[test]
    fn temperatures_come_back(degrees in -200.0..200.0_f64) {
        for (one, other) in [
            (TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit),
            (TemperatureUnit::Fahrenheit, TemperatureUnit::Celsius),
        ] {
            let there = Temperature::new(degrees, one).to(other);
            prop_assert!((Temperature::new(there, other).to(one) - degrees).abs() < 1e-10);
            let (read, unit) = parse_temperature(&Temperature::new(degrees, one).show(one)).unwrap();
            prop_assert_eq!(unit, one);
            prop_assert!((read.to(one) - degrees).abs() <= 0.500_001);
        }
    }

    #[test]
    fn a_written_rate_reads_as_it_prints(rate in rate()) {
        let text = rate.to_string();
        if mixes_systems(&rate) {
            let error = parse_rate(&text).unwrap_err();
            prop_assert_eq!(error.found, "a US unit and an imperial unit in one rate");
        } else {
            let read = parse_rate(&text).map_err(|error| TestCaseError::fail(error.to_string()))?;
            prop_assert_eq!(read, rate, "{}", text);
        }
    }

    #[test]
    fn a_shown_rate_is_near_the_rate(rate in rate()) {
        prop_assume!(!mixes_systems(&rate));
        let read = parse_rate(&rate.show()).map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert!(near(read.ratio(&rate).unwrap(), 1.0, 0.005_000_001));
    }

    #[test]
    fn rates_of_one_kind_are_ordered_as_their_ratio(one in rate(), other in rate()) {
        match (one.checked_cmp(&other), one.ratio(&other)) {
            (Some(order), Some(ratio)) => {
                prop_assert_eq!(other.checked_cmp(&one), Some(order.reverse()));
                if order.is_lt() { prop_assert!(ratio < 1.0) }
                if order.is_gt() { prop_assert!(ratio > 1.0) }
                if order.is_eq() { prop_assert!(near(ratio, 1.0, 1e-11)) }
            }
            (None, None) => {}
            mixed => prop_assert!(false, "{:?}", mixed),
        }
        prop_assert_eq!(one.checked_cmp(&one), Some(std::cmp::Ordering::Equal));
    }

    #[test]
    fn significant_digits_are_three_or_the_whole_part(value in prop_oneof![-1e6..1e6_f64, -1.0..1.0_f64, -1e-6..1e-6_f64]) {
        let shown = significant(value, 3);
        prop_assert!(!shown.contains('e') && !shown.contains('E'));
        let plain: f64 = shown.replace(',', "").parse().unwrap();
        prop_assert!(near(plain, value, 0.005_000_001), "{} of {}", shown, value);
        let digits = shown.trim_start_matches(['-', '0', '.']).bytes().filter(u8::is_ascii_digit).count();
        let whole = shown.split('.').next().unwrap_or_default().bytes().filter(u8::is_ascii_digit).count();
        prop_assert_eq!(digits, if plain == 0.0 { 0 } else { whole.max(3) }, "{} of {}", shown, value);
    }
}

const STEPS: &[f64] = &[0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.3, 0.5, 1.0, 2.0, 5.0, 25.0, 100.0];

fn graduation() -> impl Strategy<Value = Graduation> {
    let step = prop_oneof![prop::sample::select(STEPS), 0.001..50.0_f64];
    (step, amount_unit()).prop_map(|(step, unit)| Graduation::new(step, unit).unwrap())
}

proptest! {
    #[test]
    fn marks_lie_around_the_amount(graduation in graduation(), steps in 0.0..5000.0_f64) {
        let (unit, step) = (graduation.unit(), graduation.step().to(graduation.unit()).unwrap());
        let exact = steps * step;
        let amount = Amount::new(exact, unit);
        let value = |mark: Option<Amount>| mark.unwrap().to(unit).unwrap();
        let (down, nearest, up) =
            (value(graduation.down(amount)), value(graduation.nearest(amount)), value(graduation.up(amount)));
        let slack = 2e-9 * exact;
        prop_assert!(down <= exact + slack && exact <= up + slack, "{down} {exact} {up}");
        prop_assert!(up - down <= step + slack);
        prop_assert!((nearest - exact).abs() <= step / 2.0 + slack);
        prop_assert!(near(nearest, down, 1e-12) || near(nearest, up, 1e-12));
        for mark in [down, nearest, up] {
            prop_assert!((mark / step - (mark / step).round()).abs() < 1e-8);
            // A mark is its own neighbour.
            let again = Amount::new(mark, unit);
            for kept in [graduation.down(again), graduation.nearest(again), graduation.up(again)] {
                prop_assert!(near(value(kept), mark, 1e-12));
            }
        }
    }

    #[test]
    fn what_is_measured_lies_within_its_limits(
        graduation in graduation(),
        steps in 0.0..300.0_f64,
        most in prop_oneof![Just(1.0), 0.5..1.5_f64],
        least in prop::option::of(0.3..1.0_f64),
    ) {
        let (unit, step) = (graduation.unit(), graduation.step().to(graduation.unit()).unwrap());
        let exact = Amount::new(steps * step, unit);
        let at_most = exact.scaled(most);
        let at_least = least.map(|least| exact.scaled(least));
        let number = |amount: Amount| amount.to(unit).unwrap();
        let within = |value: f64| {
            value <= number(at_most) * (1.0 + 2e-9) && at_least.is_none_or(|least| value >= number(least) * (1.0 - 2e-9))
        };
        match measured(exact, graduation, at_most, at_least) {
            Ok(result) => {
                let value = number(result.amount());
                prop_assert!(within(value));
                prop_assert!(value > 0.0 || number(exact) == 0.0);
                prop_assert!((value / step - (value / step).round()).abs() < 1e-8);
                // Off by at most half a step, or a step down from the limit.
                let aim = number(exact).min(number(at_most));
                prop_assert!((value - aim).abs() <= step * (1.0 + 1e-9) || most < 1.0);
            }
            Err(MeasureError::NeedsFinerMeasure(needs)) => {
                // The nearest mark is outside, and so is the highest under the limit.
                let nearest = number(graduation.nearest(exact).unwrap());
                prop_assert!(!within(nearest) || nearest == 0.0);
                if let Some(finer) = needs.finer() {
                    prop_assert!(number(finer.step()) < step);
                    prop_assert!(measured(exact, finer, at_most, at_least).is_ok());
                } else {
                    prop_assert!(least.is_some_and(|least| least > most * (1.0 - 1e-5)) || steps < 1e-4, "{:?}", needs);
                }
            }
            Err(other) => prop_assert!(false, "{other}"),
        }
    }
}
