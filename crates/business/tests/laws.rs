//! Laws of money: lines are their totals to the last minor unit, and nothing is off by more than half of one.

mod support;

use business::{Cost, CostKind, CostLine, Currency, Fraction, Money, Pricing, Share, Tax, TaxedPart, price};
use problem::Problems;
use proptest::prelude::*;

fn currency() -> impl Strategy<Value = Currency> {
    prop_oneof![Just("USD"), Just("JPY"), Just("KWD")].prop_map(|code| Currency::parse(code).unwrap())
}

fn lines(currency: Currency) -> impl Strategy<Value = Vec<CostLine>> {
    let kind = prop::sample::select(CostKind::ALL.to_vec());
    prop::collection::vec((kind, 0_i64..10_000_000), 0..12).prop_map(move |lines| {
        lines
            .into_iter()
            .map(|(kind, minor)| CostLine {
                kind,
                what: "x".to_owned(),
                amount: Money::new(minor, currency),
                formula: "x",
                inputs: Vec::new(),
                note: None,
            })
            .collect()
    })
}

fn share() -> impl Strategy<Value = Share> {
    (0_u32..9_999).prop_map(|parts| Share::parse(&format!("{}.{:02}", parts / 100, parts % 100)).unwrap())
}

proptest! {
    #[test]
    fn lines_are_their_totals(
        (currency, lines) in currency().prop_flat_map(|currency| (Just(currency), lines(currency))),
        share in share(), margin in any::<bool>(), taxes in prop::collection::vec((share(), any::<bool>()), 0..3),
        minimum in prop::option::of(0_i64..50_000_000),
    ) {
        let mut tariff = support::tariff();
        tariff.currency = currency;
        tariff.pricing = Some(if margin { Pricing::margin(share).unwrap() } else { Pricing::MarkUp(share) });
        tariff.minimum = minimum.map(|minor| Money::new(minor, currency));
        tariff.taxes = taxes
            .into_iter()
            .map(|(share, on_products)| Tax {
                name: "tax".to_owned(),
                share,
                on: if on_products { TaxedPart::Products } else { TaxedPart::Everything },
            })
            .collect();
        let total = Money::sum(lines.iter().map(|line| line.amount), currency).unwrap();
        let priced = price(&Cost { lines: lines.clone(), without_price: Vec::new(), total, warnings: Problems::new() }, &tariff).unwrap();
        let added: i64 = priced.lines.iter().map(|line| line.amount.minor()).sum();
        let to_minimum = priced.to_minimum.map_or(0, Money::minor);
        prop_assert_eq!(priced.net.minor(), added + to_minimum);
        prop_assert!(minimum.is_none_or(|minimum| priced.net.minor() >= minimum));
        prop_assert!(to_minimum == 0 || Some(priced.net.minor()) == minimum);
        let taxed: i64 = priced.taxes.iter().map(|tax| tax.amount.minor()).sum();
        prop_assert_eq!(priced.total.minor(), priced.net.minor() + taxed);
        // No price is below its cost, and none off by more than half a minor unit.
        let factor = tariff.pricing.unwrap().factor();
        for (line, cost) in priced.lines.iter().zip(&lines) {
            prop_assert!(line.amount.minor() >= cost.amount.minor());
            let off = i128::from(line.amount.minor()) * factor.denominator()
                - i128::from(cost.amount.minor()) * factor.numerator();
            prop_assert!(2 * off.abs() <= factor.denominator());
        }
    }

    #[test]
    fn rounding_is_to_the_nearest_and_half_goes_away_from_zero(
        minor in -1_000_000_000_i64..1_000_000_000, numerator in 0_i128..1_000_000_000_000, denominator in 1_i128..1_000_000,
    ) {
        let by = Fraction::new(numerator, denominator).unwrap();
        let exact = i128::from(minor) * numerator;
        let Ok(rounded) = Money::new(minor, support::usd()).times(by) else {
            prop_assert!(exact / denominator > i128::from(i64::MAX) - 2 || exact / denominator < i128::from(i64::MIN) + 2);
            return Ok(());
        };
        let off = i128::from(rounded.minor()) * denominator - exact;
        prop_assert!(2 * off.abs() <= denominator);
        if 2 * off.abs() == denominator {
            prop_assert!(off.signum() == exact.signum());
        }
    }

    #[test]
    fn what_is_printed_is_read_as_the_same(currency in currency(), minor in 0_i64..1_000_000_000_000) {
        let money = Money::new(minor, currency);
        match Money::parse(&money.figures(), currency) {
            Ok(read) => prop_assert_eq!(read, money),
            Err(problem) => {
                prop_assert_eq!(problem.code, "money::amount");
                prop_assert!(minor / currency.minor_units() > 1_000_000_000);
            }
        }
    }
}
